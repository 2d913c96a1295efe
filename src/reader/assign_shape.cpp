#include "reader/assign_shape.hpp"

#include <algorithm>

#include "base/digit.hpp"
#include "reader/text.hpp"

namespace keepway::reader {
namespace {

// Passes over `literal`, whose bytes may have blanks between them.
bool take(std::string_view text, std::string_view literal, std::size_t& at) {
  for (const char c : literal) {
    pass_blanks(text, at);
    if (at == text.size() || upper(text[at]) != upper(c)) return false;
    ++at;
  }
  return true;
}

template <class Is>
std::string_view take_run(std::string_view text, std::size_t& at, const Is& is) {
  pass_blanks(text, at);
  const std::size_t begin = at;
  while (at < text.size() && is(text[at])) ++at;
  return text.substr(begin, at - begin);
}

// All of a setting that is in front of its value.
bool take_front(const Shape& shape, std::string_view code, std::size_t& at, Setting& out) {
  if (!take(code, shape.before, at)) return false;
  const bool numbered = shape.letter || (!shape.before.empty() && is_letter(shape.before.back()));
  if (shape.letter) {
    out.letter = take_run(code, at, is_letter);
    if (out.letter.empty()) return false;
  }
  out.key = take_run(code, at, [&](char c) { return numbered ? is_digit(c) : is_name_byte(c); });
  return !out.key.empty() && take(code, shape.equals, at);
}

// Where a value ends: at what stands behind it, or where the next setting begins.
std::size_t shaped_value_end(const Shape& shape, std::string_view code, std::size_t at) {
  if (!shape.after.empty()) {
    const std::size_t end = code.find(shape.after, at);
    // Commas are between settings, and so not behind the last.
    return end == std::string_view::npos && shape.after == "," ? code.size() : end;
  }
  for (std::size_t gap = at; gap < code.size(); ++gap) {
    if (!is_gap(code[gap])) continue;
    pass_blanks(code, gap);
    std::size_t next = gap;
    Setting ignored;
    if (gap < code.size() && take_front(shape, code, next, ignored)) return gap;
  }
  return code.size();
}

// Behind `N10` in front of a row; where there is none, at the row.
std::size_t behind_line_number(std::string_view code) {
  std::size_t at = 0;
  pass_blanks(code, at);
  std::size_t digit = at + 1;
  while (at < code.size() && upper(code[at]) == 'N' && digit < code.size() && is_digit(code[digit])) ++digit;
  return digit > at + 1 && digit < code.size() && is_gap(code[digit]) ? digit : at;
}

}  // namespace

bool split_shaped(const Shape& shape, std::string_view code, bool empty, std::vector<Setting>& out) {
  out.clear();
  std::size_t at = behind_line_number(code);
  pass_blanks(code, at);
  while (at < code.size()) {
    Setting setting;
    if (!take_front(shape, code, at, setting)) return false;
    pass_blanks(code, at);
    const std::size_t end = shaped_value_end(shape, code, at);
    if (end == std::string_view::npos) return false;
    setting.value = trim(code.substr(at, end - at));
    if (setting.value.empty() && !empty) return false;
    out.push_back(setting);
    at = std::min(end + shape.after.size(), code.size());
    pass_blanks(code, at);
  }
  return !out.empty();
}

bool is_usual(const Shape& shape) {
  return shape.before == "#" && !shape.letter && shape.equals == "=" && shape.after.empty();
}

}  // namespace keepway::reader
