// Whose files a slot of a stick holds.
#pragma once

#include <string>
#include <vector>

#include "keepway/shop.hpp"
#include "keepway/slot_owner.hpp"

namespace keepway::cli {

// Those of the shop that can be read, of `names`.
std::vector<Machine> readable_machines(const Shop& shop, const std::vector<std::string>& names);

// Of a slot of the stick at `path`, whose files are read.
SlotOwner slot_owner_at(SlotOwners& owners, const std::string& path, const media::Slot& slot);

}  // namespace keepway::cli
