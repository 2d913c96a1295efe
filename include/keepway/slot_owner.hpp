// Whose files a slot of a stick holds: by what they say of themselves first, and by likeness last.
#pragma once

#include <map>
#include <optional>
#include <set>
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

// For the slots of a stick, one after another: what a machine's own newest backup says is read once.
class SlotOwners {
 public:
  // They must live as long.
  explicit SlotOwners(const std::vector<Machine>& machines) : machines_(machines), named_(machines.size()) {}

  // The line with the serial, or files' names; then the label, where that is a machine's name or title; then
  // the names of the files that a machine's layout takes. `files`: of the slot, as far as they can be read.
  SlotOwner of(const media::Slot& slot, const media::Set& files);
  [[nodiscard]] bool empty() const { return machines_.empty(); }

 private:
  const std::vector<Machine>& machines_;
  std::vector<std::optional<std::set<std::string>>> named_;  // by machine: serials in its files' headings
};

// What says that the slot is another machine's than `machine`; empty where nothing does.
std::string is_of_another(const SlotOwner& owner, const std::string& machine);

}  // namespace keepway
