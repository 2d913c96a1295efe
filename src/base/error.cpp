#include "keepway/error.hpp"

#include <fmt/format.h>

#include <utility>

namespace keepway {

std::string Place::text() const {
  std::string out = file;
  if (line) out += fmt::format(":{}", *line);
  if (byte) out += fmt::format(" (byte {})", *byte);
  return out;
}

Error::Error(ErrorKind kind, const std::string& what, std::string remedy, Place place)
    : std::runtime_error(what), kind_(kind), remedy_(std::move(remedy)), place_(std::move(place)) {}

std::string Error::message() const {
  const std::string place = place_.text();
  return place.empty() ? what() : place + ": " + what();
}

}  // namespace keepway
