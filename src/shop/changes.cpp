// What differs between two backups: values by the end of the index where it reaches, else by their tables,
// and programs by their texts.
#include <algorithm>
#include <array>
#include <utility>

#include "keepway/shop.hpp"

namespace keepway {
namespace {

// The files of `blobs` that `others` does not have alike; both in path order. A table that is the same on
// both sides, or whose rows are known otherwise, still says that its group is there; a program says nothing.
std::vector<StateFile> differing(const store::Repository& repository, const std::vector<store::Blob>& blobs,
                                 const std::vector<store::Blob>& others, bool tables) {
  std::vector<StateFile> files;
  auto other = others.begin();
  for (const store::Blob& blob : blobs) {
    while (other != others.end() && other->path < blob.path) ++other;
    const bool same = other != others.end() && other->path == blob.path && other->id == blob.id;
    const bool table = blob.path.ends_with(".tsv");
    if (same && !table) continue;
    files.push_back({blob.path, same || (table && !tables) ? std::string() : repository.read(blob.id)});
  }
  return files;
}

// Leaves out of two tables' texts the rows that both have, from the first on as long as the keys are the
// same: they need not be taken apart to be found the same.
void leave_out_common(std::string& before, std::string& after) {
  const auto row_at = [](std::string_view text, std::size_t at) {
    return text.substr(at, text.find('\n', at) - at + 1);
  };
  const auto key_of = [](std::string_view row) { return row.substr(0, row.find('\t')); };
  std::string was;
  std::string is;
  std::size_t a = 0;
  std::size_t b = 0;
  while (a < before.size() && b < after.size()) {
    const std::string_view old_row = row_at(before, a);
    const std::string_view new_row = row_at(after, b);
    if (old_row != new_row) {
      if (key_of(old_row) != key_of(new_row)) break;
      was += old_row;
      is += new_row;
    }
    a += old_row.size();
    b += new_row.size();
  }
  before = was.append(before, a);
  after = is.append(after, b);
}

void leave_out_common(std::vector<StateFile>& before, std::vector<StateFile>& after) {
  auto one = before.begin();
  for (StateFile& other : after) {
    one = std::find_if(one, before.end(), [&](const StateFile& file) { return file.path >= other.path; });
    if (one == before.end()) break;
    if (one->path == other.path && other.path.ends_with(".tsv"))
      leave_out_common(one->content, other.content);
  }
}

// A row of the index as a change; nullopt when it cannot be one.
std::optional<ValueChange> value_change(std::string_view name, std::optional<std::string_view> before,
                                        std::optional<std::string_view> after) {
  static const auto fronts = [] {
    std::array<std::string, all_groups.size()> out;
    for (std::size_t i = 0; i < out.size(); ++i) out[i] = store::row_name(table_path(all_groups[i]), "");
    return out;
  }();
  const auto front = std::find_if(fronts.begin(), fronts.end(),
                                  [&](const std::string& one) { return name.starts_with(one); });
  if (front == fronts.end()) return std::nullopt;
  const auto text = [](std::optional<std::string_view> written) {
    return written ? unescape(*written) : std::nullopt;
  };
  auto key = unescape(name.substr(front->size()));
  ValueChange change{all_groups[static_cast<std::size_t>(front - fronts.begin())], "", text(before),
                     text(after)};
  if (!key || change.before.has_value() != before.has_value() ||
      change.after.has_value() != after.has_value()) {
    return std::nullopt;
  }
  change.key = std::move(*key);
  return change;
}

// As compare() gives them: by group, then by key.
std::vector<ValueChange> sorted(std::vector<ValueChange> changes) {
  struct Place {
    std::size_t group;
    std::string key;
    ValueChange* change;
  };
  std::vector<Place> places;
  places.reserve(changes.size());
  bool all = true;
  for (ValueChange& change : changes) {
    const auto group = std::find(all_groups.begin(), all_groups.end(), change.group) - all_groups.begin();
    Place place{static_cast<std::size_t>(group), "", &change};
    all = all && append_natural_key(change.key, place.key);
    places.push_back(std::move(place));
  }
  std::sort(places.begin(), places.end(), [&](const Place& a, const Place& b) {
    if (a.group != b.group) return a.group < b.group;
    if (all && a.key != b.key) return a.key < b.key;
    return natural_order(a.change->key, b.change->key) < 0;
  });
  std::vector<ValueChange> out;
  out.reserve(places.size());
  for (const Place& place : places) out.push_back(std::move(*place.change));
  return out;
}

}  // namespace

// The values that differ, by the end of the index: without reading a table. nullopt where it does not reach.
std::optional<std::vector<ValueChange>> Machine::values_near_tip(const store::Oid& from,
                                                                 const store::Oid& to) const {
  const store::IndexEnd& end = index_end();
  for (const bool back : {false, true}) {
    std::vector<ValueChange> found;
    bool sound = true;
    const bool whole = end.rows_between(back ? to : from, back ? from : to,
                                        [&](std::string_view name, auto before, auto after) {
                                          if (back) std::swap(before, after);
                                          auto change = value_change(name, before, after);
                                          sound = sound && change;
                                          if (sound) found.push_back(std::move(*change));
                                        });
    if (!sound) return std::nullopt;
    if (whole) return sorted(std::move(found));
  }
  return std::nullopt;
}

Changes Machine::changes(const store::Oid& from, const store::Oid& to) const {
  const std::vector<store::Blob> before = repository_.list(from, "state/");
  const std::vector<store::Blob> after = repository_.list(to, "state/");
  auto values = values_near_tip(from, to);
  std::vector<StateFile> was = differing(repository_, before, after, !values);
  std::vector<StateFile> is = differing(repository_, after, before, !values);
  if (!values) leave_out_common(was, is);
  Changes changes = compare(read_state(std::move(was)), read_state(std::move(is)));
  if (values) changes.values = std::move(*values);
  return changes;
}

}  // namespace keepway
