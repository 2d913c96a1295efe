// The shape of a row of columns, `TOOL {number}: LEN={length}`, and of the line that names a part.
#include <fmt/format.h>

#include <algorithm>

#include "keepway/text.hpp"
#include "layout/source.hpp"

namespace keepway::layout {
namespace {

constexpr std::size_t longest_shape = 400;
constexpr std::string_view shape_remedy =
    "write a row with its columns in braces, and something between them: \"TOOL {number}: LEN={length}\"";

// A literal as RowShape has it.
std::string literal_of(std::string_view text) {
  std::string out;
  std::copy_if(text.begin(), text.end(), std::back_inserter(out),
               [](char c) { return c != ' ' && c != '\t'; });
  return out.empty() && !text.empty() ? " " : out;
}

RowShape take_shape(const Form& form, std::string_view key, const std::string& given,
                    std::vector<std::string>& names) {
  const auto refuse = [&](const std::string& what) {
    form.fail(key, fmt::format("'{}' {}", escape(given), what), std::string(shape_remedy));
  };
  if (given.size() > longest_shape) refuse(fmt::format("is longer than {} bytes", longest_shape));
  RowShape shape;
  std::size_t at = 0;
  for (std::size_t open = given.find('{'); open != std::string::npos; open = given.find('{', at)) {
    const std::size_t close = given.find_first_of("{}", open + 1);
    if (close == std::string::npos || given[close] == '{' || close == open + 1)
      refuse("has braces that do not pair, or no name in them");
    const std::string literal = literal_of(std::string_view(given).substr(at, open - at));
    if (literal.find('}') != std::string::npos) refuse("has braces that do not pair");
    if (literal.empty() && !names.empty() && key != "shape") refuse("has nothing between two columns");
    shape.before.push_back(names.empty() && literal == " " ? "" : literal);
    names.push_back(given.substr(open + 1, close - open - 1));
    if (std::count(names.begin(), names.end(), names.back()) > 1) refuse("names a column twice");
    if (names.size() > max_parts) refuse("has over 256 columns");
    at = close + 1;
  }
  shape.after = literal_of(std::string_view(given).substr(at));
  if (shape.after == " ") shape.after.clear();
  if (names.empty() || shape.after.find('}') != std::string::npos) refuse("names no column, or half of one");
  return shape;
}

}  // namespace

void parse_row_shape(Form& form, Source& source) {
  if (const auto given = form.text("shape")) {
    if (form.any("split") != nullptr || form.any("columns") != nullptr) {
      form.fail("shape", "a shape names its columns itself", "leave out split and columns");
    }
    std::vector<std::string> names;
    source.split = Split::shape;
    source.row_shape = take_shape(form, "shape", *given, names);
    for (std::string& name : names) source.columns.push_back({std::move(name), FieldKind::text, 0, 0});
  }
}

void check_row_shape(const Form& form, const Source& source) {
  for (std::size_t i = 1; i < source.row_shape.before.size(); ++i) {
    const std::string& name = source.columns[i - 1].name;
    const auto& fields = source.rows.front().fields;
    const bool number = std::any_of(fields.begin(), fields.end(), [&](const Field& field) {
      return field.from == name && (field.kind == FieldKind::number || field.kind == FieldKind::whole);
    });
    if (!source.row_shape.before[i].empty() || number) continue;
    form.fail(
        "shape",
        fmt::format("nothing is between columns {} and {}", escape(name), escape(source.columns[i].name)),
        "write what the rows have there; a text may be right behind a number alone, \"{value}{unit}\"");
  }
}

void parse_named_by(Form& form, Source& source) {
  const std::optional<std::string> given = form.text("named_by");
  if (!given) return;
  if (source.program == ProgramIs::file) {
    form.fail("named_by", "named_by is given, and program is \"file\": a file is called by its path",
              "leave named_by out");
  }
  std::vector<std::string> names;
  source.named_by = take_shape(form, "named_by", *given, names);
  if (names != std::vector<std::string>{"name"}) {
    form.fail("named_by", fmt::format("'{}' is no line that names a program", escape(*given)),
              "write the line with {name} for the name: \"<{name}>\"");
  }
}

void parse_part(Form& form, Source& source) {
  const std::optional<std::string> given = form.text("part");
  if (!given) return;
  std::vector<std::string> names;
  source.part = take_shape(form, "part", *given, names);
  const bool says = !source.part.before.front().empty() || !source.part.after.empty();
  if (names.front() != "part" || names.size() > 2 || !says) {
    form.fail("part", fmt::format("'{}' is no line that names a part", escape(*given)),
              "write the line with {part} for what changes: \"TOOL {part}\", or \"TOOL {part} {name}\"");
  }
  if (names.size() > 1) source.part_field = names.back();
}

}  // namespace keepway::layout
