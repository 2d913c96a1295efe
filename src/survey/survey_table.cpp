#include "survey/survey_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

#include "base/digit.hpp"
#include "base/encoding.hpp"
#include "keepway/decimal.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"

namespace keepway::layout {
namespace {

// Letters of the larger European languages as they are written where there are none but ASCII's.
std::string in_ascii(std::string utf8) {
  constexpr auto letters = std::to_array<std::pair<std::string_view, std::string_view>>(
      {{"ä", "ae"}, {"ö", "oe"}, {"ü", "ue"}, {"Ä", "Ae"}, {"Ö", "Oe"}, {"Ü", "Ue"}, {"ß", "ss"}, {"é", "e"},
       {"è", "e"},  {"ê", "e"},  {"É", "E"},  {"È", "E"},  {"à", "a"},  {"â", "a"},  {"á", "a"},  {"À", "A"},
       {"ç", "c"},  {"Ç", "C"},  {"î", "i"},  {"í", "i"},  {"ì", "i"},  {"ô", "o"},  {"ó", "o"},  {"ò", "o"},
       {"û", "u"},  {"ú", "u"},  {"ù", "u"},  {"ñ", "n"},  {"Ñ", "N"},  {"å", "a"},  {"Å", "A"},  {"ø", "o"},
       {"Ø", "O"},  {"æ", "ae"}, {"ą", "a"},  {"ć", "c"},  {"ę", "e"},  {"ł", "l"},  {"ń", "n"},  {"ś", "s"},
       {"ź", "z"},  {"ż", "z"},  {"Ą", "A"},  {"Ć", "C"},  {"Ę", "E"},  {"Ł", "L"},  {"Ń", "N"},  {"Ś", "S"},
       {"Ź", "Z"},  {"Ż", "Z"},  {"č", "c"},  {"ď", "d"},  {"ě", "e"},  {"ň", "n"},  {"ř", "r"},  {"š", "s"},
       {"ť", "t"},  {"ů", "u"},  {"ý", "y"},  {"ž", "z"},  {"Č", "C"},  {"Ď", "D"},  {"Ě", "E"},  {"Ň", "N"},
       {"Ř", "R"},  {"Š", "S"},  {"Ť", "T"},  {"Ů", "U"},  {"Ý", "Y"},  {"Ž", "Z"},  {"ő", "o"},  {"ű", "u"},
       {"Ő", "O"},  {"Ű", "U"},  {"Á", "A"},  {"Í", "I"},  {"Ó", "O"},  {"Ú", "U"}});
  for (const auto& [letter, plain] : letters) {
    for (std::size_t at = utf8.find(letter); at != std::string::npos; at = utf8.find(letter, at))
      utf8.replace(at, letter.size(), plain);
  }
  return utf8;
}

// "LENGTH (MM)  LIFE [MIN]": a heading with the unit of each column joined to its title.
std::string with_units_joined(std::string_view heading) {
  constexpr std::size_t most_blanks = 2;
  std::string out(heading);
  for (std::size_t at = out.find_first_of("(["); at != std::string::npos;
       at = out.find_first_of("([", at + 1)) {
    std::size_t from = at;
    while (from > 0 && reader::is_gap(out[from - 1])) --from;
    if (from == 0 || at - from > most_blanks || !is_alnum(out[from - 1])) continue;
    std::fill(out.begin() + static_cast<std::ptrdiff_t>(from), out.begin() + static_cast<std::ptrdiff_t>(at),
              '_');
  }
  return out;
}

// "ROW  1 2 3 4 5 6": flags, each under its number.
bool are_numbered(const Cells& titles) {
  if (titles.size() < 3 || titles[0].empty() || !is_alpha(titles[0][0])) return false;
  for (std::size_t i = 1; i < titles.size(); ++i) {
    if (!all_digits(titles[i]) || titles[i].size() > 2) return false;
    if (i > 1 && titles[i] == titles[i - 1]) return false;
  }
  return true;
}

// "TOOL OFFSETS", "WORK ZERO POINTS": what the whole table is called. "NR   DATA" is two titles.
bool is_title(std::string_view line) {
  constexpr auto ends = std::to_array<std::string_view>(
      {"offsets", "points",     "parameters",    "variables", "settings",  "switches", "options",
       "tools",   "registers",  "corrections",   "macros",    "cells",     "data",     "list",
       "listing", "table",      "report",        "memory",    "werkzeuge", "daten",    "liste",
       "tabelle", "nullpunkte", "einstellungen", "variablen"});
  const std::string_view text = reader::trim(line);
  const std::size_t blank = text.find_last_of(" \t");
  const std::string number = lower(text.substr(0, text.find_first_of(". \t")));
  if (number == "no" || number == "nr" || number == "number") return false;
  if (std::find(ends.begin(), ends.end(), lower(text.substr(blank + 1))) != ends.end()) return true;
  const std::string_view first = text.substr(0, text.find_first_of(" \t"));
  const bool spaced =
      text.find("  ") != std::string_view::npos || text.find_first_of("\t;,|") != std::string_view::npos;
  return !spaced && group_in_name(first) && !lower(first).starts_with("tool");
}

// "MACHINE NO 5512", "SHEET 1": a number or a serial, and so no names of columns.
bool has_serial(const Cells& titles) {
  constexpr std::ptrdiff_t most_digits = 2;
  return std::any_of(titles.begin(), titles.end(), [](const std::string& title) {
    return is_number(title) || std::count_if(title.begin(), title.end(), is_digit) > most_digits;
  });
}

bool has_number(const Cells& row) {
  return std::any_of(row.begin(), row.end(), [](const std::string& cell) { return is_number(cell); });
}

}  // namespace

std::string plain_name(std::string_view text, const std::string& encoding) {
  std::string out;
  for (const char c : in_ascii(Encoding(encoding).to_utf8(text.substr(0, 200)))) {
    const char low = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    const bool plain = (low >= 'a' && low <= 'z') || (low >= '0' && low <= '9');
    if (plain) out += low;
    if (!plain && !out.empty() && out.back() != '-') out += '-';
  }
  while (!out.empty() && out.back() == '-') out.pop_back();
  return out.substr(0, 24);
}

bool is_number(std::string_view cell) {
  return canonical_number(cell).has_value();
}

bool is_whole(std::string_view cell) {
  return is_number(cell) && cell.find('.') == std::string_view::npos;
}

bool is_word(std::string_view cell) {
  return !cell.empty() && is_alpha(cell[0]) && cell.find_first_of(" \t") == std::string_view::npos;
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
  if (rows.empty() || width < 2 || width > 64) return false;
  find_kinds();
  if (split == Split::blanks && has_letters_before_numbers()) return false;
  find_names();
  return find_key();
}

// `G54 : X 0.000 Z 152.350`: a letter that all rows have in front of a number is the number's name, as in a
// shape.
bool Table::has_letters_before_numbers() const {
  for (std::size_t i = 1; i + 1 < width; ++i) {
    const auto is_letter_before = [&](const Cells& row) {
      return i + 1 < row.size() && row[i] == rows.front()[i] && is_number(row[i + 1]);
    };
    if (rows.front()[i].size() == 1 && is_letter(rows.front()[i][0]) && rows.size() > 1 &&
        std::all_of(rows.begin(), rows.end(), is_letter_before))
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
  if (first == lines.size()) return;
  headed = headed || first > 0;
  header.insert(header.end(), lines.begin(), lines.begin() + static_cast<std::ptrdiff_t>(first));
  lines.erase(lines.begin(), lines.begin() + static_cast<std::ptrdiff_t>(first));
  if (split == Split::fixed) {
    std::vector<std::string_view> texts;
    for (const Line& line : lines) texts.push_back(line.text);
    FixedPlan plan = plan_columns(texts);
    columns = std::move(plan.columns);
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
    const std::size_t titles = header.empty() ? most : cells(header.back().text).size();
    width = titles > 1 ? std::min(titles, most) : most;
  }
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
}

// At least as many numbers as words, and nothing else. What the rows are called by comes first.
bool Table::has_words_among_numbers(std::size_t column) const {
  std::size_t numbers = 0;
  std::size_t words = 0;
  for (const Cells& row : rows) {
    if (column >= row.size() || row[column].empty()) continue;
    if (column + 1 == width && row.size() > width) return false;  // a text of several
    if (!is_number(row[column]) && !is_word(row[column])) return false;
    ++(is_number(row[column]) ? numbers : words);
  }
  return column > 0 && words > 0 && numbers >= words;
}

// Whether a heading begins to the right of the rows' first cells. Blanks at its beginning tell it.
bool Table::begins_behind_key(std::string_view heading) const {
  const std::string_view row = lines.front().text;
  const std::size_t first = row.find_first_not_of(" \t");
  const std::size_t end = std::min(row.find_first_of(" \t", first), row.size());
  return split != Split::blanks || heading.find_first_not_of(" \t") >= end;
}

// What a column is called that no heading names; it is the `n`th of `data` that hold data.
std::string Table::usual_name(std::size_t column, std::size_t n, std::size_t data) const {
  if (n == 0) return "number";
  const bool last_text = column + 1 == width && kinds[column] == What::text;
  if (data == 3 && n == 1 && kinds[column] == What::text && !last_text && kinds.back() != What::text)
    return "name";
  const bool behind_name = data == 3 && n == 2 && names[column - 1] == "name";
  if ((n == 1 && data <= 3) || behind_name) return "value";
  return last_text ? "note" : fmt::format("c{}", column + 1);
}

// `120.500 mm` under LENGTH: columns of a unit, which have no title of their own.
void Table::add_unit_titles(Cells& titles) const {
  constexpr std::size_t longest = 6;
  std::vector<std::size_t> units;
  for (std::size_t i = 1; i < width; ++i) {
    const bool number = kinds[i - 1] == What::number || kinds[i - 1] == What::whole;
    const std::string first = i < rows.front().size() ? rows.front()[i] : std::string();
    const bool same = std::all_of(rows.begin(), rows.end(),
                                  [&](const Cells& row) { return i < row.size() && row[i] == first; });
    if (number && same && kinds[i] == What::text && first.size() <= longest) units.push_back(i);
  }
  if (units.empty() || titles.size() + units.size() != width) return;
  for (const std::size_t i : units)
    titles.insert(titles.begin() + static_cast<std::ptrdiff_t>(i), titles[i - 1] + " unit");
}

// The names of the columns that a line gives; none where it names something else. `again`: a name may come
// twice, as in "X Z X Z" of geometry and of wear.
std::vector<std::string> Table::names_in(std::string_view line, bool again) const {
  if (is_rule(line) || is_title(line)) return {};
  const bool blanks = split == Split::blanks || split == Split::fixed;
  const std::string heading = blanks ? with_units_joined(line) : std::string(line);
  Cells titles = split == Split::fixed ? titles_above(heading, columns) : cells(heading);
  const bool numbered = are_numbered(titles);
  if (!numbered && has_serial(titles)) return {};
  if (across > 1 && titles.size() == width * across) titles.resize(width);
  // "      X     Y     Z": what the rows are called by has no title of its own.
  if (titles.size() + 1 == width && kinds[0] != What::number && begins_behind_key(line))
    titles.insert(titles.begin(), "number");
  add_unit_titles(titles);
  if (titles.size() != width) return {};
  if (titles[0].empty()) titles[0] = "number";
  std::set<std::string> taken;
  std::vector<std::string> found;
  for (std::size_t i = 0; i < width; ++i) {
    std::string name = plain_name(titles[i], sample.encoding);
    // "DATE 03-02-2020" names no column.
    const bool names_it = !name.empty() && (numbered || !is_digit(titles[i].front()));
    if (again && taken.contains(name)) name += "-2";
    if (kinds[i] != What::mark && (!names_it || !taken.insert(name).second)) return {};
    found.push_back(std::move(name));
  }
  return found;
}

void Table::find_names() {
  std::vector<std::string> found;
  for (const bool again : {false, true}) {
    for (auto line = header.rbegin(); line != header.rend() && found.empty(); ++line) {
      found = names_in(line->text, again);
      twice = again && !found.empty();
    }
    if (!found.empty()) break;
  }
  titled = !found.empty();
  std::size_t marks = 0;
  const std::size_t data =
      width - static_cast<std::size_t>(std::count(kinds.begin(), kinds.end(), What::mark));
  for (std::size_t i = 0; i < width; ++i) {
    const std::size_t n = i - marks;  // among those that hold data
    const bool mark = kinds[i] == What::mark;
    names.push_back(mark ? fmt::format("mark{}", i + 1) : titled ? found[i] : usual_name(i, n, data));
    marks += mark ? 1U : 0U;
  }
}

}  // namespace keepway::layout
