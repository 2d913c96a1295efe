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

// Whether every byte has even parity over its 8 bits and at least one has bit 8 set, NUL and DEL apart
// (ISO 1113 / ECMA-10). The whole file must agree, and not look like UTF-8: other text holds bytes of odd
// weight, such as a blank, `1`, `2` or CR.
bool has_even_parity(std::string_view bytes);

}  // namespace keepway::reader
