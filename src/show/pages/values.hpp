// What an item was, without what backups showed that nobody may rely on: a memory that was lost for a week
// shows zeros, and the item was none of them.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "keepway/report.hpp"

namespace keepway::show::pages {

// Of a line: the backups that somebody may rely on, good or accepted, and not withdrawn.
class GoodBackups {
 public:
  explicit GoodBackups(const std::vector<Backup>& backups);
  // How many in places [from, to).
  [[nodiscard]] std::size_t between(std::size_t from, std::size_t to) const;
  [[nodiscard]] std::size_t backups() const { return before_.size() - 1; }
  // Place of the first good backup; backups() without one.
  [[nodiscard]] std::size_t first() const;
  struct Good {
    std::size_t place = 0;
    std::int64_t at = 0;
  };
  // Those of the year before the newest, by place.
  [[nodiscard]] const std::vector<Good>& last_year() const { return last_year_; }

 private:
  std::vector<std::size_t> before_;  // by place, and one more
  std::vector<Good> last_year_;
};

// No good backup showed this version of the item, from its backup to that of the next.
bool is_doubtful(const History& history, std::size_t version, const GoodBackups& goods);

// A version that good backups showed, and since when: what lies between it and an equal one before is left
// out.
struct Held {
  std::size_t version = 0;  // the first of those that are equal
  std::size_t since = 0;    // place of its backup
};
// As of a version, itself or the nearest good one before it; nullopt when there is none.
std::optional<Held> held_at(const History& history, std::size_t version, const GoodBackups& goods);
// What was held before that; nullopt when it is the first.
std::optional<Held> held_before(const History& history, const Held& held, const GoodBackups& goods);

}  // namespace keepway::show::pages
