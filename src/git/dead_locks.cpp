#include "git/dead_locks.hpp"

#include <fmt/format.h>
#include <linux/magic.h>
#include <sys/stat.h>
#include <sys/statfs.h>
#include <sys/sysmacros.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdint>
#include <fstream>
#include <sstream>
#include <thread>

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

using namespace std::chrono_literals;

struct Found {
  fs::path path;
  struct stat stat {};
  [[nodiscard]] bool same(const Found& other) const {
    const struct stat& b = other.stat;
    return path == other.path && stat.st_dev == b.st_dev && stat.st_ino == b.st_ino &&
           stat.st_mtim.tv_sec == b.st_mtim.tv_sec && stat.st_mtim.tv_nsec == b.st_mtim.tv_nsec;
  }
};

// Links are not followed, and only plain files count.
void look_at(const fs::path& path, std::vector<Found>& found) {
  if (path.extension() != ".lock" || path.filename() == "keepway.lock") return;
  Found one{path, {}};
  if (::lstat(path.c_str(), &one.stat) == 0 && S_ISREG(one.stat.st_mode)) found.push_back(std::move(one));
}

std::vector<Found> lock_files(const fs::path& git_folder) {
  std::vector<Found> found;
  std::error_code trouble;
  for (fs::directory_iterator at(git_folder, trouble), end; !trouble && at != end; at.increment(trouble)) {
    look_at(at->path(), found);
  }
  for (fs::recursive_directory_iterator at(git_folder / "refs", trouble), end; !trouble && at != end;
       at.increment(trouble)) {
    look_at(at->path(), found);
  }
  return found;
}

// Whether other computers may write there, whose processes are not seen here.
bool is_shared(const fs::path& folder) {
  constexpr std::array<std::uint32_t, 9> networks = {NFS_SUPER_MAGIC,  SMB_SUPER_MAGIC,  SMB2_SUPER_MAGIC,
                                                     CIFS_SUPER_MAGIC, V9FS_MAGIC,       AFS_SUPER_MAGIC,
                                                     CEPH_SUPER_MAGIC, CODA_SUPER_MAGIC, OCFS2_SUPER_MAGIC};
  struct statfs system {};
  struct stat found {};
  if (::statfs(folder.c_str(), &system) != 0 || ::stat(folder.c_str(), &found) != 0) return true;
  const auto type = static_cast<std::uint32_t>(system.f_type);
  // A program's own file system may be anywhere, unless it is on a disk of this computer.
  if (type == FUSE_SUPER_MAGIC) return major(found.st_dev) == 0;
  return std::find(networks.begin(), networks.end(), type) != networks.end();
}

std::string link_at(const fs::path& path) {
  std::error_code failed;
  return fs::read_symlink(path, failed).string();
}

bool lies_below(const std::string& path, const std::string& folder) {
  return path == folder || path.starts_with(folder + '/');
}

// Whether a process was started with the folder's path among its arguments: `git --git-dir=…`.
bool is_given(const fs::path& process, const std::string& folder) {
  std::ifstream file(process / "cmdline", std::ios::binary);
  std::ostringstream arguments;
  arguments
      << file.rdbuf();  // stops where the process has ended meanwhile; the buffer's iterators would throw
  return arguments.str().find(folder) != std::string::npos;
}

// Of the processes that live, one that may hold a lock file here: a Git program in the machine's folder,
// where each goes that has to do with a work tree, or given its path, or any that has a lock file open (Git
// does not keep it so). What may not be looked at is another user's, and did not make a file that is ours.
std::string living_holder(const fs::path& git_folder) {
  std::error_code failed;
  const std::string ours = fs::canonical(git_folder, failed).string();
  if (failed || link_at("/proc/self/cwd").empty()) return "?";
  const std::string folder =
      fs::path(ours).filename() == ".git" ? fs::path(ours).parent_path().string() : ours;
  for (const auto& entry : fs::directory_iterator("/proc", failed)) {
    const std::string number = entry.path().filename().string();
    if (number.find_first_not_of("0123456789") != std::string::npos || number == std::to_string(::getpid()))
      continue;
    std::string name;
    std::getline(std::ifstream(entry.path() / "comm"), name);
    bool holds = name.starts_with("git") &&
                 (lies_below(link_at(entry.path() / "cwd"), folder) || is_given(entry.path(), folder));
    std::error_code unreadable;
    for (fs::directory_iterator file(entry.path() / "fd", unreadable), end;
         !holds && !unreadable && file != end; file.increment(unreadable)) {
      const std::string open = link_at(file->path());
      holds = lies_below(open, ours) && open.ends_with(".lock") && !open.ends_with("/keepway.lock");
    }
    if (holds) return fmt::format("process {} ({})", number, name);
  }
  return {};
}

// 0 where it cannot be known.
std::int64_t started() {
  timespec now{};
  timespec up{};
  if (::clock_gettime(CLOCK_REALTIME, &now) != 0 || ::clock_gettime(CLOCK_BOOTTIME, &up) != 0) return 0;
  return now.tv_sec - up.tv_sec;
}

bool may_judge(const Found& lock) {
  return ::geteuid() == 0 || lock.stat.st_uid == ::geteuid();
}

}  // namespace

bool has_ended(pid_t process) {
  return process > 0 && ::kill(process, 0) != 0 && errno == ESRCH;
}

std::vector<GitLock> git_locks(const fs::path& git_folder) {
  std::vector<GitLock> out;
  const std::vector<Found> found = lock_files(git_folder);
  if (found.empty()) return out;
  const std::string holder = is_shared(git_folder) ? "?" : living_holder(git_folder);
  for (const Found& each : found)
    out.push_back({each.path, each.stat.st_mtim, may_judge(each) ? holder : "?"});
  return out;
}

void clear_dead_locks(const fs::path& git_folder, bool owner_died) {
  std::vector<Found> waiting = lock_files(git_folder);
  std::erase_if(waiting, [](const Found& lock) { return !may_judge(lock); });
  if (waiting.empty() || is_shared(git_folder) || !living_holder(git_folder).empty()) return;
  const std::int64_t start = started();
  const auto from_before = [&](const Found& lock) { return lock.stat.st_mtim.tv_sec < start; };
  // A clock that was wrong at the start may make a living one look old: the processes are asked in any case.
  if (!std::all_of(waiting.begin(), waiting.end(), from_before))
    std::this_thread::sleep_for(owner_died ? 500ms : 2000ms);
  const std::vector<Found> now = lock_files(git_folder);
  std::erase_if(waiting, [&](const Found& lock) {
    return std::none_of(now.begin(), now.end(), [&](const Found& each) { return lock.same(each); });
  });
  if (waiting.empty() || !living_holder(git_folder).empty()) return;
  for (const Found& lock : waiting) {
    std::error_code left_for_git_to_name;
    fs::remove(lock.path, left_for_git_to_name);
  }
}

}  // namespace keepway::store
