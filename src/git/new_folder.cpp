#include "git/new_folder.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>

#include "base/durable.hpp"
#include "git/folder.hpp"
#include "git/git.hpp"

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

bool is_same(int file, const fs::path& path) {
  struct stat held {};
  struct stat there {};
  return ::fstat(file, &held) == 0 && ::lstat(path.c_str(), &there) == 0 && held.st_dev == there.st_dev &&
         held.st_ino == there.st_ino;
}

// The folder there, locked; made where there is none.
Fd claim(const fs::path& path) {
  while (true) {
    if (::mkdir(path.c_str(), 0777) != 0 && errno != EEXIST)
      fail_disk(errno, "make the folder " + path.string());
    Fd folder(::open(path.c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC));
    if (!folder && errno == ENOENT) continue;  // just put in place, or gone, by another program
    if (!folder) fail_disk(errno, "open " + path.string());
    if (::flock(folder.get(), LOCK_EX | LOCK_NB) != 0) {
      throw Error(ErrorKind::store, fmt::format("another program is making {}", printable(path.string())),
                  "wait until it is done, then try again");
    }
    if (is_same(folder.get(), path)) return folder;
  }
}

// The deepest first: a folder's names are synced after what they name.
void sync_below(const fs::path& folder) {
  for (const auto& entry : fs::directory_iterator(folder)) {
    if (entry.is_symlink()) continue;
    if (entry.is_directory()) {
      sync_below(entry.path());
    } else if (entry.is_regular_file()) {
      const Fd file(::open(entry.path().c_str(), O_RDONLY | O_NOFOLLOW | O_CLOEXEC));
      if (!file) fail_disk(errno, "open " + entry.path().string());
      sync(file.get(), entry.path().string());
    }
  }
  sync_folder(folder);
}

}  // namespace

NewFolder::NewFolder(const fs::path& place) : place_(fs::absolute(place).lexically_normal()) {
  if (place_.filename().empty()) place_ = place_.parent_path();  // "mill/"
  if (!make_folders(place_.parent_path()))
    fail_disk(errno, "make the folder " + place_.parent_path().string());
  const fs::path path = place_.parent_path() / fmt::format(".{}.new", place_.filename().string());
  lock_ = claim(path);
  path_ = path;
  for (const auto& entry : fs::directory_iterator(path_)) {
    std::error_code failed;
    fs::remove_all(entry.path(), failed);
    if (failed) fail_disk(failed.value(), "clear " + path_.string());
  }
}

NewFolder::~NewFolder() {
  std::error_code stays;
  if (!path_.empty()) fs::remove_all(path_, stays);
}

void NewFolder::put_in_place() {
  sync_below(path_);
  if (::rename(path_.c_str(), place_.c_str()) != 0) {
    if (errno != EEXIST && errno != ENOTEMPTY && errno != ENOTDIR)
      fail_disk(errno, "make " + place_.string());
    throw Error(ErrorKind::refused, fmt::format("{} is not empty", printable(place_.string())),
                "give a new folder, or an empty one");
  }
  path_.clear();
  sync_folder(place_.parent_path());
}

}  // namespace keepway::store
