// Codes of a program that stay in force until another of their kind, and change what every block after them
// does: units, plane, distance mode, feed mode, work offset, side of the cutter, direction of the spindle.
// Source: NISTIR 6556, 3.4 (modal groups), 3.5 and 3.6; G95 is common practice, no source.
#pragma once

#include <string>
#include <vector>

namespace keepway::verdict {

struct ModalChange {
  std::string why;     // "G21 to G20: lengths are in inches now, and were in millimetres"
  std::string before;  // the first line with the code that is gone
  std::string after;   // and with the one that came for it
};

// Of lines of the normal form that took the place of others: one code of a kind for another.
std::vector<ModalChange> modal_changes(const std::vector<std::string>& before,
                                       const std::vector<std::string>& after);

}  // namespace keepway::verdict
