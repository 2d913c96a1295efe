#include "cli/counter_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>

namespace keepway::cli {

Error CounterWords::not_understood(std::string_view what) {
  return {ErrorKind::usage, fmt::format("{} is not understood", what), "load the page again"};
}

CounterWords::CounterWords(const std::string& body) {
  constexpr std::size_t most_bytes = 64U << 10U;
  if (body.size() > most_bytes) throw not_understood("so long a text");
  json_ = Json::parse(body, nullptr, false);
  if (!json_.is_object()) throw not_understood("what the page sent");
}

const CounterWords::Json& CounterWords::at(const char* name) const {
  static const Json absent;
  const auto found = json_.find(name);
  return found == json_.end() ? absent : *found;
}

// Whatever a field holds ends in a commit, where a control byte has no business; a note may have lines.
std::string CounterWords::clean(const Json& value, const char* name) {
  if (!value.is_string()) throw not_understood(name);
  std::string text = value.get<std::string>();
  const bool is_clean = std::all_of(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) >= 0x20 && c != 0x7f) || c == '\n' || c == '\t';
  });
  if (is_clean) return text;
  throw Error(ErrorKind::usage, fmt::format("'{}' holds a control character", name), "type it again");
}

std::string CounterWords::text(const char* name) const {
  return at(name).is_null() ? "" : clean(at(name), name);
}

std::vector<std::string> CounterWords::texts(const char* name) const {
  const Json& list = at(name);
  if (!list.is_null() && !list.is_array()) throw not_understood(name);
  std::vector<std::string> found;
  for (const Json& each : list) found.push_back(clean(each, name));
  return found;
}

std::vector<CounterWords> CounterWords::list(const char* name) const {
  const Json& list = at(name);
  if (!list.is_null() && !list.is_array()) throw not_understood(name);
  std::vector<CounterWords> found;
  for (const Json& each : list) {
    if (!each.is_object()) throw not_understood(name);
    found.push_back(CounterWords(each));
  }
  return found;
}

std::optional<std::string> CounterWords::given(const char* name) const {
  return at(name).is_null() ? std::nullopt : std::optional(text(name));
}

std::string CounterWords::filled(const char* name) const {
  std::string value = text(name);
  if (value.empty()) throw Error(ErrorKind::usage, fmt::format("'{}' is empty", name), "fill it in");
  return value;
}

bool CounterWords::is_on(const char* name) const {
  return switched(name).value_or(false);
}

std::optional<bool> CounterWords::switched(const char* name) const {
  const Json& value = at(name);
  if (value.is_null()) return std::nullopt;
  if (!value.is_boolean()) throw not_understood(name);
  return value.get<bool>();
}

int CounterWords::number(const char* name, int most) const {
  const Json& value = at(name);
  if (value.is_null()) return 0;
  if (!value.is_number_unsigned() || value.get<std::uint64_t>() > static_cast<std::uint64_t>(most))
    throw Error(ErrorKind::usage, fmt::format("'{}' is no number from 0 to {}", name, most), "correct it");
  return value.get<int>();
}

}  // namespace keepway::cli
