// What a person says of a stored backup afterwards: that it is not to be used, or that it was dated or
// described wrongly.
//
// It is said on top, by a commit on main that changes no file, so that nothing stored is ever rewritten; it
// goes wherever main goes. The newest word on a backup is the one that holds. What would change nothing is
// not said. Each returns the backup as it reads from now on.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "keepway/machine.hpp"

namespace keepway {

struct Speaker {
  std::string name;
  std::int64_t now = 0;
};

// Says that a backup is not to be used, and why; of one that is withdrawn already, why instead. Error{usage}
// without a reason.
Backup withdraw(Machine& machine, const Backup& backup, const std::string& why, const Speaker& by);
// Backups of main that were judged against one when they came in, and are not withdrawn, in that order. By
// their dates: those up to the next that was good or accepted; of a doubtful one, up to the next. At most 20.
std::vector<Backup> judged_against(const Machine& machine, const Backup& backup);
// That a withdrawn one is used again.
Backup use_again(Machine& machine, const Backup& backup, const Speaker& by);

// What is absent stays as it reads now.
struct Correction {
  std::optional<std::int64_t> at;
  std::optional<std::string> who;
  std::optional<std::string> note;
};
// Says when a backup was really taken, by whom, or what it is. Error{usage} when nothing is said.
Backup correct(Machine& machine, const Backup& backup, const Correction& said, const Speaker& by);
// That it reads as it was stored.
Backup uncorrect(Machine& machine, const Backup& backup, const Speaker& by);

}  // namespace keepway
