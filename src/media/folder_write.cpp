#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <set>

#include "base/parallel.hpp"
#include "keepway/sha256.hpp"
#include "media/folder.hpp"
#include "media/set.hpp"
#include "media/system.hpp"

namespace keepway::media {

namespace {

// All that was made, so that a failure can take it away again and nothing else.
class Made {
 public:
  Made() = default;
  Made(const Made&) = delete;
  Made& operator=(const Made&) = delete;
  ~Made() {
    if (kept_) return;
    for (const std::filesystem::path& file : files_) ::unlink(file.c_str());
    std::reverse(folders_.begin(), folders_.end());
    for (const std::filesystem::path& folder : folders_) ::rmdir(folder.c_str());
  }

  // Makes a folder and those above it that are missing.
  void folder(const std::filesystem::path& path) {
    std::vector<std::filesystem::path> missing;
    struct stat status {};
    for (std::filesystem::path at = path; !at.empty() && ::stat(at.c_str(), &status) != 0;
         at = at.parent_path()) {
      missing.push_back(at);
      if (at == at.parent_path()) break;
    }
    std::reverse(missing.begin(), missing.end());
    for (const std::filesystem::path& at : missing) {
      if (::mkdir(at.c_str(), 0777) == 0) {
        folders_.push_back(at);
      } else if (errno != EEXIST) {
        fail(ErrorKind::store, "the folder cannot be made", errno,
             "check the path and your right to write there", at);
      }
    }
  }

  void file(const File& file, const std::filesystem::path& path) {
    const Fd fd(::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666));
    if (!fd) fail(ErrorKind::store, "cannot be made", errno, "check the name and the disk", path);
    files_.push_back(path);
    write_whole(fd, file.bytes, path);
    if (file.modified) set_modified(fd, *file.modified, path);
  }

  // Folders made, and the one that holds the topmost of them, as their entries must be synced too.
  void sync_folders() const {
    std::set<std::filesystem::path> all(folders_.begin(), folders_.end());
    for (const std::filesystem::path& folder : folders_) all.insert(folder.parent_path());
    for (const std::filesystem::path& folder : all) sync_folder(folder);
  }

  void keep() { kept_ = true; }

 private:
  bool kept_ = false;
  std::vector<std::filesystem::path> files_;
  std::vector<std::filesystem::path> folders_;
};

// Syncs a file, drops it from memory as far as the system lets us, and reads it from the disk.
void verify(const File& file, const std::filesystem::path& path) {
  const Fd fd = open_to_read(path, false, ErrorKind::store);
  sync(fd, path);
  ::posix_fadvise(fd.get(), 0, 0, POSIX_FADV_DONTNEED);
  std::string back;
  try {
    back = read_whole(fd, path, file.bytes.size(), ErrorKind::store);
  } catch (const Error& error) {
    throw Error(ErrorKind::store, error.what(), error.remedy(), error.place());
  }
  if (sha256(back) != sha256(file.bytes)) {
    throw Error(ErrorKind::store, "differs from what was written when read back",
                "do not use this disk; write to another", Place{printable(path.native())});
  }
}

void check_absent_or_empty(const std::filesystem::path& folder) {
  struct stat status {};
  if (::stat(folder.c_str(), &status) != 0) {
    if (errno == ENOENT) return;
    fail(ErrorKind::store, "cannot be examined", errno, "check the path", folder);
  }
  std::error_code error;
  if (!S_ISDIR(status.st_mode) || !std::filesystem::is_empty(folder, error) || error) {
    throw Error(ErrorKind::refused, "already exists, and is not an empty folder", "name a new folder",
                Place{printable(folder.native())});
  }
}

}  // namespace

void write_folder(const Set& set, const std::filesystem::path& folder, const OnProgress& on_progress) {
  check_names(set);
  check_absent_or_empty(folder);
  Made made;
  made.folder(folder);
  for (const std::string& name : set.empty_folders) made.folder(folder / name);
  std::filesystem::path last;
  Count written(on_progress, "files written", set.files.size());
  for (const File& file : set.files) {
    const std::filesystem::path path = folder / file.name;
    if (path.parent_path() != last) made.folder(last = path.parent_path());
    made.file(file, path);
    written.one();
  }
  // A second pass, so that the system may write many files at one go.
  Count read(on_progress, "files read back", set.files.size());
  for (const File& file : set.files) {
    verify(file, folder / file.name);
    read.one();
  }
  made.sync_folders();
  sync_folder(folder);
  made.keep();
}

}  // namespace keepway::media
