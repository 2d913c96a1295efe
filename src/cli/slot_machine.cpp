#include "cli/slot_machine.hpp"

#include <algorithm>
#include <cctype>
#include <string_view>

namespace keepway::cli {
namespace {

constexpr std::size_t shortest_serial = 3;  // a shorter one is in any text by chance

std::size_t taken_by(const Machine& machine, const media::Slot& slot) {
  const auto& sources = machine.layout().sources;
  return static_cast<std::size_t>(
      std::count_if(slot.files.begin(), slot.files.end(), [&](const media::SlotFile& file) {
        return std::any_of(sources.begin(), sources.end(), [&](const Source& source) {
          return match_name(source, file.name, machine.facts().serial) == NameMatch::yes;
        });
      }));
}

// As a word of its own: 417 is not in 1417.
bool has_word(std::string_view text, std::string_view word) {
  const auto joins = [&](std::size_t at) {
    return at < text.size() && std::isalnum(static_cast<unsigned char>(text[at])) != 0;
  };
  for (std::size_t at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
    if ((at == 0 || !joins(at - 1)) && !joins(at + word.size())) return true;
  }
  return false;
}

bool has_serial(const media::Set& set, const std::string& serial) {
  if (serial.size() < shortest_serial) return false;
  return std::any_of(set.files.begin(), set.files.end(),
                     [&](const media::File& file) { return has_word(file.bytes, serial); });
}

}  // namespace

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

std::string slot_machine(const std::vector<Machine>& machines, const std::string& path,
                         const media::Slot& slot) {
  std::vector<const Machine*> likeliest;
  std::size_t most = 1;
  for (const Machine& machine : machines) {
    const std::size_t taken = taken_by(machine, slot);
    if (taken < most) continue;
    if (taken > most) likeliest.clear();
    most = taken;
    likeliest.push_back(&machine);
  }
  if (likeliest.size() > 1) {
    try {
      const media::Set set = media::read_slot(path, slot);
      std::erase_if(likeliest,
                    [&](const Machine* machine) { return !has_serial(set, machine->facts().serial); });
    } catch (const Error&) {  // a slot that cannot be read does not decide
      return "";
    }
  }
  return likeliest.size() == 1 ? likeliest.front()->facts().name : "";
}

}  // namespace keepway::cli
