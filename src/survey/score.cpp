// What a reading with a proposal is worth. A proposal that leaves nothing unread may still be wrong: a
// heading may have become an item, or a number a text.
#include <algorithm>
#include <map>
#include <set>

#include "base/digit.hpp"
#include "keepway/decimal.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

constexpr std::size_t of_unread = 20;
constexpr std::size_t of_heading = 20;
constexpr std::size_t of_type = 10;
constexpr std::size_t of_word = 2;  // among numbers: more than a line that is skipped
constexpr std::size_t of_swallowed = 5;
constexpr std::size_t of_repeat = 10;
constexpr std::size_t of_empty_rows = 5;
constexpr std::size_t of_remark = 20;  // "; FEED" as a column: what opens a remark elsewhere

// The field's name: what is behind the last slash, where a row has several values.
std::string field_of(const Origin& origin) {
  return std::to_string(origin.source) + "/" + std::to_string(origin.from);
}

// The letter of "X+0430.023", which is a column's name; of "T01" it may be a part of a code. 0: none.
char letter_of_number(std::string_view text) {
  const bool number = text.size() > 2 && is_letter(text[0]) && text.find_first_of("+-.") < text.size() &&
                      canonical_number(text.substr(1));
  return number ? text[0] : '\0';
}

// The key without the name of a field, in which a digit says nothing of the row: "X" of `work/X/g54`.
std::string_view row_key(const Layout& layout, const Origin& origin) {
  const Source& source = layout.sources[origin.source];
  std::string_view key = origin.key;
  if (source.reader == ReaderKind::columns && !from_of(origin, source).empty())
    key = key.substr(0, key.rfind('/'));
  return key;
}

// Rows that have several values with a point, and so are no headings, whatever they are called: "EXT".
std::set<std::pair<std::uint32_t, std::string_view>> rows_of_numbers(const Layout& layout,
                                                                     const Reading& reading) {
  std::map<std::pair<std::uint32_t, std::string_view>, std::size_t> counts;
  std::set<std::pair<std::uint32_t, std::string_view>> found;
  for (const Origin& origin : reading.origins) {
    if (is_unread(origin.key) || origin.group == Group::programs) continue;
    const Item* item = find_item(*reading.state.table(origin.group), origin.key);
    const bool pointed =
        item != nullptr && item->value.find('.') != std::string::npos && canonical_number(item->value);
    const std::pair row{origin.source, row_key(layout, origin)};
    if (pointed && ++counts[row] > 1) found.insert(row);
  }
  return found;
}

struct Column {
  std::size_t numbers = 0;
  std::size_t texts = 0;
  std::size_t swallowed = 0;  // texts that hold several numbers
  std::size_t inside = 0;     // texts with a number among their words
  std::size_t length = 0;     // of the first value
  bool same_length = true;    // of all
  char label = 0;             // the letter before a number, of all values; '\0' where they have none
  bool zeros = false;         // are in front of a value
  std::uint32_t source = 0;
  bool text_kind = false;
  bool number_kind = false;  // with texts, too: of any kind
  bool is_table = false;     // rather than settings of all kinds
};

// "5.125 0.5 drill": what columns should have parted.
bool holds_numbers(std::string_view text) {
  std::size_t numbers = 0;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find_first_of(" \t,;|"), text.size());
    if (!canonical_number(text.substr(0, end))) break;
    ++numbers;
    text.remove_prefix(std::min(text.find_first_not_of(" \t,;|", end), text.size()));
  }
  return numbers > 1 || (numbers == 1 && !text.empty());
}

// "X-300.5,Y-122.25", "X-300.5:Y-122.25": words that are a row of their own.
bool holds_words(std::string_view text) {
  if (text.find_first_of(",:") == std::string_view::npos) return false;
  std::string blanks(text);
  std::replace_if(
      blanks.begin(), blanks.end(), [](char c) { return c == ',' || c == ':'; }, ' ');
  std::vector<SurveyWord> words;
  return words_of_line(blanks, words) && words.size() > 1;
}

// The line that a span is in.
std::string_view line_at(std::string_view bytes, std::size_t at) {
  at = std::min(at, bytes.size());
  std::size_t begin = at;
  while (begin > 0 && bytes[begin - 1] != '\n' && bytes[begin - 1] != '\r') --begin;
  return bytes.substr(begin, std::min(bytes.find_first_of("\r\n", at), bytes.size()) - begin);
}

// Blanks, or dots that lead from one to the other, that look as if they parted cells.
bool is_parted(std::string_view text) {
  return text.find("  ") != std::string_view::npos || text.find('\t') != std::string_view::npos ||
         text.find("...") != std::string_view::npos;
}

// "120.5 RAD=6.0", "4000 mm/min": a value, and more that another reader could part from it.
bool runs_on(std::string_view text) {
  const std::size_t end = std::min(text.find_first_of(" \t,;"), text.size());
  return end < text.size() && canonical_number(text.substr(0, end));
}

// "[12]", "( 3)".
bool is_number_in_signs(std::string_view text) {
  const std::size_t begin = text.find_first_not_of("[](){}<>:;#* ");
  const std::size_t end = text.find_last_not_of("[](){}<>:;#* ");
  return begin != std::string_view::npos && end + 1 - begin < text.size() &&
         canonical_number(text.substr(begin, end + 1 - begin));
}

// "MAX FEED X 12000": numbers among words.
std::size_t numbers_inside(std::string_view text) {
  std::size_t found = 0;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find_first_of(" \t,;"), text.size());
    found += canonical_number(text.substr(0, end)) ? 1U : 0U;
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return found;
}

// "1:120.5", "0100:/c2", "TOOL 1: LEN", "12 (COOLANT)": a sign that parts a number from what is behind it.
bool has_open_sign(std::string_view key) {
  const std::size_t bracket = key.find(" (");
  if (bracket != std::string_view::npos && all_digits(key.substr(0, bracket))) return true;
  for (std::size_t at = key.find_first_of(":=,;"); at != std::string_view::npos;
       at = key.find_first_of(":=,;", at + 1)) {
    const bool value = at + 1 < key.size() && key[at] == ':' && (is_digit(key[at + 1]) || key[at + 1] == '-');
    if (at > 0 && is_digit(key[at - 1]) &&
        (at + 1 == key.size() || key[at + 1] == '/' || key[at + 1] == ' ' || value))
      return true;
  }
  return false;
}

// "T001+0120.5-006.0": values that a key holds.
bool has_packed_numbers(std::string_view key) {
  const std::size_t sign = key.find_first_of("+-", 1);
  if (key.empty() || sign == std::string_view::npos || sign + 1 == key.size()) return false;
  if (!is_digit(key[sign - 1]) || !is_digit(key[sign + 1])) return false;
  return key[sign] == '+' || key.find('.', sign) != std::string_view::npos;
}

// `H02` in the row of `H01`: the key of another record in its line.
bool is_another_key(std::string_view key, std::string_view value) {
  const std::size_t digit = std::min(value.find_first_of("0123456789"), value.size());
  const bool code = digit > 0 && digit < value.size() && all_digits(value.substr(digit)) &&
                    std::all_of(value.begin(), value.begin() + static_cast<std::ptrdiff_t>(digit), is_letter);
  const std::size_t at = key.rfind('/', key.rfind('/') - 1) + 1;  // npos + 1 is 0
  return code && key.substr(at).starts_with(value.substr(0, digit)) && at + digit < key.size() &&
         is_digit(key[at + digit]);
}

// "TIME 09:42" as the value 42: `value` is in the line.
bool is_in_time(std::string_view line, std::string_view value) {
  const std::size_t at = line.rfind(value);
  return value.size() == 2 && all_digits(value) && at != std::string_view::npos && at > 3 &&
         line[at - 1] == ':' && all_digits(line.substr(at - 3, 2)) &&
         (line[at - 4] == ' ' || line[at - 4] == '\t');
}

// A heading that became an item, or cells that nothing parted.
std::size_t faults_of_row(const Origin& origin, const Item& item, std::string_view bytes) {
  const std::string_view line = line_at(bytes, origin.span.at);
  std::size_t faults = is_rule(line) || begins_as_rule(line) || is_page_line(line) ? of_heading : 0;
  if (std::none_of(origin.key.begin(), origin.key.end(), is_alnum)) faults += of_heading;
  if (is_parted(origin.key) || is_parted(item.value) || has_open_sign(origin.key) ||
      has_packed_numbers(origin.key))
    faults += of_swallowed;
  if (is_in_time(line, item.value)) faults += of_heading;
  if (is_another_key(origin.key, item.value)) faults += of_swallowed;
  if (item.value.empty()) faults += of_type;
  if (holds_words(item.value)) faults += of_swallowed;
  if (item.value.size() > 1 && item.value.ends_with('=')) faults += of_swallowed;  // "L=" beside "120.5"
  const bool led =
      !item.value.empty() && std::string_view(">:=").find(item.value[0]) != std::string_view::npos;
  if (item.value.find(": ") != std::string::npos) faults += of_word;        // "FEED: 12"
  if (item.value.find(" = ") != std::string::npos) faults += of_swallowed;  // "(FEED) = 12"
  if (led || item.value.starts_with("- ")) faults += of_swallowed;          // "=> 12", "- FEED: 12"
  if (is_quoted(origin.key.substr(origin.key.rfind('/') + 1)) || is_quoted(item.value))
    faults += of_swallowed;
  const std::string_view key = origin.key;
  if (is_column_title(key.substr(key.rfind('/') + 1)) && is_column_title(item.value)) faults += of_heading;
  return faults;
}

// As the layout has it: one value of many settings may be a word, whatever the others are.
FieldKind kind_of(const Layout& layout, const Origin& origin) {
  const Source& source = layout.sources[origin.source];
  const bool settings = source.reader == ReaderKind::assign || source.reader == ReaderKind::sections;
  const bool plain = settings && source.rows.front().fields.front().kind == FieldKind::number;
  return plain ? FieldKind::number : origin.kind;
}

std::size_t faults_of_columns(const Layout& layout, const Reading& reading, std::string_view bytes) {
  std::map<std::string, Column> columns;
  std::map<std::uint32_t, std::pair<std::size_t, std::size_t>> keys;  // of a source: with digits, without
  std::map<std::uint32_t, std::pair<std::uint64_t, std::uint64_t>> first_lines;  // the same
  std::set<std::uint32_t> with_numbers;
  const std::set<std::pair<std::uint32_t, std::string_view>> of_numbers = rows_of_numbers(layout, reading);
  std::size_t faults = 0;
  for (const Origin& origin : reading.origins) {
    if (is_unread(origin.key)) {
      faults += of_unread;
      continue;
    }
    if (origin.group == Group::programs) continue;
    const Item* item = find_item(*reading.state.table(origin.group), origin.key);
    if (item == nullptr) continue;
    faults += faults_of_row(origin, *item, bytes);
    Column& column = columns[field_of(origin)];
    const ReaderKind reader = layout.sources[origin.source].reader;
    column.source = origin.source;
    column.is_table = reader == ReaderKind::columns || reader == ReaderKind::words;
    (kind_of(layout, origin) == FieldKind::text ? column.text_kind : column.number_kind) = true;
    const bool number = canonical_number(item->value).has_value();
    const char letter = letter_of_number(item->value);
    if (column.numbers + column.texts == 0) {
      column.length = item->value.size();
      column.label = letter;
    }
    if (letter != column.label) column.label = 0;
    column.same_length = column.same_length && column.length == item->value.size();
    column.zeros = column.zeros || (item->value.size() > 1 && item->value.starts_with('0'));
    ++(number ? column.numbers : column.texts);
    column.swallowed += !number && (holds_numbers(item->value) || is_number_in_signs(item->value)) ? 1U : 0U;
    column.inside += !number && numbers_inside(item->value) > 0 ? 1U : 0U;
    if (!column.is_table && !number && (runs_on(item->value) || numbers_inside(item->value) > 1))
      faults += of_swallowed;
    if (column.is_table && number) with_numbers.insert(origin.source);
    const std::string_view row = row_key(layout, origin);
    const bool digit = has_digit(row);
    if (!digit && of_numbers.contains({origin.source, row})) continue;
    auto& [with, without] = keys[origin.source];
    ++(digit ? with : without);
    auto& [line, wordy] = first_lines.try_emplace(origin.source, UINT64_MAX, UINT64_MAX).first->second;
    std::uint64_t& least = digit ? line : wordy;
    least = std::min(least, origin.span.line);
  }
  for (const auto& [name, column] : columns) {
    if (column.label != 0 && column.is_table) faults += of_swallowed * column.texts;
    if (column.text_kind && column.number_kind) {
      faults += of_word * column.texts;
    } else if (column.text_kind && column.same_length && column.zeros) {
      continue;  // bits, or hexadecimal: zeros in front count
    } else if (column.text_kind) {
      if (column.texts == 0) faults += of_type * column.numbers;
      // A stray text makes numbers texts: a heading that was read as a row does that.
      if (column.numbers >= 2 * column.texts) faults += of_type * column.texts;
      // A table without a value, whose texts hold what might be one.
      if (column.is_table && !with_numbers.contains(column.source) && column.inside * 2 > column.texts)
        faults += of_swallowed * column.inside;
      if (column.swallowed * 2 > column.texts) faults += of_swallowed * column.swallowed;
    } else if (column.is_table && column.numbers > 2 * column.texts) {
      faults += of_type * column.texts;
    }
  }
  for (const auto& [source, counts] : keys) {
    const bool above =
        counts.second == 1 && counts.first > 1 && first_lines[source].second < first_lines[source].first;
    if (above || counts.first > 4 * counts.second) faults += of_heading * counts.second;
  }
  return faults;
}

}  // namespace

std::size_t ends_in(std::string_view text) {
  std::size_t ends = 0;
  std::vector<SurveyWord> words;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const std::string_view line = text.substr(at, end - at);
    constexpr std::size_t longest = 12;
    const bool alone = line.size() <= longest && words_of_line(line, words) && words.size() <= 2;
    ends += alone && is_program_end(words.back()) && words.back().number != "99" ? 1U : 0U;
    at = end + 1;
  }
  return ends;
}

std::size_t faults_of(const Layout& layout, const Reading& reading, std::string_view bytes) {
  std::size_t faults = faults_of_columns(layout, reading, bytes);
  for (const Program& program : reading.state.programs)
    faults += of_type * (std::max<std::size_t>(ends_in(program.text.str()), 1) - 1);
  for (const ProgramFacts& program : reading.programs) faults += of_unread * program.unread;
  for (const Oddity& oddity : reading.oddities) {
    if (oddity.kind == OddityKind::repeated_row || oddity.kind == OddityKind::clashing_rows ||
        oddity.kind == OddityKind::clashing_program)
      faults += of_repeat;
  }
  for (const Source& source : layout.sources) {
    const bool remark = std::find(source.between.begin(), source.between.end(), ";") != source.between.end();
    faults += source.skip.size() + (source.empty_rows ? of_empty_rows : 0) + (remark ? of_remark : 0);
  }
  return faults;
}

}  // namespace keepway::layout
