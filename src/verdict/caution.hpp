// The cautions that values and blocks share: what a missed key leaves.
#pragma once

#include <string>

#include "keepway/verdict.hpp"
#include "verdict/number_shape.hpp"

namespace keepway::verdict {

// Another cause beside those that the caution has.
void add(Caution& caution, const char* code, std::string why);
// "sign-flipped", "factor-of-ten", "point-gone" or "point-added"; nothing for DigitShift::none.
void add_shift(Caution& caution, DigitShift shift, const std::string& before, const std::string& after);
// "point-missing": other digits, and the point that was there is not.
void add_point_missing(Caution& caution);

}  // namespace keepway::verdict
