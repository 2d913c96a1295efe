// Whose files a slot of a stick holds: by what they say of themselves first, and by likeness last.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "keepway/machine.hpp"
#include "keepway/media.hpp"

namespace keepway {

struct SlotOwner {
  std::string machine;              // of those asked about, by their folders; empty where nothing decides
  std::vector<std::string> may_be;  // the likeliest, where there are any
  std::string says;                 // what the slot says, where that is of none of them: "label SOUTH"
  // The machines that it is not of, by what it says, each with that.
  std::map<std::string, std::string> not_of;
};

// The line with the serial, or files' names; then the label, where that is a machine's name or title; then
// the names of the files that a machine's layout takes. `files`: of the slot, as far as they can be read.
SlotOwner slot_owner(const std::vector<Machine>& machines, const media::Slot& slot, const media::Set& files);

// What says that the slot is another machine's than `machine`; empty where nothing does.
std::string is_of_another(const SlotOwner& owner, const std::string& machine);

}  // namespace keepway
