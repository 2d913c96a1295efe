#include "reader/block_value.hpp"

#include <algorithm>

namespace keepway::reader {
namespace {

constexpr std::array<std::string_view, 13> functions = {"ABS", "ACOS", "ASIN", "ATAN", "COS",   "EXP", "FIX",
                                                        "FUP", "LN",   "SIN",  "SQRT", "ROUND", "TAN"};
constexpr std::array<std::string_view, 4> operator_words = {"AND", "MOD", "OR", "XOR"};

bool same_letters(std::string_view any_case, std::string_view upper_case) {
  return std::equal(any_case.begin(), any_case.end(), upper_case.begin(), upper_case.end(),
                    [](char a, char b) { return upper(a) == b; });
}

// Brackets are counted, not nested calls: a hostile line may open as many as it is long.
Cursor read_brackets(Cursor c, Point point) {
  std::size_t depth = 0;
  do {
    const char ch = *c.in;
    switch (kind_of(ch)) {
      case Byte::blank:
        ++c.in;
        break;
      case Byte::letter:
        *c.out++ = upper(ch);
        ++c.in;
        break;
      case Byte::digit: {
        c = read_number(c, point);
        if (c.failed()) return c;
        break;
      }
      case Byte::other:
        if (ch == '.') {
          c = read_number(c, point);
          if (c.failed()) return c;
          break;
        }
        if (ch == '<') {
          c = read_name(c);
          if (c.failed()) return c;
          break;
        }
        if (ch == '[') {
          ++depth;
        } else if (ch == ']') {
          --depth;
        } else if (std::string_view("#+-*/,=").find(ch) == std::string_view::npos) {
          return {};
        }
        *c.out++ = ch;
        ++c.in;
        break;
    }
  } while (depth > 0);
  return c;
}

// An operator between two operands, or nothing: then `in` stays.
Cursor read_operator(Cursor c) {
  const char* in = skip_blanks(c.in);
  if (*in == '+' || *in == '-' || *in == '*' || *in == '/') {
    *c.out++ = *in++;
    return {in, c.out};
  }
  if (!is_letter(*in)) return c;
  for (const std::string_view word : operator_words) {
    std::string_view run = letter_run(in);
    if (run.size() < word.size() || !same_letters(run.substr(0, word.size()), word)) continue;
    c.out = std::copy(word.begin(), word.end(), c.out);
    return {in + word.size(), c.out};
  }
  return c;
}

Cursor read_sign(Cursor c) {
  c.in = skip_blanks(c.in);
  if (*c.in != '+' && *c.in != '-') return c;
  if (*c.in == '-') *c.out++ = '-';
  return {skip_blanks(c.in + 1), c.out};
}

// Takes back the minus of a zero.
Cursor without_negative_zero(Cursor c, const char* start) {
  if (c.out - start == 2 && start[0] == '-' && start[1] == '0') {
    c.out[-2] = '0';
    --c.out;
  }
  return c;
}

}  // namespace

bool is_function(std::string_view letters_in_any_case) {
  return std::any_of(functions.begin(), functions.end(),
                     [&](std::string_view name) { return same_letters(letters_in_any_case, name); });
}

std::string_view letter_run(const char* in) {
  const char* end = in;
  while (is_letter(*end)) ++end;
  return {in, static_cast<std::size_t>(end - in)};
}

Cursor read_name(Cursor c) {
  *c.out++ = *c.in++;
  for (;; ++c.in) {
    const char ch = *c.in;
    if (ch == '>') break;
    if (is_blank(ch)) continue;
    if (!is_letter(ch) && !is_digit(ch) && std::string_view("_.-").find(ch) == std::string_view::npos)
      return {};
    *c.out++ = is_letter(ch) ? upper(ch) : ch;
  }
  *c.out++ = *c.in++;
  return c;
}

Cursor read_operand(Cursor c, Point point) {
  c.in = skip_blanks(c.in);
  while (*c.in == '#') {
    point = Point::free;
    *c.out++ = '#';
    c.in = skip_blanks(c.in + 1);
    if (*c.in == '<') return read_name(c);
  }
  if (is_digit(*c.in) || *c.in == '.') return read_number(c, point);
  if (is_letter(*c.in)) {
    const std::string_view run = letter_run(c.in);
    if (!is_function(run)) return {};
    for (const char letter : run) *c.out++ = upper(letter);
    c.in = skip_blanks(c.in + run.size());
  }
  if (*c.in != '[') return {};
  return read_brackets(c, point);
}

Cursor read_value(Cursor c, bool expression, Point point) {
  for (;;) {
    const char* start = c.out;
    c = read_sign(c);
    if (!is_digit(*c.in) && *c.in != '.') expression = true;
    c = read_operand(c, point);
    if (c.failed()) return c;
    c = without_negative_zero(c, start);
    if (!expression) return c;
    const char* before = c.out;
    c = read_operator(c);
    if (c.out == before) return c;
  }
}

}  // namespace keepway::reader
