#include <algorithm>
#include <map>

#include "keepway/compare.hpp"
#include "keepway/status.hpp"

namespace keepway {

std::vector<Unnamed> unnamed_items(const Machine& machine,
                                   const std::function<void(std::size_t, std::size_t)>& progress) {
  std::vector<Unnamed> found;
  const std::vector<Backup> backups = machine.backups();
  if (backups.empty()) return found;
  const std::size_t steps = backups.size() * (all_groups.size() - 1);
  std::size_t step = 0;
  for (const Group group : all_groups) {
    if (group == Group::programs) continue;  // a program's name is its number
    const auto newest = machine.table(backups.front().commit, group);
    std::map<std::string, int, NaturalLess> changes;
    std::optional<Table> after = newest;
    std::optional<store::Oid> id = machine.repository().id_at(backups.front().commit, table_path(group));
    for (const Backup& older : backups) {  // the newest first: compared with itself, nothing
      if (progress) progress(++step, steps);
      auto older_id = machine.repository().id_at(older.commit, table_path(group));
      if (older_id == id) continue;
      auto before = machine.table(older.commit, group);
      for (const ValueChange& change :
           compare_tables(group, before.value_or(Table{}), after.value_or(Table{}))) {
        ++changes[change.key];
      }
      after = std::move(before);
      id = std::move(older_id);
    }
    for (const Item& item : newest.value_or(Table{})) {
      if (is_unread(item.key)) continue;
      const auto entry = machine.namebook().find(group, item.key);
      if (entry && !entry->name.empty()) continue;
      const auto count = changes.find(item.key);
      found.push_back({{group, item.key}, count == changes.end() ? 0 : count->second, item.value});
    }
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const Unnamed& a, const Unnamed& b) { return a.changes > b.changes; });
  return found;
}

}  // namespace keepway
