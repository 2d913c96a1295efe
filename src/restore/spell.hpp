// A value written in the manner of the value that is in its place.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "keepway/layout.hpp"

namespace keepway::restore {

// Where the value is.
struct Manner {
  FieldKind kind = FieldKind::number;
  const Decimal* increment = nullptr;  // what a number without a point counts in
  bool fixed = false;                  // a column of fixed width: the length must stay
  bool right = false;                  // there: what is short is filled with blanks in front, else behind
  // There: blanks of the column in front of the value and behind it, and how much longer the line may grow in
  // it.
  std::size_t front = 0;
  std::size_t behind = 0;
  std::size_t room = 0;
  bool plus = false;          // the values around it have a plus sign where they are not negative
  bool point_counts = false;  // a number with and one without a point are two values (Point::counts)
};

struct Spelling {
  std::optional<std::string> text;
  std::string why;  // when there is none
  // How many of the column's blanks the text takes the place of, for it is longer than the value there.
  std::size_t front = 0;
  std::size_t behind = 0;
};

// `old` is the text that is there, `value` the item's new value, canonical. Kept of `old`: the plus sign,
// leading zeros, the point or its absence, the count of digits behind it (more are written where the value
// needs them and there is width for them), in a fixed column the length: a longer text takes its padding.
Spelling spell(std::string_view old, const std::string& value, const Manner& manner);

}  // namespace keepway::restore
