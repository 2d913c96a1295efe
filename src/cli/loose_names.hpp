// Items by what a control's screen calls them: '#12', 'g54 x', K031, O0011.
#pragma once

#include <string_view>
#include <vector>

#include "keepway/machine.hpp"

namespace keepway::cli {

// Items of any backup whose address, or the end of it, is that text but for capitals, blanks, slashes,
// leading zeros and a program's file ending; '#' means a variable. For a text that Machine::search() does not
// know.
std::vector<Address> loosely_named(const Machine& machine, std::string_view text);

}  // namespace keepway::cli
