// What the command and the pages say of two machines side by side.
#pragma once

#include <string>

#include "show/json.hpp"

namespace keepway::show {

inline constexpr const char* twins_caution =
    "What is right on one machine may be wrong on its twin: check each value before it goes in";
// "310 items equal; 2 of one machine alone and 1 living are left out"
std::string twins_counted(const Twins& twins);
// "only on mill-2", "changed".
std::string difference_of(const TwinFacts& facts, const ProgramChange& change);
Json twins_json(const Context& context, const TwinFacts& facts);

}  // namespace keepway::show
