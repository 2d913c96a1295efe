// Whose files a slot of a stick holds.
#pragma once

#include <string>
#include <vector>

#include "keepway/media.hpp"
#include "keepway/shop.hpp"

namespace keepway::cli {

// Those of the shop that can be read, of `names`.
std::vector<Machine> readable_machines(const Shop& shop, const std::vector<std::string>& names);

// The machine whose layout takes most of the names of a slot's files; of several that take as many, the one
// whose serial is in the files. Empty when none takes any, or that does not decide.
std::string slot_machine(const std::vector<Machine>& machines, const std::string& path,
                         const media::Slot& slot);

}  // namespace keepway::cli
