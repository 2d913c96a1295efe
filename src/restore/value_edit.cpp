#include "restore/value_edit.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "base/encoding.hpp"
#include "restore/spell.hpp"

namespace keepway::restore {
namespace {

constexpr std::string_view whole_file = "put the whole file back instead, by its group";

// Whether a value is beside the name of its part, where there are no columns.
bool is_beside_part(const Source& source, const Origin& origin) {
  return !source.part_field.empty() && origin.kind == FieldKind::text &&
         origin.key.ends_with("/" + source.part_field);
}

// The column of fixed width that a value is in, and how it is there.
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
  if (at + span.length > column->at + column->width) return;  // the last one's text, which may be longer
  const auto is_blank = [&](std::size_t byte) { return byte < text.size() && text[byte] == ' '; };
  while (manner.front < at - column->at && is_blank(span.at - 1 - manner.front)) ++manner.front;
  const std::size_t end = span.at + span.length;
  const std::size_t left = column->at + column->width - (at + span.length);
  while (manner.behind < left && is_blank(end + manner.behind)) ++manner.behind;
  const std::size_t after = end + manner.behind;
  const bool ends = after >= text.size() || text[after] == '\n' || text[after] == '\r';
  if (ends) manner.room = left - manner.behind;
}

// Whether the file writes a plus sign before the values of a source that are not negative: a negative value
// that is there does not tell. Only where all of them have one.
bool writes_plus(const Reading& now, const Origin& origin, std::string_view text) {
  bool any = false;
  for (const Origin& each : now.origins) {
    if (each.span.file != origin.span.file || each.source != origin.source || each.kind != origin.kind)
      continue;
    const char first = each.span.length == 0 ? '\0' : text[each.span.at];
    if (first == '-' || first == '\0') continue;
    if (first != '+') return false;
    any = true;
  }
  return any;
}

// spell(), where numbers have a decimal comma or their sign behind.
Spelling spell_in_form(const NumberForm& form, std::string_view old, const std::string& value,
                       Manner manner) {
  if (form.exponent && manner.kind != FieldKind::text && old.find_first_of("Ee") != std::string_view::npos)
    return {std::nullopt, "it is written with an exponent", 0, 0};
  if (manner.kind == FieldKind::text || (!form.comma && !form.sign_behind)) return spell(old, value, manner);
  const auto sign_of = [](char c) { return c == '-' || c == '+' ? c : '\0'; };
  char sign = form.sign_behind && old.size() > 1 ? sign_of(old.back()) : '\0';
  std::string before(sign == '\0' ? old : old.substr(0, old.size() - 1));
  std::string after = value;
  if (form.sign_behind) {
    if ((sign == '-') != value.starts_with('-'))
      return {std::nullopt, "its sign is written behind it, and would change", 0, 0};
    if (sign == '-') after.erase(0, 1);
    manner.behind = manner.room = 0;  // where the sign is
    manner.plus = false;
  }
  if (form.comma) std::replace(before.begin(), before.end(), ',', '.');
  Spelling made = spell(before, after, manner);
  if (!made.text) return made;
  if (form.comma) std::replace(made.text->begin(), made.text->end(), '.', ',');
  if (sign != '\0') {
    if (made.text->ends_with(' ')) return {std::nullopt, "its sign is written behind it", 0, 0};
    *made.text += sign;
  }
  return made;
}

}  // namespace

std::optional<Refusal> edit_value(const WantedChange& change, const ComposeInput& input, const Reading& now,
                                  Edits& edits) {
  const Address& address = change.address;
  Refusal refusal{address, {}, std::string(whole_file), {}};
  const Origin* origin = now.origin(address.group, address.key);
  if (origin != nullptr) {
    const Span& span = origin->span;
    refusal.place = {input.newest.files[span.file].name, span.line, span.at};
  }
  if (!change.after && !input.target.table(address.group)) {
    refusal.why = fmt::format("that backup holds no {}", group_name(address.group));
    refusal.remedy = "choose a backup that holds them";
    return refusal;
  }
  if (is_unread(address.key)) {
    refusal.why = "no reader understood this row: it is not known which row it would replace";
    return refusal;
  }
  if (!change.before || origin == nullptr) {
    refusal.why = "the newest originals have no such value, and rows are not added to a table";
    return refusal;
  }
  if (!change.after) {
    refusal.why = "that backup has no such value, and rows are not removed from a table";
    return refusal;
  }
  const Source& source = input.layout.sources[origin->source];
  const Span& span = origin->span;
  const std::string_view text = edits.text(span.file);
  Manner manner;
  manner.kind = origin->kind;
  manner.increment = least_increment(source, input.context.units, from_of(*origin, source));
  manner.point_counts = source.point == Point::counts;
  if (!is_beside_part(source, *origin)) find_column(source, text, span, manner);
  if (origin->kind != FieldKind::text && span.length > 0 && text[span.at] == '-')
    manner.plus = writes_plus(now, *origin, text);
  const auto received = Encoding(source.encoding).from_utf8(*change.after);
  if (!received) {
    refusal.why = fmt::format("{} cannot write '{}'", source.encoding, escape(*change.after));
    refusal.remedy = "use letters that the control has";
    return refusal;
  }
  const Spelling spelling =
      spell_in_form(source.numbers, text.substr(span.at, span.length), *received, manner);
  if (!spelling.text) {
    refusal.why = spelling.why;
    return refusal;
  }
  if (!edits.replace(span.file, span.at - spelling.front, spelling.front + span.length + spelling.behind,
                     *spelling.text)) {
    refusal.why = "the file has 7-bit bytes with parity, and the new text needs 8 bits";
    return refusal;
  }
  return std::nullopt;
}

}  // namespace keepway::restore
