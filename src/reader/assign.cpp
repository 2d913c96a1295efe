// Assignments: `#31=1.25`, several on a line allowed (NISTIR 6556, 3.3: parameter settings); and `#<name>=3`
// (common practice, no source); or in the shape that the layout gives.
#include <algorithm>

#include "reader/assign_shape.hpp"
#include "reader/rows.hpp"

namespace keepway::reader {
namespace {

// "#551=": another setting begins, and the one before has no value.
bool begins_setting(std::string_view text, std::size_t at) {
  if (text[at] != '#') return false;
  ++at;
  while (at < text.size() && is_name_byte(text[at])) ++at;
  pass_blanks(text, at);
  return at < text.size() && text[at] == '=';
}

// End of a value that begins at `at`: the next '#' outside of square brackets, or the line's end. A value may
// be a parameter itself (`#31=#0`).
std::size_t value_end(std::string_view text, std::size_t at) {
  std::size_t depth = 0;
  pass_blanks(text, at);
  if (at < text.size() && begins_setting(text, at)) return at;
  if (at < text.size() && text[at] == '#') ++at;
  for (; at < text.size(); ++at) {
    if (text[at] == '[') ++depth;
    if (text[at] == ']' && depth > 0) --depth;
    if (text[at] == '#' && depth == 0) break;
  }
  return at;
}

// `1.25 X3` begins as a number and is none: more likely two things than one value.
bool is_broken_number(const NumberForm& form, std::string_view value) {
  std::string room;
  return begins_as_number(value) && !canonical_number(plain_number(form, value, room));
}

// All settings of a line, `empty` ones too where they are asked for. False when it holds anything else.
bool split_settings(std::string_view code, bool empty, std::vector<Setting>& out) {
  out.clear();
  std::size_t at = 0;
  pass_blanks(code, at);
  if (at < code.size() && (code[at] == 'N' || code[at] == 'n')) {  // line number
    ++at;
    pass_blanks(code, at);
    while (at < code.size() && code[at] >= '0' && code[at] <= '9') ++at;
    pass_blanks(code, at);
  }
  while (at < code.size()) {
    if (code[at++] != '#') return false;
    pass_blanks(code, at);
    const bool bracketed = at < code.size() && code[at] == '<';
    std::size_t begin = bracketed ? ++at : at;
    std::size_t end = begin;
    if (bracketed) {
      end = code.find('>', begin);
      if (end == std::string_view::npos) return false;
      at = end + 1;
    } else {
      while (end < code.size() && is_name_byte(code[end])) ++end;
      at = end;
    }
    pass_blanks(code, at);
    if (at >= code.size() || code[at] != '=') return false;
    ++at;
    const std::size_t stop = value_end(code, at);
    const Setting setting{{}, trim(code.substr(begin, end - begin)), trim(code.substr(at, stop - at))};
    if (setting.key.empty() || (setting.value.empty() && !empty)) return false;
    out.push_back(setting);
    at = stop;
  }
  return !out.empty();
}

class AssignReader {
 public:
  AssignReader(const Input& input, Output& output)
      : rows_(input, output),
        shape_(input.source.shape),
        usual_(is_usual(shape_)),
        empty_(input.source.empty_rows),
        numbers_(input.source.numbers),
        field_(input.source.rows.front().fields.front()),
        key_(input.source.rows.front()) {}

  void read() {
    rows_.read_all([this](const Row& row) { return split(row); },
                   [this](const Row& row) { return read_row(row); });
  }

 private:
  // A line that breaks off may have lost its value.
  bool split(const Row& row) {
    const bool empty = empty_ && row.line.ended;
    return usual_ ? split_settings(row.code, empty, settings_)
                  : split_shaped(shape_, row.code, empty, settings_);
  }

  bool read_row(const Row& row) {
    bool whole = split(row);
    for (const Setting& setting : settings_) {
      const auto part = [&](const std::string& name) -> std::optional<std::string_view> {
        if (name == "part") return rows_.part().empty() ? std::nullopt : std::optional(rows_.part());
        return name == "letter" ? setting.letter : setting.key;
      };
      if (!key_.fill(part, text_) ||
          (field_.kind != FieldKind::text && is_broken_number(numbers_, setting.value))) {
        whole = false;
        continue;
      }
      if (setting.value.empty()) continue;
      rows_.begin(row, text_);
      rows_.value(row, field_, setting.value);
      if (settings_.size() == 1) rows_.comment(row);
    }
    return whole;
  }

  Rows rows_;
  const Shape& shape_;
  const bool usual_;
  const bool empty_;  // a row may have its key alone
  const NumberForm& numbers_;
  const Field& field_;
  KeyTemplate key_;
  std::vector<Setting> settings_;
  std::string text_;  // the key
};

}  // namespace

void read_assign(const Input& input, Output& output) {
  AssignReader(input, output).read();
}

}  // namespace keepway::reader
