// The shop at a glance: which backup, which battery is due. Reads of each machine its refs, its machine.toml
// and a few commits, so that a thousand machines take less than a second.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/shop.hpp"

namespace keepway {

struct MachineStatus {
  std::string name;
  std::string title;
  std::string trouble;  // why the machine cannot be read, and what to do; all else is then empty
  std::string remedy;
  std::string trial;                // in progress; all that follows is of main, as everywhere
  std::optional<Backup> on_trial;   // the newest of that one, where it has any: what the machine is now
  std::vector<std::string> paused;  // trials that are not in progress on this PC; perhaps on another
  std::optional<Backup> newest;
  std::optional<Backup> last_good;        // the newest that was good, or that a person stood by (accepted)
  int confirmed = 0;                      // restores that a later backup confirmed wholly
  std::optional<Backup> last_confirming;  // the newest of those backups
  std::optional<int> backup_every_days;
  std::optional<std::int64_t> backup_due;  // none: no interval is set. A machine without a good backup: 0
  Battery battery;
  std::size_t clashes = 0;  // edits of two PCs of which nobody chose one, see clashes.hpp

  [[nodiscard]] bool is_backup_due(std::int64_t now) const { return backup_due && *backup_due <= now; }
  // Its newest backup, on a trial in progress or on main, where that is not good and nobody accepted it: the
  // memory may be lost at this moment. Else null.
  [[nodiscard]] const Backup* doubtful() const {
    for (const auto* each : {&on_trial, &newest}) {
      if (*each && !is_stood_by(**each)) return &**each;
    }
    return nullptr;
  }
  // Something here wants a person: it is due or doubtful, or the machine cannot be read.
  [[nodiscard]] bool is_due(std::int64_t now) const {
    return !trouble.empty() || clashes > 0 || doubtful() != nullptr || is_backup_due(now) ||
           battery.is_due(now);
  }
};

// Of one machine's folder. Throws nothing but std::bad_alloc: what is wrong is in `trouble`.
MachineStatus machine_status(const std::filesystem::path& folder);
// Of all machines, broken ones too, what is due first: those that cannot be read, then the longest overdue;
// then by what will be due soonest, then by name.
std::vector<MachineStatus> shop_status(const Shop& shop, std::int64_t now);

// machine.toml with the battery's facts set and the rest as it is, comments too. Error{input} when the
// text does not parse; Error{refused} when it is written in a way that cannot be edited safely.
std::string set_battery(std::string_view machine_toml, const std::string& file, const Battery& battery);

// Items without a name in the namebook, those that changed in most backups first.
struct Unnamed {
  Address address;
  int changes = 0;
  std::string value;  // as of the newest backup
};
std::vector<Unnamed> unnamed_items(const Machine& machine);

}  // namespace keepway
