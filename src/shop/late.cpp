// A backup out of the past, which comes in after newer ones: what it is judged by.
#include <algorithm>
#include <unordered_set>

#include "keepway/machine.hpp"
#include "shop/backup_commit.hpp"
#include "shop/main_line.hpp"
#include "shop/status_memory.hpp"

namespace keepway {

bool Machine::is_late(std::int64_t at, const IntakeOptions& options) const {
  if (!options.from_drawer && !options.at) return false;
  if (repository_.line() != main_line(repository_)) return false;
  const std::optional<Backup> newest_one = newest();
  return newest_one && at < counts_from(*newest_one);
}

Machine::JudgedBy Machine::before_time(std::int64_t time) const {
  struct Dated {
    std::int64_t at = 0;
    std::size_t place = 0;
  };
  const store::Index& all = index();
  const std::unordered_set<std::int64_t> amended = main().amendments.dates();
  std::vector<Dated> before;
  for (std::size_t place = 0; place < all.size(); ++place) {
    if (all.number(place) == 0) continue;
    std::int64_t at = all.at(place);
    if (amended.contains(at)) {
      const std::vector<Backup> one = backups_at({place});
      if (one.empty() || one.front().withdrawn) continue;
      at = one.front().at;
    }
    if (at <= time) before.push_back({at, place});
  }
  // Of equal times the later intake, which has the lower place.
  std::stable_sort(before.begin(), before.end(), [](const Dated& a, const Dated& b) { return a.at > b.at; });
  JudgedBy by;
  for (const Dated& each : before) {
    std::vector<Backup> one = backups_at({each.place});
    if (one.empty() || !counts_on_main(one.front())) continue;
    if (!by.last) by.last = one.front();
    if (!is_stood_by(one.front())) continue;
    by.good = std::move(one.front());
    break;
  }
  return by;
}

}  // namespace keepway
