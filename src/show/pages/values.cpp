#include "show/pages/values.hpp"

#include <algorithm>

namespace keepway::show::pages {

GoodBackups::GoodBackups(const std::vector<Backup>& backups) : before_(backups.size() + 1) {
  std::int64_t newest = 0;
  for (std::size_t i = 0; i < backups.size(); ++i) {
    const bool good = is_stood_by(backups[i]) && !backups[i].withdrawn;
    before_[i + 1] = before_[i] + (good ? 1U : 0U);
    if (good) newest = std::max(newest, counts_from(backups[i]));
  }
  constexpr std::int64_t year = std::int64_t{365} * 86'400;
  for (std::size_t i = 0; i < backups.size(); ++i) {
    if (between(i, i + 1) > 0 && backups[i].at >= newest - year) last_year_.push_back({i, backups[i].at});
  }
}

std::size_t GoodBackups::between(std::size_t from, std::size_t to) const {
  return before_[to] - before_[from];
}

std::size_t GoodBackups::first() const {
  const auto found = std::upper_bound(before_.begin(), before_.end(), std::size_t{0});
  return found == before_.end() ? backups() : static_cast<std::size_t>(found - before_.begin()) - 1;
}

bool is_doubtful(const History& history, std::size_t version, const GoodBackups& goods) {
  const std::vector<Version>& versions = history.versions;
  const std::size_t end = version + 1 < versions.size() ? versions[version + 1].backup : goods.backups();
  return goods.between(versions[version].backup, end) == 0;
}

std::optional<Held> held_at(const History& history, std::size_t version, const GoodBackups& goods) {
  const std::vector<Version>& versions = history.versions;
  std::size_t at = version;
  while (is_doubtful(history, at, goods)) {
    if (at == 0) return std::nullopt;
    --at;
  }
  Held held{at, versions[at].backup};
  for (std::size_t before = at; before-- > 0;) {
    if (is_doubtful(history, before, goods)) continue;
    if (versions[before].value != versions[at].value) break;
    held = {before, versions[before].backup};
  }
  return held;
}

std::optional<Held> held_before(const History& history, const Held& held, const GoodBackups& goods) {
  if (held.version == 0) return std::nullopt;
  return held_at(history, held.version - 1, goods);
}

}  // namespace keepway::show::pages
