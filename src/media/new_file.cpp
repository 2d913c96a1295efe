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

NewFile::NewFile(std::filesystem::path path) : path_(std::move(path)), temporary_(path_) {
  check_absent(path_);
  temporary_ += fmt::format(".{}.part", ::getpid());
  ::unlink(temporary_.c_str());  // of a process with our number that was broken off
  fd_ = Fd(::open(temporary_.c_str(), O_RDWR | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666));
  if (!fd_) fail(ErrorKind::store, "cannot be made", errno, "check the folder and your right to it", path_);
}

NewFile::~NewFile() {
  if (fd_ && !done_) ::unlink(temporary_.c_str());
}

void NewFile::commit() {
  give_name(temporary_, path_);
  done_ = true;
  sync_folder(path_.parent_path());
}

void write_new_file(const std::filesystem::path& path, std::string_view bytes,
                    const std::function<void(std::string_view)>& check, const BeforeWrite& before_write,
                    const OnProgress& on_progress) {
  NewFile file(path);
  const auto kib = [&](const char* what, std::size_t done) {
    if (on_progress) on_progress(what, done >> 10U, bytes.size() >> 10U);
  };
  for (std::size_t at = 0; at < bytes.size(); at += chunk_bytes) {
    if (before_write) before_write();
    kib("KiB written", at);
    write_whole(file.fd(), bytes.substr(at, chunk_bytes), path);
  }
  sync(file.fd(), path);
  ::posix_fadvise(file.fd().get(), 0, 0, POSIX_FADV_DONTNEED);
  kib("KiB written", bytes.size());
  std::string back;
  {
    const Fd again = open_to_read(file.temporary(), false, ErrorKind::store);
    back = read_whole(again, path, bytes.size(), ErrorKind::store);
  }
  kib("KiB read back", back.size());
  if (sha256(back) != sha256(bytes)) {
    throw Error(ErrorKind::store, "differs from what was written when read back",
                "do not use this disk; write to another", Place{printable(path.native())});
  }
  if (check) check(back);
  file.commit();
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
