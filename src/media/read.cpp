#include <fmt/format.h>
#include <sys/stat.h>

#include <cerrno>

#include "media/folder.hpp"
#include "media/system.hpp"

namespace keepway::media {

Set read(const std::filesystem::path& path) {
  struct stat status {};
  if (::stat(path.c_str(), &status) != 0) {
    fail(Exit::input, "cannot be read", errno, "check the path", path);
  }
  if (S_ISDIR(status.st_mode)) {
    Set set = read_folder(path);
    set.source = fmt::format("folder {}", printable(path.native()));
    return set;
  }
  Set set;
  set.files.push_back(read_file(path, path.filename().native(), true, max_file_bytes));
  set.source = fmt::format("file {}", printable(path.native()));
  return set;
}

}  // namespace keepway::media
