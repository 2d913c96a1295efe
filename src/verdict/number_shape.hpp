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
inline bool has_point(std::string_view number) {
  return number.find('.') != std::string_view::npos;
}
// Whether two numbers are a factor of ten or more apart; not so of zero and of what is no number.
bool is_tens_apart(std::string_view before, std::string_view after);
// Whether, by the values alone, a second number that is written without a point may have lost it: zero is
// zero with and without one.
bool may_have_lost_its_point(std::string_view before, std::string_view after);
// Of numbers of one kind: whether whole ones are usually written without a point.
class WholeNumbers {
 public:
  void add(std::string_view number);
  [[nodiscard]] bool usual() const { return count_ >= fewest; }
  // Whether there are many numbers, and whole ones are written with a point too.
  [[nodiscard]] bool never() const { return pointed_ >= many && !usual(); }

 private:
  static constexpr std::size_t fewest = 3;  // one or two may be slips themselves
  static constexpr std::size_t many = 8;
  std::size_t count_ = 0;
  std::size_t pointed_ = 0;
};
// "10 times as much", "a hundredth", for two numbers between which there is DigitShift::tens.
std::string tens_between(std::string_view before, std::string_view after);

}  // namespace keepway::verdict
