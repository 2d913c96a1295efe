#include "keepway/decimal.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include "base/digit.hpp"

namespace keepway {
namespace {

// The parts of a number's text, needless zeros already gone. Views into the text.
struct Parts {
  bool negative = false;
  std::string_view whole;
  std::string_view fraction;
};

std::optional<Parts> split(std::string_view text) {
  Parts parts;
  if (!text.empty() && (text.front() == '+' || text.front() == '-')) {
    parts.negative = text.front() == '-';
    text.remove_prefix(1);
  }
  if (text.size() > Decimal::max_digits + 1) return std::nullopt;
  std::size_t whole = 0;
  while (whole < text.size() && is_digit(text[whole])) ++whole;
  std::size_t end = whole;
  if (end < text.size() && text[end] == '.') {
    ++end;
    while (end < text.size() && is_digit(text[end])) ++end;
  }
  const std::size_t fraction = end > whole ? end - whole - 1 : 0;
  if (end != text.size() || whole + fraction == 0) return std::nullopt;
  parts.whole = text.substr(0, whole);
  parts.fraction = fraction > 0 ? text.substr(whole + 1) : std::string_view{};
  while (!parts.whole.empty() && parts.whole.front() == '0') parts.whole.remove_prefix(1);
  while (!parts.fraction.empty() && parts.fraction.back() == '0') parts.fraction.remove_suffix(1);
  if (parts.whole.empty() && parts.fraction.empty()) parts.negative = false;
  return parts;
}

// Digit strings, most significant first, of equal length.
std::string add_digits(const std::string& a, const std::string& b) {
  std::string sum(a.size() + 1, '0');
  int carry = 0;
  for (std::size_t i = a.size(); i-- > 0;) {
    const int digit = (a[i] - '0') + (b[i] - '0') + carry;
    sum[i + 1] = static_cast<char>('0' + digit % 10);
    carry = digit / 10;
  }
  sum[0] = static_cast<char>('0' + carry);
  return sum;
}

// Precondition: a >= b, equal length.
std::string subtract_digits(const std::string& a, const std::string& b) {
  std::string difference(a.size(), '0');
  int borrow = 0;
  for (std::size_t i = a.size(); i-- > 0;) {
    int digit = a[i] - b[i] - borrow;
    borrow = digit < 0 ? 1 : 0;
    if (digit < 0) digit += 10;
    difference[i] = static_cast<char>('0' + digit);
  }
  return difference;
}

// Two magnitudes written to the same scale and length, so that text order is numeric order.
std::pair<std::string, std::string> aligned(const std::string& a, std::size_t a_scale, const std::string& b,
                                            std::size_t b_scale) {
  std::string x = a;
  std::string y = b;
  x.append(std::max(a_scale, b_scale) - a_scale, '0');
  y.append(std::max(a_scale, b_scale) - b_scale, '0');
  const std::size_t length = std::max(x.size(), y.size());
  x.insert(0, length - x.size(), '0');
  y.insert(0, length - y.size(), '0');
  return {std::move(x), std::move(y)};
}

}  // namespace

std::optional<Decimal> Decimal::parse(std::string_view text) {
  const auto parts = split(text);
  if (!parts) return std::nullopt;
  Decimal value;
  value.negative_ = parts->negative;
  value.digits_.append(parts->whole).append(parts->fraction);
  value.scale_ = parts->fraction.size();
  value.normalize();
  return value;
}

bool Decimal::is_number(std::string_view text) {
  return split(text).has_value();
}

bool Decimal::is_whole_number(std::string_view text) {
  const auto parts = split(text);
  return parts && parts->fraction.empty();
}

void Decimal::normalize() {
  while (scale_ > 0 && !digits_.empty() && digits_.back() == '0') {
    digits_.pop_back();
    --scale_;
  }
  digits_.erase(0, std::min(digits_.find_first_not_of('0'), digits_.size()));
  if (digits_.empty()) {
    negative_ = false;
    scale_ = 0;
  }
}

std::string Decimal::text() const {
  if (digits_.empty()) return "0";
  std::string out = negative_ ? "-" : "";
  if (digits_.size() > scale_) {
    out.append(digits_, 0, digits_.size() - scale_);
  } else {
    out += '0';
  }
  if (scale_ > 0) {
    out += '.';
    if (scale_ > digits_.size()) out.append(scale_ - digits_.size(), '0');
    out.append(digits_, digits_.size() - std::min(scale_, digits_.size()));
  }
  return out;
}

Decimal Decimal::abs() const {
  Decimal value = *this;
  value.negative_ = false;
  return value;
}

Decimal Decimal::operator-() const {
  Decimal value = *this;
  value.negative_ = !negative_ && !digits_.empty();
  return value;
}

Decimal operator+(const Decimal& a, const Decimal& b) {
  auto [x, y] = aligned(a.digits_, a.scale_, b.digits_, b.scale_);
  Decimal sum;
  sum.scale_ = std::max(a.scale_, b.scale_);
  if (a.negative_ == b.negative_) {
    sum.digits_ = add_digits(x, y);
    sum.negative_ = a.negative_;
  } else {
    const bool a_larger = x >= y;
    sum.digits_ = a_larger ? subtract_digits(x, y) : subtract_digits(y, x);
    sum.negative_ = a_larger ? a.negative_ : b.negative_;
  }
  sum.normalize();
  return sum;
}

Decimal operator-(const Decimal& a, const Decimal& b) {
  return a + (-b);
}

Decimal operator*(const Decimal& a, const Decimal& b) {
  Decimal product;
  product.negative_ = a.negative_ != b.negative_;
  product.scale_ = a.scale_ + b.scale_;
  std::vector<unsigned> columns(a.digits_.size() + b.digits_.size(), 0);
  for (std::size_t i = a.digits_.size(); i-- > 0;) {
    for (std::size_t j = b.digits_.size(); j-- > 0;) {
      columns[i + j + 1] +=
          static_cast<unsigned>(a.digits_[i] - '0') * static_cast<unsigned>(b.digits_[j] - '0');
    }
  }
  for (std::size_t i = columns.size(); i-- > 1;) {
    columns[i - 1] += columns[i] / 10;
    columns[i] %= 10;
  }
  for (const unsigned digit : columns) product.digits_ += static_cast<char>('0' + digit);
  // A scale beyond the digits means leading zeros behind the point; normalize() keeps the value.
  product.normalize();
  return product;
}

std::strong_ordering operator<=>(const Decimal& a, const Decimal& b) {
  if (a.negative_ != b.negative_) {
    return a.negative_ ? std::strong_ordering::less : std::strong_ordering::greater;
  }
  const auto [x, y] = aligned(a.digits_, a.scale_, b.digits_, b.scale_);
  const int order = x.compare(y) * (a.negative_ ? -1 : 1);
  return order <=> 0;
}

Decimal::Quotient Decimal::divided_by(const Decimal& divisor, std::size_t places) const {
  // Schoolbook division of whole numbers: (this * 10^k) / divisor with k chosen so that the
  // quotient has one digit more than asked for, by which it is rounded.
  std::string numerator = digits_;
  std::string denominator = divisor.digits_;
  const std::size_t wanted = places + 1;
  if (divisor.scale_ + wanted >= scale_) {
    numerator.append(divisor.scale_ + wanted - scale_, '0');
  } else {
    denominator.append(scale_ - divisor.scale_ - wanted, '0');
  }
  Quotient result;
  std::string remainder;
  std::string quotient;
  for (const char digit : numerator) {
    remainder += digit;
    remainder.erase(0, std::min(remainder.find_first_not_of('0'), remainder.size()));
    char count = '0';
    while (remainder.size() > denominator.size() ||
           (remainder.size() == denominator.size() && remainder >= denominator)) {
      std::string padded = denominator;
      padded.insert(0, remainder.size() - padded.size(), '0');
      remainder = subtract_digits(remainder, padded);
      remainder.erase(0, std::min(remainder.find_first_not_of('0'), remainder.size()));
      ++count;
    }
    quotient += count;
  }
  const char last = quotient.empty() ? '0' : quotient.back();
  if (!quotient.empty()) quotient.pop_back();
  result.exact = last == '0' && remainder.empty();
  result.value.digits_ = quotient;
  result.value.scale_ = places;
  result.value.normalize();
  if (last >= '5') {
    Decimal unit;
    unit.digits_ = "1";
    unit.scale_ = places;
    result.value = result.value + unit;
  }
  result.value.negative_ = negative_ != divisor.negative_ && !result.value.is_zero();
  return result;
}

std::optional<std::string> canonical_number(std::string_view text) {
  std::string out;
  return append_canonical(text, out) ? std::optional(std::move(out)) : std::nullopt;
}

bool append_canonical(std::string_view text, std::string& out) {
  const auto parts = split(text);
  if (!parts) return false;
  if (parts->negative) out += '-';
  if (parts->whole.empty()) {
    out += '0';
  } else {
    out += parts->whole;
  }
  if (!parts->fraction.empty()) (out += '.') += parts->fraction;
  return true;
}

}  // namespace keepway
