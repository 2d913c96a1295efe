#include "reader/cure.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "keepway/decimal.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "reader/value.hpp"

namespace keepway::reader {
namespace {

constexpr std::size_t most_shown = 3;

std::string shown(std::string_view text) {
  constexpr std::size_t longest = 20;
  return fmt::format("`{}`", escape(text.substr(0, longest)));
}

// "`R` and `=`", "`a`, `b` and 4 more".
std::string listed(const std::vector<std::string>& texts) {
  std::string out;
  const std::size_t named = std::min(texts.size(), most_shown);
  for (std::size_t i = 0; i < named; ++i)
    out += (i == 0 ? "" : i + 1 == texts.size() ? " and " : ", ") + texts[i];
  if (texts.size() > named) out += fmt::format(" and {} more", texts.size() - named);
  return out;
}

bool covers(const Column& column, std::size_t at) {
  return at >= column.at && at < column.at + column.width;
}

// Texts outside of the columns that `between` does not name.
std::vector<std::string> uncovered(const Source& source, std::string_view code) {
  std::vector<std::string> found;
  const auto open = [&](std::size_t at) {
    return !is_gap(code[at]) && std::none_of(source.columns.begin(), source.columns.end(),
                                             [&](const Column& column) { return covers(column, at); });
  };
  for (std::size_t at = 0; at < code.size(); ++at) {
    if (!open(at)) continue;
    const std::size_t begin = at;
    while (at < code.size() && open(at)) ++at;
    const std::string_view text = code.substr(begin, at - begin);
    const auto& between = source.between;
    if (std::find(between.begin(), between.end(), text) != between.end()) continue;
    if (std::find(found.begin(), found.end(), shown(text)) == found.end()) found.push_back(shown(text));
  }
  return found;
}

bool is_number(const Source& source, std::string_view cell) {
  std::string room;
  return canonical_number(plain_number(source.numbers, cell, room)).has_value();
}

// Where it would be a number if it were written otherwise.
std::string_view form_cure(std::string_view cell) {
  const auto with = [&](const NumberForm& form) {
    std::string room;
    return canonical_number(plain_number(form, cell, room)).has_value();
  };
  if (with({true, false})) return "decimal = \"comma\", ";
  if (with({false, true})) return "sign = \"behind\", ";
  return with({true, true}) ? "decimal = \"comma\" and sign = \"behind\", " : "";
}

FieldKind wanted_kind(const Source& source, const Column& column) {
  for (const Field& field : source.rows.front().fields) {
    if (field.from == column.name) return field.kind;
  }
  return column.kind;
}

// Whether a cell is what its column may hold.
bool is_good(const Source& source, const Column& column, std::string_view cell) {
  const FieldKind kind = wanted_kind(source, column);
  if (cell.empty() || kind == FieldKind::text || is_number(source, cell)) return true;
  return kind == FieldKind::any && !begins_as_number(cell);
}

std::string cure_fixed(const Source& source, std::string_view code) {
  for (const Column& column : source.columns) {
    const std::string_view cell = trim(code.substr(std::min(column.at, code.size()), column.width));
    if (is_good(source, column, cell)) continue;
    return fmt::format("column {} has {}, which is no number: say {}skip, or correct its at, width or kind",
                       escape(column.name), shown(cell), form_cure(cell));
  }
  const std::vector<std::string> texts = uncovered(source, code);
  if (!texts.empty())
    return fmt::format("the columns leave {} uncovered: say skip or between", listed(texts));
  return "a column is empty that must not be: say skip";
}

std::vector<std::string_view> cells_of(const Source& source, std::string_view code) {
  std::vector<std::string_view> cells;
  const char separator = source.split == Split::tab     ? '\t'
                         : source.split == Split::comma ? source.separator
                                                        : ' ';
  std::string_view left = separator == ' ' ? trim(code) : code;
  while (!left.empty()) {
    const std::size_t end =
        std::min(separator == ' ' ? left.find_first_of(" \t") : left.find(separator), left.size());
    cells.push_back(trim(left.substr(0, end)));
    left = end == left.size() ? std::string_view() : left.substr(end + 1);
    if (separator == ' ') left = trim(left);
  }
  return cells;
}

std::string cure_cells(const Source& source, std::string_view code) {
  const auto cells = cells_of(source, code);
  for (std::size_t i = 0; i < std::min(cells.size(), source.columns.size()); ++i) {
    const Column& column = source.columns[i];
    if (is_good(source, column, cells[i])) continue;
    return fmt::format("column {} has {}, which is no number: say {}skip, or correct columns or kind",
                       escape(column.name), shown(cells[i]), form_cure(cells[i]));
  }
  return fmt::format("the row has {} cell{} and the layout {} columns: say skip, or correct columns or split",
                     cells.size(), cells.size() == 1 ? "" : "s", source.columns.size());
}

// The shape as the layout writes it, but for its blanks.
std::string shape_text(const Source& source) {
  std::string text;
  for (std::size_t i = 0; i < source.columns.size(); ++i)
    text += source.row_shape.before[i] + "{" + source.columns[i].name + "}";
  return escape(text + source.row_shape.after);
}

std::string cure_columns(const Source& source, std::string_view code) {
  if (source.split == Split::shape)
    return fmt::format("a row is written {}, by shape: say skip or shape", shape_text(source));
  return source.split == Split::fixed ? cure_fixed(source, code) : cure_cells(source, code);
}

}  // namespace

std::string cure(const Source& source, std::string_view code) {
  constexpr std::size_t looked_at = 1024;  // bytes: each may be asked of each column
  code = code.substr(0, looked_at);
  switch (source.reader) {
    case ReaderKind::columns:
      return cure_columns(source, code);
    case ReaderKind::assign:
      return fmt::format("a row is written {}{}{{key}}{}{{value}}{}, by shape: say skip or shape",
                         escape(source.shape.before), source.shape.letter ? "{letter}" : "",
                         escape(source.shape.equals), escape(source.shape.after));
    case ReaderKind::words:
      return "no rule takes all its words: say skip, or correct [[source.row]]";
    case ReaderKind::sections:
      return "it is neither [part] nor key = value: say skip or comment";
    case ReaderKind::blocks:
      break;
  }
  return "no program is open there: say skip";
}

}  // namespace keepway::reader
