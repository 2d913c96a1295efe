// Bytes off a wire or an old disk made readable text of the same length, so that every position in the
// text is one in the original.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "keepway/reader.hpp"

namespace keepway::reader {

struct Cleaned {
  std::string_view text;  // of `own` when something was cleaned, else of the bytes given
  std::string own;
  bool parity = false;
  std::vector<Oddity> oddities;  // each kind once, at its first place

  Cleaned() = default;
  Cleaned(const Cleaned&) = delete;  // text may point into own
  Cleaned& operator=(const Cleaned&) = delete;
};

// Fills `out`. `name` is for places.
void clean(std::string_view bytes, std::string_view name, Cleaned& out);

// How far bytes carry even parity over their 8 bits (ISO 1113 / ECMA-10), NUL and DEL apart. They do when at
// least one has bit 8 set, when they do not look like UTF-8, and when all but one in 50 agree: in other text
// every second byte has an odd weight, such as a blank, `1`, `2` or CR. The few that do not agree are
// spoiled; what they were is not guessed: they read as `?`.
struct Parity {
  bool carried = false;
  std::size_t spoiled = 0;
  std::size_t first_spoiled = 0;  // where, when there is any
};
Parity find_parity(std::string_view bytes);
// Carried, and none is spoiled.
bool has_even_parity(std::string_view bytes);

}  // namespace keepway::reader
