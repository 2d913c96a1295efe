// Lost memory where nothing before is known to compare with: hardly a value is set at all.
#pragma once

#include <optional>
#include <string>

#include "keepway/state.hpp"

namespace keepway::verdict {

// What says that all groups of a backup together are as memory that was never written: nearly every value is
// zero, or nearly every one the same. nullopt where there are few values, or too many that are set. A new
// machine has offsets and variables of zero, so with programs in it the parameters and settings have to be as
// empty.
std::optional<std::string> lost_alone(const State& state);

}  // namespace keepway::verdict
