// Several records side by side in each line, as printed tables have them: `1  0.5   51  1.5`.
#include <algorithm>

#include "keepway/text.hpp"
#include "survey/survey_table.hpp"

namespace keepway::layout {
namespace {

bool is_before(const std::string& a, const std::string& b) {
  return natural_order(a, b) < 0;
}

bool counts_on(const std::string& a, const std::string& b) {
  const auto first = Decimal::parse(a);
  const auto second = Decimal::parse(b);
  return first && second && *first + *Decimal::parse("1") == *second;
}

}  // namespace

// By their keys: they count on from record to record, or from the foot of one column to the head of the next.
bool Table::is_across(std::size_t record, std::size_t most) const {
  const std::size_t times = most / record;
  const auto key_at = [&](const Cells& row, std::size_t i) -> const std::string& { return row[i * record]; };
  bool by_line = true;
  bool by_column = true;
  for (std::size_t n = 0; n < rows.size(); ++n) {
    const Cells& row = rows[n];
    if (row.size() % record != 0) return false;
    for (std::size_t i = 0; i < row.size() / record; ++i) {
      if (!is_whole(key_at(row, i))) return false;
      by_line = by_line && (i == 0 || counts_on(key_at(row, i - 1), key_at(row, i)));
      if (n == 0) continue;
      const Cells& above = rows[n - 1];
      if (above.size() < row.size()) return false;
      by_line = by_line && (i > 0 || is_before(key_at(above, above.size() / record - 1), key_at(row, 0)));
      by_column = by_column && is_before(key_at(above, i), key_at(row, i));
    }
  }
  for (std::size_t i = 1; by_column && i < times; ++i) {
    const auto last =
        std::find_if(rows.rbegin(), rows.rend(), [&](const Cells& row) { return row.size() >= i * record; });
    by_column = is_before(key_at(*last, i - 1), key_at(rows.front(), i));
  }
  return (by_line || by_column) && rows.size() > 1;
}

void Table::find_records() {
  if (split == Split::fixed || rows.empty()) return;
  std::size_t most = 0;
  for (const Cells& row : rows) most = std::max(most, row.size());
  const auto titles_differ = [&](std::size_t record) {
    return std::any_of(header.begin(), header.end(), [&](const Line& line) {
      const Cells titles = cells(line.text);
      if (is_rule(line.text) || titles.size() != most) return false;
      for (std::size_t i = record; i < titles.size(); ++i) {
        if (titles[i] != titles[i - record]) return true;
      }
      return false;
    });
  };
  for (std::size_t record = 2; record * 2 <= most; ++record) {
    if (most % record != 0 || !is_across(record, most) || titles_differ(record)) continue;
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

}  // namespace keepway::layout
