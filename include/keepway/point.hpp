// What it means that a number's decimal point came or went.
#pragma once

#include <string>
#include <string_view>

#include "keepway/decimal.hpp"
#include "keepway/state.hpp"

namespace keepway {

// "X 7. -> X 7: the decimal point is gone; counted in 0.0001 in this is 0.0007", of two numbers as written;
// empty where both have a point or neither. `name` is a word's letter, or empty. `increment`: what a number
// without a point counts in, in `units`; null where that is not known. No control bytes.
std::string point_note(std::string_view name, std::string_view before, std::string_view after,
                       const Decimal* increment, Units units);

}  // namespace keepway
