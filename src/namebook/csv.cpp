// A namebook as comma-separated text (RFC 4180).
#include <fmt/format.h>

#include <functional>
#include <unordered_set>
#include <utility>

#include "namebook/csv_text.hpp"
#include "namebook/row.hpp"

namespace keepway {
namespace {

std::string quoted(const std::string& cell) {
  if (cell.find_first_of(",\"\r\n") == std::string::npos) return cell;
  std::string out = "\"";
  for (const char c : cell) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + '"';
}

// Numbers of a file whose cells are parted by semicolons have a decimal comma.
void take_decimal_commas(const book::Columns& columns, std::vector<std::string>& texts) {
  for (const book::ColumnIndex each : {book::min, book::max, book::step, book::default_value}) {
    if (columns[each] < texts.size()) texts[columns[each]] = book::with_decimal_point(texts[columns[each]]);
  }
}

// Takes records off a text, one by one. Line ends may be LF or CR LF; a quoted cell may hold both.
class Records {
 public:
  Records(const book::CsvText& csv, const std::string& file)
      : text_(csv.text), file_(file), separator_(csv.separator) {}

  // False at the end. The cells' texts live until the next call; `edit` may change them before.
  bool next(book::Row& row, const std::function<void(std::vector<std::string>&)>& edit) {
    if (at_ >= text_.size()) return false;
    row.line = line_;
    row.byte = at_;
    cells_.clear();
    row.cells.clear();
    for (;;) {
      begins_.push_back(at_);
      cells_.push_back(take_cell());
      if (at_ < text_.size() && text_[at_] == separator_) {
        ++at_;
        continue;
      }
      take_line_end();
      break;
    }
    edit(cells_);
    for (std::size_t i = 0; i < cells_.size(); ++i) row.cells.push_back({cells_[i], begins_[i]});
    begins_.clear();
    return true;
  }

 private:
  [[noreturn]] void fail(std::size_t at, std::uint64_t line, const char* what, const char* remedy) const {
    throw Error(ErrorKind::input, what, remedy, Place{file_, line, at});
  }

  std::string take_cell() {
    if (at_ >= text_.size() || text_[at_] != '"') {
      const std::size_t end =
          std::min(text_.find_first_of(std::string("\"\r\n") + separator_, at_), text_.size());
      if (end < text_.size() && text_[end] == '"') {
        fail(end, line_, "a quote is inside a cell that is not quoted",
             "put the whole cell in quotes, and write each quote in it twice");
      }
      std::string cell(text_.substr(at_, end - at_));
      at_ = end;
      return cell;
    }
    const std::size_t open = at_++;
    const std::uint64_t open_line = line_;
    std::string cell;
    for (;;) {
      const std::size_t quote = text_.find('"', at_);
      if (quote == std::string_view::npos) {
        fail(open, open_line, "a quote is opened and never closed", "close it, or take it out");
      }
      for (std::size_t i = at_; i < quote; ++i) line_ += text_[i] == '\n' ? 1 : 0;
      cell += text_.substr(at_, quote - at_);
      at_ = quote + 1;
      if (at_ >= text_.size() || text_[at_] != '"') return cell;
      cell += '"';
      ++at_;
    }
  }

  void take_line_end() {
    if (at_ >= text_.size()) return;
    if (text_[at_] == '\r' && at_ + 1 < text_.size() && text_[at_ + 1] == '\n') ++at_;
    if (text_[at_] == '\r') fail(at_, line_, "there is a CR without LF", "end each line with LF, or CR LF");
    if (text_[at_] != '\n') {
      fail(at_, line_, "there is text after a cell's closing quote",
           "follow it with a separator or the end of the line");
    }
    ++at_;
    ++line_;
  }

  std::string_view text_;
  const std::string& file_;
  char separator_;
  std::size_t at_ = 0;
  std::uint64_t line_ = 1;
  std::vector<std::string> cells_;
  std::vector<std::size_t> begins_;
};

}  // namespace

std::string namebook_csv(const Namebook& book) {
  std::string out = fmt::format("{}\r\n", fmt::join(book::column_names, ","));
  std::unordered_set<std::string> given;
  for (const Entry& entry : book.entries()) {
    if (!given.insert(entry.address).second) continue;
    std::string row;
    for (const std::string& cell : book::cells_of(entry)) {
      if (!row.empty()) row += ',';
      row += quoted(cell);
    }
    out += row + "\r\n";
  }
  return out;
}

namespace {

std::vector<Entry> read_records(const book::CsvText& csv, const std::string& file) {
  std::vector<Entry> entries;
  std::unordered_set<std::string> given;
  Records records(csv, file);
  book::Row row{file, 0, 0, {}};
  std::optional<book::Columns> columns;
  std::size_t width = 0;
  const auto edit = [&](std::vector<std::string>& texts) {
    if (columns && csv.separator == ';') take_decimal_commas(*columns, texts);
  };
  while (records.next(row, edit)) {
    const bool blank = row.cells.size() == 1 && book::trim(row.cells.front().text).empty();
    if (blank) continue;
    if (!columns) {
      columns = book::read_header(row, csv.separator == ';' ? "semicolons" : "commas");
      width = row.cells.size();
      continue;
    }
    if (row.cells.size() > width) {
      throw Error(
          ErrorKind::input,
          fmt::format("the row has {} cells, and the first line names {} columns", row.cells.size(), width),
          fmt::format("put a cell that holds a '{}' in quotes", csv.separator),
          Place{file, row.line, row.cells[width].byte});
    }
    Entry entry = book::read_entry(row, *columns);
    for (const book::Cell& cell : row.cells) {
      if (cell.text.find_first_of("\t\r\n") == std::string_view::npos) continue;
      throw Error(ErrorKind::input, "the cell holds a tab or a line end",
                  "a namebook has one line for each item: leave them out", Place{file, row.line, cell.byte});
    }
    if (!given.insert(entry.address).second) {
      throw Error(ErrorKind::input, fmt::format("{} is given twice", escape(entry.address)),
                  "keep one of the two rows",
                  Place{file, row.line, row.cells[(*columns)[book::address]].byte});
    }
    entries.push_back(std::move(entry));
  }
  if (!columns) {
    throw Error(ErrorKind::input, "the file is empty",
                "its first line must name the columns: see 'keepway names MACHINE export'",
                Place{file, 1, 0});
  }
  return entries;
}

}  // namespace

std::vector<Entry> read_namebook_csv(std::string_view csv, const std::string& file) {
  const book::CsvText text = book::csv_text(csv, file);
  try {
    return read_records(text, file);
  } catch (const Error& error) {
    Place place = error.place();
    if (place.byte) place.byte = text.place(*place.byte);
    throw Error(error.kind(), error.what(), error.remedy(), std::move(place));
  }
}

}  // namespace keepway
