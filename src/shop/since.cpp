// Since when each item of a group has its value.
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "shop/backup_commit.hpp"
#include "shop/items_of.hpp"
#include "shop/main_line.hpp"
#include "shop/status_memory.hpp"
#include "shop/timeline.hpp"

namespace keepway {

// Main's newest backup, where the line in force has it; else what was stored on it last.
std::size_t Machine::shown_place() const {
  if (repository_.line() != main_line(repository_)) return 0;
  const auto newest = main().newest;
  const auto place = newest ? index().place_of(newest->commit) : std::nullopt;
  return place.value_or(0);
}

std::optional<Backup> Machine::shown() const {
  if (index().size() == 0) return std::nullopt;
  std::vector<Backup> found = backups_at({shown_place()});
  return found.empty() ? std::nullopt : std::optional(std::move(found.front()));
}

namespace {

// Since when an open item has its value, as far as is known: what the changes walked through, the newest
// first, say of it.
struct Open {
  std::size_t item = 0;  // in the result
  std::optional<std::size_t> since;
  std::size_t counted = 0;              // the next backup that somebody stands by
  std::optional<std::size_t> put_back;  // where it got the value again that it had before doubtful backups
  std::optional<std::string> value;     // as written
};

}  // namespace

std::vector<ItemSince> Machine::since(Group group, bool doubtful_too) const {
  const store::Index& all = index();
  std::vector<ItemSince> result;
  if (all.size() == 0) return result;
  std::vector<std::size_t> places;  // by date, up to the one shown
  const std::size_t shown = shown_place();
  for (const Timeline::Entry& entry : timeline().entries()) {
    if (!entry.withdrawn || entry.place == shown) places.push_back(entry.place);
    if (entry.place == shown) break;
  }
  std::unordered_map<std::string, Open> open;  // by name in the index
  for (auto& [key, value] : items_of(*this, all.commit(places.back()), group, true)) {
    open.emplace(is_program({group, key}) ? store::file_name(program_path(key))
                                          : store::row_name(table_path(group), escape(key)),
                 Open{result.size(), {}, 0, {}, {}});
    result.push_back({{key, value}, {}, std::nullopt});
  }
  std::vector<Open> dated;
  // What only doubtful backups show is passed over: it counts with the next that somebody stands by.
  std::vector<std::optional<bool>> stands(places.size());
  const Amendments& said = main().amendments;
  const auto counted = [&](std::size_t turn) {
    for (; turn + 1 < places.size(); ++turn) {
      std::optional<bool>& known = stands[turn];
      if (!known) {
        Backup backup = backup_from_commit(all.info(places[turn])).value_or(Backup{});
        said.apply(backup);  // a corrected date may have settled its doubts
        known = doubtful_too || is_stood_by(backup);
      }
      if (*known) break;
    }
    return turn;
  };
  for (std::size_t turn = places.size(); turn-- > 0 && !open.empty();) {
    // One whose state is lost is passed over: what it changed counts as changed by the next.
    std::optional<std::vector<store::Change>> changes;
    for (std::size_t before = turn; !changes && before > 0; --before)
      changes = changes_since(all, places[before - 1], places[turn]);
    if (!changes) changes = changes_since(all, std::nullopt, places[turn]);
    for (const store::Change& change : changes.value_or(std::vector<store::Change>())) {
      const auto found = open.find(change.name);
      if (found == open.end()) continue;
      Open& item = found->second;
      const std::size_t stood = counted(turn);
      if (!item.since) {
        item.since = turn;
        item.value = change.value;
      } else if (item.counted == stood) {
        continue;  // an older change that came to the same backup
      } else if (item.value == change.value) {
        if (!item.put_back) item.put_back = item.since;
        item.since = turn;
      } else {
        dated.push_back(item);
        open.erase(found);
        continue;
      }
      item.counted = stood;
    }
  }
  for (const auto& [name, item] : open) dated.push_back(item);
  std::vector<Backup> backups;
  std::unordered_map<std::size_t, std::size_t> by_turn;  // its place in `backups`
  const auto want = [&](std::size_t turn) {
    if (by_turn.try_emplace(turn, backups.size()).second)
      backups.push_back(backup_from_commit(all.info(places[turn])).value_or(Backup{}));
  };
  for (const Open& item : dated) {
    want(item.since.value_or(0));
    if (item.put_back) want(*item.put_back);
  }
  amend(backups);
  add_marks(backups);
  for (const Open& item : dated) {
    result[item.item].since = backups[by_turn.at(item.since.value_or(0))];
    if (item.put_back) result[item.item].put_back = backups[by_turn.at(*item.put_back)];
  }
  return result;
}

}  // namespace keepway
