#include "show/pages/sheet_grids.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <set>

#include "keepway/decimal.hpp"
#include "show/pages/html_text.hpp"
#include "show/pages/sheet_room.hpp"
#include "show/text.hpp"

namespace keepway::show::pages {
namespace {

constexpr std::size_t most_zeros = 12;  // rows that are named
constexpr double cell_padding = 3.4;    // mm, with its line

using Cells = std::map<std::string, std::string, std::less<>>;  // by column
struct Found {
  std::map<std::string, Cells, NaturalLess> rows;
  std::set<std::string, NaturalLess> fields;
};

// "work/G54/X" is a cell of the table of work offsets; "1/length" and "5221" are of one without a name.
void put(std::map<std::string, Found, NaturalLess>& grids, std::string_view key, std::string value) {
  const std::size_t first = key.find('/');
  const std::size_t last = key.rfind('/');
  const bool named = first != last;
  const std::string name(named ? key.substr(0, first) : "");
  const std::size_t begin = named ? first + 1 : 0;
  const bool bare = first == std::string_view::npos;
  const std::string field(bare ? "value" : key.substr(last + 1));
  Found& grid = grids[name];
  grid.rows[std::string(bare ? key : key.substr(begin, last - begin))][field] = std::move(value);
  grid.fields.insert(field);
}

bool is_zero(const Cells& row) {
  return std::all_of(row.begin(), row.end(), [](const auto& cell) {
    const auto number = Decimal::parse(cell.second);
    return number && number->is_zero();
  });
}

// Axes as people name them, then numbers by name, lengths and diameters ahead of the rest.
std::vector<std::string> columns_of(const Found& grid) {
  const auto rank = [](const std::string& field) -> std::size_t {
    constexpr std::string_view axes = "XYZABCUVW";
    if (field.size() == 1 && axes.find(field) != std::string_view::npos) return axes.find(field);
    if (field == "length") return 20;
    return field == "diameter" ? 21 : 30;
  };
  std::vector<std::string> columns(grid.fields.begin(), grid.fields.end());
  std::stable_sort(columns.begin(), columns.end(),
                   [&](const std::string& a, const std::string& b) { return rank(a) < rank(b); });
  return columns;
}

double cell_mm(std::string_view text, double points) {
  return text_mm(shortened(text, most_card_value), points) + cell_padding;
}

double column_mm(const Grid& grid, std::size_t column, double points) {
  double mm = cell_mm(grid.columns[column], points);
  for (const Grid::Row& row : grid.rows) mm = std::max(mm, cell_mm(row.cells[column], points));
  return mm;
}
double names_mm(const Grid& grid, double points) {
  double mm = cell_mm(grid.name, points);
  for (const Grid::Row& row : grid.rows) mm = std::max(mm, cell_mm(row.name, points));
  return mm;
}

// Takes away the last columns that a side is not wide enough for; gives how many of the rows' offsets they
// had.
std::size_t narrow(Grid& grid, double points) {
  double mm = names_mm(grid, points);
  std::size_t fits = 0;
  while (fits < grid.columns.size() && (mm += column_mm(grid, fits, points)) <= card_width) ++fits;
  std::size_t lost = 0;
  for (Grid::Row& row : grid.rows) {
    for (std::size_t i = fits; i < grid.columns.size(); ++i) lost += row.cells[i].empty() ? 0 : 1;
    row.cells.resize(fits);
  }
  grid.columns.resize(fits);
  return lost;
}

Grid grid_of(const std::string& name, const Found& found) {
  Grid grid{name, columns_of(found), {}, {}, 0};
  for (const auto& [row, cells] : found.rows) {
    if (is_zero(cells)) {
      grid.zeros.push_back(row);
      grid.zero_offsets += cells.size();
      continue;
    }
    Grid::Row& made = grid.rows.emplace_back(Grid::Row{row, {}, cells.size()});
    for (const std::string& column : grid.columns) {
      const auto cell = cells.find(column);
      made.cells.push_back(cell == cells.end() ? "" : cell->second);
    }
  }
  return grid;
}

}  // namespace

std::vector<Grid> grids_of(const Table& offsets, const Precision& precision, double points,
                           std::size_t& beside) {
  std::map<std::string, Found, NaturalLess> found;
  beside = 0;
  for (const Item& item : offsets) {
    if (is_unread(item.key)) {
      ++beside;
    } else {
      put(found, item.key, precision.written(Group::offsets, item.key, item.value));
    }
  }
  std::vector<Grid> grids;
  const auto add = [&](const std::string& name, const Found& each) {
    grids.push_back(grid_of(name, each));
    beside += narrow(grids.back(), points);
  };
  for (const char* first : {"work", "tool"}) {
    if (const auto grid = found.find(first); grid != found.end()) add(grid->first, grid->second);
  }
  for (const auto& [name, each] : found) {
    if (name != "work" && name != "tool") add(name, each);
  }
  return grids;
}

std::size_t blocks_beside(const Grid& grid, double points) {
  double mm = names_mm(grid, points);
  for (std::size_t i = 0; i < grid.columns.size(); ++i) mm += column_mm(grid, i, points);
  return std::max<std::size_t>(
      1, static_cast<std::size_t>((card_width + between_tables) / (mm + between_tables)));
}

std::string table_html(const Grid& grid, std::size_t from, std::size_t to) {
  std::string out = fmt::format("<table><tr><th>{}</th>", html_text(shortened(grid.name, most_card_value)));
  for (const std::string& column : grid.columns)
    out += fmt::format("<th>{}</th>", html_text(shortened(column, most_card_value)));
  out += "</tr>\n";
  for (std::size_t i = from; i < to; ++i) {
    const Grid::Row& row = grid.rows[i];
    out += fmt::format("<tr><th>{}</th>", html_text(shortened(row.name, most_card_value)));
    for (const std::string& value : row.cells) {
      out += fmt::format("<td{}>{}</td>", Decimal::is_number(value) ? " class=\"number\"" : "",
                         html_text(shortened(value, most_card_value)));
    }
    out += "</tr>\n";
  }
  return out + "</table>\n";
}

std::string zeros_html(const Grid& grid) {
  const std::vector<std::string>& zeros = grid.zeros;
  if (zeros.empty()) return "";
  std::string names;
  for (std::size_t i = 0; i < std::min(zeros.size(), most_zeros); ++i)
    names += (i == 0 ? "" : ", ") + html_text(shortened(zeros[i], most_card_value));
  if (zeros.size() > most_zeros) names += fmt::format(" and {} more", zeros.size() - most_zeros);
  return "All zero: " + names + ".";
}

}  // namespace keepway::show::pages
