// Two machines, each as of one of its backups, compared: for the command and for the pages.
#pragma once

#include <vector>

#include "keepway/shop.hpp"
#include "keepway/twin.hpp"

namespace keepway::cli {

struct ComparedMachines {
  Twins twins;
  std::vector<TwinDelta> deltas;  // of twins.values
};
// A machine, and its state as of the backup.
struct MachineAt {
  const Machine& machine;
  const State& state;
};
ComparedMachines compare_machines(const MachineAt& a, const MachineAt& b);

}  // namespace keepway::cli
