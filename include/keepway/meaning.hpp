// What a value, or its change, means on the machine: units, deltas, bits, warnings. Joins the namebook
// to values; gives plain facts that text, JSON and pages all show.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/namebook.hpp"

namespace keepway {

struct BitChange {
  std::string bit;   // "3"
  std::string name;  // from the namebook, or empty
  bool before = false;
  bool after = false;
};

struct ValueMeaning {
  std::string address;  // "parameters/12"
  std::string name;     // from the namebook, or empty
  std::string unit;     // "in", "mm", "deg" …, or empty
  std::string before;   // as shown: the value with its unit, or its meaning; empty when absent
  std::string after;
  std::string delta;            // "+0.0002", exact; empty when it makes no sense
  std::string other_delta;      // the same in the other unit of length: "+0.00508"
  std::string other_unit;       // "mm"
  std::vector<BitChange> bits;  // for bit-coded values
  std::vector<std::string> warnings;
  bool living = false;
};

// `before` or `after` may be absent: the item was added or removed.
ValueMeaning explain_change(const Namebook& book, Units units, Group group, const std::string& key,
                            const std::optional<std::string>& before,
                            const std::optional<std::string>& after);

// "-0.25 in", "on (bit meanings…)", "2 (mm)": one value for people.
std::string explain_value(const std::optional<Entry>& entry, Units units, const std::string& value);

// A length in the other unit, exact from inch to mm; from mm to inch rounded to 7 places when it
// does not come out, recognised by a leading "~".
std::string other_length(const Decimal& value, Units units);

}  // namespace keepway
