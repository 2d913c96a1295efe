#include "survey/table.hpp"

#include <algorithm>
#include <array>
#include <set>
#include <utility>

#include "base/digit.hpp"
#include "keepway/decimal.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"

namespace keepway::layout {
namespace {

constexpr std::size_t longest_front = 40;

bool has_number(const Cells& row) {
  return std::any_of(row.begin(), row.end(), [](const std::string& cell) { return is_number(cell); });
}

}  // namespace

bool is_number(std::string_view cell) {
  return canonical_number(cell).has_value();
}

bool is_whole(std::string_view cell) {
  return is_number(cell) && cell.find('.') == std::string_view::npos;
}

bool is_word(std::string_view cell) {
  const bool signed_word = cell.size() > 2 && cell[0] == '<' && cell.back() == '>';  // <VACANT>
  const std::string_view word = cell.substr(signed_word ? 1 : 0);
  return !word.empty() && is_alpha(word[0]) && word.find_first_of(" \t") == std::string_view::npos;
}

Cells cells_by(std::string_view line, char separator) {
  Cells cells;
  std::string cell;
  bool quote = false;
  for (const char c : line) {
    if (separator != ' ' && separator != '\t' && c == '"') {
      quote = !quote;
    } else if (!quote && (separator == ' ' ? reader::is_gap(c) : c == separator)) {
      if (separator != ' ' || !cell.empty()) cells.emplace_back(reader::trim(cell));
      cell.clear();
    } else {
      cell += c;
    }
  }
  if (separator != ' ' || !cell.empty()) cells.emplace_back(reader::trim(cell));
  return cells;
}

Cells cells_at(std::string_view line, const std::vector<Stretch>& columns) {
  Cells cells;
  for (const Stretch& column : columns) {
    const std::size_t at = std::min(column.at, line.size());
    cells.emplace_back(reader::trim(line.substr(at, column.width)));
  }
  return cells;
}

Table::Table(const Sample& from, Split by, char at) : sample(from), split(by), separator(at) {
  for (std::size_t i = 0; i < sample.lines.size(); ++i) {
    const Line line{sample.lines[i].text, sample.lines[i].number};
    if (!sample.code[i].empty()) {
      lines.push_back(line);
    } else if (sample.roles[i] != LineRole::data && lines.empty()) {
      header.push_back(line);
      headed = headed || sample.roles[i] == LineRole::top;
    }
  }
}

bool Table::understand() {
  if (lines.empty()) return false;
  find_rows();
  find_records();
  if (across == 1) find_records_between();
  if (rows.empty() || width < 2 || width > 64 || are_statements()) return false;
  find_no_values();
  find_kinds();
  const bool blank = split == Split::blanks || split == Split::fixed;
  if (split == Split::blanks && has_letters_before_numbers()) return false;
  find_names();
  if (!titled && blank && (has_letters_before_numbers() || has_labels())) return false;
  if (!titled && split == Split::blanks && cuts_texts()) return false;
  if (!find_key()) return false;
  // Without titles the first column is taken for the number.
  const bool named = std::find(names.begin(), names.end(), "name") != names.end();
  if (!titled && !named && key.front() != 0 && kinds[0] == What::text) {
    names[0] = "name";
    names[key.front()] = "number";
  }
  return true;
}

// `G54 : X 0.000 Z 152.350`: a letter that all rows have in front of a number is the number's name, as in a
// shape.
bool Table::has_letters_before_numbers() const {
  for (std::size_t i = 1; i + 1 < width; ++i) {
    const auto is_letter_before = [&](const Cells& row) {
      const std::size_t value = i + 1 < row.size() && row[i + 1] == "=" ? i + 2 : i + 1;  // "X = 1.5"
      return value < row.size() && row[i] == rows.front()[i] && is_number(row[value]);
    };
    if (rows.front()[i].size() == 1 && is_letter(rows.front()[i][0]) && rows.size() > 1 &&
        std::all_of(rows.begin(), rows.end(), is_letter_before))
      return true;
  }
  return false;
}

// `100 DATA 5,12.5`: a line number and a word are in front of the first cell, which a shape parts from it.
bool Table::are_statements() const {
  return std::all_of(lines.begin(), lines.end(), [](const Line& line) {
    const Cells words = cells_by(line.text.substr(0, longest_front), ' ');
    return words.size() > 2 && all_digits(words[0]) && upper(words[1]) == "DATA";
  });
}

// `TOOL 1 LEN 120.5 RAD 6.0`, `T1 LEN 120.5 RAD 6.0`: words that all rows have in front of numbers are names,
// as in a shape. One alone may be a text that happens to be the same.
bool Table::has_labels() const {
  if (rows.size() < 2 || width < 3) return false;
  const auto is_label = [&](std::size_t i) {
    const std::string& label = rows.front()[i];
    return i + 1 < width && label.size() > 1 && std::all_of(label.begin(), label.end(), is_alpha) &&
           std::all_of(rows.begin(), rows.end(), [&](const Cells& row) {
             return i + 1 < row.size() && row[i] == label && is_number(row[i + 1]);
           });
  };
  std::size_t labels = 0;
  for (std::size_t i = 0; i < width; ++i) labels += is_label(i) ? 1U : 0U;
  return labels > 1 && (is_label(0) || is_label(1));
}

// `101  MAX FEED X     6000`: in all rows one blank between two texts, and several elsewhere, so that they
// are one text.
bool Table::cuts_texts() const {
  for (std::size_t i = 1; i + 1 < width; ++i) {
    if (kinds[i] != What::text || kinds[i + 1] != What::text) continue;
    const auto is_one = [&](const Line& line) {
      const Cells found = cells_by(line.text, ' ');
      return i + 1 >= found.size() || line.text.find(found[i] + " " + found[i + 1]) != std::string_view::npos;
    };
    const auto is_parted = [](const Line& line) {
      return reader::trim(line.text).find("  ") != std::string_view::npos;
    };
    if (std::all_of(lines.begin(), lines.end(), is_one) && std::all_of(lines.begin(), lines.end(), is_parted))
      return true;
  }
  return false;
}

Cells Table::cells(std::string_view line) const {
  switch (split) {
    case Split::tab:
      return cells_by(line, '\t');
    case Split::comma:
      return cells_by(line, separator);
    case Split::fixed:
      return cells_at(line, columns);
    case Split::blanks:
    case Split::shape:
      break;
  }
  return cells_by(line, ' ');
}

// The header is what is above the first of two lines that both hold numbers.
void Table::find_rows() {
  std::size_t first = 0;
  const auto row_like = [&](std::size_t i) {
    return i < lines.size() &&
           (split == Split::fixed ? has_number(cells_by(lines[i].text, ' ')) || row_kind(lines[i].text) == 'P'
                                  : cells(lines[i].text).size() > 1 && has_number(cells(lines[i].text)));
  };
  while (first < lines.size() && !(row_like(first) && (first + 1 == lines.size() || row_like(first + 1)))) {
    ++first;
  }
  if (first + 1 < lines.size() && (is_of_steps(first) || is_word_above_numbers(first))) ++first;
  if (first == lines.size() && has_words_alone()) first = 1;
  if (first == lines.size()) first = first_of_codes();
  if (first == lines.size()) return;
  first = split == Split::tab || split == Split::comma ? first_of_words(first) : first_of_pairs(first);
  first = first_of_codes_above(first);
  headed = headed || first > 0;
  header.insert(header.end(), lines.begin(), lines.begin() + static_cast<std::ptrdiff_t>(first));
  lines.erase(lines.begin(), lines.begin() + static_cast<std::ptrdiff_t>(first));
  if (split == Split::fixed) {
    std::vector<std::string_view> texts;
    for (const Line& line : lines) texts.push_back(line.text);
    FixedPlan plan = plan_columns(texts);
    columns = std::move(plan.columns);
    join_untitled();
    between = std::move(plan.between);
    width = columns.size();
  }
  std::size_t most = 0;
  std::size_t fewest = SIZE_MAX;
  for (const Line& line : lines) {
    Cells found = cells(line.text);
    // What has no separator is no row of such a table, and is left unread.
    if (split != Split::fixed && split != Split::blanks && found.size() < 2) continue;
    rows.push_back(std::move(found));
    most = std::max(most, rows.back().size());
    fewest = std::min(fewest, rows.back().size());
  }
  if (split == Split::blanks) {
    width = blank_width(fewest, most);
  } else if (split != Split::fixed) {
    // Commas in a note that nobody put in quotes: the heading knows how many columns there are.
    const Cells above = header.empty() ? Cells() : cells(header.back().text);
    const std::size_t titles = above.empty() || has_serial(above) ? most : above.size();
    width = titles > 1 ? std::min(titles, most) : most;
  }
}

// `ROZWIERTAK 24` and `FREZ 16` under one title: a column without a title that is one blank behind another is
// a part of that one's text.
void Table::join_untitled() {
  if (header.empty() || is_rule(header.back().text)) return;
  const std::string_view heading = header.back().text;
  const auto is_text = [&](const Stretch& column) {
    return std::any_of(lines.begin(), lines.end(), [&](const Line& line) {
      const std::size_t at = std::min(column.at, line.text.size());
      const std::string_view cell = reader::trim(line.text.substr(at, column.width));
      return !cell.empty() && !is_number(cell);
    });
  };
  const auto has_title = [&](const Stretch& column) {
    const std::size_t at = std::min(column.at, heading.size());
    return !reader::trim(heading.substr(at, column.width)).empty();
  };
  if (std::count_if(columns.begin(), columns.end(), has_title) < 2) return;
  for (std::size_t i = 1; i < columns.size();) {
    Stretch& before = columns[i - 1];
    const std::size_t end = before.at + before.width;
    if (has_title(columns[i]) || !has_title(before) || columns[i].at != end + 1 || !is_text(before)) {
      ++i;
      continue;
    }
    before.width = columns[i].at + columns[i].width - before.at;
    columns.erase(columns.begin() + static_cast<std::ptrdiff_t>(i));
  }
}

// "0  1  2  3" above rows of five: a heading, and no row.
bool Table::is_of_steps(std::size_t line) const {
  if (split != Split::blanks && split != Split::fixed) return false;
  const Cells here = cells_by(lines[line].text, ' ');
  if (are_titled_steps(here)) return here.size() == cells_by(lines[line + 1].text, ' ').size();
  const std::string_view below = lines[line + 1].text;
  const std::size_t key_end = std::min(
      below.find_first_of(" \t", std::min(below.find_first_not_of(" \t"), below.size())), below.size());
  return are_steps(here) && here.size() + 1 == cells_by(below, ' ').size() &&
         lines[line].text.find_first_not_of(" \t") >= key_end;
}

// `VARIABLES 100 TO 104` above rows that all begin with a number: a heading.
bool Table::is_word_above_numbers(std::size_t line) const {
  constexpr std::size_t fewest = 3;
  if ((split != Split::blanks && split != Split::fixed) || lines.size() - line <= fewest) return false;
  const auto first_cell = [](const Line& each) { return cells_by(each.text, ' ').front(); };
  const std::string word = first_cell(lines[line]);
  return word.size() > 1 && std::all_of(word.begin(), word.end(), is_alpha) &&
         std::all_of(lines.begin() + static_cast<std::ptrdiff_t>(line) + 1, lines.end(),
                     [&](const Line& each) { return is_number(first_cell(each)); });
}

// As many columns as the heading has titles, where the rows have a text of several words for the last of
// them.
std::size_t Table::titled_width(std::size_t most) const {
  const auto line =
      std::find_if(header.rbegin(), header.rend(), [](const Line& each) { return !is_rule(each.text); });
  if (line == header.rend()) return 0;
  const std::size_t titles = cells(line->text).size();
  const bool text =
      titles > 2 && titles < most && std::all_of(rows.begin(), rows.end(), [&](const Cells& row) {
        return row.size() < titles || !is_number(row[titles - 1]);
      });
  return text && !is_title(line->text) && !has_serial(cells(line->text)) ? titles : 0;
}

// Columns parted by blanks: all, or up to where text of several words begins, which is the last then.
std::size_t Table::blank_width(std::size_t fewest, std::size_t most) const {
  if (const std::size_t titles = titled_width(most); titles > 0) return titles;
  if (fewest == most) return most;
  std::size_t texts = fewest;  // first column that is text in some row
  for (const Cells& row : rows) {
    for (std::size_t i = 1; i < std::min(row.size(), texts + 1); ++i) {
      if (!is_number(row[i])) texts = std::min(texts, i);
    }
  }
  return texts + 1;
}

// Cells of "-" among numbers are cells without a value, and are emptied.
void Table::find_no_values() {
  std::set<std::string> found;
  for (std::size_t i = 1; i < width; ++i) {
    std::size_t numbers = 0;
    std::vector<Cells*> without;
    for (Cells& row : rows) {
      if (i >= row.size()) continue;
      if (is_number(row[i])) ++numbers;
      if (is_no_value(row[i])) without.push_back(&row);
    }
    if (numbers == 0) continue;
    for (Cells* row : without) found.insert(std::exchange((*row)[i], std::string()));
  }
  no_value.assign(found.begin(), found.end());
}

void Table::find_kinds() {
  kinds.assign(width, What::whole);
  for (std::size_t i = 0; i < width; ++i) {
    const auto at = [i](const Cells& row) { return i < row.size() ? row[i] : std::string(); };
    const std::string first = at(rows.front());
    const bool signs = std::none_of(first.begin(), first.end(), is_alnum);
    const bool open = i + 1 == width && std::any_of(rows.begin(), rows.end(),
                                                    [&](const Cells& row) { return row.size() > width; });
    const bool same =
        std::all_of(rows.begin(), rows.end(), [&](const Cells& row) { return at(row) == first; });
    if (signs && same && !open) kinds[i] = What::mark;
  }
  for (const Cells& row : rows) {
    for (std::size_t i = 0; i < std::min(width, row.size()); ++i) {
      if (row[i].empty()) continue;
      const bool open = i + 1 == width && row.size() > width;
      const What what = open || !is_number(row[i]) ? What::text
                        : is_whole(row[i])         ? What::whole
                                                   : What::number;
      kinds[i] = std::max(kinds[i], what);
    }
  }
  for (std::size_t i = 0; i < width; ++i) {
    if (kinds[i] == What::text && has_words_among_numbers(i)) kinds[i] = What::any;
  }
  find_flags();
}

// Columns of bits, and of hexadecimal codes: all of one length where one of them has letters.
void Table::find_flags() {
  std::set<std::size_t> lengths;  // of columns with letters
  std::vector<std::vector<std::string>> values(width);
  for (std::size_t i = 1; i < width; ++i) {
    for (const Cells& row : rows) values[i].push_back(i < row.size() ? row[i] : std::string());
    if (kinds[i] != What::mark && kinds[i] != What::any && has_others_among_numbers(values[i]))
      kinds[i] = What::any;
    if (kinds[i] == What::mark || !are_flags(values[i])) continue;
    if (kinds[i] == What::text || kinds[i] == What::any) lengths.insert(values[i].front().size());
    kinds[i] = What::text;
  }
  for (std::size_t i = 1; i < width; ++i) {
    if (kinds[i] != What::mark && may_be_hexadecimal(values[i]) && lengths.contains(values[i].front().size()))
      kinds[i] = What::text;
  }
}

// At least as many numbers as words, and nothing else; of names and values, where each is of its own, one
// number will do. What the rows are called by comes first.
bool Table::has_words_among_numbers(std::size_t column) const {
  const bool named = width == 3 && column == 2 && kinds[0] != What::number &&
                     (kinds[1] == What::text || kinds[1] == What::any);
  const bool settings = (width == 2 && kinds[0] == What::text) || named;
  std::size_t numbers = 0;
  std::size_t words = 0;
  for (const Cells& row : rows) {
    if (column >= row.size() || row[column].empty()) continue;
    if (column + 1 == width && row.size() > width) return false;  // a text of several
    if (!is_number(row[column]) && !(settings ? is_alpha(row[column][0]) : is_word(row[column])))
      return false;
    ++(is_number(row[column]) ? numbers : words);
  }
  return column > 0 && words > 0 && numbers >= (settings ? 1 : words);
}

}  // namespace keepway::layout
