// Programs that the program lock hides.
#pragma once

#include "keepway/reader.hpp"

namespace keepway::restore {

// Whether a program's number lies in a protected range of its source.
bool is_protected(const Layout& layout, const ProgramFacts& program);

}  // namespace keepway::restore
