// Tables: one row an item, columns parted by blanks, tabs or commas, of fixed width, or in a shape.
#include <algorithm>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "reader/row_shape.hpp"
#include "reader/rows.hpp"

namespace keepway::reader {
namespace {

// The cells of a row, by column; `rest` is what no column took, trimmed.
struct Cells {
  std::vector<std::string_view> cells;
  std::string_view rest;
};

std::string_view take_quoted(std::string_view& text) {
  const std::size_t close = text.find('"', 1);
  const std::size_t end = std::min(close, text.size());
  const std::string_view inside = text.substr(1, end - 1);
  text.remove_prefix(std::min(end + 1, text.size()));
  return inside;
}

// The text of a last cell: what is in its quotes where nothing is behind them.
std::string_view last_cell(std::string_view text, char separator) {
  if (separator == '\t' || text.size() < 2 || text.front() != '"') return text;
  std::string_view behind = text;
  const std::string_view inside = take_quoted(behind);
  return text.back() == '"' && behind.empty() ? inside : text;
}

class Splitter {
 public:
  // `last_takes_rest`: the last column holds all that is left of the line, separators too.
  Splitter(const Source& source, bool last_takes_rest) : source_(source), open_(last_takes_rest) {}

  void split(std::string_view code, Cells& out) const {
    out.cells.clear();
    out.rest = {};
    switch (source_.split) {
      case Split::blanks:
        return split_blanks(code, out);
      case Split::tab:
        return split_at(code, '\t', out);
      case Split::comma:
        return split_at(code, source_.separator, out);
      case Split::fixed:
        return split_fixed(code, out);
      case Split::shape:
        break;  // ShapeSplitter
    }
  }

 private:
  void split_blanks(std::string_view code, Cells& out) const {
    const bool between = !source_.between.empty();
    std::string_view left = trim(code);
    if (between) pass_between(left);
    while (!left.empty() && out.cells.size() < source_.columns.size()) {
      if (open_ && out.cells.size() + 1 == source_.columns.size()) {
        out.cells.push_back(left);
        return;
      }
      const std::size_t end =
          static_cast<std::size_t>(std::find_if(left.begin(), left.end(), is_gap) - left.begin());
      out.cells.push_back(left.substr(0, end));
      left = trim(left.substr(end));
      if (between) pass_between(left);
    }
    out.rest = left;
  }

  // Signs that are no cells: "1  0.5  |  51  1.5".
  void pass_between(std::string_view& left) const {
    while (!left.empty()) {
      const std::size_t end = std::min(left.find_first_of(" \t"), left.size());
      if (!is_between(left.substr(0, end))) return;
      left = trim(left.substr(end));
    }
  }

  void split_at(std::string_view code, char separator, Cells& out) const {
    std::string_view left = code;
    while (out.cells.size() < source_.columns.size()) {
      if (open_ && out.cells.size() + 1 == source_.columns.size()) {
        out.cells.push_back(last_cell(trim(left), separator));
        return;
      }
      while (!left.empty() && is_gap(left.front()) && left.front() != separator) left.remove_prefix(1);
      std::string_view behind = left;
      const bool quoted = separator != '\t' && !left.empty() && left.front() == '"';  // RFC 4180, 2.5
      const std::string_view inside = quoted ? take_quoted(behind) : std::string_view();
      const std::size_t next = std::min(behind.find(separator), behind.size());
      if (quoted && trim(behind.substr(0, next)).empty()) {
        out.cells.push_back(inside);
        left = behind.substr(next);
      } else {
        const std::size_t end = std::min(left.find(separator), left.size());
        out.cells.push_back(trim(left.substr(0, end)));
        left.remove_prefix(end);
      }
      if (left.empty()) return;
      left.remove_prefix(1);
    }
    out.rest = trim(left);
    while (!out.rest.empty() && out.rest.front() == separator) out.rest = trim(out.rest.substr(1));
  }

  void split_fixed(std::string_view code, Cells& out) const {
    for (const Column& column : source_.columns) {
      const std::size_t at = std::min(column.at, code.size());
      const bool last = open_ && &column == &source_.columns.back();
      out.cells.push_back(trim(code.substr(at, last ? std::string_view::npos : column.width)));
    }
    // Bytes between and behind the columns must be blank, or what the layout says is no data.
    for (std::size_t i = 0; i < code.size(); ++i) {
      if (is_gap(code[i])) continue;
      const Column* column = column_of(i);
      if (column != nullptr) {
        i = column->at + column->width - 1;
      } else if (!open_ || i < source_.columns.back().at) {
        std::size_t end = i;
        while (end < code.size() && !is_gap(code[end]) && column_of(end) == nullptr) ++end;
        if (!is_between(code.substr(i, end - i))) {
          out.rest = trim(code.substr(i));
          return;
        }
        i = end - 1;
      }
    }
  }

  [[nodiscard]] bool is_between(std::string_view text) const {
    const std::vector<std::string>& known = source_.between;
    return std::find(known.begin(), known.end(), text) != known.end();
  }

  [[nodiscard]] const Column* column_of(std::size_t at) const {
    for (const Column& column : source_.columns) {
      if (at >= column.at && at < column.at + column.width) return &column;
    }
    return nullptr;
  }

  const Source& source_;
  bool open_;
};

// "#100" is item 100, as it is where a row is written `#100=1.25`.
std::string_view key_cell(std::string_view cell) {
  if (cell.size() < 2 || cell.front() != '#') return cell;
  const std::string_view number = trim(cell.substr(1));
  return all_digits(number) ? number : cell;
}

class ColumnReader {
 public:
  ColumnReader(const Input& input, Output& output)
      : rows_(input, output),
        source_(input.source),
        rule_(input.source.rows.front()),
        key_(rule_),
        splitter_(source_, last_is_text(source_, rule_)) {
    const std::vector<std::string_view> parts = key_.parts();
    std::vector<ShapeSplitter::Cell> cells;
    for (const Column& column : source_.columns) {
      const auto field = std::find_if(rule_.fields.begin(), rule_.fields.end(),
                                      [&](const Field& f) { return f.from == column.name; });
      fields_.push_back(field == rule_.fields.end() ? nullptr : &*field);
      cells.push_back(
          {kind(fields_.size() - 1), std::find(parts.begin(), parts.end(), column.name) != parts.end()});
    }
    if (source_.split == Split::shape) shape_.emplace(source_, source_.row_shape, std::move(cells));
  }

  void read() {
    rows_.replace_whole_rows();
    rows_.read_all([this](const Row& row) { return split(row) && understood(row, records_.front()); },
                   [this](const Row& row) { return read_row(row); });
  }

 private:
  // Whether the last cell goes on to the line's end, blanks and all; not so where another record follows.
  static bool last_is_text(const Source& source, const RowRule& rule) {
    if (source.across > 1) return false;
    const Column& last = source.columns.back();
    for (const Field& field : rule.fields) {
      if (field.from == last.name) return field.kind == FieldKind::text || field.kind == FieldKind::any;
    }
    return last.kind == FieldKind::text && rule.address.find("{" + last.name + "}") == std::string::npos;
  }

  [[nodiscard]] FieldKind kind(std::size_t column) const {
    return fields_[column] == nullptr ? source_.columns[column].kind : fields_[column]->kind;
  }

  // Without a value: nothing is in it, or what the layout says stands for nothing.
  [[nodiscard]] bool is_empty(std::string_view cell) const {
    const std::vector<std::string>& none = source_.no_value;
    return cell.empty() || std::find(none.begin(), none.end(), cell) != none.end();
  }

  // Whether a cell is what its column holds. `ended`: the line is whole. An empty cell is no value, which
  // columns parted by blanks cannot have, nor a line that breaks off.
  [[nodiscard]] bool fits(const Cells& record, std::size_t column, bool may_be_empty, bool ended) const {
    const FieldKind wanted = kind(column);
    if (wanted == FieldKind::text) return true;
    if (column >= record.cells.size() || record.cells[column].empty()) return may_be_empty;
    if (is_empty(record.cells[column])) return ended;
    const std::string_view plain = plain_number(source_.numbers, record.cells[column], number_room_);
    if (wanted == FieldKind::any) return Decimal::is_number(plain) || !begins_as_number(plain);
    return wanted == FieldKind::whole ? Decimal::is_whole_number(plain) : Decimal::is_number(plain);
  }

  // The records of a line, most often one.
  bool split(const Row& row) {
    if (shape_) {
      records_.resize(1);
      records_.front().rest = {};
      return shape_->split(row.code, records_.front().cells);
    }
    std::size_t count = 0;  // the records of the line before leave their room
    std::string_view left = row.code;
    do {
      if (count == records_.size()) records_.emplace_back();
      Cells& cells = records_[count++];
      splitter_.split(left, cells);
      left = cells.rest;
      if (count < source_.across) cells.rest = {};
    } while (!left.empty() && count < source_.across);
    records_.resize(count);
    return true;
  }

  // Leaves the row's key in text_.
  bool understood(const Row& row, const Cells& record) {
    if (source_.carried) carry(record);
    const bool may_be_empty = source_.split != Split::blanks && row.line.ended;
    for (std::size_t i = 0; i < source_.columns.size(); ++i) {
      if (!fits(record, i, may_be_empty, row.line.ended)) return false;
    }
    const auto part = [&](const std::string& name) -> std::optional<std::string_view> {
      for (std::size_t i = 0; i < record.cells.size(); ++i) {
        if (source_.columns[i].name == name)
          return key_cell(source_.carried && record.cells[i].empty() ? carried_[i] : record.cells[i]);
      }
      if (name == "part" && !rows_.part().empty()) return rows_.part();
      return std::nullopt;
    };
    return !runs_on(record, row.code) && key_.fill(part, text_) && (source_.empty_rows || has_value(record));
  }

  // Notes the cells for the rows below that have none. The text of a file outlives its reader.
  void carry(const Cells& record) {
    carried_.resize(source_.columns.size());
    for (std::size_t i = 0; i < record.cells.size(); ++i) {
      if (!record.cells[i].empty()) carried_[i] = record.cells[i];
    }
  }

  // Whether the last number may go on behind its cell: `1,5` in a table parted by commas, or a number that
  // reaches over the edge of its column. What it says is not known then.
  [[nodiscard]] bool runs_on(const Cells& record, std::string_view code) const {
    if (record.rest.empty()) return false;
    if (source_.split == Split::comma) return true;
    const std::size_t at = static_cast<std::size_t>(record.rest.data() - code.data());
    return source_.split == Split::fixed && at > 0 && !is_gap(code[at - 1]);
  }

  [[nodiscard]] bool has_value(const Cells& record) const {
    for (std::size_t i = 0; i < record.cells.size(); ++i) {
      if (fields_[i] != nullptr && !is_empty(record.cells[i])) return true;
    }
    return false;
  }

  bool read_row(const Row& row) {
    if (!split(row)) return false;
    return std::all_of(records_.begin(), records_.end(),
                       [&](const Cells& record) { return read_record(row, record); });
  }

  bool read_record(const Row& row, const Cells& record) {
    if (!understood(row, record)) return false;
    rows_.begin(row, text_);
    bool comment_given = false;
    for (std::size_t i = 0; i < record.cells.size(); ++i) {
      if (fields_[i] == nullptr || is_empty(record.cells[i])) continue;
      rows_.value(row, *fields_[i], record.cells[i], static_cast<std::uint8_t>(i));
      comment_given = comment_given || fields_[i]->name == source_.comment_field;
    }
    if (!comment_given) rows_.comment(row);
    return record.rest.empty();
  }

  Rows rows_;
  const Source& source_;
  const RowRule& rule_;
  KeyTemplate key_;
  Splitter splitter_;
  std::optional<ShapeSplitter> shape_;
  std::vector<const Field*> fields_;       // by column
  std::vector<Cells> records_;             // of the line
  std::vector<std::string_view> carried_;  // by column: the last cell that was not empty
  std::string text_;                       // the row's key
  mutable std::string number_room_;
};

}  // namespace

void read_columns(const Input& input, Output& output) {
  ColumnReader(input, output).read();
}

}  // namespace keepway::reader
