#include "cli/private_folder.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <stdlib.h>  // mkdtemp
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <ctime>
#include <string>

#include "keepway/error.hpp"

namespace keepway::cli {
namespace fs = std::filesystem;
namespace {

constexpr const char* start = "keepway-counter-";

int open_folder(const fs::path& path) {
  return ::open(path.c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
}

// Ours, older than the moment in which one is made and not locked yet, and without an owner.
bool is_left_behind(int folder) {
  constexpr std::time_t a_minute = 60;
  struct stat status {};
  return ::fstat(folder, &status) == 0 && status.st_uid == ::geteuid() &&
         std::time(nullptr) - status.st_mtime > a_minute && ::flock(folder, LOCK_EX | LOCK_NB) == 0;
}

void remove_left_behind(const fs::path& in) {
  std::error_code ignored;
  for (fs::directory_iterator each(in, ignored), end; each != end; each.increment(ignored)) {
    if (!each->path().filename().string().starts_with(start)) continue;
    const int folder = open_folder(each->path());
    if (folder < 0) continue;
    if (is_left_behind(folder)) fs::remove_all(each->path(), ignored);
    ::close(folder);
  }
}

}  // namespace

PrivateFolder::PrivateFolder() {
  const fs::path in = fs::temp_directory_path();
  remove_left_behind(in);
  std::string name = (in / start).string() + "XXXXXX";
  if (::mkdtemp(name.data()) != nullptr) lock_ = open_folder(name);
  if (lock_ < 0 || ::flock(lock_, LOCK_EX | LOCK_NB) != 0) {
    throw Error(ErrorKind::store, fmt::format("no temporary folder can be made: {}", std::strerror(errno)),
                "name a folder that may be written with TMPDIR");
  }
  path_ = name;
}

PrivateFolder::~PrivateFolder() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
  ::close(lock_);
}

}  // namespace keepway::cli
