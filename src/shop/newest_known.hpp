// What the machine is known to hold: its backups by date, and the state of the newest.
#pragma once

#include <vector>

#include "keepway/machine.hpp"

namespace keepway {

// The backups that came off the machine and are to be used, on any line, the newest by date first, whenever
// they came in. Never empty: Error when there is none.
std::vector<Backup> known_by_date(const Machine& machine);

// The state of the first of them whose state can be had, and which it is. Says so where it is not the first.
State newest_state(const Machine& machine, const std::vector<Backup>& all, Backup& known);

}  // namespace keepway
