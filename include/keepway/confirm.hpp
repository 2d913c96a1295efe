// Whether a machine holds what it should: after a load, and beside its twin.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/compare.hpp"
#include "keepway/namebook.hpp"

namespace keepway {

struct Confirmation {
  std::size_t matching = 0;  // items that are as meant; programs renumbered alone (N words) count in
  // Values that differ and are `living` in the namebook: expected to.
  std::vector<ValueChange> left_aside;
  std::vector<std::string> renumbered;  // programs that differ in N words alone
  Changes differences;                  // before: as meant; after: as found
  std::vector<Group> unjudged;          // groups that what was meant says nothing of
  bool full_match = false;              // no differences, and no group is missing
};
Confirmation confirm(const State& meant, const State& found, const Namebook& namebook);

struct TwinSide {
  const State& state;
  const Namebook& namebook;
  Units units = Units::inch;
};

struct TwinValue {
  Address address;
  std::optional<std::string> a;  // absent: that side lacks it
  std::optional<std::string> b;
  friend bool operator==(const TwinValue&, const TwinValue&) = default;
};

struct Twins {
  std::size_t equal = 0;                // items
  std::vector<TwinValue> values;        // most dangerous group first, then natural order
  std::vector<ProgramChange> programs;  // before: a's; after: b's. Those renumbered alone are equal.
  std::vector<TwinValue> own;           // left aside: belong to one machine by either namebook
  std::vector<TwinValue> living;        // left aside: differ by nature by either namebook
  std::vector<Group> only_a;            // groups that the other side does not speak of
  std::vector<Group> only_b;
  [[nodiscard]] bool alike() const { return values.empty() && programs.empty(); }
};
// Where the sides have different units, values that either namebook calls a length are equal when they are
// the same length (25.4 mm is one inch exactly, ISO 1).
Twins twin(const TwinSide& a, const TwinSide& b);

}  // namespace keepway
