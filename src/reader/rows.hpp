// What the table readers share: lines as rows, values as items, the form's demands on numbered keys, and
// the bounds on all of it.
#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "reader/comments.hpp"
#include "reader/lines.hpp"
#include "reader/parts.hpp"
#include "reader/row_shape.hpp"
#include "reader/text.hpp"
#include "reader/value.hpp"

namespace keepway::reader {

inline constexpr std::size_t max_line_bytes = 64 << 10;
inline constexpr std::size_t max_rows = 2'000'000;
// Oddities of one kind that a file may name one by one; the rest are counted.
inline constexpr std::size_t max_named_oddities = 100;

// A line ready to be read. Values are reported as positions in `code`, which are positions in the line.
struct Row {
  Line line;
  std::string_view code;     // without comments
  std::string_view comment;  // in line.text; empty when there is none
};

class Rows {
 public:
  Rows(const Input& input, Output& output);

  // Begins an item row under `key`; its values follow.
  void begin(const Row& row, std::string_view key);
  // A value of that row: `text` lies in row.code, or in row.line.text. `from` as Origin's.
  void value(const Row& row, const Field& field, std::string_view text, std::uint8_t from = 0);
  // The comment, when the source keeps comments.
  void comment(const Row& row);
  void unread(const Row& row);
  void note(OddityKind kind, const Row& row, std::string_view at, std::string detail);
  // What the last line said that names a part (Source::part); empty before the first.
  [[nodiscard]] std::string_view part() const { return part_; }

  // Where an earlier row of the same key in this file is replaced whole by a later one ("the last row
  // stands", NISTIR 6556, 2.3), rather than value by value.
  void replace_whole_rows();

  // Reads all lines of the input: passes over blank lines, comments, marks and the header. `is_row` tells
  // whether a row would be read, without reading it; `read` returns false for a row not understood.
  using IsRow = std::function<bool(const Row&)>;
  using Read = std::function<bool(const Row&)>;
  void read_all(const IsRow& is_row, const Read& read, bool quotes = false);

 private:
  struct Header {
    std::uint64_t first_data_line = 0;
    bool closed = true;  // by a blank line
  };
  struct Begun {
    std::string key;
    std::size_t first_item;
    std::uint64_t line;
    std::uint64_t at;
  };

  [[nodiscard]] Header find_header(const IsRow& is_row, bool quotes) const;
  RawItem& add_value(const Row& row, std::string_view name, FieldKind kind, std::string_view text,
                     const Decimal* increment);
  bool names_part(const Row& row, Comments& comments);
  void check_order(const Row& row, long number);
  void check_limits(const Row& row, std::string_view text, const std::string& value);
  [[nodiscard]] bool may_repeat() const;
  void drop_repeated();
  [[nodiscard]] std::span<const RawItem> items_of(std::size_t row) const;  // of begun_
  void note_repeated(std::size_t first, std::size_t again);
  void check_size();
  void finish(std::uint64_t marks);
  void give_up(const Row& row, const std::string& why);

  const Input& input_;
  Output& output_;
  std::size_t items_before_;
  std::size_t unread_before_;
  Group group_;      // of the row begun
  std::string key_;  // of the row begun
  std::string number_room_;
  std::optional<long> number_;  // the same as a whole number, before its place was looked up
  std::optional<long> last_number_;
  std::string before_number_;  // of the key that had it
  bool replace_ = false;
  std::vector<Begun> begun_;
  std::vector<std::vector<bool>> seen_;  // one for each of Source::must
  std::array<std::size_t, 32> noted_{};  // by kind
  std::size_t rows_ = 0;                 // begun
  std::optional<ShapeSplitter> part_line_;
  std::vector<std::string_view> part_cells_;
  std::optional<KeyTemplate> part_key_;  // of the text beside the part
  std::string part_;
};

}  // namespace keepway::reader
