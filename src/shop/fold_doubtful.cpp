#include <algorithm>
#include <utility>

#include "keepway/machine.hpp"
#include "shop/backup_commit.hpp"
#include "shop/status_memory.hpp"
#include "shop/timeline.hpp"

namespace keepway {

Folded fold_doubtful(std::vector<ItemChange> changes, const StoodBetween& stood_between) {
  std::reverse(changes.begin(), changes.end());
  Folded folded;
  for (std::size_t i = 0; i < changes.size(); ++i) {
    const std::optional<std::string>& stood = changes[i].before;
    std::size_t back = i;
    while (back < changes.size() && changes[back].after != stood && !is_stood_by(changes[back].backup))
      ++back;
    const bool came_back = back > i && back < changes.size() && changes[back].after == stood;
    if (came_back && !stood_between(changes[i].backup, changes[back].backup)) {
      folded.put_back.push_back(
          {std::move(changes[i].backup), std::move(changes[i].after), std::move(changes[back].backup)});
      i = back;
    } else {
      folded.changes.push_back(std::move(changes[i]));
    }
  }
  std::reverse(folded.changes.begin(), folded.changes.end());
  std::reverse(folded.put_back.begin(), folded.put_back.end());
  return folded;
}

Folded Machine::without_doubtful(std::vector<ItemChange> changes) const {
  const store::Index& all = index();
  const auto& entries = timeline().entries();
  const Amendments& said = main().amendments;
  return fold_doubtful(std::move(changes), [&](const Backup& from, const Backup& back) {
    const auto first = all.place_of(from.commit);
    const auto last = all.place_of(back.commit);
    const auto at = [&](const std::optional<std::size_t>& place) {
      return std::find_if(entries.begin(), entries.end(),
                          [&](const Timeline::Entry& each) { return place == each.place; });
    };
    const auto end = at(last);
    for (auto entry = at(first); entry != end && ++entry != end;) {
      if (entry->withdrawn) continue;
      auto backup = backup_from_commit(all.info(entry->place));
      if (!backup) continue;
      said.apply(*backup);  // a corrected date may have settled its doubts
      if (is_stood_by(*backup)) return true;
    }
    return false;
  });
}

}  // namespace keepway
