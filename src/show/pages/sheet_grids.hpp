// Offsets as the tables of the card: what is in which, and how wide it is.
#pragma once

#include <string>
#include <vector>

#include "keepway/shop.hpp"

namespace keepway::show::pages {

struct Grid {
  struct Row {
    std::string name;
    std::vector<std::string> cells;  // by column
    std::size_t offsets = 0;
  };
  std::string name;
  std::vector<std::string> columns;
  std::vector<Row> rows;           // that are to be shown
  std::vector<std::string> zeros;  // names of the others
  std::size_t zero_offsets = 0;    // that they have
};

// Work offsets first, then tools, then the others by name. `points`: the size of the letters. `beside`:
// offsets that are in none, as their columns have no room or no reader understood them.
std::vector<Grid> grids_of(const Table& offsets, const Precision& precision, double points,
                           std::size_t& beside);

// How many tables of its columns and rows fit side by side.
std::size_t blocks_beside(const Grid& grid, double points);

// Rows [from, to) as one table.
std::string table_html(const Grid& grid, std::size_t from, std::size_t to);
// "All zero: 19, 20."; "" for none.
std::string zeros_html(const Grid& grid);

inline constexpr std::size_t most_card_value = 18;  // characters of a cell
inline constexpr double between_tables = 6;         // mm

}  // namespace keepway::show::pages
