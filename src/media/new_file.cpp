#include "media/new_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <stdio.h>  // renameat2
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>

#include "keepway/media.hpp"
#include "keepway/sha256.hpp"
#include "media/system.hpp"

namespace keepway::media {

namespace {

constexpr std::size_t chunk_bytes = 256U << 10U;

// Takes the unfinished file away unless it got its name.
class Unfinished {
 public:
  explicit Unfinished(std::filesystem::path path) : path_(std::move(path)) {}
  Unfinished(const Unfinished&) = delete;
  Unfinished& operator=(const Unfinished&) = delete;
  ~Unfinished() {
    if (!done_) ::unlink(path_.c_str());
  }
  void done() { done_ = true; }

 private:
  std::filesystem::path path_;
  bool done_ = false;
};

void give_name(const std::filesystem::path& from, const std::filesystem::path& to) {
  if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return;
  if (errno == EINVAL || errno == ENOSYS) {
    // A file system that cannot promise not to replace: look, then rename.
    check_absent(to);
    if (::rename(from.c_str(), to.c_str()) == 0) return;
  }
  if (errno == EEXIST) check_absent(to);
  fail(ErrorKind::store, "cannot be given its name", errno, "check the folder", to);
}

}  // namespace

void check_absent(const std::filesystem::path& path) {
  struct stat status {};
  if (::lstat(path.c_str(), &status) != 0) return;
  throw Error(ErrorKind::refused, "already exists, and is never overwritten", "name a new file",
              Place{printable(path.native())});
}

void write_new_file(const std::filesystem::path& path, std::string_view bytes,
                    const std::function<void(std::string_view)>& check, const BeforeWrite& before_write) {
  check_absent(path);
  std::filesystem::path temporary = path;
  temporary += fmt::format(".{}.part", ::getpid());
  ::unlink(temporary.c_str());  // of a process with our number that was broken off
  const Fd fd(::open(temporary.c_str(), O_RDWR | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666));
  if (!fd) fail(ErrorKind::store, "cannot be made", errno, "check the folder and your right to it", path);
  Unfinished unfinished(temporary);
  for (std::size_t at = 0; at < bytes.size(); at += chunk_bytes) {
    if (before_write) before_write();
    write_whole(fd, bytes.substr(at, chunk_bytes), path);
  }
  sync(fd, path);
  ::posix_fadvise(fd.get(), 0, 0, POSIX_FADV_DONTNEED);
  std::string back;
  {
    const Fd again = open_to_read(temporary, false, ErrorKind::store);
    back = read_whole(again, path, bytes.size(), ErrorKind::store);
  }
  if (sha256(back) != sha256(bytes)) {
    throw Error(ErrorKind::store, "differs from what was written when read back",
                "do not use this disk; write to another", Place{printable(path.native())});
  }
  if (check) check(back);
  give_name(temporary, path);
  unfinished.done();
  sync_folder(path.parent_path());
}

void check_same(const Set& wanted, const Set& got, const std::filesystem::path& path) {
  const bool same =
      wanted.empty_folders == got.empty_folders && got.flaws.empty() &&
      std::equal(wanted.files.begin(), wanted.files.end(), got.files.begin(), got.files.end(),
                 [](const File& a, const File& b) { return a.name == b.name && a.bytes == b.bytes; });
  if (same) return;
  throw Error(ErrorKind::store, "differs from the set that was written when read back",
              "report this as a fault in keepway", Place{printable(path.native())});
}

}  // namespace keepway::media
