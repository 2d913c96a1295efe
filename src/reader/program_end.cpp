#include "reader/program_end.hpp"

#include <algorithm>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"

namespace keepway::reader {
namespace {

bool begins_with(std::string_view line, std::string_view end) {
  std::size_t at = 0;
  bool in_number = false;
  for (const char c : end) {
    pass_blanks(line, at);
    // "M00" is M0, and M100 is not M10.
    while (is_digit(c) && !in_number && at + 1 < line.size() && line[at] == '0' && is_digit(line[at + 1]))
      ++at;
    in_number = is_digit(c);
    if (at == line.size() || upper(line[at]) != c) return false;
    ++at;
  }
  const bool word = is_letter(end.back()) || is_digit(end.back());
  return at == line.size() || !word || (!is_letter(line[at]) && !is_digit(line[at]) && line[at] != '.');
}

}  // namespace

std::string_view without_line_number(std::string_view line) {
  std::size_t at = 0;
  pass_blanks(line, at);
  if (at < line.size() && upper(line[at]) == 'N') {
    std::size_t digit = at + 1;
    pass_blanks(line, digit);
    const std::size_t first = digit;
    while (digit < line.size() && is_digit(line[digit])) ++digit;
    if (digit > first) at = digit;
  }
  return line.substr(at);
}

bool begins_with_end(std::string_view line, const std::vector<std::string>& ends) {
  if (ends.empty()) return false;
  const std::string_view block = without_line_number(line);
  return std::any_of(ends.begin(), ends.end(),
                     [&](const std::string& end) { return begins_with(block, end); });
}

}  // namespace keepway::reader
