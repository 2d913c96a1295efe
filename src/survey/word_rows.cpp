// Rows of a table that have words and no number: where they begin.
#include <algorithm>
#include <set>

#include "base/digit.hpp"
#include "reader/text.hpp"
#include "survey/table.hpp"

namespace keepway::layout {
namespace {

// Whether a line names columns.
bool has_column_title(const Cells& titles) {
  return std::any_of(titles.begin(), titles.end(),
                     [](const std::string& title) { return is_column_title(title); });
}

bool is_hexadecimal(std::string_view cell) {
  return cell.find_first_not_of("0123456789ABCDEF") == std::string_view::npos;
}

}  // namespace

// `Language,English` above `Timeout,300`: rows without a number, which have as many cells as the first with
// one. The heading above them, if there is one, has a title.
std::size_t Table::first_of_words(std::size_t first) const {
  const std::size_t width_of_rows = cells(lines[first].text).size();
  std::size_t top = first;
  while (top > 0) {
    const Cells above = cells(lines[top - 1].text);
    const bool filled =
        above.size() == width_of_rows && !above.front().empty() &&
        std::any_of(above.begin() + 1, above.end(), [](const std::string& c) { return !c.empty(); });
    if (!filled) break;
    --top;
  }
  return top < first && has_column_title(cells(lines[top].text)) ? top + 1 : top;
}

// `DOOR     CLOSED` and `COOLANT  OFF`: two words a line, far apart, the second of which begin at one place.
bool Table::are_pairs(std::size_t from, std::size_t to) const {
  std::set<std::size_t> places;
  bool parted = false;
  for (std::size_t i = from; i < to; ++i) {
    const std::string_view text = lines[i].text;
    const Cells words = cells_by(text, ' ');
    const std::size_t second = words.size() == 2 ? text.rfind(words[1]) : std::string_view::npos;
    if (second == std::string_view::npos || (i > from && lines[i].number != lines[i - 1].number + 1))
      return false;
    parted = parted || text.substr(0, second).ends_with("  ");
    places.insert(second);
  }
  return parted && places.size() == 1;
}

// Two such lines or more above the first with a number are rows; one is more likely a heading.
std::size_t Table::first_of_pairs(std::size_t first) const {
  if (!are_pairs(first, first + 1)) return first;
  std::size_t top = first;
  while (top > 0 && are_pairs(top - 1, top + 1) && !is_rule(lines[top - 1].text)) --top;
  if (top < first && has_column_title(cells(lines[top].text))) ++top;
  return top + 1 < first ? top : first;
}

// `option,state` above `probe,off`: a heading, and rows without any number.
bool Table::has_words_alone() const {
  constexpr std::size_t fewest = 3;
  if (lines.size() < fewest) return false;
  if (split == Split::blanks)
    return has_column_title(cells(lines.front().text)) && are_pairs(0, lines.size()) &&
           !is_title(lines.front().text);
  if (split != Split::tab && split != Split::comma) return false;
  const std::size_t count = cells(lines.front().text).size();
  return count > 1 && has_column_title(cells(lines.front().text)) &&
         std::all_of(lines.begin(), lines.end(),
                     [&](const Line& line) { return cells(line.text).size() == count; });
}

// `OPT01  YES`, `A001  1F` and no two numbers in rows beside each other: a code in front of words or of
// flags, in three lines or more up to the last.
std::size_t Table::first_of_codes() const {
  constexpr std::size_t fewest = 3;
  std::size_t first = lines.size();
  if (split != Split::blanks && split != Split::fixed) return first;
  const auto begins_with_code = [](const Line& line) {
    const Cells row = cells_by(line.text, ' ');
    return row.size() > 1 && is_alpha(row[0][0]) && is_digit(row[0].back()) &&
           (is_alpha(row[1][0]) || (row.size() == 2 && is_hexadecimal(row[1])));
  };
  while (first > 0 && begins_with_code(lines[first - 1])) --first;
  return lines.size() - first >= fewest ? first : lines.size();
}

// `#501  <VACANT>` above `#502  -3.5`, and what begins so above it.
std::size_t Table::first_of_codes_above(std::size_t first) const {
  const std::string begins = beginning_of_row(lines[first].text);
  if (is_digit(begins.front()) || !has_digit(begins)) return first;
  while (first > 0 && beginning_of_row(lines[first - 1].text) == begins) --first;
  return first;
}

}  // namespace keepway::layout
