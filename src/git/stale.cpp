#include "git/stale.hpp"

#include <sys/stat.h>

#include <algorithm>
#include <chrono>
#include <string>
#include <thread>
#include <tuple>
#include <vector>

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

struct Found {
  fs::path path;
  std::tuple<dev_t, ino_t, time_t, long> identity;
};

// Links are not followed, and only plain files count.
void look_at(const fs::path& path, const timespec& since, std::vector<Found>& found) {
  struct stat now {};
  if (path.extension() != ".lock" || path.filename() == "keepway.lock") return;
  if (::lstat(path.c_str(), &now) != 0 || !S_ISREG(now.st_mode)) return;
  if (std::tie(now.st_mtim.tv_sec, now.st_mtim.tv_nsec) < std::tie(since.tv_sec, since.tv_nsec)) return;
  found.push_back({path, {now.st_dev, now.st_ino, now.st_mtim.tv_sec, now.st_mtim.tv_nsec}});
}

std::vector<Found> lock_files(const fs::path& git_folder, const timespec& since) {
  std::vector<Found> found;
  std::error_code trouble;
  for (fs::directory_iterator at(git_folder, trouble), end; !trouble && at != end; at.increment(trouble)) {
    look_at(at->path(), since, found);
  }
  for (fs::recursive_directory_iterator at(git_folder / "refs", trouble), end; !trouble && at != end;
       at.increment(trouble)) {
    look_at(at->path(), since, found);
  }
  return found;
}

}  // namespace

void clear_stale_locks(const fs::path& git_folder, const timespec& since) {
  const std::vector<Found> before = lock_files(git_folder, since);
  if (before.empty()) return;
  std::this_thread::sleep_for(std::chrono::milliseconds(500));
  for (const Found& now : lock_files(git_folder, since)) {
    const auto same = [&](const Found& old) { return old.path == now.path && old.identity == now.identity; };
    std::error_code left_for_git_to_name;
    if (std::any_of(before.begin(), before.end(), same)) fs::remove(now.path, left_for_git_to_name);
  }
}

}  // namespace keepway::store
