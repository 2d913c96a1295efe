// Watching the program at each of its calls that change something on the disk, and killing it (SIGKILL) just
// before one, so that a test can go through every such moment.
#pragma once

#include <cstddef>
#include <functional>

#include "run.hpp"

namespace scenario {

// Whether this system lets a test trace a program at all.
bool can_trace();

// Runs keepway, and stops it on the way into each call that changes something: opening for writing, writing,
// syncing, renaming, linking, removing, making a folder, cutting a file. `at` is given the call's number in
// the system (SYS_fsync); it is killed there when that returns false. Threads of the program are counted
// together.
Ran keepway_watched(const Args& args, const fs::path& cwd, const std::function<bool(long call)>& at);

struct Killed {
  bool finished = false;    // it was done before its Nth call
  std::size_t changes = 0;  // calls that it came to
  Ran ran;
};
// Kills it on the way into the call numbered `last` (from 0).
Killed keepway_killed(const Args& args, const fs::path& cwd, std::size_t last);

}  // namespace scenario
