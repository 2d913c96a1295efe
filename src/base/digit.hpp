// Digits whatever the locale.
#pragma once

namespace keepway {

constexpr bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

}  // namespace keepway
