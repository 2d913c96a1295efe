// What a person says of a stored backup afterwards: that it is not to be used, or that it was dated or
// described wrongly.
//
// It is said on top, by a commit on main that changes no file, so that nothing stored is ever rewritten; it
// goes wherever main goes. The newest word on a backup is the one that holds. Each is taken back by saying
// the same again.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "keepway/machine.hpp"

namespace keepway {

struct Speaker {
  std::string name;
  std::int64_t now = 0;
};

// Says that a backup is not to be used, and why; of one that is withdrawn already, that it may be used again.
// Returns the backup as it reads from now on. Error{usage} without a reason.
Backup withdraw(Machine& machine, const Backup& backup, const std::string& why, const Speaker& by);

// What is absent stays as it reads now.
struct Correction {
  std::optional<std::int64_t> at;
  std::optional<std::string> who;
  std::optional<std::string> note;
};
// Says when a backup was really taken, by whom, or what it is. Where all of it was said in an earlier
// correction, that is taken back, and it reads as it was stored. Error{usage} when nothing is said.
Backup correct(Machine& machine, const Backup& backup, const Correction& said, const Speaker& by);

}  // namespace keepway
