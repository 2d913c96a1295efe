// Several records side by side in each line, as printed tables have them: `1  0.5   51  1.5`.
#include <algorithm>
#include <optional>
#include <set>

#include "base/digit.hpp"
#include "keepway/decimal.hpp"
#include "keepway/text.hpp"
#include "survey/table.hpp"

namespace keepway::layout {

namespace {

// Of a key such as `#100` or `R12`.
std::string_view number_of(std::string_view key) {
  const bool front = key.size() > 1 && (key[0] == '#' || is_letter(key[0]));
  return key.substr(front ? 1 : 0);
}

}  // namespace

// By their keys: from record to record of a line they differ by the same step in all lines, or by the letter
// in front, and none comes again.
bool Table::is_across(std::size_t record, std::size_t most) const {
  std::vector<std::optional<Decimal>> steps(most / record);
  std::vector<std::optional<std::string>> fronts(most / record);
  std::set<std::string> seen;
  for (const Cells& row : rows) {
    if (row.size() % record != 0) return false;
    for (std::size_t i = 0; i < row.size() / record; ++i) {
      const std::string& text = row[i * record];
      const std::string_view number = number_of(text);
      if (!is_whole(number) || !seen.insert(text).second) return false;
      const std::string front = text.substr(0, text.size() - number.size());
      // Lines of H1, H2 and H3 may have a line of D1, D2 and D3 below.
      const bool of_line = i > 0 && front == fronts[0];
      if (i > 0 && !of_line && fronts[i].value_or(front) != front) return false;
      fronts[i] = front;
      if (i == 0) continue;
      const std::string& last = row[(i - 1) * record];
      const bool other = *fronts[i - 1] != front;  // H1 and D1
      if (other && (front.empty() || fronts[i - 1]->empty())) return false;
      const Decimal step = *Decimal::parse(number) - *Decimal::parse(number_of(last));
      if (!steps[i]) steps[i] = step;
      if (*steps[i] != step || (!other && !(step > Decimal()))) return false;
    }
  }
  // One line is enough where letters tell keys from values.
  const bool coded = most / record > 2 && fronts.front().has_value() && !fronts.front()->empty();
  return (rows.size() > 1 || coded) && steps.back().has_value();
}

// Or under a heading that has the titles of each: no key comes again, and lines may have fewer records.
bool Table::is_across_under_titles(std::size_t record, std::size_t most) const {
  const auto repeats_titles = [&](const Line& line) {
    const Cells titles = cells(line.text);
    if (is_rule(line.text) || has_digit(line.text) || titles.size() != most) return false;
    return std::equal(titles.begin() + static_cast<std::ptrdiff_t>(record), titles.end(), titles.begin());
  };
  // Without such a heading, where a letter tells keys from values: `P003  534.157  P055  16259`.
  const auto is_coded = [&](const Cells& row) {
    for (std::size_t i = 0; i < row.size(); ++i) {
      const bool is_key = i % record == 0;
      if (row[i].empty() || rows[0][0].empty()) return false;
      if (is_key ? !is_letter(row[i].front()) || row[i].front() != rows[0][0].front() : !is_number(row[i]))
        return false;
    }
    return true;
  };
  if (rows.size() < 2 || (std::none_of(header.begin(), header.end(), repeats_titles) &&
                          !(rows.size() > 2 && std::all_of(rows.begin(), rows.end(), is_coded))))
    return false;
  std::set<std::string> seen;
  for (const Cells& row : rows) {
    if (row.size() % record != 0) return false;
    for (std::size_t i = 0; i < row.size(); i += record) {
      if (!is_whole(number_of(row[i])) || !seen.insert(row[i]).second) return false;
    }
  }
  return true;
}

void Table::find_records() {
  if (split == Split::fixed || rows.empty()) return;
  std::size_t most = 0;
  for (const Cells& row : rows) most = std::max(most, row.size());
  const auto titles_differ = [&](std::size_t record) {
    return std::any_of(header.begin(), header.end(), [&](const Line& line) {
      const Cells titles = cells(line.text);
      if (is_rule(line.text) || has_digit(line.text) || titles.size() != most) return false;
      for (std::size_t i = record; i < titles.size(); ++i) {
        if (titles[i] != titles[i - record]) return true;
      }
      return false;
    });
  };
  for (std::size_t record = 2; record * 2 <= most; ++record) {
    const bool across_lines = most % record == 0 && !titles_differ(record) &&
                              (is_across(record, most) || is_across_under_titles(record, most));
    if (!across_lines) continue;
    std::vector<Cells> single;
    for (const Cells& row : rows) {
      for (std::size_t i = 0; i < row.size(); i += record)
        single.emplace_back(row.begin() + static_cast<std::ptrdiff_t>(i),
                            row.begin() + static_cast<std::ptrdiff_t>(i + record));
    }
    rows = std::move(single);
    width = record;
    across = most / record;
    return;
  }
}

// "1  0.5  |  51  1.5": a sign between the records, in all lines the same, is no cell.
void Table::find_records_between() {
  constexpr std::size_t most_cells = 256;  // a line of records has no more
  if (split != Split::blanks || rows.size() < 2 || rows.front().size() > most_cells) return;
  const std::vector<Cells> all = rows;
  const std::size_t all_columns = width;
  for (std::size_t i = 1; i + 1 < rows.front().size(); ++i) {
    const std::string& sign = rows.front()[i];
    const bool same = std::none_of(sign.begin(), sign.end(), is_alnum) &&
                      std::all_of(rows.begin(), rows.end(),
                                  [&](const Cells& row) { return i >= row.size() || row[i] == sign; });
    if (same && std::find(between.begin(), between.end(), sign) == between.end()) between.push_back(sign);
  }
  if (between.empty()) return;
  for (Cells& row : rows) drop_between(row);
  find_records();
  if (across > 1) return;
  rows = all;
  width = all_columns;
  between.clear();
}

void Table::drop_between(Cells& row) const {
  std::erase_if(row, [&](const std::string& cell) {
    return std::find(between.begin(), between.end(), cell) != between.end();
  });
}

}  // namespace keepway::layout
