// Rows that the baseline had and this backup has not, of tables whose files are there.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <unordered_set>
#include <utility>

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
  std::set<std::string> fields;    // that no row has now, since the file is in another form
};

std::string part_of(std::string_view key) {
  const std::size_t slash = key.find('/');
  return slash == std::string_view::npos ? std::string() : std::string(key.substr(0, slash));
}

// The row that a value lies in: `tool/5` of `tool/5/length`. A key of one or two parts is a row of its own.
std::string_view row_of(std::string_view key) {
  const std::size_t last = key.rfind('/');
  return last == std::string_view::npos || key.find('/') == last ? key : key.substr(0, last);
}

std::string_view field_of(std::string_view key) {
  return key.substr(row_of(key).size());
}

// The rows of a table that have fields, and the fields of each of its parts.
struct RowsAndFields {
  std::unordered_set<std::string_view> rows;
  std::set<std::pair<std::string, std::string_view>> fields;

  explicit RowsAndFields(const Table& table) {
    for (const Item& item : table) {
      if (field_of(item.key).empty()) continue;
      rows.insert(row_of(item.key));
      fields.emplace(part_of(item.key), field_of(item.key));
    }
  }
  [[nodiscard]] bool has_row_of(std::string_view key) const { return rows.contains(row_of(key)); }
  [[nodiscard]] bool has_field_of(std::string_view key) const {
    return fields.contains({part_of(key), field_of(key)});
  }
};

// Keys of the baseline's files that another source of the layout reads now: they are in another form.
std::unordered_set<std::string> read_otherwise(Case& in, Group group) {
  std::unordered_set<std::string> keys;
  for (const Pair& pair : in.pairs()) {
    if (pair.same) continue;
    const Reading& was = in.reading_was(pair);
    if (was.files.front().source == in.input().reading.files[pair.now].source) continue;
    for (const Origin& origin : was.origins) {
      if (origin.group == group) keys.insert(origin.key);
    }
  }
  return keys;
}

// `otherwise`: read_otherwise(). No medium's fault takes one field out of each row of a file and puts it into
// another form, so such fields are none of the keys that went.
std::map<std::string, Gone> gone_of(const Table& was, const Table& now, const RowsAndFields& there,
                                    const std::unordered_set<std::string>& otherwise) {
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
    const bool is_gone = here.find(item.key) == nullptr;
    if (is_gone && otherwise.contains(item.key) && there.has_row_of(item.key) &&
        !there.has_field_of(item.key)) {
      gone.fields.emplace(field_of(item.key).substr(1));
      continue;
    }
    Walk& walk = walks[part];
    ++gone.was;
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

// What lies behind the line in which `at` lies.
std::string_view behind_line(std::string_view text, std::uint64_t at) {
  const std::size_t end = text.find('\n', std::min<std::uint64_t>(at, text.size()));
  return end == std::string_view::npos ? std::string_view() : text.substr(end + 1);
}

// Whether the text after the last row is the same as before. A cut can leave that only where the same text
// followed the last row that is left.
bool ends_as_before(Case& in, const Pair& pair, const Origin& last_left, std::uint64_t last_was) {
  const std::vector<Origin>& origins = in.input().reading.origins;
  const auto here = std::find_if(origins.begin(), origins.end(), [&](const Origin& origin) {
    return origin.span.file == pair.now && origin.group == last_left.group && origin.key == last_left.key;
  });
  if (here == origins.end()) return false;
  const std::string_view end = behind_line(in.now(pair), here->span.at);
  return !end.empty() && end == behind_line(in.was(pair), last_was) &&
         !behind_line(in.was(pair), last_left.span.at).starts_with(end);
}

// Whether the rows that went were the last of their file: then it may have been cut. nullopt where the
// baseline's file is not at hand.
std::optional<bool> ended_a_file(Case& in, Group group, const Gone& gone) {
  const std::unordered_set<std::string_view> keys(gone.keys.begin(), gone.keys.end());
  std::optional<bool> ended;
  for (const Pair& pair : in.pairs()) {
    if (pair.same) continue;
    const Origin* first_gone = nullptr;
    const Origin* last_left = nullptr;
    std::uint64_t last = 0;
    for (const Origin& origin : in.reading_was(pair).origins) {
      const bool went = origin.group == group && keys.contains(origin.key);
      if (went && (first_gone == nullptr || origin.span.at < first_gone->span.at)) first_gone = &origin;
      if (!went && (last_left == nullptr || origin.span.at > last_left->span.at)) last_left = &origin;
      last = std::max(last, origin.span.at);
    }
    if (first_gone == nullptr) continue;
    const bool at_end = last_left == nullptr || first_gone->span.at > last_left->span.at;
    ended = ended.value_or(false) ||
            (at_end && (last_left == nullptr || !ends_as_before(in, pair, *last_left, last)));
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

// What to say of the part `table` of a group from which something is gone.
Reason rows_gone(Case& in, Group group, const std::string& table, Gone& gone) {
  const JudgeInput& input = in.input();
  gone.at_end = ended_a_file(in, group, gone).value_or(gone.at_end);
  const bool many = gone.keys.size() * 10 > gone.was;
  const bool shrank = input.past.shrank && input.past.shrank(group);
  const bool fixed = group == Group::parameters || group == Group::settings;
  const bool meant = may_be_meant(gone, many) && lacks_too(in.witness(), group, gone);
  const bool heavy = !meant && is_doubtful(gone, many, shrank, fixed);
  const std::string names = some(group, gone);
  return {heavy ? Worth::doubtful : Worth::good,
          many ? "count-fell" : "rows-gone",
          (many ? fmt::format("{} fell from {} to {}: {} gone", table, gone.was, gone.was - gone.keys.size(),
                              names)
                : fmt::format("{} of {} in {} gone: {}", gone.keys.size(), gone.was, table, names)) +
              (heavy && !shrank ? ", and the table never shrank before" : ""),
          fmt::format(
              "at the machine, check whether all {} are there; if so, the file is incomplete: back up again",
              group_name(group)),
          {},
          table + ": " + names};
}

Reason another_form(const std::string& table, const Gone& gone) {
  return {Worth::good,
          "another-form",
          fmt::format("{} is written in another form than before: no row has {} now", table,
                      escape(fmt::format("{}", fmt::join(gone.fields, ", ")))),
          "if nobody chose that form at the control, look at the file before it is loaded anywhere",
          {},
          {}};
}

}  // namespace

void check_rows(Case& in, Reasons& reasons) {
  const Previous* before = in.before();
  if (before == nullptr) return;
  for (const Group group : all_groups) {
    const auto& was = before->state.table(group);
    const auto& now = in.input().reading.state.table(group);
    // A file that is missing, or holds no row, is reported as that.
    if (!lost_any(in, group) || now->empty() || covered_by_file(in, group)) continue;
    const RowsAndFields there(*now);
    for (auto& [part, gone] : gone_of(*was, *now, there, read_otherwise(in, group))) {
      const std::string table = std::string(group_name(group)) + (part.empty() ? "" : "/" + escape(part));
      gone.of_rows_that_stay = std::all_of(gone.keys.begin(), gone.keys.end(),
                                           [&](const std::string& key) { return there.has_row_of(key); });
      if (!gone.fields.empty()) reasons.push_back(another_form(table, gone));
      if (!gone.keys.empty()) reasons.push_back(rows_gone(in, group, table, gone));
    }
  }
}

}  // namespace keepway::verdict
