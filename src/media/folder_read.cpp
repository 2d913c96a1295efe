#include <fcntl.h>

#include <algorithm>
#include <cerrno>

#include "base/parallel.hpp"
#include "media/folder.hpp"
#include "media/set.hpp"
#include "media/system.hpp"

namespace keepway::media {

namespace {

struct Folder {
  std::string name;  // below the root, empty for the root itself
  std::size_t depth = 0;
};

// What a disk says of an entry with its name; 0 where it says nothing.
mode_t kind_of(unsigned char type) {
  return type == DT_REG ? S_IFREG : type == DT_DIR ? S_IFDIR : 0;
}

File read_open(const Fd& fd, const Where& where, std::string name, std::uint64_t limit) {
  const struct stat status = status_of(fd, where, ErrorKind::input);
  if (!S_ISREG(status.st_mode)) {
    throw Error(ErrorKind::refused, "not a file or a folder", "give the files of a backup",
                Place{where.text()});
  }
  return {std::move(name), read_whole(fd, status, where, limit, ErrorKind::input), status.st_mtim.tv_sec};
}

// For what is neither file nor folder.
[[noreturn]] void refuse(mode_t kind, const std::filesystem::path& path) {
  if (kind == 0) fail(ErrorKind::input, "cannot be read", ENOENT, "check the medium", path);
  const char* what = S_ISLNK(kind)    ? "a link"
                     : S_ISFIFO(kind) ? "a pipe"
                     : S_ISSOCK(kind) ? "a socket"
                                      : "a device";
  throw Error(ErrorKind::refused, std::string(what) + " in the folder, which no control writes",
              "take it out of the folder", Place{printable(path.native())});
}

// Reads the plain files of one folder.
class FilesIn {
 public:
  FilesIn(DIR& dir, std::filesystem::path folder, std::string below, Bounds& bounds)
      : dir_(dir), folder_(std::move(folder)), below_(std::move(below)), bounds_(bounds) {}

  // On two threads when they are many; not when they might be more than the bounds allow, since then it has
  // to be found out one by one.
  void read(const std::vector<std::string>& names, std::vector<File>& into, Count& count) {
    constexpr std::size_t block = 16;
    constexpr std::size_t many = 256;
    const std::size_t first = into.size();
    into.resize(first + names.size());
    const auto read_one = [&](std::size_t i) {
      into[first + i] = one(names[i], bounds_.room());
      count.one();
    };
    if (names.size() < many || total(names) > bounds_.room()) {
      for (std::size_t i = 0; i < names.size(); ++i) {
        read_one(i);
        bounds_.take_bytes(into[first + i].name, into[first + i].bytes.size());
      }
      return;
    }
    in_parallel((names.size() + block - 1) / block, true, [&](std::size_t n) {
      for (std::size_t i = n * block; i < std::min(names.size(), (n + 1) * block); ++i) read_one(i);
    });
    for (std::size_t i = first; i < into.size(); ++i) bounds_.take_bytes(into[i].name, into[i].bytes.size());
  }

 private:
  [[nodiscard]] File one(const std::string& name, std::uint64_t limit) const {
    const Where where(folder_, name);
    return read_open(open_to_read(::dirfd(&dir_), name, where, false, ErrorKind::input), where, below_ + name,
                     limit);
  }
  [[nodiscard]] std::uint64_t total(const std::vector<std::string>& names) const {
    std::uint64_t bytes = 0;
    for (const std::string& name : names) {
      struct stat status {};
      if (::fstatat(::dirfd(&dir_), name.c_str(), &status, AT_SYMLINK_NOFOLLOW) == 0)
        bytes += static_cast<std::uint64_t>(status.st_size);
    }
    return bytes;
  }

  DIR& dir_;
  std::filesystem::path folder_;
  std::string below_;  // what comes before a name in the set
  Bounds& bounds_;
};

}  // namespace

OpenFolder open_folder(const std::filesystem::path& folder) {
  OpenFolder dir(::opendir(folder.c_str()), ::closedir);
  if (!dir) fail(ErrorKind::input, "cannot be opened", errno, "check your right to read it", folder);
  return dir;
}

std::vector<Listed> entries_in(DIR& dir, const std::filesystem::path& folder,
                               const std::function<bool()>& more) {
  std::vector<Listed> entries;
  while (more()) {
    errno = 0;
    const dirent* entry = ::readdir(&dir);
    if (entry == nullptr) break;
    const std::string_view name = entry->d_name;
    if (name == "." || name == "..") continue;
    mode_t kind = kind_of(entry->d_type);
    struct stat status {};
    if (kind == 0 && ::fstatat(::dirfd(&dir), entry->d_name, &status, AT_SYMLINK_NOFOLLOW) == 0)
      kind = status.st_mode;
    entries.push_back({std::string(name), kind});
  }
  if (errno != 0) fail(ErrorKind::input, "cannot be read", errno, "check the medium", folder);
  std::sort(entries.begin(), entries.end(), [](const Listed& a, const Listed& b) { return a.name < b.name; });
  return entries;
}

File read_file(const std::filesystem::path& path, std::string name, bool follow, std::uint64_t limit) {
  return read_open(open_to_read(path, follow, ErrorKind::input), path, std::move(name), limit);
}

Set read_folder(const std::filesystem::path& root, const OnProgress& on_progress) {
  Set set;
  Bounds bounds;
  std::vector<Folder> waiting{{}};
  while (!waiting.empty()) {
    const Folder folder = std::move(waiting.back());
    waiting.pop_back();
    const std::filesystem::path here = root / folder.name;
    const OpenFolder dir = open_folder(here);
    std::size_t names = 0;
    const std::vector<Listed> entries =
        entries_in(*dir, here, [&] { return names++ <= max_files; });  // of more, Bounds will say so
    if (entries.empty() && !folder.name.empty()) set.empty_folders.push_back(folder.name);
    const std::string below = folder.name.empty() ? "" : folder.name + '/';
    std::vector<std::string> files;
    for (const Listed& entry : entries) {
      std::string name = below + entry.name;
      bounds.take_entry(name, folder.depth + 1);
      if (S_ISDIR(entry.kind)) {
        waiting.push_back({std::move(name), folder.depth + 1});
      } else if (S_ISREG(entry.kind)) {
        files.push_back(entry.name);
      } else {
        refuse(entry.kind, root / name);
      }
    }
    const std::size_t before = set.files.size();
    Count count(on_progress, "files read", waiting.empty() ? before + files.size() : 0, before);
    FilesIn(*dir, here, below, bounds).read(files, set.files, count);
  }
  sort_set(set);
  return set;
}

}  // namespace keepway::media
