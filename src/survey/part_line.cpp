#include "survey/part_line.hpp"

#include <algorithm>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

// "G54", "T12": letters and a number.
std::optional<PartLine> code_line(std::string_view front, std::string_view code, std::string_view behind) {
  const std::size_t digit = code.find_first_of("0123456789");
  if (digit == 0 || digit > 2 || digit == std::string_view::npos || !all_digits(code.substr(digit)) ||
      !std::all_of(code.begin(), code.begin() + static_cast<std::ptrdiff_t>(digit), is_letter))
    return std::nullopt;
  const std::string letters = upper(code.substr(0, digit));
  const std::string address = letters == "G"   ? "work/G{part}"
                              : letters == "T" ? "tool/{part}"
                                               : letters + "{part}";
  return PartLine{std::string(front) + std::string(code.substr(0, digit)) + "{part}" + std::string(behind),
                  address,
                  letters == "G"   ? "work"
                  : letters == "T" ? "tool"
                                   : ""};
}

}  // namespace

bool is_numbered_by(std::string_view word) {
  constexpr std::string_view words[] = {"number", "no", "nr", "nummer", "num", "record", "index"};
  return std::find(std::begin(words), std::end(words), word) != std::end(words);
}

std::optional<PartLine> name_line(std::string_view code) {
  constexpr std::size_t longest = 40;
  const bool open = code.size() > 1 && code.size() <= longest && is_alpha(code[0]) &&
                    code.find_first_of(":=") == code.size() - 1 && !has_digit(code);
  return open && code.back() == ':' ? std::optional(PartLine{"{part}:", "{part}", ""}) : std::nullopt;
}

std::optional<PartLine> part_line(std::string_view code, const std::string& encoding) {
  constexpr std::string_view around = "=-*#<>:.;[]() \t";
  constexpr std::string_view within = " \t:#.";
  const std::size_t begin = code.find_first_not_of(around);
  if (begin == std::string_view::npos) return std::nullopt;
  const std::size_t end = code.find_last_not_of(around) + 1;
  const std::string_view inside = code.substr(begin, end - begin);
  const std::string_view behind = code.substr(end);
  if (code.front() == '[' && code.back() == ']') return PartLine{"[{part}]", "{part}", ""};
  const std::size_t gap = inside.find_first_of(within);
  if (gap == std::string_view::npos) return code_line(code.substr(0, begin), inside, behind);
  const std::string word = lower(inside.substr(0, gap));
  std::size_t at = inside.find_first_not_of(within, gap);
  // "NO." in between.
  const std::size_t next = std::min(inside.find_first_of(within, at), inside.size());
  if (next < inside.size() && is_numbered_by(lower(inside.substr(at, next - at))))
    at = inside.find_first_not_of(within, next);
  const std::string_view part = inside.substr(at);
  if (is_letter(inside[0]) && gap == 1 && part.size() > 1 &&
      std::all_of(part.begin(), part.end(), is_alpha)) {
    const std::string what = lower(part);  // "X AXIS"
    return PartLine{std::string(code.substr(0, begin)) + "{part} " + std::string(code.substr(begin + at)),
                    plain_name(what, encoding) + "/{part}", what};
  }
  const bool letters = std::all_of(word.begin(), word.end(), is_alpha) && word.size() > 1;
  if (!letters || part.find_first_of(" \t=") != std::string_view::npos) return std::nullopt;
  return PartLine{std::string(code.substr(0, begin + at)) + "{part}" + std::string(behind),
                  plain_name(word, encoding) + "/{part}", word};
}

std::optional<PartLine> named_part_line(std::string_view line, const std::string& encoding) {
  constexpr std::string_view around = "=-*#<>.;[] \t";
  const std::size_t begin = line.find_first_not_of(around);
  if (begin == std::string_view::npos) return std::nullopt;
  const std::size_t end = line.find_last_not_of(around) + 1;
  const std::string_view inside = line.substr(begin, end - begin);
  // The word, "NO." or a sign, the number; what is in front of the name, the name, and what is behind it.
  const std::size_t digit = std::min(inside.find_first_of("0123456789"), inside.size());
  const std::size_t behind = std::min(inside.find_first_not_of("0123456789", digit), inside.size());
  const auto word_end = static_cast<std::size_t>(
      std::find_if_not(inside.begin(), inside.begin() + static_cast<std::ptrdiff_t>(digit), is_alpha) -
      inside.begin());
  const std::string word = lower(inside.substr(0, word_end));
  std::string between = lower(inside.substr(word_end, digit - word_end));
  const bool close = between.empty();  // T1
  std::erase_if(between, [](char c) { return std::string_view(".:# \t").find(c) != std::string_view::npos; });
  const bool block = word == "n" || word == "o" || word == "g" || word == "m";  // of a program
  if (word.empty() || block || behind == inside.size() || (close && word_end > 2) ||
      !(between.empty() || is_numbered_by(between)))
    return std::nullopt;
  const std::size_t from = inside.find_first_not_of(" \t:-(\"", behind);
  if (from == std::string_view::npos || from == behind || !is_alpha(inside[from])) return std::nullopt;
  const std::string_view before = inside.substr(behind, from - behind);
  const char opener = before.back();
  const std::size_t to = opener == '(' || opener == '"' ? inside.size() - 1 : inside.size();
  if (to < inside.size() && inside.back() != (opener == '(' ? ')' : '"')) return std::nullopt;
  if (to <= from || inside.find_first_of("=;,", from) != std::string_view::npos) return std::nullopt;
  const bool tool = word == "t";
  const std::string front = reader::trim(before).empty() ? " " : std::string(before);
  return PartLine{std::string(line.substr(0, begin + digit)) + "{part}" + front + "{name}" +
                      std::string(inside.substr(to)) + std::string(line.substr(end)),
                  tool ? "tool/{part}" : plain_name(word, encoding) + "/{part}", tool ? "tool" : word,
                  std::string(inside.substr(from, to - from))};
}

}  // namespace keepway::layout
