// What the columns of a table are called: by the line above its rows, else by their place.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/table.hpp"

namespace keepway::layout {
namespace {

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

// Cells that two blanks or more part.
Cells cells_far_apart(std::string_view line) {
  Cells found;
  for (std::string_view left = reader::trim(line); !left.empty();) {
    const std::size_t end = std::min({left.find("  "), left.find('\t'), left.size()});
    found.emplace_back(left.substr(0, end));
    left = reader::trim(left.substr(end));
  }
  return found;
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

// "mm  mm  min": the units under a heading.
bool are_units(const Cells& titles) {
  constexpr auto units =
      std::to_array<std::string_view>({"mm", "inch", "in", "min", "deg", "s", "sec", "grad", "rpm", "mm/min",
                                       "m/min", "mm/rev", "1/min", "um"});
  return !titles.empty() && std::all_of(titles.begin(), titles.end(), [&](const std::string& title) {
    std::string plain;
    for (const char c : lower(title)) {
      if (c != '(' && c != ')' && c != '[' && c != ']') plain += c;
    }
    return std::find(units.begin(), units.end(), plain) != units.end();
  });
}

}  // namespace

bool are_steps(const Cells& titles) {
  for (std::size_t i = 0; i < titles.size(); ++i) {
    const std::string_view plain = std::string_view(titles[i]).substr(titles[i].starts_with('+') ? 1 : 0);
    if (plain != std::to_string(i) && plain != std::to_string(i + 1)) return false;
  }
  return titles.size() > 2;
}

bool are_titled_steps(const Cells& titles) {
  return !titles.empty() && is_column_title(titles.front()) &&
         are_steps(Cells(titles.begin() + 1, titles.end()));
}

bool is_column_title(std::string_view text) {
  constexpr auto words = std::to_array<std::string_view>(
      {"value",       "wert",        "name", "number", "no",     "nr",     "num",    "key",     "setting",
       "parameter",   "data",        "text", "valor",  "valeur", "valore", "waarde", "vaerdi",  "vaerde",
       "verdi",       "hodnota",     "id",   "nummer", "numero", "state",  "option", "comment", "desc",
       "bezeichnung", "description", "tool", "length", "radius", "x",      "y",      "z",       "status",
       "wartosc",     "znachenie",   "punt", "punkt",  "point",  "punto",  "pos",    "position"});
  return std::find(words.begin(), words.end(), plain_name(text, "")) != words.end();
}

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

bool has_serial(const Cells& titles) {
  constexpr std::ptrdiff_t most_digits = 2;
  return std::any_of(titles.begin(), titles.end(), [](const std::string& title) {
    return is_number(title) || std::count_if(title.begin(), title.end(), is_digit) > most_digits;
  });
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

// "   GEOMETRY        WEAR" above "X  Z  X  Z": names that come twice have that of their group in front.
// False where the line above is no such line.
bool Table::name_groups(std::string_view above, std::vector<std::string>& found) const {
  if (is_rule(above) || is_page_line(above)) return false;
  const auto plain = [](const std::string& name) {
    return name.ends_with("-2") ? name.substr(0, name.size() - 2) : name;
  };
  std::vector<std::size_t> group(found.size(), 0);
  std::set<std::string> here;
  std::set<std::string> twice_named;
  std::size_t groups = 1;
  for (std::size_t i = 0; i < found.size(); ++i) {
    if (found[i].ends_with("-2")) twice_named.insert(plain(found[i]));
    if (kinds[i] == What::mark) continue;
    if (!here.insert(plain(found[i])).second) {
      ++groups;
      here = {plain(found[i])};
    }
    group[i] = groups - 1;
  }
  std::vector<std::string> titles;
  for (std::string_view left = reader::trim(above); !left.empty();) {
    const std::size_t end = std::min({left.find("  "), left.find('\t'), left.find('|'), left.size()});
    const std::string title = plain_name(left.substr(0, end), sample.encoding);
    if (!title.empty()) titles.push_back(title);
    left = reader::trim(left.substr(std::min(end + 1, left.size())));
  }
  if (titles.size() != groups || has_serial(titles)) return false;
  for (std::size_t i = 0; i < found.size(); ++i) {
    if (twice_named.contains(plain(found[i]))) found[i] = titles[group[i]] + "-" + plain(found[i]);
  }
  return std::set<std::string>(found.begin(), found.end()).size() == found.size();
}

// "TOOL  TOOL    LIFE" above "NO    LENGTH  SET": names of two lines, where each column has a word in both.
void Table::join_words_above(std::string_view above, std::vector<std::string>& found) const {
  if ((split != Split::blanks && split != Split::fixed) || across > 1 || is_rule(above) ||
      is_page_line(above) || has_digit(above) || is_of_machine(above))
    return;
  if (cells_far_apart(above).size() != found.size()) return;  // a sentence
  const Cells words = split == Split::fixed ? titles_above(above, columns) : cells(above);
  std::vector<std::string> joined;
  for (std::size_t i = 0; i < found.size() && words.size() == found.size(); ++i)
    joined.push_back(plain_name(words[i] + " " + found[i], sample.encoding));
  const bool all = !joined.empty() && std::none_of(words.begin(), words.end(), [](const std::string& word) {
    return word.empty() || !is_alpha(word.front());
  });
  if (all && std::set<std::string>(joined.begin(), joined.end()).size() == joined.size())
    found = std::move(joined);
}

// "FEED DRIVES" above `1    4000`: a title of two words, and no titles of two columns, which are as far apart
// as the cells.
bool Table::is_two_words(std::string_view line, const Cells& titles) const {
  const auto is_parted = [](std::string_view text) {
    return reader::trim(text).find("  ") != std::string_view::npos ||
           text.find('\t') != std::string_view::npos;
  };
  const bool blanks = split == Split::blanks || split == Split::fixed;
  return blanks && width == 2 && titles.size() == 2 && !is_parted(line) && is_parted(lines.front().text) &&
         std::none_of(titles.begin(), titles.end(),
                      [](const std::string& each) { return is_column_title(each); });
}

// The names of the columns that a line gives; none where it names something else. `again`: a name may come
// twice, as in "X Z X Z" of geometry and of wear.
std::vector<std::string> Table::names_in(std::string_view line, bool again) const {
  if (is_rule(line) || is_page_line(line) || is_title(line)) return {};
  const bool blanks = split == Split::blanks || split == Split::fixed;
  const std::string heading = blanks ? with_units_joined(line) : std::string(line);
  Cells titles = split == Split::fixed ? titles_above(heading, columns) : cells(heading);
  // "LIFE MIN  USED MIN": titles of several words, where two blanks part them.
  if (split == Split::blanks && titles.size() > width) {
    if (Cells apart = cells_far_apart(heading); apart.size() == width) titles = std::move(apart);
  }
  if (is_two_words(line, titles)) return {};
  const bool steps = are_steps(titles) && titles.size() + 1 == width && begins_behind_key(line);
  const bool numbered = steps || are_numbered(titles) || are_titled_steps(titles);
  if (!numbered && has_serial(titles)) return {};
  if (split == Split::blanks) drop_between(titles);
  if (across > 1 && titles.size() == width * across) titles.resize(width);
  // "      X     Y     Z": what the rows are called by has no title of its own.
  if (titles.size() + 1 == width && (steps || kinds[0] != What::number) && begins_behind_key(line))
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

// "; NO  LENGTH  RADIUS" right above the rows. Any remark may have as many words as the rows have cells, so
// that one of them must be a title, or two be letters: "; T  L  R  TYPE".
std::vector<std::string> Table::names_in_remark() const {
  const auto first = std::find_if(sample.lines.begin(), sample.lines.end(), [&](const reader::Line& line) {
    return line.number == lines.front().number;
  });
  for (auto at = first; at != sample.lines.begin();) {
    --at;
    std::string text(at->text);
    const bool remark =
        std::any_of(sample.openers.begin(), sample.openers.end(),
                    [&](const std::string& opener) { return reader::trim(text).starts_with(opener); });
    if (!remark || !sample.code[static_cast<std::size_t>(at - sample.lines.begin())].empty()) return {};
    const std::size_t front = std::min(text.find_first_not_of(" \t;#(/'!*"), text.size());
    std::fill(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(front), ' ');
    if (text.ends_with(')')) text.pop_back();
    const Cells words = cells_by(text, ' ');
    const auto letters =
        std::count_if(words.begin(), words.end(), [](const std::string& word) { return word.size() == 1; });
    if (letters < 2 && std::none_of(words.begin(), words.end(),
                                    [](const std::string& word) { return is_column_title(word); }))
      continue;
    if (std::vector<std::string> found = names_in(text, false); !found.empty()) return found;
  }
  return {};
}

void Table::find_names() {
  std::vector<std::string> found;
  for (auto line = header.rbegin(); line != header.rend() && found.empty(); ++line) {
    found = names_in(line->text, false);
    if (!found.empty() && line + 1 != header.rend() && (line + 1)->number + 1 == line->number)
      join_words_above((line + 1)->text, found);
    if (!found.empty() || are_units(cells_by(line->text, ' '))) continue;
    found = names_in(line->text, true);
    if (found.empty()) continue;
    twice = line + 1 == header.rend() || !name_groups((line + 1)->text, found);
  }
  if (found.empty()) found = names_in_remark();
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
