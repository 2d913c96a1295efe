#include <algorithm>

#include "keepway/state.hpp"

namespace keepway {

bool covers(const Address& wide, const Address& item) {
  return wide.group == item.group && (wide.key.empty() || wide.key == item.key ||
                                      (item.key.size() > wide.key.size() && item.key.starts_with(wide.key) &&
                                       item.key[wide.key.size()] == '/'));
}

State overlay(const State& base, const State& other, const std::vector<Address>& addresses) {
  const auto asked = [&](Group group, const std::string& key) {
    return std::any_of(addresses.begin(), addresses.end(), [&](const Address& wide) {
      return covers(wide, {group, key});
    });
  };
  State state;
  for (const Group group : all_groups) {
    const auto& kept = base.table(group);
    const auto& taken = other.table(group);
    if (!kept && !taken) continue;
    Table table;
    for (const Item& item : kept.value_or(Table{})) {
      if (!asked(group, item.key)) table.push_back(item);
    }
    for (const Item& item : taken.value_or(Table{})) {
      if (asked(group, item.key)) table.push_back(item);
    }
    sort_table(table);
    if (kept || !table.empty()) state.table(group) = std::move(table);
  }
  for (const Program& program : base.programs) {
    if (!asked(Group::programs, program.name)) state.programs.push_back(program);
  }
  for (const Program& program : other.programs) {
    if (asked(Group::programs, program.name)) state.programs.push_back(program);
  }
  std::sort(state.programs.begin(), state.programs.end(),
            [](const Program& a, const Program& b) { return natural_order(a.name, b.name) < 0; });
  return state;
}

}  // namespace keepway
