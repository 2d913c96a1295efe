// Three-way merge of two states with a common base, on items rather than on lines: neighbouring values
// never clash, and a program is one item.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/state.hpp"

namespace keepway {

// Where an item of the merged state came from.
enum class MergeSide {
  base,    // no side changed it; or a clash that no preference settles
  ours,    // only ours changed it, or ours was preferred
  theirs,  // only theirs changed it, or theirs was preferred
  both,    // both sides made the same change
};

struct MergedItem {
  Address address;
  MergeSide from = MergeSide::base;
  bool present = true;  // false: the merged state lacks the item, which at least one of the three has
};

// Both sides changed one item, and not to the same. Absent values: the side has no such item. Programs are
// whole texts.
struct Clash {
  Address address;
  std::optional<std::string> base;
  std::optional<std::string> ours;
  std::optional<std::string> theirs;
};

// Settles clashes at an address: one item, all below it (`offsets/work/G54`), or a whole group (an empty
// key). The longest address that fits wins.
struct Preference {
  Address address;
  bool ours = true;
};

struct Merge {
  State state;
  std::vector<MergedItem>
      items;                   // every item of any of the three; by group, then natural order; programs last
  std::vector<Clash> clashes;  // that no preference settles; there `state` has what base has. Same order.
  [[nodiscard]] bool clean() const { return clashes.empty(); }
};

// Laws: with ours equal to base the merged state is theirs, and the other way round; changing sides (and
// preferences) gives the same state; every item of the merged state is an item of one of the three. A group
// is absent when the sides agree that it is, by the same rule, and no item of it is left.
Merge merge(const State& base, const State& ours, const State& theirs,
            const std::vector<Preference>& preferences = {});

}  // namespace keepway
