#include "shop/timeline.hpp"

#include <algorithm>
#include <cstdint>
#include <tuple>
#include <utility>

#include "keepway/backup.hpp"
#include "shop/backup_commit.hpp"

namespace keepway {
namespace {

struct Dated {
  std::int64_t at = 0;
  std::int64_t taken = 0;  // 0 where no other has the same date
  bool read = false;
};

bool is_later(const Dated& a, const Dated& b) {
  return std::tie(a.at, a.taken) > std::tie(b.at, b.taken);
}

}  // namespace

Timeline::Timeline(const store::Index& index, const Amendments& said) {
  const auto amended = said.dates();
  std::vector<Dated> dated(index.size());
  entries_.resize(index.size());
  const auto entry_of = [&](std::size_t place) -> Entry& { return entries_[index.size() - 1 - place]; };
  const auto read = [&](std::size_t place) {
    if (std::exchange(dated[place].read, true)) return;
    Backup backup = backup_from_commit(index.info(place)).value_or(Backup{});
    said.apply(backup);
    dated[place].at = counts_from(backup);
    dated[place].taken = backup.taken;
    entry_of(place).withdrawn = backup.withdrawn.has_value();
  };
  std::size_t soonest = 0;  // of those stored later
  for (std::size_t place = 0; place < index.size(); ++place) {
    entry_of(place).place = place;
    dated[place].at = index.at(place);
    const bool in_order = place == 0 || dated[place].at < dated[soonest].at;
    // Its commit is read only where that can matter: something was said of it, another has the same date, or
    // its clock may have been ahead (see counts_from()).
    if (!in_order || amended.contains(dated[place].at)) read(place);
    if (place > 0 && dated[place].at == dated[soonest].at) read(soonest);
    if ((place > 0 && is_later(dated[place], dated[soonest])) || entry_of(place).withdrawn)
      as_stored_ = false;
    if (is_later(dated[soonest], dated[place])) soonest = place;
  }
  if (as_stored_) return;
  std::stable_sort(entries_.begin(), entries_.end(),
                   [&](const Entry& a, const Entry& b) { return is_later(dated[b.place], dated[a.place]); });
}

}  // namespace keepway
