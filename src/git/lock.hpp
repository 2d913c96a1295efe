// The repository's lock: one program at a time writes.
//
// Motivation: a lock file that merely exists outlives a program that dies, and taking it over is a
// race. So the lock is the kernel's (flock): it dies with its owner, and of two takers one gets
// it. The file `.git/keepway.lock` only tells who that is; it is emptied at the end and never removed, and
// after a power cut it may be empty too. So whoever takes the lock clears what a program that was cut off
// left of Git's own kind of lock files (see stale.hpp), and lets go of the packs that it held.
#pragma once

#include <exception>
#include <filesystem>

#include "git/folder.hpp"

namespace keepway::store {

class Lock {
 public:
  // Error{store} naming the owner (process, host, since when) when another has it.
  explicit Lock(const std::filesystem::path& git_folder);
  Lock(const Lock&) = delete;
  Lock& operator=(const Lock&) = delete;
  Lock(Lock&&) = delete;
  Lock& operator=(Lock&&) = delete;
  ~Lock();

 private:
  Fd file_;
  int exceptions_ = std::uncaught_exceptions();  // more at the end: the work failed
};

}  // namespace keepway::store
