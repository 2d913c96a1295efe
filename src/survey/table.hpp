// A sample as a table: one way of parting columns, what they hold, and what they are called.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "survey/fixed_columns.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {

using Cells = std::vector<std::string>;

// Parted at each separator, or at runs of blanks where it is one. Quotes hold separators together.
Cells cells_by(std::string_view line, char separator);
Cells cells_at(std::string_view line, const std::vector<Stretch>& columns);
bool is_number(std::string_view cell);
bool is_whole(std::string_view cell);
// AUTO, OFF: what may be a setting's value where others have a number.
bool is_word(std::string_view cell);

// "TOOL OFFSETS", "WORK ZERO POINTS": what the whole table is called. "NR   DATA" is two titles.
bool is_title(std::string_view line);
// "+0  +1  +2  +3": what is added to the numbers of the rows below.
bool are_steps(const Cells& titles);
// "NO.  +0  +1  +2": the same behind the title of the numbers.
bool are_titled_steps(const Cells& titles);
// "MACHINE NO 5512", "SHEET 1": a number or a serial, and so no names of columns.
bool has_serial(const Cells& titles);

// What a column holds. A mark is signs alone, the same in all rows, or nothing: no data. Any is numbers, and
// a word in some rows: AUTO, OFF.
enum class What { whole, number, text, mark, any };

class Table {
 public:
  Table(const Sample& sample, Split split, char separator);

  // Rows, kinds, names and key, in this order; false where the sample is no such table.
  bool understand();

  struct Line {
    std::string_view text;
    std::uint64_t number = 0;
  };
  const Sample& sample;
  const Split split;
  const char separator;
  bool headed = false;  // text is above the rows that no pattern skips
  std::vector<Line> header;
  std::vector<Line> lines;
  std::vector<Cells> rows;
  std::vector<Stretch> columns;
  std::vector<std::string> between;
  std::vector<std::string> no_value;  // what stands in cells that have none
  std::size_t width = 0;
  std::size_t across = 1;  // records side by side in a line; rows, width and names are of one
  std::vector<What> kinds;
  std::vector<std::string> names;
  bool titled = false;  // names are a heading's
  bool twice = false;   // which has one of them twice, and nothing above says what of
  std::vector<std::size_t> key;
  bool carried = false;  // rows without a number have that of the row above

 private:
  [[nodiscard]] Cells cells(std::string_view line) const;
  void find_rows();
  void join_untitled();
  [[nodiscard]] bool is_of_steps(std::size_t line) const;
  [[nodiscard]] bool is_word_above_numbers(std::size_t line) const;
  [[nodiscard]] bool has_words_alone() const;
  [[nodiscard]] std::size_t first_of_codes() const;
  [[nodiscard]] bool are_pairs(std::size_t from, std::size_t to) const;  // of lines
  [[nodiscard]] std::size_t first_of_codes_above(std::size_t first) const;
  [[nodiscard]] std::size_t first_of_pairs(std::size_t first) const;
  [[nodiscard]] std::size_t first_of_words(std::size_t first) const;
  void find_records();
  void find_records_between();
  void drop_between(Cells& row) const;
  [[nodiscard]] bool is_across(std::size_t record, std::size_t most) const;
  [[nodiscard]] bool is_across_under_titles(std::size_t record, std::size_t most) const;
  [[nodiscard]] std::size_t blank_width(std::size_t fewest, std::size_t most) const;
  [[nodiscard]] std::size_t titled_width(std::size_t most) const;
  [[nodiscard]] bool begins_behind_key(std::string_view heading) const;
  [[nodiscard]] bool cuts_texts() const;
  void find_no_values();
  void find_kinds();
  void find_flags();
  [[nodiscard]] bool has_letters_before_numbers() const;
  [[nodiscard]] bool has_labels() const;
  [[nodiscard]] bool are_statements() const;
  [[nodiscard]] bool has_words_among_numbers(std::size_t column) const;
  void find_names();
  [[nodiscard]] std::vector<std::string> names_in(std::string_view line, bool again) const;
  [[nodiscard]] std::vector<std::string> names_in_remark() const;
  [[nodiscard]] bool is_two_words(std::string_view line, const Cells& titles) const;
  void add_unit_titles(Cells& titles) const;
  void join_words_above(std::string_view above, std::vector<std::string>& found) const;
  bool name_groups(std::string_view above, std::vector<std::string>& found) const;
  [[nodiscard]] std::string usual_name(std::size_t column, std::size_t n, std::size_t data) const;
  // The column that tells the rows apart, and looks most like one that is meant to.
  bool find_key();
  [[nodiscard]] bool begins_again() const;
  [[nodiscard]] bool has_kinds_of_keys() const;
  [[nodiscard]] bool is_mixed(std::size_t column) const;
  [[nodiscard]] bool is_assigned_behind(std::size_t column) const;
  [[nodiscard]] std::vector<Cells> filled() const;
  [[nodiscard]] bool is_unique(const std::vector<std::size_t>& together) const;
  [[nodiscard]] bool ascends(std::size_t column) const;
  [[nodiscard]] bool is_titled_key(std::size_t column) const;
};

}  // namespace keepway::layout
