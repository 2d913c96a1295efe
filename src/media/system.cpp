#include "media/system.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <system_error>

#include "keepway/media.hpp"

namespace keepway::media {

void fail(ErrorKind code, std::string_view what, int number, std::string remedy, const Where& where) {
  throw Error(code, fmt::format("{}: {}", what, std::generic_category().message(number)), std::move(remedy),
              Place{where.text()});
}

Fd open_to_read(const std::filesystem::path& path, bool follow, ErrorKind code) {
  return open_to_read(AT_FDCWD, path.native(), path, follow, code);
}

Fd open_to_read(int folder, const std::string& name, const Where& where, bool follow, ErrorKind code) {
  // O_NONBLOCK: should a file have turned into a pipe since it was looked at, do not wait on it.
  Fd fd(::openat(folder, name.c_str(),
                 O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK | (follow ? 0 : O_NOFOLLOW)));
  if (!fd) fail(code, "cannot be opened", errno, "check the path and your right to read it", where);
  return fd;
}

struct stat status_of(const Fd& fd, const Where& where, ErrorKind code) {
  struct stat now {};
  if (::fstat(fd.get(), &now) != 0) fail(code, "cannot be read", errno, "check the medium", where);
  return now;
}

std::string read_whole(const Fd& fd, const Where& where, std::uint64_t limit, ErrorKind code) {
  return read_whole(fd, status_of(fd, where, code), where, limit, code);
}

std::string read_whole(const Fd& fd, const struct stat& before, const Where& where, std::uint64_t limit,
                       ErrorKind code) {
  const auto size = static_cast<std::uint64_t>(std::max<off_t>(before.st_size, 0));
  if (size > limit) {
    throw Error(ErrorKind::input, fmt::format("{} bytes, over the limit of {}", size, limit),
                "give only the files of a backup", Place{where.text()});
  }
  // One byte more than the size, so that a file that grew is seen.
  std::string bytes(static_cast<std::size_t>(size) + 1, '\0');
  std::size_t have = 0;
  while (have < bytes.size()) {
    const ssize_t got = ::read(fd.get(), bytes.data() + have, bytes.size() - have);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) fail(code, fmt::format("cannot be read at byte {}", have), errno, "check the medium", where);
    if (got == 0) break;
    have += static_cast<std::size_t>(got);
    if (have == size) break;  // a file gives all that it has: one that grew is recognised by its status
  }
  const struct stat after = status_of(fd, where, code);
  if (have != size || after.st_size != before.st_size || after.st_mtim.tv_sec != before.st_mtim.tv_sec ||
      after.st_mtim.tv_nsec != before.st_mtim.tv_nsec) {
    throw Error(ErrorKind::input, "changed while it was being read",
                "wait until nothing writes to it any more, then try again", Place{where.text()});
  }
  bytes.resize(have);
  return bytes;
}

void write_whole(const Fd& fd, std::string_view bytes, const std::filesystem::path& path) {
  while (!bytes.empty()) {
    const ssize_t put = ::write(fd.get(), bytes.data(), bytes.size());
    if (put < 0 && errno == EINTR) continue;
    if (put < 0) fail(ErrorKind::store, "cannot be written", errno, "check the free space on the disk", path);
    bytes.remove_prefix(static_cast<std::size_t>(put));
  }
}

void sync(const Fd& fd, const std::filesystem::path& path) {
  if (::fsync(fd.get()) != 0) fail(ErrorKind::store, "cannot be synced", errno, "check the disk", path);
}

void sync_folder(const std::filesystem::path& folder) {
  const Fd fd = open_to_read(folder.empty() ? "." : folder, true, ErrorKind::store);
  // Some file systems cannot sync a folder and say EINVAL; there is nothing more to do on them.
  if (::fsync(fd.get()) != 0 && errno != EINVAL) {
    fail(ErrorKind::store, "cannot be synced", errno, "check the disk", folder);
  }
}

void set_modified(const Fd& fd, std::int64_t seconds, const std::filesystem::path& path) {
  timespec when{};
  when.tv_sec = static_cast<time_t>(seconds);
  const timespec times[2] = {when, when};
  if (::futimens(fd.get(), times) != 0) {
    fail(ErrorKind::store, "cannot set the file's time", errno, "check the disk", path);
  }
}

}  // namespace keepway::media
