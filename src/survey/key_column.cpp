// Which column of a table tells its rows apart.
#include <algorithm>
#include <map>
#include <set>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/table.hpp"

namespace keepway::layout {
namespace {

bool is_code(std::string_view text) {
  constexpr std::size_t longest = 10;
  return text.size() <= longest && std::any_of(text.begin(), text.end(), is_digit) &&
         text.find(' ') == std::string_view::npos;
}

// Of a number, of G54, and of another code; 0 for what is none.
char kind_of_key(std::string_view cell) {
  const std::size_t digit = cell.find_first_of("0123456789");
  if (digit == std::string_view::npos || !all_digits(cell.substr(digit)) ||
      !std::all_of(cell.begin(), cell.begin() + static_cast<std::ptrdiff_t>(digit), is_letter))
    return 0;
  const bool place = cell.size() == 3 && upper(cell).starts_with("G5");
  return digit == 0 ? '1' : place ? 'G' : 'A';
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

// `12.5` below `FACE MILL`: numbers with a point among texts, which are not what rows are called by.
bool Table::is_mixed(std::size_t column) const {
  const auto any = [&](const auto& is) {
    return std::any_of(rows.begin(), rows.end(),
                       [&](const Cells& row) { return column < row.size() && is(row[column]); });
  };
  return any([](const std::string& cell) {
           return is_number(cell) && cell.find('.') != std::string::npos;
         }) &&
         any([](const std::string& cell) { return !cell.empty() && !is_number(cell) && !has_digit(cell); });
}

// `MAX  =  4500`: what is behind the sign is a value.
bool Table::is_assigned_behind(std::size_t column) const {
  if (split == Split::fixed) {
    const bool between_it = std::find(between.begin(), between.end(), "=") != between.end();
    return between_it && columns[column].at > lines.front().text.find('=');
  }
  return kinds[column] == What::mark && column > 0 && column < rows.front().size() &&
         rows.front()[column] == "=";
}

bool Table::is_titled_key(std::size_t column) const {
  constexpr std::string_view titles[] = {"no",    "nr",    "number", "num",   "n",       "tool",
                                         "t",     "key",   "id",     "index", "pot",     "pocket",
                                         "place", "platz", "plats",  "plass", "station", "addr",
                                         "pos",   "wkz",   "nummer", "item",  "cell"};
  return titled && std::find(std::begin(titles), std::end(titles),
                             names[column].substr(0, names[column].find('-'))) != std::end(titles);
}

// `1`, `2`, `3`, and `1`, `2` again behind a heading or a blank line: the rows of several tables, which no
// column tells apart.
bool Table::begins_again() const {
  std::set<std::string> seen;
  std::size_t others = 0;  // rows that begin with no number, as headings do
  std::size_t times = 0;
  std::size_t last = rows.size();
  for (std::size_t i = 0; i < rows.size() && rows.size() == lines.size(); ++i) {
    if (!is_whole(rows[i][0])) {
      ++others;
      continue;
    }
    if (last < rows.size() && natural_order(rows[last][0], rows[i][0]) >= 0) {
      const bool apart = lines[last].number + 1 < lines[i].number;
      if (!apart || !seen.contains(rows[i][0])) return false;
      ++times;
    }
    seen.insert(rows[i][0]);
    last = i;
  }
  return times > 0 && others <= times;
}

// `K0001` under one heading, `01` under another, and `G54` under a third: parameters, tools and zero points,
// which are no rows of one table. Where no new line of text is between, as the next page has none, they are.
bool Table::has_kinds_of_keys() const {
  if ((split != Split::blanks && split != Split::fixed) || rows.size() != lines.size()) return false;
  std::map<char, std::size_t> times;
  std::set<std::string> seen;  // patterns of the lines between
  char last = 0;
  std::size_t next = 0;  // of the sample's lines
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const char kind = kind_of_key(rows[i][0]);
    if (kind == 0) continue;
    bool parted = false;
    for (; next + 1 < lines[i].number; ++next) {
      const std::string_view text = reader::trim(sample.lines[next].text);
      if (!text.empty() && !is_rule(text)) parted = seen.insert(pattern_of_line(text)).second || parted;
    }
    next = lines[i].number;
    if (last != 0 && kind != last && !parted) return false;
    ++times[kind];
    last = kind;
  }
  return std::count_if(times.begin(), times.end(), [](const auto& each) { return each.second > 1; }) > 1;
}

// The column that tells the rows apart, and looks most like one that is meant to.
bool Table::find_key() {
  if (begins_again() || has_kinds_of_keys()) return false;
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
    if (is_assigned_behind(i)) break;
    if (kinds[i] == What::mark) continue;
    if (is_mixed(i)) continue;
    const bool note = i + 1 == width && kinds[i] == What::text && before > 0;
    const bool codes = std::all_of(rows.begin(), rows.end(),
                                   [&](const Cells& row) { return i < row.size() && is_code(row[i]); });
    const bool unique = is_unique({i});  // so each row has that cell
    const bool numbered =
        unique && before == 0 && !rows.front()[i].starts_with('-') && ascends(i);  // 1.9, 1.10
    if (!note && unique && (kinds[i] != What::number || numbered)) {
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
  for (std::size_t i = 0; i < width && !is_assigned_behind(i); ++i) {
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
