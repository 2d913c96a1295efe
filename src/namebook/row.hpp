// One row of a namebook, whatever parts its cells: columns by name, cells to an entry and back.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/namebook.hpp"

namespace keepway::book {

inline constexpr std::array<std::string_view, 11> column_names = {
    "address", "name", "unit", "kind", "min", "max", "step", "meaning", "flags", "default", "caution"};
enum ColumnIndex { address, name, unit, kind, min, max, step, meaning, flags, default_value, caution };

struct Cell {
  std::string_view text;
  std::uint64_t byte = 0;  // in the file
};
struct Row {
  const std::string& file;
  std::uint64_t line = 0;
  std::uint64_t byte = 0;
  std::vector<Cell> cells;
};

// Where each known column is in a row; those that are not given are npos.
using Columns = std::array<std::size_t, column_names.size()>;
// Error{input} for a column that is not known or given twice, and without `address` and `name`.
Columns read_header(const Row& row, std::string_view parted_by);
Entry read_entry(const Row& row, const Columns& columns);
// In the order of column_names.
std::array<std::string, column_names.size()> cells_of(const Entry& entry);

std::vector<std::string_view> split(std::string_view text, char separator);
std::string_view trim(std::string_view text);  // of blanks and CR
// The cells of a line of namebook.tsv that begins at `byte`.
Row tsv_row(std::string_view text, const std::string& file, std::uint64_t line, std::uint64_t byte);
// A line that says nothing: blank, or a comment.
bool is_idle(std::string_view line);

}  // namespace keepway::book
