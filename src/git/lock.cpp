#include "git/lock.hpp"

#include <fcntl.h>
#include <fmt/chrono.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <ctime>
#include <string>

#include "git/dead_locks.hpp"
#include "git/git.hpp"
#include "git/pack_hold.hpp"

namespace keepway::store {
namespace {

std::string whoami() {
  std::array<char, 256> host{};
  if (gethostname(host.data(), host.size() - 1) != 0) host[0] = '?';
  return fmt::format("process {} on {} since {:%Y-%m-%dT%H:%M:%SZ}\n", getpid(), host.data(),
                     fmt::gmtime(std::time(nullptr)));
}

}  // namespace

Lock::Lock(const std::filesystem::path& git_folder) {
  const std::string path = (git_folder / "keepway.lock").string();
  file_ = Fd(::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0644));
  if (!file_) fail_disk(errno, "open the lock " + path);
  while (::flock(file_.get(), LOCK_EX | LOCK_NB) != 0) {
    if (errno == EINTR) continue;
    if (errno != EWOULDBLOCK) fail_disk(errno, "take the lock " + path);
    std::array<char, 512> owner{};
    const ssize_t got = ::pread(file_.get(), owner.data(), owner.size(), 0);
    std::string name(owner.data(), got > 0 ? static_cast<std::size_t>(got) : 0);
    while (name.ends_with('\n')) name.pop_back();
    throw Error(ErrorKind::store,
                fmt::format("another program is writing to this machine: {}",
                            name.empty() ? "it has only just started" : printable(name)),
                "wait until it is done, then try again");
  }
  struct stat last {};
  const bool owner_died = ::fstat(file_.get(), &last) == 0 && last.st_size > 0;
  clear_dead_locks(git_folder, owner_died);
  release_packs(git_folder / "objects" / "pack");
  const std::string owner = whoami();
  // Only for people's eyes: the lock holds even when the disk is too full to say whose it is.
  if (::ftruncate(file_.get(), 0) == 0) (void)!::pwrite(file_.get(), owner.data(), owner.size(), 0);
}

Lock::~Lock() {
  if (std::uncaught_exceptions() > exceptions_) return;  // lock files of Git's may be left: see stale.hpp
  (void)!::ftruncate(file_.get(), 0);
}

}  // namespace keepway::store
