#include <algorithm>
#include <set>
#include <string_view>
#include <utility>

#include "keepway/state.hpp"

namespace keepway {

namespace {

constexpr std::string_view all_below = "/*";

template <class Asked>
State overlay_where(const State& base, const State& other, const Asked& asked) {
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

}  // namespace

bool covers(const Address& wide, const Address& item) {
  if (wide.group != item.group) return false;
  if (wide.key.empty() || wide.key == item.key) return true;
  std::string_view row = wide.key;
  if (row.ends_with(all_below)) row.remove_suffix(all_below.size());
  return item.key.size() > row.size() && item.key.starts_with(row) && item.key[row.size()] == '/';
}

bool has_item(const State& state, const Address& address) {
  if (address.group == Group::programs && state.program(address.key) != nullptr) return true;
  const auto& table = state.table(address.group);
  return table && find_item(*table, address.key) != nullptr;
}

bool covers_among(const std::vector<const State*>& states, const Address& wide, const Address& item) {
  if (!covers(wide, item)) return false;
  if (wide.key.empty() || wide.key == item.key) return true;
  return std::none_of(states.begin(), states.end(),
                      [&](const State* state) { return has_item(*state, wide); });
}

State overlay(const State& base, const State& other, const std::vector<Address>& addresses) {
  return overlay_where(base, other, [&](Group group, const std::string& key) {
    return std::any_of(addresses.begin(), addresses.end(), [&](const Address& wide) {
      return covers_among({&base, &other}, wide, {group, key});
    });
  });
}

State overlay_items(const State& base, const State& other, const std::vector<Address>& items) {
  std::set<std::pair<Group, std::string_view>> wanted;
  for (const Address& item : items) wanted.emplace(item.group, item.key);
  return overlay_where(base, other, [&](Group group, const std::string& key) {
    return wanted.contains({group, key});
  });
}

}  // namespace keepway
