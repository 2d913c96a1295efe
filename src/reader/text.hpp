// Small words on rows of text.
#pragma once

#include <string_view>

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

// A line that holds only `%` marks off a program or a part of a stream (NISTIR 6556, 3.3).
inline bool is_mark(std::string_view line) {
  return trim(line) == "%";
}

}  // namespace keepway::reader
