// The values of a block: numbers, parameters and expressions (NISTIR 6556, 3.3.2), read from one
// line and written in their one spelling: no blanks, upper case, canonical numbers.
//
// Where the point counts (Point::counts), a whole number that was written with one keeps it: `7.` is another
// value than `7` to a control that counts the latter in its least increment. Nothing is nothing either way:
// 0.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "base/digit.hpp"
#include "keepway/layout.hpp"
#include "reader/lines.hpp"

namespace keepway::reader {

// Reads at `in`, writes at `out`. What `in` points to must end with a line end, which nothing here
// reads past; `out` must have room for twice what is read and `number_room` more. A cursor is handed
// on by value: `out` is null when what was there could not be read.
struct Cursor {
  const char* in = nullptr;
  char* out = nullptr;
  [[nodiscard]] bool failed() const { return out == nullptr; }
};

inline constexpr std::size_t max_number_digits = 400;  // as Decimal::max_digits
inline constexpr std::size_t number_room = 2048;

enum class Byte : std::uint8_t { other, blank, letter, digit };
inline constexpr std::array<Byte, 256> byte_kinds = [] {
  std::array<Byte, 256> kinds{};
  kinds[' '] = kinds['\t'] = Byte::blank;
  for (unsigned c = '0'; c <= '9'; ++c) kinds[c] = Byte::digit;
  for (unsigned c = 'A'; c <= 'Z'; ++c) kinds[c] = kinds[c + 32] = Byte::letter;
  return kinds;
}();
inline Byte kind_of(char c) {
  return byte_kinds[static_cast<unsigned char>(c)];
}
inline bool is_blank(char c) {
  return kind_of(c) == Byte::blank;
}
inline const char* skip_blanks(const char* in) {
  while (is_blank(*in)) ++in;
  return in;
}

// An unsigned number; blanks within vanish (NISTIR 6556, 3.3.1).
inline Cursor read_number(Cursor c, Point point) {
  const char* in = c.in;
  char* out = c.out;
  bool digits = false;
  while (*in == '0' || is_blank(*in)) digits |= *in++ == '0';
  while (is_digit(*in) || is_blank(*in)) {
    if (is_digit(*in)) {
      if (static_cast<std::size_t>(out - c.out) >= max_number_digits) return {};
      *out++ = *in;
    }
    ++in;
  }
  if (out == c.out) {
    *out++ = '0';
  } else {
    digits = true;
  }
  if (*in == '.') {
    char* const whole_end = out;
    char* last = out;  // end without needless zeros
    *out++ = '.';
    ++in;
    while (is_digit(*in) || is_blank(*in)) {
      if (is_digit(*in)) {
        if (static_cast<std::size_t>(out - c.out) > max_number_digits) return {};
        digits = true;
        *out++ = *in;
        if (*in != '0') last = out;
      }
      ++in;
    }
    const bool zero = whole_end == c.out + 1 && *c.out == '0';
    if (last == whole_end && point == Point::counts && !zero) ++last;
    out = last;
  }
  if (!digits) return {};
  return {in, out};
}

// Name of a function of NISTIR 6556, 3.3.2.3.
bool is_function(std::string_view letters_in_any_case);

// A name between `<` and `>` as RS-274 texts of today have it (common practice, no source): blanks vanish and
// letters are upper case. `in` is at the `<`.
Cursor read_name(Cursor c);

// The run of letters at `in`, without blanks between.
std::string_view letter_run(const char* in);

// A number, `#…`, `[…]` or function, without a sign. A parameter's number and name (`#31`, `#<depth>`) are
// no values: a point changes nothing there.
Cursor read_operand(Cursor c, Point point);

// A value with an optional sign; when it does not begin with a number, or `expression` is set,
// operators and operands may follow bare: `#2+1`, common practice, where the report wants brackets.
Cursor read_value(Cursor c, bool expression, Point point);

}  // namespace keepway::reader
