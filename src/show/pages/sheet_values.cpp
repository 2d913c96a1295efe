#include "show/pages/sheet_values.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <vector>

#include "keepway/decimal.hpp"
#include "show/pages/html_text.hpp"
#include "show/text.hpp"

namespace keepway::show::pages {
namespace {

constexpr std::size_t most_fields = 6;  // of a row: what a page is wide enough for
constexpr std::size_t most_value = 18;  // characters
constexpr std::size_t most_zeros = 12;  // rows that are named

using Row = std::map<std::string, std::string, std::less<>>;  // field, value

struct Grid {
  std::map<std::string, Row, NaturalLess> rows;
  std::set<std::string, NaturalLess> fields;
};

// "work/G54/X" is a cell; an item of another form is in no grid.
std::map<std::string, Grid, NaturalLess> grids_of(const Table& offsets) {
  std::map<std::string, Grid, NaturalLess> grids;
  for (const Item& item : offsets) {
    const std::string_view key = item.key;
    const std::size_t first = key.find('/');
    const std::size_t second = first == std::string_view::npos ? first : key.find('/', first + 1);
    if (second == std::string_view::npos || key.find('/', second + 1) != std::string_view::npos) continue;
    Grid& grid = grids[std::string(key.substr(0, first))];
    const std::string field(key.substr(second + 1));
    grid.rows[std::string(key.substr(first + 1, second - first - 1))][field] = item.value;
    grid.fields.insert(field);
  }
  return grids;
}

bool is_zero(const Row& row) {
  return std::all_of(row.begin(), row.end(), [](const auto& cell) {
    const auto number = Decimal::parse(cell.second);
    return number && number->is_zero();
  });
}

// Axes as people name them, then numbers by name, lengths and diameters ahead of the rest.
std::vector<std::string> columns_of(const Grid& grid) {
  const auto rank = [](const std::string& field) -> std::size_t {
    constexpr std::string_view axes = "XYZABCUVW";
    if (field.size() == 1 && axes.find(field) != std::string_view::npos) return axes.find(field);
    if (field == "length") return 20;
    return field == "diameter" ? 21 : 30;
  };
  std::vector<std::string> columns(grid.fields.begin(), grid.fields.end());
  std::stable_sort(columns.begin(), columns.end(),
                   [&](const std::string& a, const std::string& b) { return rank(a) < rank(b); });
  if (columns.size() > most_fields) columns.resize(most_fields);
  return columns;
}

std::string table_html(const std::string& name, const std::vector<std::string>& columns,
                       const std::vector<const std::pair<const std::string, Row>*>& rows) {
  std::string out = fmt::format("<table><tr><th>{}</th>", html_text(shortened(name, most_value)));
  for (const std::string& column : columns)
    out += fmt::format("<th>{}</th>", html_text(shortened(column, most_value)));
  out += "</tr>\n";
  for (const auto* row : rows) {
    out += fmt::format("<tr><th>{}</th>", html_text(shortened(row->first, most_value)));
    for (const std::string& column : columns) {
      const auto cell = row->second.find(column);
      const std::string value = cell == row->second.end() ? "" : cell->second;
      out += fmt::format("<td{}>{}</td>", Decimal::is_number(value) ? " class=\"number\"" : "",
                         html_text(shortened(value, most_value)));
    }
    out += "</tr>\n";
  }
  return out + "</table>\n";
}

std::string zeros_html(const std::vector<std::string>& zeros) {
  if (zeros.empty()) return "";
  std::string names;
  for (std::size_t i = 0; i < std::min(zeros.size(), most_zeros); ++i)
    names += (i == 0 ? "" : ", ") + html_text(shortened(zeros[i], most_value));
  if (zeros.size() > most_zeros) names += fmt::format(" and {} more", zeros.size() - most_zeros);
  return "All zero: " + names + ".";
}

// One grid, as tables beside each other where its rows are short; takes the lines that it needs.
std::string grid_html(const std::string& name, const Grid& grid, const std::string& machine,
                      std::size_t& lines) {
  constexpr std::size_t beside = 3;  // heading, names of the columns, what is left out
  if (lines <= beside) return "";
  const std::vector<std::string> columns = columns_of(grid);
  std::vector<const std::pair<const std::string, Row>*> filled;
  std::vector<std::string> zeros;
  for (const auto& row : grid.rows) {
    if (is_zero(row.second)) {
      zeros.push_back(row.first);
    } else {
      filled.push_back(&row);
    }
  }
  const std::size_t blocks = columns.size() <= 2 ? 3 : columns.size() == 3 ? 2 : 1;
  const std::size_t shown = std::min(filled.size(), (lines - beside) * blocks);
  const std::size_t height = (shown + blocks - 1) / blocks;
  std::string out =
      fmt::format("<h3>{} offsets</h3>\n<div class=\"grids\">\n", html_text(shortened(name, 40)));
  for (std::size_t at = 0; at < shown; at += height) {
    out += table_html(name, columns,
                      {filled.begin() + static_cast<std::ptrdiff_t>(at),
                       filled.begin() + static_cast<std::ptrdiff_t>(std::min(at + height, shown))});
  }
  out += "</div>\n";
  std::string left_out = zeros_html(zeros);
  if (shown < filled.size()) {
    left_out += fmt::format("{}And {}: <code>keepway show {} offsets/{}</code>", left_out.empty() ? "" : " ",
                            count_of(filled.size() - shown, "more row", "more rows"), html_text(machine),
                            html_text(name));
  }
  if (grid.fields.size() > columns.size())
    left_out += fmt::format(" {} more columns are not shown.", grid.fields.size() - columns.size());
  if (!left_out.empty()) out += fmt::format("<p class=\"left-out\">{}</p>\n", left_out);
  lines -= std::min(lines, height + beside);
  return out;
}

}  // namespace

std::string offsets_html(const Table& offsets, const std::string& machine, std::size_t lines) {
  const auto grids = grids_of(offsets);
  std::string out;
  std::size_t left_out = offsets.size();  // items that are in no table
  const auto add = [&](const std::string& name, const Grid& grid) {
    const std::string table = grid_html(name, grid, machine, lines);
    if (table.empty()) return;
    out += table;
    for (const auto& row : grid.rows) left_out -= row.second.size();
  };
  for (const char* first : {"work", "tool"}) {
    if (const auto grid = grids.find(first); grid != grids.end()) add(grid->first, grid->second);
  }
  for (const auto& [name, grid] : grids) {
    if (name != "work" && name != "tool") add(name, grid);
  }
  if (!out.empty() && left_out > 0) {
    out +=
        fmt::format("<p class=\"left-out\">Not on this card: {}: <code>keepway show {} offsets</code></p>\n",
                    count_of(left_out, "offset", "offsets"), html_text(machine));
  }
  return out;
}

}  // namespace keepway::show::pages
