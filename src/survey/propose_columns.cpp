// Proposals for tables: each way of parting columns that a sample may have, written as a source.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>

#include "base/digit.hpp"
#include "base/encoding.hpp"
#include "keepway/decimal.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/table.hpp"

namespace keepway::layout {
bool says_work(const Sample& sample) {
  constexpr std::array<std::string_view, 13> words = {"work",    "zero",        "null",  "origin", "origen",
                                                      "nulp",    "nulev",       "noll",  "cero",   "nulovy",
                                                      "fixture", "datum shift", "datums"};
  const auto any = [&](std::string_view text) {
    const std::string low = lower(in_ascii(Encoding(sample.encoding).to_utf8(text)));
    return std::any_of(words.begin(), words.end(),
                       [&](std::string_view word) { return low.find(word) != std::string::npos; });
  };
  if (any(sample.name)) return true;
  const std::vector<bool> rows = rows_of(sample);
  for (std::size_t i = 0; i < sample.lines.size() && !rows[i]; ++i) {
    if (any(sample.lines[i].text)) return true;
  }
  return false;
}

bool is_cell_name(std::string_view key) {
  constexpr std::string_view letters = "RVQ#";
  return key.size() > 1 && letters.find(upper(key.front())) != std::string_view::npos &&
         all_digits(key.substr(1));
}

namespace {

// The keys of a [[source]] that reads a table.
class TableSource {
 public:
  explicit TableSource(const Table& table) : table_(table) {}

  [[nodiscard]] std::string all_names() const {
    std::string all;
    for (const std::string& name : table_.names) all += name + " ";
    return all;
  }

  [[nodiscard]] Group group(std::vector<Guess>& guesses, std::string& prefix) const {
    const std::string names = all_names();
    const auto says = [&](std::string_view word) { return names.find(word) != std::string::npos; };
    const bool work_keys = std::any_of(table_.rows.begin(), table_.rows.end(), [&](const Cells& row) {
      return row[table_.key[0]].size() >= 3 &&
             (row[table_.key[0]].starts_with("G5") || row[table_.key[0]].starts_with("g5"));
    });
    const auto named = group_in_name(table_.sample.name);
    const bool tools = says("tool") || says("length") || says("diam") || says("pocket") || says("radius") ||
                       (table_.titled && table_.names[table_.key[0]] == "t");
    // As a column's title: in a heading, the German "Datum" is the date.
    const bool datums = table_.titled && table_.names[table_.key[0]] == "datum";
    if (work_keys || has_zero_points() ||
        (!tools && has_axes_alone() && (datums || says_work(table_.sample)))) {
      prefix = "work/";
      return Group::offsets;
    }
    if (!tools && !table_.titled && table_.width > 2 && named == Group::offsets && says_work(table_.sample)) {
      prefix = "work/";
      guesses.push_back({"that its rows are zero points: only a name says so", "address"});
      return Group::offsets;
    }
    if (tools || named == Group::offsets) {
      prefix = tools || table_.width > 2 ? "tool/" : "";
      if (!tools) guesses.push_back({"that its rows are tools: only a name says so", "address"});
      return Group::offsets;
    }
    const bool cells = std::all_of(table_.rows.begin(), table_.rows.end(),
                                   [&](const Cells& row) { return is_cell_name(row[table_.key[0]]); });
    const Group found = group_of(table_.sample, cells ? Group::variables : Group::parameters, guesses);
    if (found == Group::offsets && table_.width > 2) {
      prefix = "tool/";
      guesses.push_back({"that its rows are tools: only the heading says so", "address"});
    }
    return found;
  }

  [[nodiscard]] Candidate made() const {
    Candidate made;
    made.reader = ReaderKind::columns;
    made.header_lines = table_.header.size();
    std::string prefix;
    made.group = group(made.guesses, prefix);
    guess_names(made.guesses);
    add_lines_and_signs(made);
    made.keys += key_line("columns", columns());
    if (is_always_whole()) {
      made.keys +=
          key_line("size", std::to_string(table_.rows.size()), "rows that the control always prints");
      made.guesses.push_back(
          {fmt::format("that the table always has {} rows: the last ones are all 0", table_.rows.size()),
           "size"});
    }
    const std::vector<Value> values = all_values();
    const std::string counted = increment_of(values).line(made.group, made.guesses);
    made.keys += counted;
    std::string address = prefix;
    for (std::size_t i = 0; i < table_.key.size(); ++i)
      address += fmt::format("{}{{{}}}", i > 0 ? "/" : "", table_.names[table_.key[i]]);
    made.keys += key_line("address", toml_quoted(address),
                          fmt::format("key: the column {}", table_.names[table_.key[0]]));
    made.keys += key_line("fields", fields(values, !counted.empty()));
    return made;
  }

  void guess_names(std::vector<Guess>& guesses) const {
    if (!table_.titled) guesses.push_back({"the columns' names: no heading gives them", "columns"});
    if (table_.titled && table_.twice)
      guesses.push_back({"the names with -2: the heading has them twice", "columns"});
    if (!table_.titled && may_cut_texts())
      guesses.push_back({"where one text ends and the next begins", "columns"});
  }

  // What is no row, and what parts the columns.
  void add_lines_and_signs(Candidate& made) const {
    made.keys = skip_line(table_.sample, false) + comment_line(table_.sample.openers);
    if (table_.headed) {
      const std::uint64_t first = table_.lines.front().number;
      made.keys += key_line("header", std::to_string(first - 1), "lines above the first row");
    }
    constexpr std::string_view splits[] = {"blanks", "tab", "comma", "fixed"};
    const bool sign = table_.split == Split::comma && table_.separator != ',';
    const std::string_view parted = table_.separator == ';'   ? "semicolon"
                                    : table_.separator == '|' ? "bar"
                                    : sign                    ? std::string_view(&table_.separator, 1)
                                           : splits[static_cast<std::size_t>(table_.split)];
    made.keys += key_line("split", toml_quoted(parted));
    if (table_.across > 1) {
      made.keys += key_line("across", std::to_string(table_.across), "records side by side in a line");
      made.guesses.push_back(
          {fmt::format("that {} records are side by side in a line", table_.across), "across"});
    }
    if (!table_.between.empty())
      made.keys += key_line("between", toml_list(table_.between), "signs between the columns, no data");
    if (!table_.no_value.empty())
      made.keys += key_line("no_value", toml_list(table_.no_value), "stand in cells without a value");
    if (table_.carried) {
      made.keys += key_line("carried", "true", "rows without a key have that of the row above");
      made.guesses.push_back({"that a row without a number has that of the row above", "carried"});
    }
    if ((table_.split != Split::blanks || !table_.no_value.empty()) && has_empty_row())
      made.keys += key_line("empty_rows", "true", "rows that have their key alone");
  }

  [[nodiscard]] std::string columns() const {
    std::vector<std::string> all;
    for (std::size_t i = 0; i < table_.width; ++i) {
      if (table_.split != Split::fixed) {
        all.push_back(toml_quoted(table_.names[i]));
        continue;
      }
      // Up to the next column: longer values than those seen fit, too.
      const std::size_t at = i > 0 ? table_.columns[i - 1].at + table_.columns[i - 1].width : 0;
      const bool alone = table_.between.empty();  // else what is before the column is no data
      const std::size_t from = alone ? at : first_free(i);
      const std::size_t width = table_.columns[i].at + table_.columns[i].width - from;
      all.push_back(
          fmt::format("{{ name = {}, at = {}, width = {} }}", toml_quoted(table_.names[i]), from, width));
    }
    return table_.split == Split::fixed ? fmt::format("[\n  {},\n]", fmt::join(all, ",\n  "))
                                        : fmt::format("[{}]", fmt::join(all, ", "));
  }

  struct Value {
    std::size_t column = 0;
    std::string name;  // empty: the row's own value
    std::string_view kind;
  };
  // Of the columns that are neither keys nor marks.
  [[nodiscard]] std::vector<Value> all_values() const {
    const auto marks =
        static_cast<std::size_t>(std::count(table_.kinds.begin(), table_.kinds.end(), What::mark));
    const std::size_t count = table_.width - table_.key.size() - marks;
    std::vector<Value> values;
    for (std::size_t i = 0; i < table_.width; ++i) {
      if (!holds_value(i)) continue;
      const bool text = table_.kinds[i] == What::text;
      const bool note = text && count > 1;
      const bool own = count == 1 || (count == 2 && !note && last_is_note(i));
      const std::string_view kind = text                           ? "text"
                                    : table_.kinds[i] == What::any ? "any"
                                    : is_small(i)                  ? "whole"
                                                                   : "number";
      values.push_back({i, own ? "" : table_.names[i], kind});
    }
    return values;
  }

  [[nodiscard]] IncrementGuess increment_of(const std::vector<Value>& values) const {
    IncrementGuess increment;
    for (const Value& value : values) {
      if (value.kind != "number" && value.kind != "any") continue;
      for (const Cells& row : table_.rows) {
        if (value.column < row.size() && is_number(row[value.column])) increment.see(row[value.column]);
      }
    }
    return increment;
  }

  // `counted`: a number without a point is counted in an increment, which whole numbers are not.
  [[nodiscard]] std::string fields(const std::vector<Value>& values, bool counted) const {
    std::vector<std::string> all;
    for (const Value& value : values) {
      const std::string& from = table_.names[value.column];
      const bool plain = value.kind == "number" || (value.kind == "whole" && !counted);
      all.push_back(plain ? fmt::format("{} = {}", from, toml_quoted(value.name))
                          : fmt::format("{} = {{ name = {}, kind = {} }}", from, toml_quoted(value.name),
                                        toml_quoted(value.kind)));
    }
    return fmt::format("{{ {} }}", fmt::join(all, ", "));
  }

  // Numbered without a gap, and the last rows all 0: printed for each place, used or not.
  [[nodiscard]] bool is_always_whole() const {
    constexpr std::size_t fewest = 8;
    constexpr std::size_t unused = 2;
    const auto& rows = table_.rows;
    if (rows.size() < fewest || table_.key.size() != 1) return false;
    const std::size_t key = table_.key.front();
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const auto number = Decimal::parse(rows[i][key]);
      if (!is_whole(rows[i][key]) || !number) return false;
      if (i == 0 && rows[i][key].find_first_not_of("01") != std::string::npos) return false;
      if (i > 0 && *number - *Decimal::parse(rows[i - 1][key]) != *Decimal::parse("1")) return false;
    }
    const auto is_unused = [&](const Cells& row) {
      for (std::size_t i = 0; i < std::min(row.size(), table_.width); ++i) {
        const bool number = i != key && (table_.kinds[i] == What::whole || table_.kinds[i] == What::number);
        if (number && (row[i].empty() || canonical_number(row[i]) != "0")) return false;
        if (table_.kinds[i] == What::any) return false;
      }
      return true;
    };
    return std::all_of(rows.end() - static_cast<std::ptrdiff_t>(unused), rows.end(), is_unused);
  }

  // "AXIS  G54  G55  G56": a zero point a column.
  [[nodiscard]] bool has_zero_points() const {
    return all_names([](const std::string& name) {
      return (name.size() == 3 && name.starts_with("g5")) || name == "ext";  // the shift of all of them
    });
  }

  // X, Y, Z and no more, as of zero points.
  [[nodiscard]] bool has_axes_alone() const {
    return all_names([](const std::string& name) {
      return name.size() == 1 && std::string_view("xyzabcuvw").find(name) != std::string::npos;
    });
  }

  // Whether a heading names the columns that hold values, each such a name.
  template <typename Is>
  [[nodiscard]] bool all_names(const Is& is) const {
    for (std::size_t i = 0; i < table_.width; ++i) {
      if (holds_value(i) && !is(table_.names[i])) return false;
    }
    return table_.titled;
  }

  // A column that is neither a part of the key nor a mark.
  [[nodiscard]] bool holds_value(std::size_t i) const {
    return std::find(table_.key.begin(), table_.key.end(), i) == table_.key.end() &&
           table_.kinds[i] != What::mark;
  }

  // A row of which only the key is there, as of a place without a tool. "SPINDLE" among numbers is none.
  [[nodiscard]] bool has_empty_row() const {
    const std::size_t key = table_.key.front();
    return std::any_of(table_.rows.begin(), table_.rows.end(), [&](const Cells& row) {
      if (key < row.size() && !has_digit(row[key]) && is_number(table_.rows.front()[key])) return false;
      for (std::size_t i = 0; i < std::min(table_.width, row.size()); ++i) {
        if (holds_value(i) && !row[i].empty()) return false;
      }
      return true;
    });
  }

  // Two texts side by side in fixed columns may be one of several words.
  [[nodiscard]] bool may_cut_texts() const {
    for (std::size_t i = 1; table_.split == Split::fixed && i < table_.width; ++i) {
      if (table_.kinds[i - 1] == What::text && table_.kinds[i] == What::text) return true;
    }
    return false;
  }

  // A column of whole numbers so small that they count in no increment: a pocket, a code.
  [[nodiscard]] bool is_small(std::size_t column) const {
    constexpr std::size_t most_digits = 3;
    bool any = false;
    for (const Cells& row : table_.rows) {
      if (column >= row.size() || row[column].empty()) continue;
      const auto digits =
          static_cast<std::size_t>(std::count_if(row[column].begin(), row[column].end(), is_digit));
      if (!is_whole(row[column]) || digits > most_digits || row[column][0] == '-') return false;
      any = any || row[column] != "0";
    }
    return any;
  }

  // Where a column of fixed width may begin: behind what any row has before it.
  [[nodiscard]] std::size_t first_free(std::size_t column) const {
    const std::size_t end = table_.columns[column].at;
    std::size_t from = end;
    const auto blank = [&](const Table::Line& line) {
      return from > line.text.size() || reader::is_gap(line.text[from - 1]);
    };
    while (from > 0 && std::all_of(table_.lines.begin(), table_.lines.end(), blank)) --from;
    return from;
  }

  // Of two values the other is the row's note: `47 1 door switch`.
  [[nodiscard]] bool last_is_note(std::size_t value) const {
    return table_.kinds.back() == What::text && value + 1 != table_.width && !table_.titled;
  }

  const Table& table_;
};

// `01/120.5/6.0`: signs that part all lines but a few into as many cells.
std::string parting_signs(const Sample& sample) {
  const std::size_t code_lines = sample.code_lines();
  std::string found;
  for (const char sign : std::string_view("/*$!\\^~&")) {
    std::map<std::ptrdiff_t, std::size_t> lines;  // by how many signs they have
    for (const std::string& code : sample.code) {
      if (!code.empty()) ++lines[std::count(code.begin(), code.end(), sign)];
    }
    lines.erase(0);
    const bool is_common = std::any_of(lines.begin(), lines.end(), [&](const auto& each) {
      return each.second > 1 && each.second * 5 >= code_lines * 3;
    });
    if (is_common) found += sign;
  }
  return found;
}

}  // namespace

Candidates propose_columns(const Sample& sample) {
  std::size_t tabs = 0;
  std::size_t commas = 0;
  std::size_t semicolons = 0;
  std::size_t bars = 0;
  for (std::size_t i = 0; i < sample.lines.size(); ++i) {
    if (sample.code[i].empty()) continue;
    tabs += sample.lines[i].text.find('\t') != std::string_view::npos ? 1 : 0;
    commas += sample.lines[i].text.find(',') != std::string_view::npos ? 1 : 0;
    semicolons += sample.code[i].find(';') != std::string::npos ? 1 : 0;
    bars += sample.code[i].find('|') != std::string::npos ? 1 : 0;
  }
  Candidates found;
  const auto add = [&](Split split, char separator = ',') {
    Table table(sample, split, separator);
    if (table.understand()) found.push_back(TableSource(table).made());
  };
  const std::size_t lines = sample.code_lines();
  if (tabs * 2 >= lines && lines > 0) add(Split::tab);
  if (commas * 2 >= lines && lines > 0) add(Split::comma);
  if (semicolons * 2 >= lines && lines > 0) add(Split::comma, ';');
  if (bars * 2 >= lines && lines > 0) add(Split::comma, '|');
  add(Split::blanks);
  add(Split::fixed);
  for (const char sign : parting_signs(sample)) add(Split::comma, sign);
  return found;
}

}  // namespace keepway::layout
