// Which lines are rows, before anything is known of their reader: lines that have others of their kind.
#include <algorithm>
#include <array>
#include <map>
#include <set>

#include "base/digit.hpp"
#include "keepway/decimal.hpp"
#include "keepway/text.hpp"
#include "reader/serial_line.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"
#include "survey/table.hpp"

namespace keepway::layout {
namespace {

// "001+0012500+004000": numbers whose signs alone part them.
bool is_packed(std::string_view text) {
  const std::size_t sign = text.find_first_of("+-");
  return is_digit(text[0]) && sign != std::string_view::npos && is_digit(text.back()) &&
         std::all_of(text.begin(), text.end(),
                     [](char c) { return is_digit(c) || c == '+' || c == '-' || c == '.'; });
}

// "120.5", "L120.5", "T01".
bool is_number_or_word(std::string_view text) {
  constexpr std::size_t most_letters = 2;
  const std::size_t number = text.find_first_of("+-.0123456789");
  return number <= most_letters &&
         std::all_of(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(number), is_letter) &&
         canonical_number(text.substr(number));
}

// "001/120.5/6.0", "T01:L120.5:R6.0": numbers that a sign parts, and nothing else; "12/05/93 06:55" is none.
bool is_parted_by_sign(std::string_view text) {
  for (const char sign : std::string_view("/:*$!\\^~&")) {
    std::size_t numbers = 0;
    std::string_view left = text;
    while (!left.empty()) {
      const std::size_t end = std::min(left.find(sign), left.size());
      if (!is_number_or_word(reader::trim(left.substr(0, end)))) break;
      ++numbers;
      left.remove_prefix(std::min(end + 1, left.size()));
    }
    if (numbers > 1 && left.empty()) return true;
  }
  return false;
}

// A word that headings have, and names of values seldom.
bool says_heading(std::string_view code) {
  constexpr std::array<std::string_view, 14> words = {"serial", "s/n",   "machine", "control", "maschine",
                                                      "date",   "datum", "printed", "listing", "end of",
                                                      "ende",   "rev",   "fecha",   "tarih"};
  if (!reader::serial_in_line(code).empty()) return true;
  const std::string low = lower(code);
  return std::any_of(words.begin(), words.end(), [&](std::string_view word) {
    const std::size_t at = low.find(word);
    if (at == std::string::npos) return false;
    const std::size_t end = at + word.size();
    return (at == 0 || !is_alpha(low[at - 1])) && (end == low.size() || !is_alpha(low[end]));
  });
}

// `10 REM TOOL TABLE`: a remark with its line number.
bool is_numbered_remark(std::string_view text) {
  const std::size_t behind = text.find_first_not_of("0123456789");
  if (behind == 0 || behind == std::string_view::npos || text[behind] != ' ') return false;
  const std::string_view rest = reader::trim(text.substr(behind));
  return lower(rest.substr(0, rest.find(' '))) == "rem";
}

// "KNEE MILL 2, SAVED 12.05.1993 06:55": words, and when they were written.
bool is_dated(std::string_view code) {
  if (code.empty() || !is_alpha(code.front())) return false;
  std::size_t words = 0;
  bool dated = false;
  for (std::string_view left = reader::trim(code); !left.empty(); ++words) {
    const std::size_t end = std::min(left.find_first_of(" \t,"), left.size());
    dated = dated || is_date_or_time(left.substr(0, end));
    left = reader::trim(left.substr(std::min(end + 1, left.size())));
  }
  return dated && words > 2;
}

bool is_cell_number(std::string_view cell) {
  while (!cell.empty() && (cell.back() == ',' || cell.back() == ';' || cell.back() == '|'))
    cell.remove_suffix(1);
  return canonical_number(cell).has_value() || is_no_value(cell);
}

// The kinds of a table's rows: by what the first cell is, and whether a number is behind it.
char table_kind(std::string_view code) {
  std::size_t cells = 0;
  bool number = false;
  char first = 0;
  bool second = false;  // is a number
  std::string plain(code);
  std::replace_if(
      plain.begin(), plain.end(), [](char c) { return c == ',' || c == ';' || c == '|' || c == '"'; }, ' ');
  for (std::string_view left = reader::trim(plain); !left.empty();) {
    const std::size_t end = std::min(left.find_first_of(" \t"), left.size());
    const std::string_view cell = left.substr(0, end);
    left = reader::trim(left.substr(end));
    number = number || is_cell_number(cell);
    if (cells++ == 1) second = is_cell_number(cell);
    if (cells > 1) continue;
    const bool digit = std::any_of(cell.begin(), cell.end(), is_digit);
    const bool alpha = std::any_of(cell.begin(), cell.end(), is_alpha);
    first = is_cell_number(cell) && digit ? '1' : digit && alpha ? 'M' : alpha ? 'A' : digit ? 'D' : '>';
  }
  if (cells == 1 && std::string_view(";,|").find(code.back()) != std::string_view::npos)
    return first == '1' || first == 'M' ? first : '\0';  // `R12;`: a row without a value
  if (cells < 2) return 0;
  if (first != '1' && !number) return 0;
  return first == '>' || second ? first : static_cast<char>(first + 1);
}

// "RAPID RATE X      5000": two texts with several blanks between, and nowhere else.
bool is_name_and_value(std::string_view text) {
  const std::size_t gap = text.find("  ");
  if (gap == std::string_view::npos || text.find_first_of("\t,;|") != std::string_view::npos) return false;
  return reader::trim(text.substr(gap)).find("  ") == std::string_view::npos;
}

// Up to two: a row of several values has more signs than a title.
std::size_t times_in(std::string_view text, std::string_view sign) {
  const std::size_t at = text.find(sign);
  if (at == std::string_view::npos) return 0;
  const std::size_t behind = text.find_first_not_of(sign.back(), at + sign.size());
  return text.find(sign, std::min(behind, text.size())) == std::string_view::npos ? 1 : 2;
}

// How a row is parted, and what its first cell is: lines of one table have the same.
std::string form_of(std::string_view code) {
  const std::string_view text = reader::trim(code);
  const char first = is_digit(text[0]) ? '1' : is_alpha(text[0]) ? 'A' : '>';
  for (const std::string_view leader : {"...", "___", " : ", ": ", "->", " - "}) {
    if (const std::size_t times = times_in(text, leader); times > 0)
      return std::string(leader.substr(0, 2)) + first + std::to_string(times);
  }
  if (text.find('\t') != std::string_view::npos)
    return std::string("\t") + first;  // the last cells may be empty
  if (is_name_and_value(text)) return std::string("  ") + first;
  std::size_t cells = 0;
  for (std::string_view left = text; !left.empty(); ++cells)
    left = reader::trim(left.substr(std::min(left.find_first_of(" \t,;|"), left.size() - 1) + 1));
  return std::to_string(cells) + first;
}

// "LANGUAGE : EN", "COOLANT .... AUTO": a name and a value, whatever they are.
bool has_leader(std::string_view text) {
  for (const std::string_view leader : {"...", "___", " : ", ": "}) {
    const std::size_t at = text.find(leader);
    if (at != std::string_view::npos && at > 1 && is_alnum(text.back())) return true;
  }
  return false;
}

// "P0012   6000": blanks between two numbers that part cells; in a word they would be one number.
bool has_parted_numbers(std::string_view text) {
  for (std::size_t at = text.find("  "); at != std::string_view::npos; at = text.find("  ", at)) {
    const std::size_t behind = text.find_first_not_of(' ', at);
    if (behind == std::string_view::npos) return false;
    if (at > 0 && is_digit(text[at - 1]) && !is_letter(text[behind])) return true;
    at = behind;
  }
  return false;
}

// "DEC1 X+3.863 Z-228.768": words behind a code of several letters.
bool is_code_and_words(std::string_view text) {
  const std::size_t end = std::min(text.find_first_of(" \t"), text.size());
  const std::string_view code = text.substr(0, end);
  const std::size_t digit = code.find_first_of("0123456789");
  std::vector<SurveyWord> words;
  return digit != std::string_view::npos && digit > 1 && all_digits(code.substr(digit)) &&
         std::all_of(code.begin(), code.begin() + static_cast<std::ptrdiff_t>(digit), is_letter) &&
         words_of_line(text.substr(end), words) && !has_parted_numbers(reader::trim(text.substr(end)));
}

// "V204:" among rows such as "V205: 41.7": a row without a value.
bool is_code_and_colon(std::string_view text) {
  return text.size() > 2 && text.back() == ':' && is_letter(text[0]) &&
         all_digits(text.substr(1, text.size() - 2));
}

// "| LANGUAGE | EN |": a name and a value between bars, and no titles of columns. "| 12 | 4.5 |" is of a
// table.
bool is_pair_in_bars(std::string_view text) {
  if (text.size() < 3 || text.front() != '|' || text.back() != '|') return false;
  const std::size_t bar = text.find('|', 1);
  if (bar + 1 >= text.size() || text.find('|', bar + 1) + 1 != text.size()) return false;
  const std::string_view name = reader::trim(text.substr(1, bar - 1));
  const std::string_view value = reader::trim(text.substr(bar + 1, text.size() - bar - 2));
  return !name.empty() && !value.empty() && !has_digit(name) &&
         !(is_column_title(name) && is_column_title(value));
}

constexpr std::size_t fewest_of_title = 4;  // words: a value's name has fewer

std::size_t words_in(std::string_view text) {
  std::size_t words = 0;
  for (std::string_view left = reader::trim(text); !left.empty(); ++words)
    left = reader::trim(left.substr(std::min(left.find_first_of(" \t"), left.size())));
  return words;
}

// Words, and a number somewhere behind them.
bool is_title_kind(char kind) {
  return kind == 'A' || kind == 'B' || kind == 0;
}

std::string_view first_cell_of(std::string_view code) {
  return code.substr(0, code.find_first_of(" \t"));
}

// `COOLANT AUTO` behind `FEED 5000`, and before another such row or nothing: a row whose value is a word. It
// may be the last, which is no foot.
void add_words_among(const Sample& sample, const std::vector<std::size_t>& text_lines,
                     std::vector<bool>& rows) {
  for (std::size_t n = 1; n < text_lines.size(); ++n) {
    const std::size_t i = text_lines[n];
    const std::string& code = sample.code[i];
    if (rows[i] || !rows[text_lines[n - 1]] || text_lines[n - 1] + 1 != i) continue;
    if (row_kind(code) == 0 && (is_rule(code) || says_heading(code) || says_end(code) || is_page_line(code)))
      continue;
    const std::string form = form_of(code);
    if (form.front() == '1' || form != form_of(sample.code[i - 1])) continue;
    // `KEEP RELAYS` behind `C1 7` is a title: rows are called by codes.
    if (has_digit(first_cell_of(sample.code[i - 1])) && !has_digit(first_cell_of(code))) continue;
    std::size_t next = n + 1;
    while (next < text_lines.size() && !rows[text_lines[next]] &&
           text_lines[next] == text_lines[next - 1] + 1 && form == form_of(sample.code[text_lines[next]]))
      ++next;
    const bool last = next == text_lines.size() || text_lines[next] != text_lines[next - 1] + 1;
    if (!last && !(rows[text_lines[next]] && form == form_of(sample.code[text_lines[next]]))) continue;
    for (std::size_t row = n; row < next; ++row) rows[text_lines[row]] = true;
  }
}

// `DOOR     CLOSED` and `COOLANT  OFF` above `FEED     5000`: two such lines or more, which begin their
// second word at one place, are rows. One is more likely a heading.
void add_words_above(const Sample& sample, std::vector<bool>& rows) {
  constexpr std::size_t fewest = 2;
  const auto place = [&](std::size_t i) -> std::size_t {
    const std::string_view text = sample.lines[i].text;
    const bool pair = !sample.code[i].empty() && form_of(sample.code[i]) == "  A" && words_in(text) == 2;
    return pair ? reader::trim(text).rfind(' ') + 1 + text.find_first_not_of(" \t") : 0;
  };
  for (std::size_t first = 1; first < rows.size(); ++first) {
    if (!rows[first] || rows[first - 1] || place(first) == 0) continue;
    std::size_t top = first;
    while (top > 0 && place(top - 1) == place(first)) --top;
    const auto title = [](std::string_view word) { return is_column_title(word); };
    if (top < first && (title(sample.code[top].substr(0, sample.code[top].find(' '))) ||
                        title(sample.code[top].substr(sample.code[top].rfind(' ') + 1))))
      ++top;
    if (first - top < fewest) continue;
    std::fill(rows.begin() + static_cast<std::ptrdiff_t>(top),
              rows.begin() + static_cast<std::ptrdiff_t>(first), true);
  }
}

// `S01  NO` above `S03  7.4155`: called by a code as the rows below are.
void add_codes_above(const Sample& sample, std::vector<bool>& rows) {
  for (std::size_t first = rows.size(); first-- > 1;) {
    const std::string begins = beginning_of_row(sample.code[first]);
    if (!rows[first] || rows[first - 1] || is_digit(begins.front()) || !has_digit(begins)) continue;
    const std::string& above = sample.code[first - 1];
    rows[first - 1] = words_in(above) > 0 && beginning_of_row(above) == begins &&
                      first_cell_of(above).size() < reader::trim(above).size();
  }
}

// "160 PARAMETERS LISTED" behind the rule that closes a long table.
void drop_feet(const Sample& sample, std::vector<bool>& rows) {
  constexpr std::size_t longest_foot = 4;
  constexpr std::ptrdiff_t fewest_rows = 8;
  std::size_t rule = rows.size();
  std::size_t lines = 0;
  while (rule > 0 && !is_rule(reader::trim(sample.lines[rule - 1].text))) {
    --rule;
    if (!sample.code[rule].empty() && ++lines > longest_foot) return;
  }
  if (rule < 2 || !rows[rule - 2] || lines == 0) return;
  const auto behind = rows.begin() + static_cast<std::ptrdiff_t>(rule);
  if (std::count(rows.begin(), behind, true) < fewest_rows) return;
  const std::string form_above = form_of(sample.code[rule - 2]);
  std::size_t last = rows.size();
  for (std::size_t i = rule; i < rows.size(); ++i) {
    if (!rows[i] || form_of(sample.code[i]) == form_above) continue;
    if (last < rows.size() || has_value(sample.code[i])) return;  // another table, however short
    last = i;
  }
  if (last < rows.size()) rows[last] = false;
}

// "EXT  -4.5661  -0.0379" right above `G54  -0.0154  -0.8017`: a word, and values with points behind it.
void add_words_with_numbers(const Sample& sample, std::vector<bool>& rows) {
  const auto is_row = [&](std::size_t i) {
    const Cells cells = cells_by(sample.code[i], ' ');
    return cells.size() > 2 && is_alpha(cells.front().front()) &&
           std::all_of(cells.begin() + 1, cells.end(),
                       [](const std::string& cell) { return is_number(cell); }) &&
           std::any_of(cells.begin() + 1, cells.end(),
                       [](const std::string& cell) { return cell.find('.') != std::string::npos; });
  };
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const bool beside = (i > 0 && rows[i - 1]) || (i + 1 < rows.size() && rows[i + 1]);
    if (!rows[i] && beside && !sample.code[i].empty() && is_row(i)) rows[i] = true;
  }
}

}  // namespace

bool is_date_or_time(std::string_view token) {
  std::size_t digits = 0;
  std::size_t signs = 0;
  bool colon = false;
  char sign = 0;
  for (std::size_t i = 0; i < token.size(); ++i) {
    if (is_digit(token[i])) {
      ++digits;
      continue;
    }
    const bool inner = i > 0 && i + 1 < token.size() && is_digit(token[i - 1]) && is_digit(token[i + 1]);
    if (!inner || std::string_view("./-:").find(token[i]) == std::string_view::npos) return false;
    if (sign != 0 && token[i] != sign) return false;  // 12/5.5
    sign = token[i];
    colon = colon || token[i] == ':';
    ++signs;
  }
  constexpr std::size_t longest_time = 5;  // 06:55, and no 1:4000
  return signs == 2 ? digits > 4
                    : signs == 1 && colon && digits > 2 && token.size() <= longest_time &&
                          token[token.size() - 3] == ':';
}

std::string beginning_of_row(std::string_view line) {
  const std::string_view text = reader::trim(line);
  std::string out;
  for (const char c : text.substr(0, text.find_first_of(" \t,;|="))) {
    if (!is_digit(c) || out.empty() || out.back() != '9') out += is_digit(c) ? '9' : c;
  }
  return out.empty() ? " " : out;
}

bool is_no_value(std::string_view cell) {
  return cell.find('-') != std::string_view::npos && cell.find_first_not_of("-.") == std::string_view::npos;
}

bool is_of_machine(std::string_view code) {
  return says_heading(code) || is_dated(code);
}

bool says_end(std::string_view code) {
  constexpr std::array<std::string_view, 11> words = {"end",  "ende",  "fin",    "fine",       "eof", "konec",
                                                      "eind", "einde", "koniec", "endprogram", "slut"};
  if (code.starts_with("</") || code.starts_with("[/")) return true;
  code.remove_prefix(std::min(code.find_first_not_of("$#%*=-:<[( "), code.size()));
  const std::string first = lower(code.substr(0, code.find_first_of(" \t$#%*=-")));
  if (std::find(words.begin(), words.end(), first) == words.end()) return false;
  // "END MILL 12", "END STOP X": things of a machine.
  constexpr std::array<std::string_view, 9> things = {"mill",  "mills",  "stop",   "stops", "position",
                                                      "limit", "limits", "switch", "cutter"};
  const std::string_view rest = reader::trim(code.substr(first.size()));
  const std::string second = lower(rest.substr(0, rest.find_first_of(" \t.:=,;")));
  return std::find(things.begin(), things.end(), second) == things.end();
}

bool has_value(std::string_view line) {
  for (std::string_view left = reader::trim(line); !left.empty();) {
    const std::size_t end = std::min(left.find_first_of(" \t,;|=:"), left.size());
    const std::string_view token = left.substr(0, end);
    if (token.find_first_of(".+-") != std::string_view::npos && canonical_number(token)) return true;
    left = reader::trim(left.substr(std::min(end + 1, left.size())));
  }
  return false;
}

char row_kind(std::string_view code) {
  const std::string_view text = reader::trim(code);
  if (text.empty() || is_rule(text) || begins_as_rule(text) || is_page_line(text)) return 0;
  if (text.front() == '[' && text.back() == ']') return '[';
  const std::size_t equals = text.find('=');
  const bool empty =
      equals + 1 == text.size() && has_digit(text) && text.find_first_of(" \t") == std::string_view::npos;
  if (equals != std::string_view::npos && equals > 0 && text[0] != '=' && (equals + 1 < text.size() || empty))
    return '=';
  std::vector<SurveyWord> words;
  if ((words_of_line(text, words) && !has_parted_numbers(text)) ||
      (text.front() == ':' && all_digits(text.substr(1))))
    return 'W';
  if (is_code_and_words(text)) return 'C';
  if (is_packed(text)) return 'P';
  if (is_parted_by_sign(text) && !is_date_or_time(text)) return 'S';
  if (is_numbered_remark(text)) return 0;
  if (is_code_and_colon(text)) return 'S';
  if (!is_numbered_row(text) && (says_heading(text) || is_dated(text))) return 0;
  return has_leader(text) || is_pair_in_bars(text) ? ':' : table_kind(text);
}

bool keys_come_again(const Sample& sample) {
  const std::vector<bool> rows = rows_of(sample);
  std::set<std::string_view> above;  // first cells of the blocks of rows above
  std::set<std::string_view> here;
  std::size_t again = 0;
  const auto close = [&] {
    std::size_t known = 0;
    for (const std::string_view key : here) known += above.contains(key) ? 1U : 0U;
    again += known * 2 >= here.size() && !here.empty() ? 1U : 0U;
    above.merge(here);
    here.clear();
  };
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (!rows[i]) {
      close();
      continue;
    }
    const std::string_view code = sample.code[i];
    if (!here.insert(code.substr(0, code.find_first_of(" \t=:;,|"))).second) return false;
  }
  close();
  return again > 0;
}

std::vector<bool> rows_under_titles(const Sample& sample) {
  constexpr std::size_t fewest = 3;
  for (const char sign : std::string_view(",;\t")) {
    std::vector<bool> rows(sample.lines.size(), false);
    std::size_t cells = 0;
    std::size_t count = 0;
    for (std::size_t i = 0; i < sample.lines.size(); ++i) {
      if (sample.code[i].empty()) continue;
      const std::size_t here = cells_by(sample.code[i], sign).size();
      if (cells == 0 && here > 1 && !has_digit(sample.code[i])) {
        cells = here;
        continue;
      }
      if (here != cells || here < 2) {
        count = 0;
        break;
      }
      rows[i] = true;
      ++count;
    }
    if (count >= fewest) return rows;
  }
  return {};
}

std::vector<bool> rows_of(const Sample& sample) {
  const std::size_t size = sample.lines.size();
  if (std::vector<bool> rows = rows_under_titles(sample); !rows.empty()) return rows;
  std::vector<char> kinds(size, 0);
  std::map<char, std::size_t> times;
  std::vector<std::size_t> text_lines;  // lines that are neither blank nor comment
  for (std::size_t i = 0; i < size; ++i) {
    if (sample.code[i].empty()) continue;
    kinds[i] = row_kind(sample.code[i]);
    ++times[kinds[i]];
    text_lines.push_back(i);
  }
  // Few of many lines that have a colon or dots are no settings, nor are fewer than the rows of a table.
  const bool table = std::any_of(times.begin(), times.end(), [&](const auto& each) {
    return (each.first == '1' || each.first == '2' || each.first == 'M') && each.second > times[':'];
  });
  if (table || times[':'] * 4 < text_lines.size()) {
    for (const std::size_t i : text_lines) {
      if (kinds[i] != ':') continue;
      kinds[i] = table_kind(sample.code[i]);
      ++times[kinds[i]];
    }
    times[':'] = 0;
  }
  // A title above a blank line, which has a number in it and not the form of the rows below.
  for (std::size_t n = 0; n + 1 < text_lines.size(); ++n) {
    const std::size_t i = text_lines[n];
    if (i + 1 >= size || text_lines[n + 1] == i + 1 || !is_title_kind(kinds[i])) break;
    const bool settings = is_title_kind(kinds[text_lines[n + 1]]);  // whose names begin with a word, too
    if (kinds[i] != 0 && settings && words_in(sample.code[i]) < fewest_of_title) break;
    if (form_of(sample.code[i]) == form_of(sample.code[text_lines[n + 1]])) break;
    --times[kinds[i]];
    kinds[i] = 0;
  }
  // "SUM=1250" behind the rows of a table.
  if (!text_lines.empty() && times['='] == 1 && kinds[text_lines.back()] == '=' &&
      text_lines.size() > fewest_of_title && times['1'] + times['2'] + times['M'] > 2) {
    kinds[text_lines.back()] = 0;
    times['='] = 0;
  }
  // A name in brackets begins a section of settings, and is a heading over anything else.
  const char section = times['='] > 0 ? '=' : '\0';
  std::replace(kinds.begin(), kinds.end(), '[', section);
  times[section] += times['['];
  std::vector<bool> rows(size, false);
  const std::size_t enough = std::max<std::size_t>(2, text_lines.size() / 4);
  for (std::size_t n = 0; n < text_lines.size(); ++n) {
    const char kind = kinds[text_lines[n]];
    if (kind == 0) continue;
    const bool beside = (n > 0 && kinds[text_lines[n - 1]] == kind) ||
                        (n + 1 < text_lines.size() && kinds[text_lines[n + 1]] == kind);
    const bool numbers = kind == '1' && times[kind] > 1;  // alone on its page, as the last of a table
    rows[text_lines[n]] =
        beside || numbers || times[kind] > enough || text_lines.size() == 1 || kind == '=' || kind == 'W';
  }
  add_words_among(sample, text_lines, rows);
  add_words_above(sample, rows);
  add_codes_above(sample, rows);
  add_words_with_numbers(sample, rows);
  drop_feet(sample, rows);
  return rows;
}

}  // namespace keepway::layout
