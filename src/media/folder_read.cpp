#include <dirent.h>
#include <sys/stat.h>

#include <algorithm>
#include <cerrno>
#include <memory>

#include "media/folder.hpp"
#include "media/set.hpp"
#include "media/system.hpp"

namespace keepway::media {

namespace {

struct Folder {
  std::string name;  // below the root, empty for the root itself
  std::size_t depth = 0;
};

// Names in a folder, sorted, so that what is met first does not depend on the disk.
std::vector<std::string> names_in(const std::filesystem::path& folder) {
  const std::unique_ptr<DIR, int (*)(DIR*)> dir(::opendir(folder.c_str()), ::closedir);
  if (!dir) fail(Exit::input, "cannot be opened", errno, "check your right to read it", folder);
  std::vector<std::string> names;
  while (true) {
    errno = 0;
    const dirent* entry = ::readdir(dir.get());
    if (entry == nullptr) break;
    const std::string_view name = entry->d_name;
    if (name == "." || name == "..") continue;
    if (names.size() > max_files) break;  // Bounds will say so
    names.emplace_back(name);
  }
  if (errno != 0) fail(Exit::input, "cannot be read", errno, "check the medium", folder);
  std::sort(names.begin(), names.end());
  return names;
}

}  // namespace

File read_file(const std::filesystem::path& path, std::string name, bool follow, std::uint64_t limit) {
  const Fd fd = open_to_read(path, follow, Exit::input);
  struct stat status {};
  if (::fstat(fd.get(), &status) != 0) fail(Exit::input, "cannot be read", errno, "check the medium", path);
  if (!S_ISREG(status.st_mode)) {
    throw Error(Exit::refused, "neither a file nor a folder", "give the files of a backup",
                Place{printable(path.native())});
  }
  return {std::move(name), read_whole(fd, path, limit, Exit::input), status.st_mtim.tv_sec};
}

Set read_folder(const std::filesystem::path& root) {
  Set set;
  Bounds bounds;
  std::vector<Folder> waiting{{}};
  while (!waiting.empty()) {
    const Folder folder = std::move(waiting.back());
    waiting.pop_back();
    const std::vector<std::string> names = names_in(root / folder.name);
    if (names.empty() && !folder.name.empty()) set.empty_folders.push_back(folder.name);
    for (const std::string& leaf : names) {
      std::string name = folder.name.empty() ? leaf : folder.name + '/' + leaf;
      bounds.take_entry(name, folder.depth + 1);
      const std::filesystem::path path = root / name;
      struct stat status {};
      if (::lstat(path.c_str(), &status) != 0) {
        fail(Exit::input, "cannot be read", errno, "check the medium", path);
      }
      if (S_ISDIR(status.st_mode)) {
        waiting.push_back({std::move(name), folder.depth + 1});
      } else if (S_ISREG(status.st_mode)) {
        File file = read_file(path, name, false, bounds.room());
        bounds.take_bytes(name, file.bytes.size());
        set.files.push_back(std::move(file));
      } else {
        const char* kind = S_ISLNK(status.st_mode)    ? "a link"
                           : S_ISFIFO(status.st_mode) ? "a pipe"
                           : S_ISSOCK(status.st_mode) ? "a socket"
                                                      : "a device";
        throw Error(Exit::refused, std::string(kind) + " in the folder, which no control writes",
                    "take it out of the folder", Place{printable(path.native())});
      }
    }
  }
  sort_set(set);
  return set;
}

}  // namespace keepway::media
