// How one number differs from another when a key was missed: same digits, other sign, other place of the
// point.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace keepway::verdict {

enum class Slip {
  none,
  sign,   // the same digits with the other sign
  point,  // the same digits, and the point is gone or has come
  tens,   // the same digits, moved by one place or more
};

// Of two numbers as they are written, `7.` and `7` among them. Zero and what is no number slip nowhere.
Slip slip_between(std::string_view before, std::string_view after);
// "10 times as much", "a hundredth", for two numbers between which there is Slip::tens.
std::string tens_between(std::string_view before, std::string_view after);

}  // namespace keepway::verdict
