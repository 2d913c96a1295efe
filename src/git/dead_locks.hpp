// Lock files of Git's kind (`X.lock` beside the X that is rewritten: HEAD, index, packed-refs, config, refs),
// and which of them nobody will remove any more.
//
// Motivation: a program that is killed, or a machine whose power fails, leaves them, and nothing can be
// stored until they go. That a file is there says nothing: `git commit` holds one for as long as its editor
// is open. Nor may what is to decide be a file that the same cut may have emptied. So a lock file is dead
// when no process that could hold it lives: it is older than the computer's last start, or it has not moved
// while we watched, and no Git program is at work in the machine's folder.
#pragma once

#include <sys/types.h>

#include <ctime>
#include <filesystem>
#include <string>
#include <vector>

namespace keepway::store {

// Whether no process of this computer has that number any more.
bool has_ended(pid_t process);

struct GitLock {
  std::filesystem::path path;
  timespec since{};    // when it was last written
  std::string holder;  // "process 4711 (git)", where one that lives is seen; "?" where nobody could tell
};

// All that there are now.
std::vector<GitLock> git_locks(const std::filesystem::path& git_folder);

// Removes the dead ones, for one who holds keepway's own lock. Watches for two seconds at most, and only
// where there are any; `owner_died`: the owner of keepway's lock before us did, so that half a second is
// enough. A file of another user's, or on a disk that other computers write to, is nobody's to judge, and
// stays.
void clear_dead_locks(const std::filesystem::path& git_folder, bool owner_died);

}  // namespace keepway::store
