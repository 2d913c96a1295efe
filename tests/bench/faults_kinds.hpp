// What goes wrong with a backup between the control's memory and the stick: each fault made at a random place
// of a normal backup.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "faults_machines.hpp"

namespace faults {

// One day of one machine, and all that a fault may need to know of it.
struct Day {
  const Form& form;
  const Memory& memory;
  const Memory& other;  // another machine of the same kind
  std::string serial;
  std::string other_serial;
  std::string day;
  std::int64_t at = 0;
  std::int64_t first = 0;  // of the machine's first backup
  const keepway::media::Set& normal;
  const std::vector<keepway::media::Set>& before;  // of the days before, oldest first
};

struct Faulty {
  keepway::media::Set set;
  std::int64_t at = 0;
  bool made = true;   // false: this fault has no place in this backup
  bool same = false;  // by the layout the value is what it was: there is nothing to be warned of
};

struct Fault {
  std::string name;
  bool must_be_caught = false;  // by bar 1
  bool must_warn = false;       // by bar 3
  std::string why_missed;       // of those that cannot be recognised
  std::function<Faulty(const Day&, Dice&)> make;
};
std::vector<Fault> all_faults();

}  // namespace faults
