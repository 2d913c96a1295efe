#include <algorithm>
#include <array>
#include <map>

#include "keepway/status.hpp"

namespace keepway {

std::vector<Unnamed> unnamed_items(const Machine& machine) {
  std::vector<Unnamed> found;
  const auto tip = machine.newest();
  if (!tip) return found;
  std::array<std::map<std::string, int>, 5> changes;
  machine.visit_changes([&](std::size_t backup, const Address& item, const std::optional<std::string>&) {
    if (backup > 0) ++changes[static_cast<std::size_t>(item.group)][item.key];
  });
  for (const Group group : all_groups) {
    if (group == Group::programs) continue;  // a program's name is its number
    const auto newest = machine.table(tip->commit, group);
    const auto& counts = changes[static_cast<std::size_t>(group)];
    for (const Item& item : newest.value_or(Table{})) {
      if (is_unread(item.key)) continue;
      const auto entry = machine.namebook().find(group, item.key);
      if (entry && !entry->name.empty()) continue;
      const auto count = counts.find(item.key);
      found.push_back({{group, item.key}, count == counts.end() ? 0 : count->second, item.value});
    }
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const Unnamed& a, const Unnamed& b) { return a.changes > b.changes; });
  return found;
}

}  // namespace keepway
