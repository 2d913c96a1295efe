// Digits and letters of ASCII, whatever the locale.
#pragma once

#include <string_view>

namespace keepway {

constexpr bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
// False for an empty text.
constexpr bool all_digits(std::string_view text) {
  for (const char c : text) {
    if (!is_digit(c)) return false;
  }
  return !text.empty();
}

constexpr char upper(char c) {
  return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
}
constexpr bool is_letter(char c) {
  return upper(c) >= 'A' && upper(c) <= 'Z';
}

inline constexpr std::string_view hex_digits = "0123456789ABCDEF";

}  // namespace keepway
