#include "reader/rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "base/digit.hpp"
#include "base/encoding.hpp"
#include "reader/cure.hpp"

namespace keepway::reader {
namespace {

// A canonical whole number from 0 up, as keys in places, must and limits are.
std::optional<long> whole_key(std::string_view key) {
  long value = 0;
  const auto [end, error] = std::from_chars(key.data(), key.data() + key.size(), value);
  if (error != std::errc() || end != key.data() + key.size() || value < 0) return std::nullopt;
  return value;
}

const PlaceRule* find_place(const std::vector<PlaceRule>& places, long number) {
  const auto after = std::upper_bound(places.begin(), places.end(), number,
                                      [](long n, const PlaceRule& rule) { return n < rule.first; });
  if (after == places.begin()) return nullptr;
  const PlaceRule& rule = *std::prev(after);
  return number <= rule.last ? &rule : nullptr;
}

std::string limit_text(const Limit& limit) {
  std::string out = limit.whole ? "a whole number" : "a number";
  if (limit.min && limit.max)
    return fmt::format("{} from {} to {}", out, limit.min->text(), limit.max->text());
  if (limit.min) return fmt::format("{} of {} or more", out, limit.min->text());
  if (limit.max) return fmt::format("{} of {} or less", out, limit.max->text());
  return out;
}

// How a line begins, up to its first number and the byte behind: `9 ` of `300<TAB>x`, `T9 ` of `T4 P4`. Empty
// where its first word holds no digit, as in a title.
std::string beginning_of(std::string_view code) {
  std::string out;
  for (const char c : trim(code)) {
    const bool digit = is_digit(c);
    const bool in_number = !out.empty() && out.back() == '9';
    if (digit && in_number) continue;
    if (!digit && in_number) return out + (is_gap(c) ? ' ' : c);
    if (is_gap(c)) return {};
    out += digit ? '9' : c;
  }
  return !out.empty() && out.back() == '9' ? out + ' ' : std::string();
}

// Addresses up to the part: `tool/{part}` of `tool/{part}/{number}`.
RowRule part_rule(const Source& source) {
  constexpr std::string_view part = "{part}";
  RowRule rule;
  for (const RowRule& each : source.rows) {
    const std::size_t at = each.address.find(part);
    if (at == std::string::npos) continue;
    rule = each;
    rule.address.resize(at + part.size());
    break;
  }
  return rule;
}

bool allows(const Limit& limit, const std::string& value) {
  const std::optional<Decimal> number = Decimal::parse(value);
  return number && (!limit.whole || number->is_whole()) && (!limit.min || *number >= *limit.min) &&
         (!limit.max || *number <= *limit.max);
}

}  // namespace

Rows::Rows(const Input& input, Output& output)
    : input_(input),
      output_(output),
      items_before_(output.items.size()),
      unread_before_(output.unread.size()),
      group_(input.source.group) {
  for (const Range& range : input.source.must) {
    seen_.emplace_back(static_cast<std::size_t>(range.last - range.first + 1), false);
  }
  if (input.source.part.before.empty()) return;
  part_line_.emplace(input.source, input.source.part, part_cells(input.source));
  if (!input.source.part_field.empty()) part_key_.emplace(part_rule(input.source));
}

void Rows::note(OddityKind kind, const Row& row, std::string_view at, std::string detail) {
  if (++noted_[static_cast<std::size_t>(kind)] > max_named_oddities) return;
  const std::string_view in = row.code;
  const bool inside = at.data() >= in.data() && at.data() <= in.data() + in.size();
  const std::uint64_t offset = inside ? static_cast<std::uint64_t>(at.data() - in.data()) : 0;
  Place place{std::string(input_.name), row.line.number, input_.base + row.line.at + offset};
  output_.oddities.push_back({kind, std::move(place), std::move(detail), input_.source.group});
}

void Rows::begin(const Row& row, std::string_view key) {
  const Source& source = input_.source;
  ++rows_;
  group_ = source.group;
  key_ = key;
  if (replace_) begun_.push_back({key_, output_.items.size(), row.line.number, input_.base + row.line.at});
  number_.reset();
  if (source.places.empty() && source.must.empty() && source.limits.empty() && !source.ascending) return;
  number_ = whole_key(key);
  const bool alone = number_.has_value();
  // "tool/12": what the form demands is of the number behind what is always in front.
  const std::size_t behind = key.rfind('/') + 1;
  if (!alone) number_ = whole_key(key.substr(behind));
  if (!number_) return;
  if (key.substr(0, behind) != before_number_) {
    last_number_.reset();
    before_number_ = key.substr(0, behind);
  }
  check_order(row, *number_);
  if (!alone) return;
  if (const PlaceRule* place = find_place(source.places, *number_)) {
    group_ = place->group;
    key_ = place->keys[static_cast<std::size_t>(*number_ - place->first)];
  }
}

void Rows::check_order(const Row& row, long number) {
  const Source& source = input_.source;
  if (source.ascending && last_number_ && number < *last_number_) {
    note(OddityKind::descending_row, row, row.code, fmt::format("{} comes after {}", number, *last_number_));
  }
  last_number_ = number;
  for (std::size_t i = 0; i < source.must.size(); ++i) {
    const Range& range = source.must[i];
    if (number >= range.first && number <= range.last) {
      seen_[i][static_cast<std::size_t>(number - range.first)] = true;
    }
  }
}

void Rows::check_limits(const Row& row, std::string_view text, const std::string& value) {
  for (const Limit& limit : input_.source.limits) {
    if (*number_ < limit.keys.first || *number_ > limit.keys.last || allows(limit, value)) continue;
    note(OddityKind::bad_value, row, text,
         fmt::format("{} is {}, not {}", *number_, escape(value.substr(0, 64)), limit_text(limit)));
  }
}

void Rows::value(const Row& row, const Field& field, std::string_view text, std::uint8_t from) {
  add_value(row, field.name, field.kind, text, least_increment(input_.source, input_.units, field.from))
      .from = from;
}

RawItem& Rows::add_value(const Row& row, std::string_view name, FieldKind kind, std::string_view text,
                         const Decimal* increment) {
  const std::string_view in =
      text.data() >= row.code.data() && text.data() <= row.code.data() + row.code.size() ? row.code
                                                                                         : row.line.text;
  RawItem& item = output_.items.emplace_back();
  item.group = group_;
  item.key = key_;
  if (!name.empty()) {
    if (!item.key.empty()) item.key += '/';
    item.key += name;
  }
  // Where it is no number it stays as it is written.
  const std::string_view plain = plain_number(input_.source.numbers, text, number_room_);
  kind = kind_of_value(kind, plain);
  const bool other = plain.data() != text.data() && kind != FieldKind::text && canonical_number(plain);
  item.value = read_value(other ? plain : text, kind, increment, input_.source.point);
  item.span = {input_.file, input_.base + row.line.at + static_cast<std::uint64_t>(text.data() - in.data()),
               text.size(), row.line.number};
  item.kind = kind;
  if (number_ && !input_.source.limits.empty()) check_limits(row, text, item.value);
  return item;
}

void Rows::comment(const Row& row) {
  if (row.comment.empty() || input_.source.comment_field.empty()) return;
  add_value(row, input_.source.comment_field, FieldKind::text, row.comment, nullptr);
}

void Rows::unread(const Row& row) {
  const std::string_view text = trim(row.line.text);
  const auto offset = static_cast<std::uint64_t>(text.data() - row.line.text.data());
  output_.unread.push_back({input_.source.group,
                            std::string(text),
                            {input_.file, input_.base + row.line.at + offset, text.size(), row.line.number}});
  if (!row.line.ended) {
    note(OddityKind::cut_line, row, row.code, "the last line has no line end and cannot be read");
  } else {
    if (noted_[static_cast<std::size_t>(OddityKind::unread)] >= max_named_oddities) {
      return note(OddityKind::unread, row, row.code, {});  // which is counted alone
    }
    const std::string shown = Encoding(input_.source.encoding).to_utf8(text.substr(0, 80));
    note(OddityKind::unread, row, row.code,
         fmt::format("not understood: {}; {}", escape(shown), cure(input_.source, row.code)));
  }
}

Rows::Header Rows::find_header(const IsRow& is_row, bool quotes) const {
  const Source& source = input_.source;
  if (source.header == keepway::Header::none) return {};
  if (source.header == keepway::Header::lines) return {input_.first_line + source.header_lines, true};
  Comments comments(source.comments, quotes);
  Lines lines(input_.text, input_.first_line);
  Row row;
  Header found;
  bool any_row = false;
  bool text = false;         // header text is above
  bool after_blank = false;  // the line above is blank
  bool row_above = false;
  bool blank_seen = false;  // the first blank line decides; later ones part nothing
  bool deciding = false;    // the lines above end with the first blank line, and no row is above it
  // Right behind that blank line, and no row: one that is broken, if it begins as rows do, else more of the
  // header.
  std::uint64_t behind_blank = 0;
  std::string beginning;
  while (lines.next(row.line)) {
    if (row.line.text.size() > max_line_bytes) break;
    if (is_mark(row.line.text)) continue;
    if (trim(row.line.text).empty()) {
      if (!blank_seen) deciding = !row_above;
      blank_seen = after_blank = true;
      continue;
    }
    const Decommented stripped = comments.strip(row.line.text);
    row.code = stripped.code;
    row.comment = stripped.comment;
    if (trim(row.code).empty()) continue;
    const bool is = is_row(row);
    if (is && deciding) return {row.line.number, true};
    if (deciding) {
      behind_blank = row.line.number;
      beginning = beginning_of(row.code);
    }
    if (is && !any_row && !beginning.empty() && beginning == beginning_of(row.code))
      return {behind_blank, true};
    if (is && !any_row) found = {row.line.number, !text || after_blank};
    any_row = any_row || is;
    if (any_row && (blank_seen || (is && row_above))) break;  // two rows together are the table's body
    text = text || !is;
    row_above = is;
    deciding = after_blank = false;
  }
  return any_row ? found : Header{};
}

void Rows::read_all(const IsRow& is_row, const Read& read, bool quotes) {
  constexpr std::size_t likely_item = 10;  // bytes of a row for each
  constexpr std::size_t room = 4096;
  const std::size_t likely = std::min(input_.text.size() / likely_item, room);
  output_.items.reserve(output_.items.size() + likely);
  if (replace_) begun_.reserve(likely);
  const Header header = find_header(is_row, quotes);
  Comments comments(input_.source.comments, quotes);
  Lines lines(input_.text, input_.first_line);
  Row row;
  std::size_t count = 0;
  std::uint64_t marks = 0;
  bool behind_mark = false;  // the last one is above a row
  while (lines.next(row.line)) {
    if (row.line.text.size() > max_line_bytes) return give_up(row, "a line is longer than 64 KiB");
    row.code = row.line.text;
    const std::string_view text = trim(row.line.text);
    if (text.empty()) continue;
    if (is_mark(text)) {
      ++marks;
      behind_mark = false;
      continue;
    }
    if (part_line_ && names_part(row, comments)) continue;
    if (row.line.number < header.first_data_line) continue;
    if (!header.closed && row.line.number == header.first_data_line) {
      note(OddityKind::no_header_blank, row, row.code, "no blank line separates the header from the rows");
    }
    if (++count > max_rows) return give_up(row, "the file has more than 2,000,000 rows");
    const Decommented stripped = comments.strip(row.line.text);
    row.code = stripped.code;
    row.comment = stripped.comment;
    if (trim(row.code).empty()) continue;
    behind_mark = true;
    if (!read(row)) unread(row);
  }
  // A part that ends with its mark may begin with another line: `% OFFSETS`.
  finish(behind_mark || input_.source.begins.empty() ? marks : 0);
}

bool Rows::names_part(const Row& row, Comments& comments) {
  if (!part_line_->split(part_text(input_.source, row.line.text, comments), part_cells_)) return false;
  part_ = part_cells_.front();
  if (!part_key_ || part_cells_.back().empty()) return true;
  const auto part = [&](const std::string&) { return std::optional<std::string_view>(part_); };
  if (!part_key_->fill(part, key_)) return true;
  const std::string& name = input_.source.part_field;
  group_ = input_.source.group;
  number_.reset();
  if (replace_)
    begun_.push_back({key_ + '/' + name, output_.items.size(), row.line.number, input_.base + row.line.at});
  add_value(row, name, FieldKind::text, part_cells_.back(), nullptr);
  return true;
}

void Rows::check_size() {
  if (rows_ >= input_.source.size) return;
  output_.oddities.push_back(
      {OddityKind::missing_required, Place{std::string(input_.name)},
       fmt::format("{} row{} of the {} that the control always prints: probably cut off", rows_,
                   rows_ == 1 ? "" : "s", input_.source.size),
       input_.source.group});
}

void Rows::finish(std::uint64_t marks) {
  check_size();
  if (replace_) drop_repeated();
  Row end;
  end.line.at = input_.text.size();
  const std::string file(input_.name);
  if (marks == 1 && input_.source.under.empty()) {  // under a heading it is the end of the whole stream
    output_.oddities.push_back({OddityKind::mark_unclosed, Place{file},
                                "there is only one line with %: the file was probably cut off",
                                input_.source.group});
  }
  for (std::size_t i = 0; i < seen_.size(); ++i) {
    for (std::size_t at = 0; at < seen_[i].size(); ++at) {
      if (seen_[i][at]) continue;
      const std::size_t first = at;
      while (at + 1 < seen_[i].size() && !seen_[i][at + 1]) ++at;
      const long base = input_.source.must[i].first;
      const long from = base + static_cast<long>(first);
      const long to = base + static_cast<long>(at);
      const std::string what =
          from == to ? fmt::format("{} is", from) : fmt::format("{} to {} are", from, to);
      if (++noted_[static_cast<std::size_t>(OddityKind::missing_required)] > max_named_oddities) break;
      output_.oddities.push_back({OddityKind::missing_required, Place{file},
                                  fmt::format("{} required and missing", what), input_.source.group});
    }
  }
  for (std::size_t kind = 0; kind < noted_.size(); ++kind) {
    if (noted_[kind] <= max_named_oddities) continue;
    output_.oddities.push_back({static_cast<OddityKind>(kind), Place{file},
                                fmt::format("and {} more like these", noted_[kind] - max_named_oddities),
                                input_.source.group});
  }
}

void Rows::give_up(const Row& row, const std::string& why) {
  output_.items.resize(items_before_);
  output_.unread.resize(unread_before_);
  output_.oddities.push_back({OddityKind::too_large,
                              Place{std::string(input_.name), row.line.number, input_.base + row.line.at},
                              why + "; the file is kept as received and not read", input_.source.group});
}

}  // namespace keepway::reader
