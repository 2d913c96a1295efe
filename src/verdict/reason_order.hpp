// Which of several reasons is the cause and which its effects: the gravest first, and what it accounts for
// behind it.
#pragma once

#include "verdict/case.hpp"

namespace keepway::verdict {

// Refusals, then doubts, then what is worth knowing; within each by how grave the cause is, else as found.
// A doubt that one above it accounts for says so.
void order_by_gravity(Reasons& reasons);

}  // namespace keepway::verdict
