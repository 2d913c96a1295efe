#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "keepway/compare.hpp"
#include "verdict/checks.hpp"

namespace keepway::verdict {
namespace {

// Fewer values than this that were set before prove nothing when a part of a table turns zero: a
// shift of three axes is cleared in daily work.
constexpr std::size_t least_for_part = 4;
constexpr std::size_t least_for_group = 2;

void check_counts(const JudgeInput& input, Reasons& reasons) {
  if (input.last == nullptr) return;
  const Counts before = count(input.last->state);
  const Counts now = count(input.reading.state);
  for (const Group group : all_groups) {
    const std::size_t was = before.items[static_cast<std::size_t>(group)];
    const std::size_t is = now.items[static_cast<std::size_t>(group)];
    if (is * 10 >= was * 9) continue;  // fell by a tenth or less
    reasons.push_back(
        {Worth::doubtful,
         "count-fell",
         fmt::format("{} fell from {} to {}", group_name(group), was, is),
         fmt::format(
             "at the machine, look whether the {} are all there; if so the file is not whole: back up again",
             group_name(group)),
         {}});
  }
}

struct Tally {
  std::size_t set_before = 0;
  std::size_t set_now = 0;
  std::size_t here = 0;
};

bool is_set(const Namebook& book, Group group, const Item& item) {
  if (item.value == "0" || is_unread(item.key) || !Decimal::is_number(item.value)) return false;
  const Entry* entry = book.row(group, item.key);
  return entry == nullptr || item.value != entry->default_value;
}

// The parts of a table that may be lost on their own: the whole group, its first part (`tool`), and
// one field of it (`tool/*/length`).
std::vector<std::string> parts_of(Group group, std::string_view key) {
  std::vector<std::string> parts = {std::string(group_name(group))};
  const std::size_t first = key.find('/');
  if (first == std::string_view::npos) return parts;
  parts.push_back(parts[0] + "/" + std::string(key.substr(0, first)));
  const std::size_t last = key.rfind('/');
  if (last != first) parts.push_back(parts[1] + "/*/" + std::string(key.substr(last + 1)));
  return parts;
}

// How many values were set before and are here and not set. Most have not changed, and are not looked at.
std::size_t count_lost(const Namebook& book, Group group, const Table& was, const Table& now) {
  std::size_t lost = 0;
  auto before = was.begin();
  for (const Item& item : now) {
    while (before != was.end() && before->key != item.key && natural_order(before->key, item.key) < 0)
      ++before;
    if (before == was.end() || before->key != item.key || before->value == item.value) continue;
    lost += is_set(book, group, *before) && !is_set(book, group, item) ? 1U : 0U;
  }
  return lost;
}

void check_lost_memory(const JudgeInput& input, Reasons& reasons) {
  const Previous* before = input.baseline != nullptr ? input.baseline : input.last;
  if (before == nullptr) return;
  for (const Group group : all_groups) {
    const auto& was = before->state.table(group);
    const auto& now = input.reading.state.table(group);
    if (group == Group::programs || !was || !now) continue;
    // With fewer than this there is nothing to weigh.
    if (count_lost(input.namebook, group, *was, *now) < std::min(least_for_part, least_for_group)) continue;
    std::map<std::string, Tally> tallies;
    for (const Item& item : *was) {
      // A row that is gone lost no value here: a file that is missing is told of by itself.
      if (!is_set(input.namebook, group, item) || find_item(*now, item.key) == nullptr) continue;
      for (const std::string& part : parts_of(group, item.key)) ++tallies[part].set_before;
    }
    for (const Item& item : *now) {
      const bool set = is_set(input.namebook, group, item);
      for (const std::string& part : parts_of(group, item.key)) {
        tallies[part].here += 1;
        tallies[part].set_now += set ? 1 : 0;
      }
    }
    std::string told = "\n";
    for (const auto& [part, tally] : tallies) {  // broad before narrow: text order
      const bool whole = part.find('/') == std::string::npos;
      if (tally.set_now > 0 || tally.here == 0 ||
          tally.set_before < (whole ? least_for_group : least_for_part))
        continue;
      if (part.starts_with(told)) continue;
      told = part + "/";
      reasons.push_back(
          {Worth::doubtful,
           "memory-lost",
           fmt::format("every value of {} is zero or default now; {} were set before: looks like lost memory",
                       part, tally.set_before),
           "do not run the machine; check its battery by the builder's manual, then put back the last good "
           "backup: keepway restore",
           {}});
    }
  }
}

// What is wrong with a value by its entry in the namebook; empty when nothing is.
std::string limit_fault(const Entry& entry, const std::string& text) {
  if (!entry.min && !entry.max && entry.kind != Kind::choice) return "";
  const auto value = Decimal::parse(text);
  if (!value) return "";
  if (entry.min && *value < *entry.min) return "below its limit of " + entry.min->text();
  if (entry.max && *value > *entry.max) return "above its limit of " + entry.max->text();
  if (entry.kind != Kind::choice || entry.meanings.empty()) return "";
  const bool listed = std::any_of(entry.meanings.begin(), entry.meanings.end(), [&](const Meaning& meaning) {
    const auto choice = Decimal::parse(meaning.value);
    return choice && *choice == *value;
  });
  return listed ? "" : "which is none of its choices";
}

void check_limits(const JudgeInput& input, Reasons& reasons) {
  for (const Group group : all_groups) {
    const auto& table = input.reading.state.table(group);
    if (!table || input.namebook.entries().empty()) continue;
    for (const Item& item : *table) {
      const Entry* entry = input.namebook.row(group, item.key);
      const std::string fault = entry != nullptr ? limit_fault(*entry, item.value) : "";
      if (fault.empty()) continue;
      Place place;
      if (const Origin* origin = input.reading.origin(group, item.key)) {
        const std::string& file = input.set.files[origin->span.file].name;
        place = Place{escape(file), origin->span.line, origin->span.at};
        // One that the file's own form does not allow is told as that.
        const auto told = [&](const Oddity& oddity) {
          return oddity.kind == OddityKind::bad_value && oddity.place.line == origin->span.line &&
                 oddity.place.file == file;
        };
        if (std::any_of(input.reading.oddities.begin(), input.reading.oddities.end(), told)) continue;
      }
      reasons.push_back(
          {Worth::doubtful, "out-of-limits",
           fmt::format("{} ({}) is {}, {}", escape(input.namebook.name(group, item.key)),
                       escape(Address{group, item.key}.text()), escape(item.value), fault),
           "look at this value at the machine before it moves; if it is right, mend the entry in the "
           "namebook",
           place});
    }
  }
}

// A change larger than the namebook allows in one go: a digit lost at the keyboard looks so. It is no
// fault of the backup, so the verdict stays.
void check_steps(const JudgeInput& input, Reasons& reasons) {
  if (input.last == nullptr || input.namebook.entries().empty()) return;
  for (const Group group : all_groups) {
    const auto& was = input.last->state.table(group);
    const auto& now = input.reading.state.table(group);
    if (!was || !now || group == Group::programs) continue;
    for (const ValueChange& change : compare_tables(group, *was, *now)) {
      const Entry* entry = input.namebook.row(group, change.key);
      if (entry == nullptr || !entry->step || !change.before || !change.after) continue;
      const auto before = Decimal::parse(*change.before);
      const auto after = Decimal::parse(*change.after);
      if (!before || !after || (*after - *before).abs() <= *entry->step) continue;
      reasons.push_back({Worth::good,
                         "large-step",
                         fmt::format("{} ({}) went from {} to {}, more than {} in one go",
                                     escape(input.namebook.name(group, change.key)),
                                     escape(Address{group, change.key}.text()), *change.before, *change.after,
                                     entry->step->text()),
                         "look at this value at the machine before it moves",
                         {}});
    }
  }
}

}  // namespace

void check_tables(const JudgeInput& input, Reasons& reasons) {
  check_counts(input, reasons);
  check_lost_memory(input, reasons);
  check_limits(input, reasons);
  check_steps(input, reasons);
}

}  // namespace keepway::verdict
