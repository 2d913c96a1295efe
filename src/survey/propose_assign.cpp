// A proposal for assignments: the shape that their rows have.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "base/digit.hpp"
#include "keepway/decimal.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

// The parts of a row around its number and its value.
struct Parts {
  std::string before = {};  // "#", "R", "V["
  std::string equals = {};  // "=", "]:="
  std::string after = {};   // ";"
  bool empty = false;       // has no value
  bool apart = false;       // a blank is between letters and number
  std::string value = {};
};

std::string without_blanks(std::string_view text) {
  std::string out;
  std::copy_if(text.begin(), text.end(), std::back_inserter(out), [](char c) { return !reader::is_gap(c); });
  return out;
}

// `#31=1.25`, `R012 = +000.25`, `V[7] := 3;`. nullopt for a line that is no such row. A line number in front
// is passed over.
std::optional<Parts> take_apart(std::string_view line) {
  constexpr std::size_t longest = 8;
  std::size_t at = 0;
  if (line.size() > 1 && (line[0] == 'N' || line[0] == 'n') && is_digit(line[1])) {
    const std::size_t behind = std::min(line.find_first_not_of("0123456789 \t", 1), line.size());
    const bool apart = behind > 1 && reader::is_gap(line[behind - 1]);
    if (behind < line.size() && (line[behind] == '#' || (apart && is_letter(line[behind])))) at = behind;
  }
  const bool named = line.substr(at).starts_with("#<");
  std::size_t digit = at;
  while (digit < line.size() && !is_digit(line[digit]) && line[digit] != '=') ++digit;
  if (named) {
    const std::size_t behind = line.find('=');
    if (behind == std::string_view::npos || line.find('>') > behind) return std::nullopt;
    const std::string_view value = reader::trim(line.substr(behind + 1));
    return Parts{.before = "#", .equals = "=", .empty = value.empty(), .value = std::string(value)};
  }
  if (digit == line.size() || line[digit] == '=') return std::nullopt;
  std::size_t end = digit;
  while (end < line.size() && is_digit(line[end])) ++end;
  std::size_t equals = line.find('=', end);
  // P1:4000,P2:-12
  bool colon = false;
  if (equals == std::string_view::npos && digit > at && is_letter(line[digit - 1]) && end < line.size() &&
      line[end] == ':' && line.find(':', end + 1) != std::string_view::npos) {
    const std::string_view value = line.substr(end + 1);
    colon = canonical_number(reader::trim(value.substr(0, value.find_first_of(",*$")))).has_value();
  }
  if (colon) equals = end;
  if (equals == std::string_view::npos) return std::nullopt;
  Parts parts{.before = without_blanks(line.substr(at, digit - at)),
              .equals = without_blanks(line.substr(end, equals + 1 - end)),
              .after = "",
              .empty = false,
              .apart = digit > at && reader::is_gap(line[digit - 1]),
              .value = ""};
  std::string_view value = reader::trim(line.substr(equals + 1));
  const std::size_t sign = value.find_first_of(",*$");
  const bool behind_last = sign < value.size() && value.back() == value[sign];
  if (sign < value.size() && (value[sign] == ',' || behind_last) &&
      value.find(colon ? ':' : '=', sign) != std::string_view::npos) {
    parts.after = value[sign];
    return parts;
  }
  while (!value.empty() && value.back() == ';') {
    parts.after += ';';
    value = reader::trim(value.substr(0, value.size() - 1));
  }
  parts.empty = value.empty();
  parts.value = value;
  if (parts.before.size() > longest || parts.equals.size() > longest) return std::nullopt;
  return parts;
}

// `spindle.max : 4500`: one word, a colon, one value.
bool is_labelled(std::string_view line) {
  const std::size_t colon = line.find(':');
  if (colon == std::string_view::npos || colon == 0) return false;
  const std::string_view name = reader::trim(line.substr(0, colon));
  const std::string_view value = reader::trim(line.substr(colon + 1));
  const bool parts = line.find('=') != std::string_view::npos;
  const bool may_be_empty = value.empty() && has_digit(name);  // "V204:"
  return !parts && (!value.empty() || may_be_empty) &&
         std::all_of(name.begin(), name.end(), reader::is_name_byte);
}

// `BAUD=4800 PARITY=E`, with commas or without: nothing but names with values, how many there are in a line;
// 0 for anything else.
std::size_t pairs_in(std::string_view line, bool commas) {
  std::size_t pairs = 0;
  for (std::string_view left = reader::trim(line); !left.empty(); ++pairs) {
    const std::string_view pair = reader::trim(left.substr(0, left.find_first_of(commas ? "," : " \t")));
    const std::size_t equals = pair.find('=');
    if (equals == 0 || equals >= pair.size() - 1 || !is_alpha(pair[0]) ||
        pair.find('=', equals + 1) != std::string_view::npos ||
        !std::all_of(pair.begin(), pair.begin() + static_cast<std::ptrdiff_t>(equals), reader::is_name_byte))
      return 0;
    left = reader::trim(left.substr(pair.size()));
    if (commas && left.starts_with(',')) left = reader::trim(left.substr(1));
  }
  return pairs;
}

// Whether all lines are of such pairs, and have several.
bool are_pairs(const Sample& sample, bool commas) {
  std::size_t most = 0;
  for (const std::string& code : sample.code) {
    const std::size_t pairs = code.empty() ? 1 : pairs_in(code, commas);
    if (pairs == 0) return false;
    most = std::max(most, pairs);
  }
  return most > 1;
}

// The lines' settings, each by itself where several begin with a number sign: `#500=1.5  #550=`.
std::vector<std::string_view> settings_of(const Sample& sample) {
  std::vector<std::string_view> out;
  for (const std::string_view code : sample.code) {
    std::size_t next = code.starts_with('#') ? code.find(" #", 1) : std::string_view::npos;
    std::size_t from = 0;
    for (; next != std::string_view::npos; next = code.find(" #", from)) {
      out.push_back(reader::trim(code.substr(from, next - from)));
      from = next + 1;
    }
    out.push_back(code.substr(from));
  }
  return out;
}

std::string letters_of(const std::string& before) {
  std::size_t from = before.size();
  while (from > 0 && is_letter(before[from - 1])) --from;
  return before.substr(from);
}

// Rows that are called by names.
Candidate of_names(const Sample& sample, const char* shape) {
  Candidate made;
  made.reader = ReaderKind::assign;
  made.group = group_of(sample, Group::settings, made.guesses);
  made.keys = skip_line(sample, true) + comment_line(sample.comments) +
              key_line("shape", toml_quoted(shape), "how a row is written");
  return made;
}

}  // namespace

Candidates propose_assign(const Sample& sample) {
  std::map<std::pair<std::string, std::string>, std::size_t> around;  // without letters -> rows
  std::size_t rows = 0;
  std::string before;
  Parts common;
  bool letters = false;
  bool empty = false;  // rows without a value
  std::vector<std::string> values;
  std::set<std::string> words;  // letters before numbers
  for (const std::string_view code : settings_of(sample)) {
    const auto parts = code.empty() ? std::nullopt : take_apart(code);
    if (!parts) continue;
    empty = empty || parts->empty;
    if (!parts->empty) values.push_back(parts->value);
    const std::string own = letters_of(parts->before);
    words.insert(upper(own));
    const std::string front = parts->before.substr(0, parts->before.size() - own.size());
    if (++around[{front + parts->equals, parts->after}] > rows) {
      rows = around[{front + parts->equals, parts->after}];
      common = *parts;
      before = front;
      letters = !own.empty();
    }
  }
  const auto labelled =
      static_cast<std::size_t>(std::count_if(sample.code.begin(), sample.code.end(), is_labelled));
  if (labelled > rows && labelled > 1 && labelled * 5 > sample.code_lines() * 4) {
    Candidate made = of_names(sample, "{key}:{value}");
    if (std::any_of(sample.code.begin(), sample.code.end(),
                    [](const std::string& code) { return code.ends_with(':'); }))
      made.keys += key_line("empty_rows", "true", "rows that have their key alone");
    std::vector<std::string> said;
    for (const std::string& code : sample.code) {
      if (is_labelled(code))
        said.emplace_back(reader::trim(std::string_view(code).substr(code.find(':') + 1)));
    }
    made.keys += value_fields(said);
    return {made};
  }
  const bool commas = words.empty() && are_pairs(sample, true);
  if (words.empty() && (commas || are_pairs(sample, false))) {
    Candidate made = of_names(sample, commas ? "{key}={value}," : "{key}={value}");
    made.keys += key_line("fields", any_value);
    return {made};
  }
  if (rows == 0 || rows * 2 < sample.code_lines()) return {};
  constexpr std::size_t longest_code = 3;  // "PM12", and no "PARAM12"
  const bool word =
      !words.empty() && (words.begin()->size() > longest_code || (words.begin()->size() > 1 && common.apart));
  if (letters && words.size() == 1 && word) {  // "PARAM 12"
    before = common.before;
    letters = false;
  }
  Candidate made;
  made.reader = ReaderKind::assign;
  made.group = group_of(sample, Group::variables, made.guesses);
  made.keys = skip_line(sample, true) + comment_line(sample.comments);
  if (letters || before != "#" || common.equals != "=" || !common.after.empty()) {
    made.keys += key_line("shape", toml_quoted(before + (letters ? "{letter}{key}" : "{key}") +
                                               common.equals + "{value}" + common.after));
  }
  if (empty) made.keys += key_line("empty_rows", "true", "rows that have their key alone");
  made.keys += value_fields(values);
  made.keys += letters ? "# Key: letters and number before the value, as R12; the value is the item's own.\n"
                       : "# Key: what is before the value; the value is the item's own.\n";
  return {made};
}

}  // namespace keepway::layout
