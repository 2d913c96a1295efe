#include "shop/timeline.hpp"

#include <algorithm>
#include <cstdint>
#include <tuple>

#include "keepway/backup.hpp"
#include "shop/backup_commit.hpp"

namespace keepway {
namespace {

struct Dated {
  std::int64_t at = 0;
  std::int64_t taken = 0;
};

bool is_later(const Dated& a, const Dated& b) {
  return std::tie(a.at, a.taken) > std::tie(b.at, b.taken);
}

// Whether each was stored after all of an earlier date, and nothing was said of any since: so it is as a
// rule, and then no commit need be read.
bool in_order(const store::Index& index, const Amendments& said) {
  const auto amended = said.dates();
  for (std::size_t place = 0; place < index.size(); ++place) {
    if (place > 0 && index.at(place) >= index.at(place - 1)) return false;
    if (amended.contains(index.at(place))) return false;
  }
  return true;
}

}  // namespace

Timeline::Timeline(const store::Index& index, const Amendments& said) {
  entries_.resize(index.size());
  const auto entry_of = [&](std::size_t place) -> Entry& { return entries_[index.size() - 1 - place]; };
  for (std::size_t place = 0; place < index.size(); ++place) entry_of(place).place = place;
  if (in_order(index, said)) return;
  std::vector<Dated> dated(index.size());
  for (std::size_t place = index.size(); place-- > 0;) {
    Backup backup = backup_from_commit(index.info(place)).value_or(Backup{});
    said.apply(backup);
    const bool oldest = place + 1 == index.size();
    dated[place] = {counts_from(backup), backup.taken};
    const bool has_date = backup.kept.empty() && !is_misdated(backup);
    if (!has_date && !oldest) dated[place] = dated[place + 1];
    entry_of(place).withdrawn = backup.withdrawn.has_value();
    if (backup.withdrawn || (!oldest && is_later(dated[place + 1], dated[place]))) as_stored_ = false;
  }
  if (as_stored_) return;
  std::stable_sort(entries_.begin(), entries_.end(),
                   [&](const Entry& a, const Entry& b) { return is_later(dated[b.place], dated[a.place]); });
}

}  // namespace keepway
