// Killing the program (SIGKILL) just before its Nth call that changes something on the disk, so that a test
// can go through every such moment.
#pragma once

#include <cstddef>

#include "run.hpp"

namespace scenario {

// Whether this system lets a test trace a program at all.
bool can_trace();

struct Killed {
  bool finished = false;    // it was done before its Nth call
  std::size_t changes = 0;  // calls that it came to
  Ran ran;
};
// Runs keepway, and kills it on the way into the call numbered `last` (from 0): opening for writing, writing,
// syncing, renaming, linking, removing, making a folder, cutting a file. Threads of the program are counted
// together.
Killed keepway_killed(const Args& args, const fs::path& cwd, std::size_t last);

}  // namespace scenario
