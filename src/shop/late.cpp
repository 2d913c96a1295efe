// A backup out of the past, which comes in after newer ones: what it is judged by.
#include <algorithm>
#include <cstdint>
#include <optional>
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

std::vector<Machine::Dated>& Machine::dated() const {
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
    dated_.push_back({at, all.commit(place), std::nullopt});
  }
  std::stable_sort(dated_.begin(), dated_.end(), [](const Dated& a, const Dated& b) { return a.at < b.at; });
  dated_tip_ = tip;
  return dated_;
}

std::vector<Machine::Dated>::iterator Machine::behind(std::int64_t time) const {
  return std::upper_bound(dated().begin(), dated().end(), time,
                          [](std::int64_t wanted, const Dated& each) { return wanted < each.at; });
}

void Machine::note_dated(const Backup& stored, const store::Oid& onto) {
  if (dated_tip_.empty() || dated_tip_ != onto) return;
  dated_tip_ = stored.commit;
  dated_.insert(behind(stored.at), {stored.at, stored.commit, is_stood_by(stored)});
}

std::optional<Backup> Machine::last_at(std::int64_t time, bool stood_by) const {
  for (auto each = behind(time); each != dated_.begin();) {
    --each;
    if ((stood_by && each->stood_by == false) || is_lost(repository_, each->commit)) continue;
    Backup backup = as_amended(each->commit);
    each->stood_by = is_stood_by(backup);
    if (!stood_by || *each->stood_by) return backup;
  }
  return std::nullopt;
}

Machine::JudgedBy Machine::before_time(std::int64_t time) const {
  return {last_at(time, false), last_at(time, true)};
}

}  // namespace keepway
