// Rows of `assign` in a shape of their own: `R012=+000.25`, `V[7] := 3;`.
#pragma once

#include <string_view>
#include <vector>

#include "keepway/layout.hpp"

namespace keepway::reader {

struct Setting {
  std::string_view letter;  // of Shape::letter
  std::string_view key;
  std::string_view value;
};

// All settings of a line, several allowed; `empty`: ones without a value, too. False when it holds anything
// else.
bool split_shaped(const Shape& shape, std::string_view code, bool empty, std::vector<Setting>& out);

// Whether it is `#{key}={value}`, which has spellings of its own: see assign.cpp.
bool is_usual(const Shape& shape);

}  // namespace keepway::reader
