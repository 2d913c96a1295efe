// Rows that the baseline had and this backup has not, of tables whose files are there.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <unordered_set>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "verdict/checks.hpp"

namespace keepway::verdict {
namespace {

// Which values of a table went, by where they lay in it: `part` is the key's first part where it has several
// (`tool`, `work`), so that each table of a group is looked at alone.
struct Gone {
  std::vector<std::string> keys;   // in the table's order
  std::size_t was = 0;             // values that the part had
  bool at_end = false;             // what went is the end of the file, else of the part
  bool in_a_row = false;           // and was together
  bool of_rows_that_stay = false;  // of each row another field is there: the table is written otherwise
};

std::string part_of(std::string_view key) {
  const std::size_t slash = key.find('/');
  return slash == std::string_view::npos ? std::string() : std::string(key.substr(0, slash));
}

std::map<std::string, Gone> gone_of(const Table& was, const Table& now) {
  struct Walk {
    std::size_t stretches = 0;
    bool going = false;
  };
  std::map<std::string, Gone> parts;
  std::map<std::string, Walk> walks;
  ItemCursor here(now);
  for (const Item& item : was) {
    if (is_unread(item.key)) continue;
    const std::string part = part_of(item.key);
    Gone& gone = parts[part];
    Walk& walk = walks[part];
    ++gone.was;
    const bool is_gone = here.find(item.key) == nullptr;
    if (is_gone) gone.keys.push_back(item.key);
    if (is_gone && !walk.going) ++walk.stretches;
    walk.going = is_gone;
  }
  for (auto& [part, gone] : parts) {
    gone.at_end = walks[part].going && walks[part].stretches == 1;
    gone.in_a_row = walks[part].stretches == 1 && gone.keys.size() > 1;
  }
  return parts;
}

std::string some(Group group, const Gone& gone) {
  constexpr std::size_t max_named = 5;
  const auto name = [&](const std::string& key) { return escape(Address{group, key}.text()); };
  if (gone.in_a_row) return fmt::format("{} to {}", name(gone.keys.front()), name(gone.keys.back()));
  std::string out;
  for (std::size_t i = 0; i < std::min(max_named, gone.keys.size()); ++i)
    out += (i == 0 ? "" : ", ") + name(gone.keys[i]);
  return gone.keys.size() > max_named ? fmt::format("{} and {} more", out, gone.keys.size() - max_named)
                                      : out;
}

// Whether the rows that went were the last of their file: then it may have been cut. nullopt where the
// baseline's file is not at hand.
std::optional<bool> ended_a_file(Case& in, Group group, const Gone& gone) {
  const std::unordered_set<std::string_view> keys(gone.keys.begin(), gone.keys.end());
  std::optional<bool> ended;
  for (const Pair& pair : in.pairs()) {
    if (pair.same) continue;
    std::uint64_t first_gone = UINT64_MAX;
    std::uint64_t last_here = 0;
    for (const Origin& origin : in.reading_was(pair).origins) {
      const bool went = origin.group == group && keys.contains(origin.key);
      if (went) first_gone = std::min(first_gone, origin.span.at);
      if (!went) last_here = std::max(last_here, origin.span.at);
    }
    if (first_gone != UINT64_MAX) ended = ended.value_or(false) || first_gone > last_here;
  }
  return ended;
}

bool lost_any(const Case& in, Group group) {
  return std::any_of(in.changed().begin(), in.changed().end(), [&](const ValueChange& change) {
    return change.group == group && !change.after && !is_unread(change.key);
  });
}

bool covered_by_file(const Case& in, Group group) {
  const auto lacks = [&](const Source* source) { return source != nullptr && source->group == group; };
  return std::any_of(in.gone().begin(), in.gone().end(),
                     [&](std::size_t file) { return lacks(in.source_was(file)); });
}

// Whether a backup that was taken independently lacks the same rows: then the machine has it so.
bool lacks_too(const Previous* witness, Group group, const Gone& gone) {
  if (witness == nullptr || !witness->state.table(group) || witness->state.table(group)->empty())
    return false;
  return std::none_of(gone.keys.begin(), gone.keys.end(), [&](const std::string& key) {
    return find_item(*witness->state.table(group), key) != nullptr;
  });
}

// The row that a value lies in: `tool/5` of `tool/5/length`. A key of one or two parts is a row of its own.
std::string_view row_of(std::string_view key) {
  const std::size_t last = key.rfind('/');
  return last == std::string_view::npos || key.find('/') == last ? key : key.substr(0, last);
}

// Whether a key is another's with a number behind: `SPEED.2` is the SPEED of a second file of its kind
// (Source::number_repeats). What is taken out of both was one thing to whoever did it.
bool repeats(std::string_view key, std::string_view first) {
  return key.starts_with(first) && key.size() > first.size() && key[first.size()] == '.' &&
         all_digits(key.substr(first.size() + 1));
}

std::size_t row_count(const std::vector<std::string>& keys) {
  std::size_t rows = 0;
  std::string_view row;
  for (const std::string& key : keys) {
    const std::string_view of = row_of(key);
    if (rows > 0 && (of == row || repeats(of, row))) continue;
    row = of;
    ++rows;
  }
  return rows;
}

bool are_rows_there(const Table& now, const std::vector<std::string>& keys) {
  std::unordered_set<std::string_view> rows;
  for (const Item& item : now) {
    if (row_of(item.key).size() < item.key.size()) rows.insert(row_of(item.key));
  }
  return std::all_of(keys.begin(), keys.end(),
                     [&](const std::string& key) { return rows.contains(row_of(key)); });
}

// Whether it may be meant that so much is gone, if a backup that was taken independently lacks it too. A
// control that cuts its files short does so again.
bool may_be_meant(const Gone& gone, bool many) {
  constexpr std::size_t few = 2;
  const std::size_t rows = row_count(gone.keys);
  if (rows == 1 || !many || gone.of_rows_that_stay) return true;
  return gone.keys.size() * 2 <= gone.was && (!gone.at_end || rows <= few);
}

// Whether so much may not go unasked. People take single rows out of tables whose rows come and go; a cut
// takes the last ones, and a lost sector some that lie together.
bool is_doubtful(const Gone& gone, bool many, bool shrank, bool fixed) {
  if (gone.at_end) return true;
  if (row_count(gone.keys) == 1) return !shrank && (fixed || many);
  constexpr std::size_t chance = 3;  // rows that lie together without a lost sector
  return many || !shrank || (gone.in_a_row && row_count(gone.keys) > chance);
}

}  // namespace

void check_rows(Case& in, Reasons& reasons) {
  const JudgeInput& input = in.input();
  const Previous* before = in.before();
  if (before == nullptr) return;
  for (const Group group : all_groups) {
    const auto& was = before->state.table(group);
    const auto& now = input.reading.state.table(group);
    // A file that is missing, or holds no row, is reported as that.
    if (!lost_any(in, group) || now->empty() || covered_by_file(in, group)) continue;
    for (auto& [part, gone] : gone_of(*was, *now)) {
      if (gone.keys.empty()) continue;
      gone.at_end = ended_a_file(in, group, gone).value_or(gone.at_end);
      gone.of_rows_that_stay = are_rows_there(*now, gone.keys);
      const bool many = gone.keys.size() * 10 > gone.was;
      const bool shrank = input.past.shrank && input.past.shrank(group);
      const std::string table = std::string(group_name(group)) + (part.empty() ? "" : "/" + escape(part));
      const std::string what =
          many ? fmt::format("{} fell from {} to {}: {} gone", table, gone.was, gone.was - gone.keys.size(),
                             some(group, gone))
               : fmt::format("{} of {} in {} gone: {}", gone.keys.size(), gone.was, table, some(group, gone));
      const std::string code = many ? "count-fell" : "rows-gone";
      const bool fixed = group == Group::parameters || group == Group::settings;
      bool heavy = is_doubtful(gone, many, shrank, fixed);
      if (may_be_meant(gone, many) && lacks_too(in.witness(), group, gone)) heavy = false;
      reasons.push_back(
          {heavy ? Worth::doubtful : Worth::good,
           code,
           what + (heavy && !shrank ? ", and the table never shrank before" : ""),
           fmt::format(
               "at the machine, check whether all {} are there; if so, the file is incomplete: back up again",
               group_name(group)),
           {},
           table + ": " + some(group, gone)});
    }
  }
}

}  // namespace keepway::verdict
