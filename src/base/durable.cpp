#include "base/durable.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>

#include "base/fd.hpp"

namespace keepway {
namespace fs = std::filesystem;

bool sync_names(const fs::path& folder) noexcept {
  const Fd opened(::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (!opened) return false;
  while (::fsync(opened.get()) != 0) {
    if (errno == EINTR) continue;
    return errno == EINVAL;  // some file systems cannot sync a folder: nothing is left to do there
  }
  return true;
}

bool make_folders(const fs::path& folder) {
  std::error_code failed;
  if (folder.empty() || fs::is_directory(folder, failed)) return true;
  if (!folder.has_filename()) return make_folders(folder.parent_path());  // "mill/"
  if (!make_folders(folder.parent_path())) return false;
  if (::mkdir(folder.c_str(), 0777) != 0) return errno == EEXIST && fs::is_directory(folder, failed);
  return sync_names(folder.parent_path());
}

}  // namespace keepway
