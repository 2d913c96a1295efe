// Which column of a table tells its rows apart.
#include <algorithm>
#include <set>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "survey/survey_table.hpp"

namespace keepway::layout {
namespace {

bool is_code(std::string_view text) {
  constexpr std::size_t longest = 10;
  return text.size() <= longest && std::any_of(text.begin(), text.end(), is_digit) &&
         text.find(' ') == std::string_view::npos;
}

}  // namespace

bool Table::is_unique(const std::vector<std::size_t>& together) const {
  std::set<std::string> seen;
  for (const Cells& row : rows) {
    std::string text;
    for (const std::size_t column : together) {
      if (column >= row.size() || row[column].empty()) return false;
      text += row[column] + "/";
    }
    if (!seen.insert(text).second) return false;
  }
  return true;
}

// `1020  X  6000` above `      Z  8000`: the rows with their numbers, where the same texts are behind each
// number, which its first row alone has. Empty where that is not so.
std::vector<Cells> Table::filled() const {
  std::vector<Cells> all = rows;
  std::size_t each = 1;  // rows of a number
  while (each < all.size() && all[each].size() > 2 && all[each][0].empty()) ++each;
  if (each == 1 || all.size() < 2 * each || all.size() % each != 0) return {};
  std::set<std::string> seen;
  for (std::size_t i = 0; i < all.size(); ++i) {
    const bool first = i % each == 0;
    if (all[i].size() < 3 || all[i][0].empty() == first || all[i][1] != all[i % each][1]) return {};
    if (first && !seen.insert(all[i][0]).second) return {};
    if (!first) all[i][0] = all[i - 1][0];
  }
  return all;
}

// Whether each row's cell comes after that of the row before.
bool Table::ascends(std::size_t column) const {
  for (std::size_t i = 1; i < rows.size(); ++i) {
    if (natural_order(rows[i - 1][column], rows[i][column]) >= 0) return false;
  }
  return true;
}

bool Table::is_titled_key(std::size_t column) const {
  constexpr std::string_view titles[] = {"no",    "nr",    "number", "num",   "n",       "tool",
                                         "t",     "key",   "id",     "index", "pot",     "pocket",
                                         "place", "platz", "plats",  "plass", "station", "addr",
                                         "pos",   "wkz",   "nummer", "item",  "cell"};
  return titled && std::find(std::begin(titles), std::end(titles),
                             names[column].substr(0, names[column].find('-'))) != std::end(titles);
}

// The column that tells the rows apart, and looks most like one that is meant to.
bool Table::find_key() {
  if (split == Split::fixed && kinds[0] == What::whole && kinds[1] == What::text) {
    if (std::vector<Cells> all = filled(); !all.empty()) {
      rows = std::move(all);
      key = {0, 1};
      carried = true;
      return true;
    }
  }
  // A name and its value: numbers that happen to ascend are values all the same.
  if (width == 2 && kinds[0] == What::text && !is_titled_key(1) && is_unique({0})) {
    key = {0};
    return true;
  }
  int most = 0;
  std::size_t before = 0;  // columns of data in front
  for (std::size_t i = 0; i < width; ++i) {
    if (kinds[i] == What::mark) continue;
    const bool note = i + 1 == width && kinds[i] == What::text && before > 0;
    const bool codes = std::all_of(rows.begin(), rows.end(),
                                   [&](const Cells& row) { return i < row.size() && is_code(row[i]); });
    const bool numbered = before == 0 && !rows.front()[i].starts_with('-') && ascends(i);  // 1.9, 1.10
    if (!note && (kinds[i] != What::number || numbered) && is_unique({i})) {
      const int worth = 1 +
                        (kinds[i] == What::whole ? 2
                         : codes                 ? 2
                                                 : 0) +
                        (before == 0 ? 3 : 0) + (ascends(i) ? 3 : 0) + (is_titled_key(i) ? 4 : 0);
      if (worth > most) {
        most = worth;
        key = {i};
      }
    }
    ++before;
  }
  if (most > 0) return true;
  std::vector<std::size_t> data;
  for (std::size_t i = 0; i < width; ++i) {
    if (kinds[i] != What::mark) data.push_back(i);
  }
  constexpr std::size_t most_parts = 4;  // `set tool 1 length 100.2`
  std::vector<std::size_t> together;
  for (std::size_t n = 0; n + 1 < data.size() && n < most_parts && kinds[data[n]] != What::number; ++n) {
    together.push_back(data[n]);
    if (n == 0 || !is_unique(together)) continue;
    const bool one_value = n > 1 && n + 3 == data.size() && kinds[data[n + 1]] == What::text;
    if (one_value && kinds[data[n + 2]] != What::text) together.push_back(data[n + 1]);
    key = together;
    return true;
  }
  return false;
}

}  // namespace keepway::layout
