#include "cli/slot_machine.hpp"

namespace keepway::cli {

std::vector<Machine> readable_machines(const Shop& shop, const std::vector<std::string>& names) {
  std::vector<Machine> machines;
  for (const std::string& name : names) {
    try {
      machines.push_back(shop.machine(name));
    } catch (
        const Error&) {  // NOLINT(bugprone-empty-catch): what is wrong with it is another command's to say
    }
  }
  return machines;
}

SlotOwner slot_owner_at(SlotOwners& owners, const std::string& path, const media::Slot& slot) {
  media::Set files;
  try {
    if (!owners.empty() && !slot.files.empty()) files = media::read_slot(path, slot);
  } catch (const Error&) {  // NOLINT(bugprone-empty-catch): its label and the files' names are left
  }
  return owners.of(slot, files);
}

}  // namespace keepway::cli
