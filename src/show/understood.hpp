// What a proposal guessed, in words.
#pragma once

#include <string>

#include "keepway/survey.hpp"

namespace keepway::show {

// "the group: no name says it (line 12 of the layout: group)".
std::string guess_text(const Guess& guess);

}  // namespace keepway::show
