// Small words on rows of text.
#pragma once

#include <string_view>

#include "base/digit.hpp"

namespace keepway::reader {

// What parts words and columns.
inline bool is_gap(char c) {
  return c == ' ' || c == '\t';
}

inline std::string_view trim(std::string_view text) {
  while (!text.empty() && is_gap(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_gap(text.back())) text.remove_suffix(1);
  return text;
}

inline void pass_blanks(std::string_view text, std::size_t& at) {
  while (at < text.size() && is_gap(text[at])) ++at;
}

// Of the name of a variable or setting.
inline bool is_name_byte(char c) {
  return is_letter(c) || is_digit(c) || c == '_' || c == '.';
}

// A line that holds only `%` marks off a program or a part of a stream (NISTIR 6556, 3.3). A control may
// print the end of its block, `%;` (common practice, no source).
inline bool is_mark(std::string_view line) {
  const std::string_view text = trim(line);
  return text == "%" || text == "%;";
}

}  // namespace keepway::reader
