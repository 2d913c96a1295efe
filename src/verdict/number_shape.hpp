// How one number differs from another when a key was missed: same digits, other sign, other place of the
// point.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace keepway::verdict {

enum class DigitShift {
  none,
  sign,   // the same digits with the other sign
  point,  // the same digits, and the point is gone or was added
  tens,   // the same digits, moved by one place or more
};

// Of two numbers as they are written, `7.` and `7` among them. Zero and what is no number are not shifted.
DigitShift shift_between(std::string_view before, std::string_view after);
// Whether the second number may be one whose point was forgotten, on a control that then counts it in its
// least increment (`Z2`, meant as two, is 0.0002): other digits, three places or more behind the point, and a
// hundredth of the first or less.
bool may_lack_its_point(std::string_view before, std::string_view after);
// "10 times as much", "a hundredth", for two numbers between which there is DigitShift::tens.
std::string tens_between(std::string_view before, std::string_view after);

}  // namespace keepway::verdict
