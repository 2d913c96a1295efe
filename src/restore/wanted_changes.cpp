#include "restore/wanted_changes.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "keepway/compare.hpp"

namespace keepway::restore {
namespace {

class Asked {
 public:
  Asked(const std::vector<Address>& asked, const State& newest, const State& target)
      : asked_(asked), states_{&newest, &target}, met_(asked.size(), false) {}

  bool covers(Group group, const std::string& key) {
    bool covered = false;
    for (std::size_t i = 0; i < asked_.size(); ++i) {
      if (!covers_among(states_, asked_[i], {group, key})) continue;
      met_[i] = covered = true;
    }
    return covered;
  }

  void demand_all_met() const {
    for (std::size_t i = 0; i < asked_.size(); ++i) {
      if (met_[i]) continue;
      throw Error(ErrorKind::usage,
                  fmt::format("neither the newest backup nor the one named holds anything at {}",
                              escape(asked_[i].text())),
                  "list what there is with 'keepway show', and name it as shown there");
    }
  }

 private:
  const std::vector<Address>& asked_;
  std::vector<const State*> states_;
  std::vector<bool> met_;
};

}  // namespace

std::vector<WantedChange> program_differences(const std::vector<Program>& before,
                                              const std::vector<Program>& after) {
  std::vector<WantedChange> out;
  auto a = before.begin();
  auto b = after.begin();
  while (a != before.end() || b != after.end()) {
    const auto order = a == before.end()  ? std::strong_ordering::greater
                       : b == after.end() ? std::strong_ordering::less
                                          : natural_order(a->name, b->name);
    if (order < 0) {
      out.push_back({{Group::programs, a->name}, a->text, std::nullopt});
    } else if (order > 0) {
      out.push_back({{Group::programs, b->name}, std::nullopt, b->text});
    } else if (a->text != b->text) {
      out.push_back({{Group::programs, a->name}, a->text, b->text});
    }
    if (order <= 0) ++a;
    if (order >= 0) ++b;
  }
  return out;
}

std::vector<WantedChange> wanted_changes(const State& newest, const State& target,
                                         const std::vector<Address>& asked) {
  static const Table none;
  Asked covered(asked, newest, target);
  for (const State* state : {&newest, &target}) {
    for (const Program& program : state->programs) covered.covers(Group::programs, program.name);
  }
  std::vector<WantedChange> changes;
  for (const Group group : all_groups) {
    const Table& was = newest.table(group) ? *newest.table(group) : none;
    const Table& is = target.table(group) ? *target.table(group) : none;
    for (const Item& item : was) covered.covers(group, item.key);
    for (const Item& item : is) covered.covers(group, item.key);
    if (group == Group::programs) continue;
    for (ValueChange& change : compare_tables(group, was, is)) {
      if (!covered.covers(group, change.key)) continue;
      changes.push_back({{group, change.key}, std::move(change.before), std::move(change.after)});
    }
  }
  for (WantedChange& change : program_differences(newest.programs, target.programs)) {
    if (covered.covers(Group::programs, change.address.key)) changes.push_back(std::move(change));
  }
  covered.demand_all_met();
  return changes;
}

State apply(State state, const std::vector<WantedChange>& changes) {
  std::vector<Program> programs;
  auto next = state.programs.begin();
  for (const WantedChange& change : changes) {
    const Address& address = change.address;
    if (address.group != Group::programs) {
      Table& table = *state.table(address.group);
      const Item* item = find_item(table, address.key);
      table[static_cast<std::size_t>(item - table.data())].value = *change.after;
      continue;
    }
    while (next != state.programs.end() && natural_order(next->name, address.key) < 0) {
      programs.push_back(std::move(*next++));
    }
    if (change.before) ++next;
    if (change.after) programs.push_back({address.key, *change.after});
  }
  std::move(next, state.programs.end(), std::back_inserter(programs));
  state.programs = std::move(programs);
  return state;
}

}  // namespace keepway::restore
