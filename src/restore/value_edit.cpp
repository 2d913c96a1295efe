#include "restore/value_edit.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "restore/spell.hpp"

namespace keepway::restore {
namespace {

constexpr std::string_view whole_file = "put the whole file back instead, by its group";

const Decimal* increment_in_force(const Source& source, Units units) {
  if (!source.increment) return nullptr;
  const auto& increment = units == Units::inch ? source.increment->inch : source.increment->mm;
  return increment ? &*increment : nullptr;
}

// The column of fixed width that a value stands in, and how it stands there.
void find_column(const Source& source, std::string_view text, const Span& span, Manner& manner) {
  if (source.reader != ReaderKind::columns || source.split != Split::fixed) return;
  std::size_t line = span.at;
  while (line > 0 && text[line - 1] != '\n' && text[line - 1] != '\r') --line;
  const std::size_t at = span.at - line;
  const auto column = std::find_if(source.columns.begin(), source.columns.end(), [&](const Column& c) {
    return at >= c.at && (at < c.at + c.width || &c == &source.columns.back());
  });
  if (column == source.columns.end()) return;  // a comment behind the columns
  manner.fixed = true;
  const bool left_edge = at == column->at;
  const bool right_edge = at + span.length == column->at + column->width;
  manner.right = left_edge == right_edge ? manner.kind != FieldKind::text : right_edge;
}

}  // namespace

std::optional<Refusal> edit_value(const Wish& wish, const ComposeInput& input, const Reading& now,
                                  Edits& edits) {
  const Address& address = wish.address;
  Refusal refusal{address, {}, std::string(whole_file), {}};
  const Origin* origin = now.origin(address.group, address.key);
  if (origin != nullptr) {
    const Span& span = origin->span;
    refusal.place = {input.newest.files[span.file].name, span.line, span.at};
  }
  if (!wish.after && !input.target.table(address.group)) {
    refusal.why = fmt::format("the backup asked for holds no {}", group_name(address.group));
    refusal.remedy = "choose a backup that holds them";
    return refusal;
  }
  if (is_unread(address.key)) {
    refusal.why = "it is a row that no reader understood: nothing tells which row it should replace";
    return refusal;
  }
  if (!wish.before || origin == nullptr) {
    refusal.why = "the newest originals have no such value, and rows are not added to a table";
    return refusal;
  }
  if (!wish.after) {
    refusal.why = "the backup asked for has no such value, and rows are not taken out of a table";
    return refusal;
  }
  const Source& source = input.layout.sources[origin->source];
  const Span& span = origin->span;
  const std::string_view text = edits.text(span.file);
  Manner manner{origin->kind, increment_in_force(source, input.context.units), false, false};
  find_column(source, text, span, manner);
  const Spelling spelling = spell(text.substr(span.at, span.length), *wish.after, manner);
  if (!spelling.text) {
    refusal.why = spelling.why;
    return refusal;
  }
  if (!edits.replace(span.file, span.at, span.length, *spelling.text)) {
    refusal.why = "the file has 7-bit bytes with parity, and the new text needs 8 bits";
    return refusal;
  }
  return std::nullopt;
}

}  // namespace keepway::restore
