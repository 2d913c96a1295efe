#include "reader/serial_line.hpp"

#include <algorithm>
#include <array>

#include "base/digit.hpp"
#include "keepway/text.hpp"

namespace keepway::reader {
namespace {

constexpr std::size_t shortest_serial = 3;
constexpr std::size_t longest_line_looked_at = 1024;

bool is_word_byte(char c) {
  return is_digit(c) || is_letter(c);
}

bool is_in_word(char c) {
  return is_letter(c) || static_cast<unsigned char>(c) >= 0x80;
}

// What may be between the word for a serial and the serial itself: in "SERIAL PORT 9600" there is none.
bool is_filler(std::string_view low) {
  constexpr std::array<std::string_view, 14> fillers = {"no",      "nr",   "number", "num",     "nummer",
                                                        "id",      "of",   "the",    "is",      "machine",
                                                        "control", "unit", "code",   "maschine"};
  return low.size() <= 1 || std::find(fillers.begin(), fillers.end(), low) != fillers.end();
}

// The first word of `rest` that can be a serial.
std::string serial_behind(std::string_view rest) {
  for (int tries = 0; tries < 4 && !rest.empty(); ++tries) {
    rest.remove_prefix(std::min(rest.find_first_not_of(" \t:=.#"), rest.size()));
    const auto is_part = [](char c) { return is_word_byte(c) || c == '-' || c == '/'; };
    const auto end =
        static_cast<std::size_t>(std::find_if_not(rest.begin(), rest.end(), is_part) - rest.begin());
    const std::string_view token = rest.substr(0, end);
    if (token.size() >= shortest_serial && std::any_of(token.begin(), token.end(), is_digit))
      return std::string(token);
    if (!is_filler(lower(token))) return {};
    rest.remove_prefix(std::min(std::max<std::size_t>(end, 1), rest.size()));
  }
  return {};
}

}  // namespace

std::string serial_in_line(std::string_view line) {
  constexpr std::array<std::string_view, 14> words = {
      "serienummer", "serie-nr",  "serial",    "s/n",      "serien-nr",  "seriennr",   "seriennummer",
      "serie",       "matricola", "masch.-nr", "masch-nr", "machine no", "machine nr", "machine number"};
  const std::string low = lower(line.substr(0, longest_line_looked_at));
  for (const std::string_view word : words) {
    for (std::size_t at = low.find(word); at != std::string::npos; at = low.find(word, at + 1)) {
      const std::size_t end = at + word.size();
      if (at > 0 && is_in_word(low[at - 1])) continue;
      if (word == "serie" && end < low.size() && is_in_word(low[end])) continue;  // "SERIES 20"
      if (std::string found = serial_behind(line.substr(end)); !found.empty()) return found;
    }
  }
  return {};
}

bool is_same_serial(std::string_view a, std::string_view b) {
  const auto bare = [](std::string_view text) {
    return lower(text.substr(std::min(text.find_first_not_of('0'), text.size())));
  };
  return bare(a) == bare(b);
}

bool is_of_serial(std::string_view found, std::string_view serial) {
  return !serial.empty() && (is_same_serial(found, serial) || has_word(found, serial));
}

bool has_word(std::string_view text, std::string_view word) {
  if (word.empty()) return false;
  const std::string low = lower(text);
  const std::string wanted = lower(word);
  const auto joins = [&](std::size_t at) { return at < low.size() && is_word_byte(low[at]); };
  for (std::size_t at = low.find(wanted); at != std::string::npos; at = low.find(wanted, at + 1)) {
    if ((at == 0 || !joins(at - 1)) && !joins(at + wanted.size())) return true;
  }
  return false;
}

}  // namespace keepway::reader
