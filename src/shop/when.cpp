// The history of single items, from the index of item changes.
#include <algorithm>
#include <set>
#include <unordered_map>
#include <utility>

#include "keepway/machine.hpp"
#include "keepway/text.hpp"
#include "shop/backup_commit.hpp"
#include "shop/items_of.hpp"
#include "shop/status_memory.hpp"
#include "shop/timeline.hpp"

namespace keepway {
int Machine::reader_at(const store::Index& all, std::size_t place) const {
  if (readers_tip_ != index_tip_) readers_.assign(all.size(), std::nullopt);
  readers_tip_ = index_tip_;
  std::optional<int>& reader = readers_[place];
  if (!reader) reader = backup_from_commit(all.info(place)).value_or(Backup{}).reader;
  return *reader;
}

const Timeline& Machine::timeline() const {
  const store::Index& all = index();
  const MainLine& known = main();
  const store::Oid as_of = index_tip_ + known.memory.tip;
  if (!timeline_ || timeline_as_of_ != as_of) {
    timeline_ = std::make_shared<const Timeline>(all, known.amendments);
    timeline_as_of_ = as_of;
  }
  return *timeline_;
}

std::optional<std::set<std::string>> Machine::true_changes(const store::Index& all, std::size_t before,
                                                           std::size_t place) const {
  if (reader_at(all, place) == reader_at(all, before)) return std::nullopt;
  std::set<std::string> names;
  const Changes found = compare(state(all.commit(before)), state(all.commit(place)));
  for (const ValueChange& change : found.values) {
    names.insert(store::row_name(table_path(change.group), escape(change.key)));
  }
  for (const ProgramChange& change : found.programs) {
    names.insert(store::file_name(program_path(change.name)));
    if (!change.before_name.empty()) names.insert(store::file_name(program_path(change.before_name)));
  }
  return names;
}

std::optional<std::vector<store::Change>> Machine::changes_since(const store::Index& all,
                                                                 std::optional<std::size_t> before,
                                                                 std::size_t place) const {
  const std::size_t stored_before = place + 1;
  const bool as_stored = before ? *before == stored_before : stored_before == all.size();
  std::vector<store::Change> found;
  if (as_stored) {
    found = all.changes(place);
  } else {
    try {
      const auto from = before ? std::optional(all.commit(*before)) : std::nullopt;
      found = store::changes_between(repository_, from, all.commit(place),
                                     [this](const store::Oid& commit) { return write_state(state(commit)); });
    } catch (const Error& lost) {
      if (lost.kind() != ErrorKind::store) throw;
      return std::nullopt;
    }
  }
  if (!before) return found;
  if (const auto differs = true_changes(all, *before, place)) {
    std::erase_if(found, [&](const store::Change& change) { return !differs->contains(change.name); });
  }
  return found;
}

std::vector<std::size_t> Machine::whole_by_date() const {
  const Timeline& by_date = timeline();
  const store::Index& all = index();
  std::vector<std::size_t> places;
  for (const Timeline::Entry& entry : by_date.entries()) {
    if (!is_lost(repository_, all.commit(entry.place))) places.push_back(entry.place);
  }
  return places;
}

std::vector<Backup> Machine::backups_by_date() const {
  return backups_at(whole_by_date());
}

void Machine::visit_changes(const VisitChange& visit) const {
  std::optional<std::size_t> before;
  std::size_t turn = 0;
  const std::vector<std::size_t> places = whole_by_date();
  const store::Index& all = index();
  for (const std::size_t place : places) {
    auto changes = changes_since(all, before, place);
    for (store::Change& change : changes.value_or(std::vector<store::Change>())) {
      auto item = item_of(change.name);
      if (!item) continue;
      if (change.value && !is_program(*item)) change.value = unescape(*change.value);
      visit(turn, std::move(*item), std::move(change.value));
    }
    if (changes) before = place;  // else what it changed counts as changed by the next
    ++turn;
  }
}

std::optional<std::string> Machine::value_at(const Backup& backup, const Address& address) const {
  if (is_program(address)) {
    const State read = state(backup.commit);
    const Program* program = read.program(address.key);
    return program == nullptr ? std::nullopt : std::optional(program->text);
  }
  const auto items = table(backup.commit, address.group);
  const Item* item = items ? find_item(*items, address.key) : nullptr;
  return item == nullptr ? std::nullopt : std::optional(item->value);
}

// One backup's value of an item, as written, and that of the one before it by date.
struct Machine::Turn {
  std::size_t place = 0;
  std::optional<std::size_t> before_place;
  std::optional<std::string> written;
  std::optional<std::string> before;
};

// Where an item's value turned, the newest first. `stored`: by place, where what was stored changed it.
std::vector<Machine::Turn> Machine::turns(
    const std::vector<std::pair<std::size_t, std::optional<std::string>>>& stored) const {
  std::vector<Turn> found;
  if (timeline().as_stored()) {
    for (std::size_t i = 0; i < stored.size(); ++i) {
      found.push_back({stored[i].first, std::nullopt, stored[i].second, std::nullopt});
      if (i + 1 == stored.size()) continue;
      found.back().before_place = stored[i + 1].first;
      found.back().before = stored[i + 1].second;
    }
    return found;
  }
  const auto written = [&](std::size_t place) {
    const auto at =
        std::lower_bound(stored.begin(), stored.end(), place,
                         [](const auto& each, std::size_t wanted) { return each.first < wanted; });
    return at == stored.end() ? std::nullopt : at->second;
  };
  Turn last;
  bool first = true;
  for (const Timeline::Entry& entry : timeline().entries()) {
    if (entry.withdrawn) continue;
    Turn turn{entry.place, first ? std::nullopt : std::optional(last.place), written(entry.place),
              last.written};
    first = false;
    if (turn.written != turn.before) found.push_back(turn);
    last = std::move(turn);
  }
  std::reverse(found.begin(), found.end());
  return found;
}

std::vector<ItemChange> Machine::when(const Address& address) const {
  const bool program = is_program(address);
  const std::string path = program ? program_path(address.key) : table_path(address.group);
  std::vector<std::pair<std::size_t, std::optional<std::string>>> stored;
  std::unordered_map<std::size_t, Backup> read_already;  // by place
  index().find(program ? store::file_name(path) : store::row_name(path, escape(address.key)),
               [&](std::size_t place, std::optional<std::string> value, const store::CommitInfo& info) {
                 stored.emplace_back(place, std::move(value));
                 read_already.emplace(place, backup_from_commit(info).value_or(Backup{}));
               });
  const auto backup_of = [&](std::size_t place) -> const Backup& {
    const auto found = read_already.find(place);
    if (found != read_already.end()) return found->second;
    return read_already.emplace(place, backup_from_commit(index().info(place)).value_or(Backup{}))
        .first->second;
  };
  // As people read it: a program's text, a row's value.
  const auto read = [&](const std::optional<std::string>& written, std::size_t place) {
    if (!written) return written;
    if (!program) return unescape(*written);
    try {
      return std::optional(repository_.read(*written));
    } catch (const Error& lost) {
      if (lost.kind() != ErrorKind::store) throw;
      return value_at(backup_of(place), address);
    }
  };
  std::vector<ItemChange> changes;
  std::vector<Backup> backups;
  for (Turn& turn : turns(stored)) {
    std::optional<std::string> before;
    std::optional<std::string> after;
    if (turn.before && backup_of(turn.place).reader != backup_of(*turn.before_place).reader) {
      before = value_at(backup_of(*turn.before_place), address);
      after = value_at(backup_of(turn.place), address);
    } else {
      if (turn.before_place) before = read(turn.before, *turn.before_place);
      after = read(turn.written, turn.place);
    }
    if (after == before) continue;
    backups.push_back(backup_of(turn.place));
    changes.push_back({{}, std::move(before), std::move(after)});
  }
  amend(backups);
  add_marks(backups);
  for (std::size_t i = 0; i < changes.size(); ++i) changes[i].backup = std::move(backups[i]);
  if (program) add_former_name(address, changes);
  return changes;
}

// A reader of another version may have called a program otherwise: where it seems to come with the first
// backup that this one read and was there before, its history goes on under the name that it had.
void Machine::add_former_name(const Address& address, std::vector<ItemChange>& changes) const {
  if (changes.empty() || changes.back().before) return;
  const store::Oid border = changes.back().backup.commit;
  const auto place = index().place_of(border);
  if (!place || *place + 1 >= index().size()) return;
  const std::vector<Backup> before = backups_at({*place + 1});
  if (before.empty()) return;  // its commit is lost
  const Backup& last = before.front();
  if (last.reader == changes.back().backup.reader) return;
  auto value = value_at(last, address);
  if (!value) return;
  const auto came = received(last.commit, address.key);
  if (!came || came->file == address.key) return;
  std::vector<ItemChange> former = when({Group::programs, came->file});
  std::erase_if(former, [&](const ItemChange& each) { return each.backup.commit == border; });
  if (former.empty()) return;
  if (changes.back().after == value) {
    changes.pop_back();
  } else {
    changes.back().before = std::move(value);
  }
  std::move(former.begin(), former.end(), std::back_inserter(changes));
}

}  // namespace keepway
