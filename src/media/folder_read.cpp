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

struct Entry {
  std::string name;
  mode_t kind = 0;  // as in st_mode
};

// What a disk says of an entry with its name; 0 where it says nothing.
mode_t kind_of(unsigned char type) {
  return type == DT_REG ? S_IFREG : type == DT_DIR ? S_IFDIR : 0;
}

using OpenFolder = std::unique_ptr<DIR, int (*)(DIR*)>;
OpenFolder open_folder(const std::filesystem::path& folder) {
  OpenFolder dir(::opendir(folder.c_str()), ::closedir);
  if (!dir) fail(Exit::input, "cannot be opened", errno, "check your right to read it", folder);
  return dir;
}

// What is in a folder, sorted, so that what is met first does not depend on the disk.
std::vector<Entry> entries_in(DIR& dir, const std::filesystem::path& folder) {
  std::vector<Entry> entries;
  while (true) {
    errno = 0;
    const dirent* entry = ::readdir(&dir);
    if (entry == nullptr) break;
    const std::string_view name = entry->d_name;
    if (name == "." || name == "..") continue;
    if (entries.size() > max_files) break;  // Bounds will say so
    entries.push_back({std::string(name), kind_of(entry->d_type)});
  }
  if (errno != 0) fail(Exit::input, "cannot be read", errno, "check the medium", folder);
  std::sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) { return a.name < b.name; });
  return entries;
}

File read_open(const Fd& fd, const std::filesystem::path& path, std::string name, std::uint64_t limit) {
  const struct stat status = status_of(fd, path, Exit::input);
  if (!S_ISREG(status.st_mode)) {
    throw Error(Exit::refused, "neither a file nor a folder", "give the files of a backup",
                Place{printable(path.native())});
  }
  return {std::move(name), read_whole(fd, status, path, limit, Exit::input), status.st_mtim.tv_sec};
}

}  // namespace

File read_file(const std::filesystem::path& path, std::string name, bool follow, std::uint64_t limit) {
  return read_open(open_to_read(path, follow, Exit::input), path, std::move(name), limit);
}

Set read_folder(const std::filesystem::path& root) {
  Set set;
  Bounds bounds;
  std::vector<Folder> waiting{{}};
  while (!waiting.empty()) {
    const Folder folder = std::move(waiting.back());
    waiting.pop_back();
    const std::filesystem::path here = root / folder.name;
    const OpenFolder dir = open_folder(here);
    const std::vector<Entry> entries = entries_in(*dir, here);
    if (entries.empty() && !folder.name.empty()) set.empty_folders.push_back(folder.name);
    for (const Entry& entry : entries) {
      std::string name = folder.name.empty() ? entry.name : folder.name + '/' + entry.name;
      bounds.take_entry(name, folder.depth + 1);
      const std::filesystem::path path = root / name;
      mode_t kind = entry.kind;
      if (kind == 0) {
        struct stat status {};
        if (::lstat(path.c_str(), &status) != 0) {
          fail(Exit::input, "cannot be read", errno, "check the medium", path);
        }
        kind = status.st_mode;
      }
      if (S_ISDIR(kind)) {
        waiting.push_back({std::move(name), folder.depth + 1});
      } else if (S_ISREG(kind)) {
        const Fd fd = open_to_read(::dirfd(dir.get()), entry.name, path, false, Exit::input);
        File file = read_open(fd, path, name, bounds.room());
        bounds.take_bytes(name, file.bytes.size());
        set.files.push_back(std::move(file));
      } else {
        const char* what = S_ISLNK(kind)    ? "a link"
                           : S_ISFIFO(kind) ? "a pipe"
                           : S_ISSOCK(kind) ? "a socket"
                                            : "a device";
        throw Error(Exit::refused, std::string(what) + " in the folder, which no control writes",
                    "take it out of the folder", Place{printable(path.native())});
      }
    }
  }
  sort_set(set);
  return set;
}

}  // namespace keepway::media
