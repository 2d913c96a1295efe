#include "verdict/number_shape.hpp"

#include <fmt/format.h>

#include "keepway/decimal.hpp"

namespace keepway::verdict {
namespace {

struct Shape {
  bool negative = false;
  bool point = false;
  std::string digits;  // from the first that is not 0 to the last
  long exponent = 0;   // of the last of them
};

std::optional<Shape> shape_of(std::string_view text) {
  Shape shape;
  if (!text.empty() && (text.front() == '+' || text.front() == '-')) {
    shape.negative = text.front() == '-';
    text.remove_prefix(1);
  }
  bool any = false;
  for (const char c : text) {
    if (c == '.' && !shape.point) {
      shape.point = true;
    } else if (c >= '0' && c <= '9') {
      any = true;
      if (shape.point) --shape.exponent;
      if (c != '0' || !shape.digits.empty()) shape.digits += c;
    } else {
      return std::nullopt;
    }
  }
  if (!any) return std::nullopt;
  while (!shape.digits.empty() && shape.digits.back() == '0') {
    shape.digits.pop_back();
    ++shape.exponent;
  }
  return shape;
}

}  // namespace

DigitShift shift_between(std::string_view before, std::string_view after) {
  const auto was = shape_of(before);
  const auto is = shape_of(after);
  if (!was || !is || was->digits.empty() || was->digits != is->digits) return DigitShift::none;
  if (was->negative != is->negative) return DigitShift::sign;
  if (was->exponent != is->exponent) return DigitShift::tens;
  return was->point != is->point ? DigitShift::point : DigitShift::none;
}

bool may_lack_its_point(std::string_view before, std::string_view after) {
  constexpr std::size_t fewest_places = 3;
  const std::size_t point = after.find('.');
  if (point == std::string_view::npos || after.size() - point - 1 < fewest_places) return false;
  const auto was = Decimal::parse(before);
  const auto is = Decimal::parse(after);
  static const Decimal hundred = *Decimal::parse("100");
  static const Decimal zero;
  return was && is && *is != zero && is->abs() * hundred <= was->abs();
}

bool is_tens_apart(std::string_view before, std::string_view after) {
  static const Decimal ten = *Decimal::parse("10");
  const auto was = Decimal::parse(before);
  const auto is = Decimal::parse(after);
  if (!was || !is || was->is_zero() || is->is_zero()) return false;
  return is->abs() * ten <= was->abs() || was->abs() * ten <= is->abs();
}

bool may_have_lost_its_point(std::string_view before, std::string_view after) {
  const auto is = Decimal::parse(after);
  return is && !is->is_zero() && Decimal::parse(before).has_value();
}

void WholeNumbers::add(std::string_view number) {
  const auto value = Decimal::parse(number);
  if (value && !value->is_zero()) ++(has_point(number) ? pointed_ : count_);
}

std::string tens_between(std::string_view before, std::string_view after) {
  const auto was = shape_of(before);
  const auto is = shape_of(after);
  if (!was || !is) return "";
  const long places = is->exponent - was->exponent;
  constexpr long shown = 12;
  if (places > shown || places < -shown) return "moved by many places";
  const std::string tens = "1" + std::string(static_cast<std::size_t>(places < 0 ? -places : places), '0');
  return places > 0 ? fmt::format("{} times as much", tens) : fmt::format("1/{} of it", tens);
}

}  // namespace keepway::verdict
