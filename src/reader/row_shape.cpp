#include "reader/row_shape.hpp"

#include <algorithm>
#include <utility>

#include "base/digit.hpp"
#include "base/encoding.hpp"
#include "keepway/decimal.hpp"
#include "reader/text.hpp"
#include "reader/value.hpp"

namespace keepway::reader {

ShapeSplitter::ShapeSplitter(const Source& source, const RowShape& shape, std::vector<Cell> cells)
    : shape_(shape), cells_(std::move(cells)), numbers_(source.numbers) {
  const Encoding encoding(source.encoding);
  const auto encode = [&](std::string& text) { text = encoding.from_utf8(text).value_or(text); };
  std::for_each(shape_.before.begin(), shape_.before.end(), encode);
  encode(shape_.after);
}

// Where each text may end is tried, so that a line is bounded by what it may cost.
bool ShapeSplitter::split(std::string_view code, std::vector<std::string_view>& out) {
  constexpr std::size_t longest = 1024;
  constexpr std::size_t steps_for_a_byte = 64;
  out.clear();
  code_ = trim(code);
  if (code_.size() > longest) return false;
  out.resize(cells_.size());
  out_ = &out;
  steps_left_ = steps_for_a_byte * (code_.size() + cells_.size());
  // Names that are missing are looked for where nothing else fits: else a text would reach over those that
  // are there.
  for (const bool missing : {false, true}) {
    names_may_miss_ = missing;
    if (from(0, 0)) return true;
  }
  out.clear();
  return false;
}

bool ShapeSplitter::from(std::size_t cell, std::size_t at) {
  if (steps_left_ == 0) return false;
  --steps_left_;
  if (cell == cells_.size()) {
    if (!take(shape_.after, at)) return false;
    pass_blanks(code_, at);
    return at == code_.size();
  }
  std::size_t begin = at;
  if (take(shape_.before[cell], begin)) {
    pass_blanks(code_, begin);
    if (is_text(cell) ? text(cell, begin) : number(cell, begin)) return true;
  }
  if (!pass_missing(cell, at)) return false;
  (*out_)[cell] = code_.substr(at, 0);
  return from(cell + 1, at);
}

// What a cell of any kind holds, whoever asked for it looks at.
bool ShapeSplitter::is_text(std::size_t cell) const {
  return cells_[cell].kind == FieldKind::text || cells_[cell].kind == FieldKind::any;
}

bool ShapeSplitter::number(std::size_t cell, std::size_t at) {
  std::size_t end = at;
  // A comma is no part of it where the layout says that one is behind it.
  const bool comma = numbers_.comma || cell + 1 == cells_.size() || !shape_.before[cell + 1].starts_with(',');
  const auto is_part = [&](char c) {
    const bool exponent = numbers_.exponent && (c == 'E' || c == 'e');
    return is_digit(c) || c == '+' || c == '-' || c == '.' || (c == ',' && comma) || exponent;
  };
  while (end < code_.size() && is_part(code_[end])) ++end;
  for (; end > at; --end) {  // a comma or point behind it may be the shape's
    const std::string_view found = code_.substr(at, end - at);
    if (!canonical_number(plain_number(numbers_, found, number_room_))) {
      if (is_digit(found.back())) return false;
      continue;
    }
    (*out_)[cell] = found;
    return from(cell + 1, end);
  }
  return false;
}

bool ShapeSplitter::text(std::size_t cell, std::size_t at) {
  std::size_t most = code_.size();
  const bool word = cell + 1 < cells_.size() && shape_.before[cell + 1] == " " && is_text(cell + 1);
  if (word) most = std::min(code_.find_first_of(" \t", at), most);
  for (std::size_t i = at; i < most; ++i) {
    const std::size_t end = names_may_miss_ ? i + 1 : most + at - i;
    if (steps_left_ == 0) return false;
    if (is_gap(code_[end - 1])) continue;
    (*out_)[cell] = code_.substr(at, end - at);
    if (from(cell + 1, end)) return true;
  }
  return false;
}

bool ShapeSplitter::take(std::string_view literal, std::size_t& at) const {
  if (literal == " ") {  // columns that blanks part
    const bool parted = at == 0 || (at < code_.size() && is_gap(code_[at]));
    pass_blanks(code_, at);
    return parted;
  }
  for (std::size_t i = 0; i < literal.size(); ++i) {
    pass_blanks(code_, at);
    const bool run = i + 1 < literal.size() && literal[i + 1] == literal[i] && !is_letter(literal[i]) &&
                     !is_digit(literal[i]);
    if (at == code_.size() || upper(code_[at]) != upper(literal[i])) return false;
    if (!run) {
      ++at;
      continue;
    }
    // `..`: two or more, all of them.
    const char sign = literal[i];
    if (at > 0 && code_[at - 1] == sign) return false;
    const std::size_t begin = at;
    while (at < code_.size() && code_[at] == sign) ++at;
    while (i + 1 < literal.size() && literal[i + 1] == sign) ++i;
    if (at - begin < 2) return false;
  }
  return true;
}

// Of a cell that is not needed: what is in front of its name is there all the same.
bool ShapeSplitter::pass_missing(std::size_t cell, std::size_t& at) const {
  if (cells_[cell].needed || cell == 0) return false;
  const std::string_view before = shape_.before[cell];
  const auto name =
      static_cast<std::size_t>(std::find_if(before.begin(), before.end(), is_letter) - before.begin());
  if (name < before.size()) return names_may_miss_ && take(before.substr(0, name), at);
  // Behind a sign it is looked for first: else a text in front of the sign would take it.
  const bool last = cell + 1 == cells_.size() && shape_.after.empty();
  return cells_[cell].kind == FieldKind::text && last && (names_may_miss_ || before == " ");
}

std::vector<ShapeSplitter::Cell> part_cells(const Source& source) {
  std::vector<ShapeSplitter::Cell> cells(source.part.before.size());
  if (cells.size() > 1) cells.back().needed = false;
  return cells;
}

std::string_view part_text(const Source& source, std::string_view line, Comments& comments) {
  const std::string_view code = trim(comments.strip(line).code);
  return source.part_field.empty() && !code.empty() ? code : trim(line);
}

}  // namespace keepway::reader
