// A backup out of the past, which comes in after newer ones: what it is judged by.
#include <cstdint>
#include <vector>

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

const std::vector<Machine::Dated>& Machine::dated() const {
  const store::Oid tip = tip_in_force(repository_);
  if (dated_tip_ == tip) return dated_;
  dated_.clear();
  const store::Index& all = index();
  const auto amended = main().amendments.dates();
  for (std::size_t place = all.size(); place-- > 0;) {
    if (all.number(place) == 0) continue;
    std::int64_t at = all.at(place);
    if (amended.contains(at)) {
      const std::vector<Backup> one = backups_at({place});
      if (one.empty() || one.front().withdrawn) continue;
      at = one.front().at;
    }
    dated_.push_back({at, all.commit(place)});
  }
  dated_tip_ = tip;
  return dated_;
}

void Machine::note_dated(const Backup& stored, const store::Oid& onto) {
  if (dated_tip_.empty() || dated_tip_ != onto) return;
  dated_.push_back({stored.at, stored.commit});
  dated_tip_ = stored.commit;
}

Machine::JudgedBy Machine::before_time(std::int64_t time) const {
  const std::vector<Dated>& all = dated();
  // Of equal times the one that came in later, which is behind in the list.
  const auto is_before = [](const Dated& a, const Dated& b) { return a.at != b.at ? a.at < b.at : &a < &b; };
  JudgedBy by;
  for (const Dated* above = nullptr; !by.good;) {
    const Dated* best = nullptr;
    for (const Dated& each : all) {
      if (each.at > time || (above != nullptr && !is_before(each, *above))) continue;
      if (best == nullptr || is_before(*best, each)) best = &each;
    }
    if (best == nullptr) break;
    above = best;
    if (is_lost(repository_, best->commit)) continue;
    const Backup backup = as_amended(best->commit);
    if (!by.last) by.last = backup;
    if (is_stood_by(backup)) by.good = backup;
  }
  return by;
}

}  // namespace keepway
