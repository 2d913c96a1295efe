#include "verdict/caution.hpp"

#include <utility>

namespace keepway::verdict {

void add(Caution& caution, const char* code, std::string why) {
  caution.codes.emplace_back(code);
  caution.why += (caution.why.empty() ? "" : "; ") + std::move(why);
}

void add_shift(Caution& caution, DigitShift shift, const std::string& before, const std::string& after) {
  switch (shift) {
    case DigitShift::none:
      return;
    case DigitShift::sign:
      return add(caution, "sign-flipped", "the sign flipped");
    case DigitShift::tens:
      return add(caution, "factor-of-ten", "the same digits, " + tens_between(before, after));
    case DigitShift::point:
      const bool gone = has_point(before);
      return add(caution, gone ? "point-gone" : "point-added",
                 gone ? "the decimal point is gone" : "a decimal point was added");
  }
}

void add_point_missing(Caution& caution) {
  add(caution, "point-missing", "the point that it had is gone: is a decimal point missing?");
}

}  // namespace keepway::verdict
