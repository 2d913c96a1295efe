// A value written in the manner of the value that stands in its place.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "keepway/layout.hpp"

namespace keepway::restore {

// Where the value stands.
struct Manner {
  FieldKind kind = FieldKind::number;
  const Decimal* increment = nullptr;  // what a number without a point counts in
  bool fixed = false;                  // a column of fixed width: the length must stay
  bool right = false;                  // there: what is short is filled with blanks in front, else behind
};

struct Spelling {
  std::optional<std::string> text;
  std::string why;  // when there is none
};

// `old` is the text that stands there, `value` the item's new value, canonical. Kept of `old`: the plus sign,
// leading zeros, the point or its absence, the count of digits behind it (more are written where the value
// needs them and the width is free), in a fixed column the length.
Spelling spell(std::string_view old, const std::string& value, const Manner& manner);

}  // namespace keepway::restore
