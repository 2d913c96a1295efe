#include "reader/serial_line.hpp"

#include <algorithm>
#include <array>
#include <tuple>
#include <utility>

#include "base/digit.hpp"
#include "keepway/text.hpp"

namespace keepway::reader {
namespace {

// None begins with a letter that is not ASCII.
constexpr std::string_view serial_words[] = {  // '?' is a letter that is not ASCII
    "serienummer",
    "serie-nr",
    "serial",
    "s/n",
    "serien-nr",
    "seriennr",
    "seriennummer",
    "serie",
    "matricola",
    "masch.-nr",
    "masch-nr",
    "masch.nr",
    "maschinen-nr",
    "maschinennr",
    "maschinennummer",
    "machine no",
    "machine nr",
    "machine number",
    "ser.no",
    "ser. no",
    "ser.nr",
    "ser. nr",
    "ser-no",
    "ser-nr",
    "maschine-nr",
    "sr. no",
    "sr.no",
    "sr no",
    "seri no",
    "v?r. ?",
    "v?r.?",
    "ser no",
    "ser nr",
    "sarjanumero",
    "nr fabr",
    "nr fabryczny",
    "nr seryjny",
    "numer seryjny",
    "fabrieksnr",
    "fabrieksnummer",
    "tillverkningsnummer",
    "tillverkningsnr",
    "serijski broj",
    "gyari szam",
    "gy?ri sz?m",
    "vyrobni cislo",
    "v?robn? ??slo"};
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

// "TG" of "TG 0611": letters that belong to the number behind them.
bool is_series(std::string_view token) {
  constexpr std::size_t most = 3;
  return !token.empty() && token.size() <= most && !is_filler(lower(token)) &&
         std::all_of(token.begin(), token.end(), [](char c) { return c >= 'A' && c <= 'Z'; });
}

// The first word of `rest` that can be a serial. `of_number`: the word before says that a number follows, as
// "SERIAL" alone does not: "SERIAL COM 9600" is a port.
std::string serial_behind(std::string_view rest, bool of_number) {
  constexpr std::string_view between = " \t:=.#\",;";
  const auto is_part = [](char c) { return is_word_byte(c) || c == '-' || c == '/'; };
  const auto token_in = [&](std::string_view text) {
    return text.substr(
        0, static_cast<std::size_t>(std::find_if_not(text.begin(), text.end(), is_part) - text.begin()));
  };
  const auto is_serial = [](std::string_view token) {
    return token.size() >= shortest_serial && std::any_of(token.begin(), token.end(), is_digit);
  };
  for (int tries = 0; tries < 4 && !rest.empty(); ++tries) {
    const std::size_t first = std::min(rest.find_first_not_of(between), rest.size());
    of_number = of_number || rest.substr(0, first).find(':') != std::string_view::npos;
    rest.remove_prefix(first);
    const std::string_view token = token_in(rest);
    if (is_serial(token)) return std::string(token);
    if (of_number && is_series(token) && rest.substr(token.size()).starts_with(' ')) {
      const std::string_view number = token_in(rest.substr(token.size() + 1));
      if (!number.empty() && is_digit(number.front()) && is_serial(number))
        return std::string(rest.substr(0, token.size() + 1 + number.size()));
    }
    if (!is_filler(lower(token))) return {};
    of_number = of_number || lower(token).starts_with('n');  // no, nr, number
    rest.remove_prefix(std::min(std::max<std::size_t>(token.size(), 1), rest.size()));
  }
  return {};
}

// Where `word` is in `low` from `at` on, and where it ends; '?' is a letter that is not ASCII, of one byte
// or, in UTF-8, of two.
std::pair<std::size_t, std::size_t> find_word(std::string_view low, std::string_view word, std::size_t from) {
  const auto ends_at = [&](std::size_t at) {
    for (const char c : word) {
      if (at == low.size()) return std::string_view::npos;
      if (c != '?') {
        if (low[at++] != c) return std::string_view::npos;
        continue;
      }
      if (static_cast<unsigned char>(low[at++]) < 0x80) return std::string_view::npos;
      if (at < low.size() && (static_cast<unsigned char>(low[at]) & 0xC0U) == 0x80) ++at;
    }
    return at;
  };
  for (std::size_t at = low.find(word.front(), from); at != std::string_view::npos;
       at = low.find(word.front(), at + 1)) {
    if (const std::size_t end = ends_at(at); end != std::string_view::npos) return {at, end};
  }
  return {std::string_view::npos, 0};
}

}  // namespace

std::string serial_in_line(std::string_view line) {
  constexpr std::string_view with_accent = "s?rie";  // "N° DE SÉRIE"
  const std::string low = lower(line.substr(0, longest_line_looked_at));
  const auto behind = [&](std::string_view word) -> std::string {
    for (auto [at, end] = find_word(low, word, 0); at != std::string::npos;
         std::tie(at, end) = find_word(low, word, at + 1)) {
      if (at > 0 && is_in_word(low[at - 1])) continue;
      const bool whole = word != "serial";  // "SERIALNO=", but not "SERIES 20" or "MACHINE NORTH"
      if (whole && end < low.size() && is_in_word(low[end])) continue;
      if (std::string found = serial_behind(line.substr(end), word != "serial"); !found.empty()) return found;
    }
    return {};
  };
  for (const std::string_view word : serial_words) {
    if (std::string found = behind(word); !found.empty()) return found;
  }
  return behind(with_accent);
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
