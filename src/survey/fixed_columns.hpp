// Columns of fixed width: where they are, by what no row has a sign in, and what lies between them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace keepway::layout {

struct Stretch {
  std::size_t at = 0;
  std::size_t width = 0;
};

struct FixedPlan {
  std::vector<Stretch> columns;
  std::vector<std::string> between;  // signs and letters that all rows have at one place
};
FixedPlan plan_columns(const std::vector<std::string_view>& lines);

// By column, the words of a heading above it; empty where a column has none.
std::vector<std::string> titles_above(std::string_view heading, const std::vector<Stretch>& columns);

}  // namespace keepway::layout
