#include "base/password.hpp"

#include <algorithm>

namespace keepway {
namespace {

constexpr std::string_view ends_address = " \t\r\n\"'<>\\";

// Where the password ends, which is the '@' before the host; npos when there is none. A password with a '/'
// in it is not as RFC 3986 has it, and typed all the same: what is behind a port is not taken for one.
std::size_t end_of_password(std::string_view address) {
  const std::size_t slash = std::min(address.find_first_of("/?#"), address.size());
  const std::size_t at = address.substr(0, slash).rfind('@');
  if (at != std::string_view::npos) return at;
  const std::size_t colon = address.find(':');
  if (colon >= slash) return std::string_view::npos;
  const std::string_view port = address.substr(colon + 1, slash - colon - 1);
  const bool is_port = std::all_of(port.begin(), port.end(), [](char c) { return c >= '0' && c <= '9'; });
  return is_port ? std::string_view::npos : address.rfind('@');
}

}  // namespace

std::string without_passwords(std::string_view text) {
  constexpr std::string_view mark = "://";
  std::string out;
  while (true) {
    const std::size_t found = text.find(mark);
    if (found == std::string_view::npos) return out.append(text);
    const std::size_t begin = found + mark.size();
    out.append(text.substr(0, begin));
    text.remove_prefix(begin);
    const std::string_view address = text.substr(0, text.find_first_of(ends_address));
    const std::size_t colon = address.find(':');
    const std::size_t at = end_of_password(address);
    if (at == std::string_view::npos || colon == std::string_view::npos || colon > at) continue;
    out.append(text.substr(0, colon));
    text.remove_prefix(at);
  }
}

}  // namespace keepway
