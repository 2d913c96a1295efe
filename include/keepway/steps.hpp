// What the owner wrote in the layout of how to work at the machine: [[backup_step]] and [[restore_step]], in
// order, with the locks to turn off and on again.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace keepway {

struct OwnerStep {
  std::string text;    // one line
  std::string unlock;  // the lock that this step turns off, as the owner calls it; or empty
  std::string lock;    // the lock that it turns on again
};

struct OwnerSteps {
  std::vector<OwnerStep> backup;
  std::vector<OwnerStep> restore;
};

// At most so many, so long: they have to fit the card that hangs on the machine.
inline constexpr std::size_t max_owner_steps = 12;
inline constexpr std::size_t max_owner_step_text = 140;

// Error{input} with file and line; among others for a lock that is turned off and never on again.
OwnerSteps parse_steps(std::string_view layout_toml, const std::string& file);

}  // namespace keepway
