// Whether two machines hold the same.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/compare.hpp"
#include "keepway/namebook.hpp"

namespace keepway {

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
  [[nodiscard]] bool are_equal() const { return values.empty() && programs.empty(); }
};
// Where the sides have different units, values that either namebook calls a length are equal when they are
// the same length (25.4 mm is one inch exactly, ISO 1).
Twins twin(const TwinSide& a, const TwinSide& b);

// b's number less a's, exactly: "+0.5"; empty where either is none, or stands for something. Where the sides
// have different units, that of a length is in mm, and there is none where neither namebook has a unit.
struct TwinDelta {
  std::string text;
  bool is_mm = false;
};
TwinDelta twin_delta(const TwinSide& a, const TwinSide& b, const TwinValue& value);

}  // namespace keepway
