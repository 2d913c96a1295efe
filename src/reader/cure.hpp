// Why a row was not understood, and which key of the layout would cure it.
#pragma once

#include <string>
#include <string_view>

#include "keepway/layout.hpp"

namespace keepway::reader {

// "the columns leave `R` and `=` uncovered: say skip or between". `code`: the row without its comments.
std::string cure(const Source& source, std::string_view code);

}  // namespace keepway::reader
