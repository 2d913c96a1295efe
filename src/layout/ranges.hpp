// Numbers and names by the range: "5221-5226" and "offsets/work/G54/{X,Y,Z,A,B,C}".
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/layout.hpp"

namespace keepway::layout {

// No range of a layout holds more numbers than this.
inline constexpr long max_range = 100'000;

// "5220" or "5221-5226"; nullopt for anything else, a range that runs down or one over the bound.
std::optional<Range> parse_range(std::string_view text);

// Text with at most one pair of braces, one text for each thing in it: a list {X,Y,Z} or a range {1-200}.
// Without braces, the text itself. nullopt when the braces do not pair or are empty.
std::optional<std::vector<std::string>> spread(std::string_view text);

}  // namespace keepway::layout
