// Which of a program's calls lead to other programs.
#pragma once

#include <set>
#include <string>

#include "keepway/reader.hpp"

namespace keepway::reader {

// Takes out of `facts` the calls of what is a label of the same file: they are no calls of other programs.
void drop_calls_within(ProgramFacts& facts, const std::set<std::string>& labels);

}  // namespace keepway::reader
