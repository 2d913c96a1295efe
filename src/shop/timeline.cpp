#include "shop/timeline.hpp"

#include <algorithm>
#include <cstdint>
#include <limits>
#include <unordered_set>

#include "keepway/backup.hpp"
#include "shop/backup_commit.hpp"

namespace keepway {

Timeline::Timeline(const store::Index& index, const Amendments& said) {
  const auto dates = said.dates();
  const std::unordered_set<std::int64_t> amended(dates.begin(), dates.end());
  std::vector<std::int64_t> at(index.size());
  entries_.resize(index.size());
  std::int64_t soonest = std::numeric_limits<std::int64_t>::max();  // of those stored later
  for (std::size_t place = 0; place < index.size(); ++place) {
    const std::size_t turn = index.size() - 1 - place;
    entries_[turn].place = place;
    at[place] = index.at(place);
    // Its commit is read only where that can matter: something was said of it, or its clock may have been
    // ahead (see counts_from()).
    if (at[place] > soonest || amended.contains(at[place])) {
      Backup backup = backup_from_commit(index.info(place)).value_or(Backup{});
      said.apply(backup);
      at[place] = counts_from(backup);
      entries_[turn].withdrawn = backup.withdrawn.has_value();
    }
    if (at[place] > soonest || entries_[turn].withdrawn) as_stored_ = false;
    soonest = std::min(soonest, at[place]);
  }
  if (as_stored_) return;
  std::stable_sort(entries_.begin(), entries_.end(),
                   [&](const Entry& a, const Entry& b) { return at[a.place] < at[b.place]; });
}

}  // namespace keepway
