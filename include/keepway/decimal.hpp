// Exact decimal numbers as a control writes them.
//
// Motivation: an offset of 0.1 inch must come back as 0.1 inch. Binary floating point cannot hold
// it, so no value of a machine is ever a float here: a number is its digits and its scale, of any
// length, and 25.4 mm is one inch exactly (ISO 1, international inch of 1959).
#pragma once

#include <compare>
#include <optional>
#include <string>
#include <string_view>

namespace keepway {

class Decimal {
 public:
  Decimal() = default;  // zero

  // Reads `[+-] digits [. digits]`, `[+-] . digits`; no exponent, no spaces; nullopt if it is not one.
  // A number may have at most `max_digits` digits, so that hostile text costs no more than its length.
  static constexpr std::size_t max_digits = 400;
  static std::optional<Decimal> parse(std::string_view text);
  static bool is_number(std::string_view text);        // whether parse() takes it
  static bool is_whole_number(std::string_view text);  // and gives a whole number: `7.0` too

  // Canonical spelling: no plus, no needless zeros, no bare point, never "-0". "+1.000" gives "1".
  [[nodiscard]] std::string text() const;

  [[nodiscard]] bool is_zero() const { return digits_.empty(); }
  [[nodiscard]] bool is_negative() const { return negative_; }
  [[nodiscard]] bool is_whole() const { return scale_ == 0; }
  // Number of digits behind the point in the canonical spelling.
  [[nodiscard]] std::size_t places() const { return scale_; }

  [[nodiscard]] Decimal abs() const;
  [[nodiscard]] Decimal operator-() const;
  friend Decimal operator+(const Decimal& a, const Decimal& b);
  friend Decimal operator-(const Decimal& a, const Decimal& b);
  friend Decimal operator*(const Decimal& a, const Decimal& b);
  friend std::strong_ordering operator<=>(const Decimal& a, const Decimal& b);
  friend bool operator==(const Decimal& a, const Decimal& b) = default;

  // Quotient to `places` digits, rounded half away from zero; `exact` says whether nothing was lost.
  // Precondition: divisor is not zero.
  struct Quotient;
  [[nodiscard]] Quotient divided_by(const Decimal& divisor, std::size_t places) const;

 private:
  bool negative_ = false;
  std::string digits_;     // most significant first, no leading zero; empty means zero
  std::size_t scale_ = 0;  // digits behind the point; the last digit is not 0 when scale_ > 0
  void normalize();
};

struct Decimal::Quotient {
  Decimal value;
  bool exact = true;
};

// The canonical spelling of a number's text, or nullopt when it is not a number: the fast path of
// every reader, equal to Decimal::parse(text)->text().
std::optional<std::string> canonical_number(std::string_view text);
// The same put behind what is in `out`; false, and nothing put, when the text is no number.
bool append_canonical(std::string_view text, std::string& out);

}  // namespace keepway
