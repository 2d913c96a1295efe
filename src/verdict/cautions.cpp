// Changes that can hurt, whatever the backup is worth: what to look at before the machine cuts.
#include <fmt/format.h>

#include <algorithm>

#include "keepway/text.hpp"
#include "verdict/caution.hpp"
#include "verdict/checks.hpp"
#include "verdict/number_shape.hpp"
#include "verdict/number_words.hpp"

namespace keepway::verdict {
namespace {

// What is wrong with a value by its entry in the namebook; empty when nothing is.
std::string limit_fault(const Entry& entry, const Decimal& value) {
  if (entry.min && value < *entry.min) return "below its limit of " + entry.min->text();
  if (entry.max && value > *entry.max) return "above its limit of " + entry.max->text();
  if (entry.kind != Kind::choice || entry.meanings.empty()) return "";
  const bool listed = std::any_of(entry.meanings.begin(), entry.meanings.end(), [&](const Meaning& meaning) {
    return Decimal::parse(meaning.value) == value;
  });
  return listed ? "" : "not one of its choices";
}

// Whether a number has its point as the control writes one.
bool is_pointed(const Source& source, std::string_view number) {
  return number.find(source.numbers.comma ? ',' : '.') != std::string_view::npos;
}

// Where a number is in this backup that was written with a point before and is not now; else null. The
// baseline's file is read only where the number has no point now, which is rare.
const Origin* lost_its_point(Case& in, const ValueChange& change) {
  const Origin* now = in.input().reading.origin(change.group, change.key);
  if (now == nullptr || now->kind != FieldKind::number) return nullptr;
  const Pair* pair = in.pair_of(now->span.file);
  if (pair == nullptr || pair->same) return nullptr;
  const Source& source = in.input().layout.sources[now->source];
  if (is_pointed(source, in.now(*pair).substr(now->span.at, now->span.length))) return nullptr;
  const Origin* was = in.reading_was(*pair).origin(change.group, change.key);
  const bool had = was != nullptr && is_pointed(source, in.was(*pair).substr(was->span.at, was->span.length));
  return had ? now : nullptr;
}

// Whether the baseline's file writes whole numbers of this column or letter without a point, so that one
// without a point is nothing special.
bool writes_whole_numbers(Case& in, const Origin& now) {
  const Pair& pair = *in.pair_of(now.span.file);
  WholeNumbers whole;
  for (const Origin& each : in.reading_was(pair).origins) {
    if (each.source == now.source && each.from == now.from && each.kind == FieldKind::number)
      whole.add(in.was(pair).substr(each.span.at, each.span.length));
  }
  return whole.usual();
}

void check_shift(Case& in, const ValueChange& change, Caution& caution) {
  const std::string& before = *change.before;
  const std::string& after = *change.after;
  const DigitShift shift = shift_between(before, after);
  const bool may =
      (shift == DigitShift::none || shift == DigitShift::tens) && may_have_lost_its_point(before, after);
  const Origin* gone = may ? lost_its_point(in, change) : nullptr;
  if (gone == nullptr) return add_shift(caution, shift, before, after);
  if (shift == DigitShift::tens)
    return add(caution, "point-gone", "the decimal point is gone: " + tens_between(before, after));
  const bool counts = in.input().layout.sources[gone->source].point == Point::counts;
  if (is_tens_apart(before, after) || (counts && !writes_whole_numbers(in, *gone)))
    add_point_missing(caution);
}

// A value of several words, such as the three axes of a place, number by number.
void check_words(const std::string& before, const std::string& after, Caution& caution) {
  const NumberWords was = number_words(before);
  const NumberWords is = number_words(after);
  if (was.form != is.form || !holds_measures(is)) return;
  for (std::size_t i = 0; i < is.words.size(); ++i) {
    const std::string from(was.words[i].number);
    const std::string to(is.words[i].number);
    const DigitShift shift = shift_between(from, to);
    const bool gone = has_point(from) && !has_point(to);
    Caution word;
    if (shift == DigitShift::tens && gone)
      add(word, "point-gone", "the decimal point is gone: " + tens_between(from, to));
    else if (shift == DigitShift::none && gone && is_tens_apart(from, to))
      add_point_missing(word);
    else
      add_shift(word, shift, from, to);
    if (!word.codes.empty())
      add(caution, word.codes.front().c_str(), fmt::format("{} to {}: {}", from, to, word.why));
  }
}

// Whether a value is meant as a number, or as several: no note of a person.
bool is_note(const Case& in, const ValueChange& change) {
  const Origin* origin = in.input().reading.origin(change.group, change.key);
  return origin != nullptr && origin->kind == FieldKind::text;
}

void check_value(Case& in, const ValueChange& change, std::vector<Caution>& cautions) {
  if (!change.after || is_unread(change.key)) return;
  const auto entry = in.input().namebook.find(change.group, change.key);
  if (entry && entry->living) return;
  Caution caution;
  caution.address = {change.group, change.key};
  caution.name = entry ? entry->name : "";
  caution.before = change.before;
  caution.after = change.after;
  const auto after = Decimal::parse(*change.after);
  const auto before = change.before ? Decimal::parse(*change.before) : std::nullopt;
  if (change.before && (before || after))
    check_shift(in, change, caution);
  else if (change.before && !is_note(in, change))
    check_words(*change.before, *change.after, caution);
  if (entry && after) {
    if (const std::string fault = limit_fault(*entry, *after); !fault.empty())
      add(caution, "out-of-limits", fault);
    if (before && entry->step && (*after - *before).abs() > *entry->step)
      add(caution, "large-step", fmt::format("more than {} in one go", entry->step->text()));
  }
  if (entry && change.before && !entry->caution.empty()) add(caution, "caution-item", entry->caution);
  if (caution.codes.empty()) return;
  if (const Origin* origin = in.input().reading.origin(change.group, change.key))
    caution.place = Place{escape(in.name_now(origin->span.file)), origin->span.line, origin->span.at};
  cautions.push_back(std::move(caution));
}

}  // namespace

std::vector<Caution> cautions_of(Case& in) {
  std::vector<Caution> cautions;
  if (in.before() != nullptr) {
    for (const ValueChange& change : in.changed()) check_value(in, change, cautions);
    add_program_cautions(in, cautions);
    return cautions;
  }
  if (in.input().namebook.entries().empty()) return cautions;
  for (const Group group : all_groups) {
    const auto& table = in.input().reading.state.table(group);
    if (!table || group == Group::programs) continue;
    for (const Item& item : *table) check_value(in, {group, item.key, std::nullopt, item.value}, cautions);
  }
  return cautions;
}

}  // namespace keepway::verdict
