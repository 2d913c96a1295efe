// What a dead battery leaves: tables of zeroes or of defaults, and lists with nothing in them.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "keepway/text.hpp"
#include "verdict/checks.hpp"
#include "verdict/memory_run.hpp"

namespace keepway::verdict {
namespace {

// Fewer values than this that were set before prove nothing when a part of a table turns zero: a shift of
// three axes is cleared in daily work.
constexpr std::size_t least_for_part = 4;
constexpr std::size_t least_for_row = 7;  // where the part may be one row, such as a shift of six axes
constexpr std::size_t least_for_group = 2;

struct Tally {
  std::size_t set_before = 0;
  std::size_t set_now = 0;
  std::size_t here = 0;
  std::size_t least = least_for_part;   // that were set before
  bool by_row = false;                  // a value of several numbers counts once
  std::set<std::string> values_before;  // different ones, up to a few
  std::set<std::string> values_now;
};

// The parts of a table that may be lost on their own: the whole group, its first part (`tool`), the rows of
// that with fields (`tool/*`: beside them may be a value that says which row is in force, and is never zero),
// and one field of them (`tool/*/length`). Where a row is a part itself (`G54/X`), one field of all (`*/X`).
class Parts {
 public:
  explicit Parts(Group group) : group_(group), whole_(&tallies_[std::string(group_name(group))]) {}
  // Those that a row belongs to. Most rows have no part but the whole.
  const std::vector<Tally*>& of(std::string_view key) {
    found_.assign(1, whole_);
    const std::size_t first = key.find('/');
    if (first == std::string_view::npos) return found_;
    const std::string part = fmt::format("{}/{}", group_name(group_), key.substr(0, first));
    const std::size_t last = key.rfind('/');
    if (last == first) {
      found_.push_back(&tallies_[part]);
      found_.back()->least = least_for_row;
      found_.push_back(&tallies_[fmt::format("{}/*{}", group_name(group_), key.substr(last))]);
      found_.back()->by_row = true;
      return found_;
    }
    found_.push_back(&tallies_[part]);
    found_.push_back(&tallies_[part + "/*"]);
    found_.push_back(&tallies_[fmt::format("{}/*/{}", part, key.substr(last + 1))]);
    return found_;
  }
  std::map<std::string, Tally> take() { return std::move(tallies_); }

 private:
  Group group_;
  std::map<std::string, Tally> tallies_;
  Tally* whole_;
  std::vector<Tally*> found_;
};

void note(std::set<std::string>& values, const std::string& value) {
  if (values.size() < few_values) values.insert(value);
}

std::map<std::string, Tally> tallies_of(const JudgeInput& input, Group group, const Table& was,
                                        const Table& now) {
  Parts parts(group);
  ItemCursor here(now);
  for (const Item& item : was) {
    // A row that is gone lost no value here: a file that is missing is reported by itself.
    const std::size_t set = count_set(input.namebook, group, item);
    if (set == 0 || here.find(item.key) == nullptr) continue;
    for (Tally* tally : parts.of(item.key)) {
      tally->set_before += tally->by_row ? 1 : set;
      note(tally->values_before, item.value);
    }
  }
  for (const Item& item : now) {
    const std::size_t set = count_set(input.namebook, group, item);
    for (Tally* tally : parts.of(item.key)) {
      tally->here += 1;
      tally->set_now += tally->by_row ? std::min<std::size_t>(set, 1) : set;
      note(tally->values_now, item.value);
    }
  }
  return parts.take();
}

// What became of a part; empty when it was not lost. One value everywhere, where there were many, is what
// memory holds that was never written.
std::string loss(const std::string& part, const Tally& tally) {
  const bool whole = part.find('/') == std::string::npos;
  if (tally.here == 0 || tally.set_before < (whole ? least_for_group : tally.least)) return "";
  if (tally.set_now == 0)
    return fmt::format("every value of {} is zero or default now; {} were set before", part,
                       tally.set_before);
  constexpr std::size_t least_alike = 8;
  if (tally.here >= least_alike && tally.values_before.size() == few_values && tally.values_now.size() == 1)
    return fmt::format("every value of {} is {} now; {} were set before", part,
                       escape(*tally.values_now.begin()), tally.set_before);
  constexpr std::size_t least_for_most = 12;
  if (tally.set_before >= least_for_most && tally.set_now * 4 < tally.set_before)
    return fmt::format("only {} values of {} are set now; {} were before", tally.set_now, part,
                       tally.set_before);
  return "";
}

// What a group lost, by its part. Where each row is a part of its own, one lost field is reported for all of
// them, and none where a stretch of rows was lost: that says more.
std::vector<std::pair<std::string, std::string>> losses(const JudgeInput& input, Group group,
                                                        const Table& was, const Table& now) {
  std::vector<std::pair<std::string, std::string>> out;
  const std::string fields = fmt::format("{}/*/", group_name(group));
  auto run = lost_run(input.namebook, group, was, now);
  std::string last = "\n";
  for (const auto& [part, tally] : tallies_of(input, group, was, now)) {  // broad before narrow: text order
    const bool is_field = part.starts_with(fields);
    if (part.starts_with(last) || (is_field && run)) continue;
    std::string what = loss(part, tally);
    if (what.empty()) continue;
    last = is_field ? fields : part + "/";
    out.emplace_back(part, std::move(what));
  }
  if (out.empty() && run) out.emplace_back(std::move(run->rows), std::move(run->what));
  return out;
}

// Whether the changes of a group leave room for a loss(): enough values that were set and are not, or enough
// that became one and the same. On most days they do not, and the tables need not be gone through.
bool may_be_lost(const Case& in, Group group) {
  std::size_t cleared = 0;
  std::unordered_map<std::string_view, std::size_t> became;
  std::size_t same = 0;
  for (const ValueChange& change : in.changed()) {
    if (change.group != group || !change.before || !change.after) continue;
    const Namebook& book = in.input().namebook;
    const bool lost = is_set(book, group, {change.key, *change.before}) &&
                      !is_set(book, group, {change.key, *change.after});
    cleared += lost ? 1 : 0;
    same = std::max(same, ++became[*change.after]);
  }
  return cleared >= least_for_group || same + 1 >= few_values;
}

// Groups whose files are there with nothing in them.
std::vector<std::string> emptied(const JudgeInput& input, const Previous& before) {
  std::vector<std::string> out;
  const Counts was = count(before.state);
  const Counts now = count(input.reading.state);
  for (const Group group : all_groups) {
    const auto at = static_cast<std::size_t>(group);
    if (was.items[at] < least_for_group || now.items[at] > 0) continue;
    const bool has_file =
        std::any_of(input.reading.files.begin(), input.reading.files.end(), [&](const FileFacts& facts) {
          if (facts.source == FileFacts::no_source) return false;
          const Source& source = input.layout.sources[facts.source];
          return source.data && source.group == group;
        });
    if (has_file) out.emplace_back(group_name(group));
  }
  return out;
}

void lost_before_the_first(const std::string& what, Reasons& reasons) {
  reasons.push_back(
      {Worth::doubtful,
       "memory-lost",
       what,
       "do not run the machine; check its battery by the builder's manual, and look for an older "
       "backup, on paper too; if the machine is new and holds nothing yet, accept this with "
       "--accept",
       {},
       "all"});
}

}  // namespace

void check_lost_memory(Case& in, Reasons& reasons) {
  const JudgeInput& input = in.input();
  const Previous* before = in.before();
  const auto lost = [&](const std::string& what, const std::string& spot) {
    reasons.push_back(
        {Worth::doubtful,
         "memory-lost",
         what + ": looks like lost memory",
         "do not run the machine; check its battery by the builder's manual, then put back the last good "
         "backup: keepway restore",
         {},
         spot});
  };
  // Without a baseline, or with one whose lost memory somebody accepted, there is nothing to compare with.
  if (before == nullptr || looks_lost(before->state)) {
    if (const auto what = looks_lost(input.reading.state)) lost_before_the_first(*what, reasons);
  }
  if (before == nullptr) return;
  bool any = false;
  for (const Group group : all_groups) {
    const auto& was = before->state.table(group);
    const auto& now = input.reading.state.table(group);
    if (group == Group::programs || !was || !now || !may_be_lost(in, group)) continue;
    for (const auto& [spot, what] : losses(input, group, *was, *now)) {
      any = true;
      lost(what, spot);
    }
  }
  const auto empty = emptied(input, *before);
  if (empty.size() >= 2 || (any && !empty.empty()))
    lost(fmt::format("the files of {} are there, but empty", fmt::join(empty, " and ")), "emptied");
}

}  // namespace keepway::verdict
