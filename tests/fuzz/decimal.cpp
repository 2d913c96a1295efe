// Any bytes as two numbers with a blank between: what is read is spelled and read again as the same, the fast
// path spells the same, and the laws of arithmetic hold to the last digit.
#include "keepway/decimal.hpp"

#include <string_view>

#include "require.hpp"

namespace {

using keepway::Decimal;
using keepway::fuzz::require;

std::optional<Decimal> read(std::string_view text) {
  const auto number = Decimal::parse(text);
  const auto spelled = keepway::canonical_number(text);
  require(number.has_value() == spelled.has_value());
  if (!number) return std::nullopt;
  require(number->text() == *spelled);
  require(Decimal::parse(*spelled) == number);
  return number;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const std::size_t blank = bytes.find(' ');
  const auto a = read(bytes.substr(0, blank));
  if (blank == std::string_view::npos) return 0;
  const auto b = read(bytes.substr(blank + 1));
  if (!a || !b) return 0;
  require(*a + *b == *b + *a);
  require((*a + *b) - *b == *a);
  require(*a - *b == -(*b - *a));
  require(((*a <=> *b) < 0) == (*a - *b).is_negative());
  if (size > 60) return 0;  // the rest takes the square of their length
  require(*a * *b == *b * *a);
  if (b->is_zero()) return 0;
  const Decimal::Quotient quotient = a->divided_by(*b, 12);
  require(quotient.exact == (quotient.value * *b == *a));
  return 0;
}
