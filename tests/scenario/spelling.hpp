// The same machine state written in another way: order, line ends, blanks, letter case, spelling of
// numbers, blank lines, parity and leaders. Meaning is never touched.
#pragma once

#include "run.hpp"

namespace scenario {

struct Spelling {
  Random& random;
  bool point_counts = false;  // `7.` and `7` are two values

  // A canonical number written in some other way of the same value: "-0.5" as "-.50", and "7" as "7." where
  // the point is free.
  std::string number(const std::string& canonical);
  std::string blanks(std::size_t least = 0);
  std::string cased(const std::string& text);
  // Rows joined with one kind of line end, blank lines between and blanks at line ends strewn in.
  std::string lines(const std::vector<std::string>& rows, bool blank_lines = true);
  // Even parity in bit 8, or NUL or DEL leaders and trailers, or nothing of the kind.
  std::string wire(const std::string& text);
  // A block of words in canonical spelling ("G1 X2.5 F20"): other order, case, spelling, blanks.
  std::string block(const std::vector<std::string>& words);
};

}  // namespace scenario
