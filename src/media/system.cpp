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

namespace {

// Length of the UTF-8 sequence that `bytes` begins with, 0 when it is none (RFC 3629, section 4).
std::size_t utf8_length(std::string_view bytes) {
  const auto at = [&](std::size_t i) { return static_cast<unsigned char>(bytes[i]); };
  const unsigned char lead = at(0);
  if (lead < 0x80) return 1;
  const std::size_t length = lead >= 0xC2 && lead <= 0xDF   ? 2
                             : lead >= 0xE0 && lead <= 0xEF ? 3
                             : lead >= 0xF0 && lead <= 0xF4 ? 4
                                                            : 0;
  if (length == 0 || bytes.size() < length) return 0;
  for (std::size_t i = 1; i < length; ++i) {
    if (at(i) < 0x80 || at(i) > 0xBF) return 0;
  }
  const unsigned char second = at(1);
  if (lead == 0xE0 && second < 0xA0) return 0;  // overlong
  if (lead == 0xED && second > 0x9F) return 0;  // surrogate
  if (lead == 0xF0 && second < 0x90) return 0;  // overlong
  if (lead == 0xF4 && second > 0x8F) return 0;  // above U+10FFFF
  if (lead == 0xC2 && second < 0xA0) return 0;  // C1 control
  return length;
}

}  // namespace

Fd& Fd::operator=(Fd&& other) noexcept {
  if (this != &other) {
    close();
    fd_ = std::exchange(other.fd_, -1);
  }
  return *this;
}

void Fd::close() {
  if (fd_ >= 0) ::close(fd_);
  fd_ = -1;
}

std::string printable(std::string_view bytes) {
  std::string out;
  while (!bytes.empty()) {
    const auto byte = static_cast<unsigned char>(bytes[0]);
    const std::size_t length = byte < 0x20 || byte == 0x7F ? 0 : utf8_length(bytes);
    if (length == 0) out += fmt::format("\\x{:02X}", byte);
    out.append(bytes.substr(0, length));
    bytes.remove_prefix(std::max<std::size_t>(length, 1));
  }
  return out;
}

void fail(Exit code, std::string_view what, int number, std::string remedy, const Where& where) {
  throw Error(code, fmt::format("{}: {}", what, std::generic_category().message(number)), std::move(remedy),
              Place{where.text()});
}

Fd open_to_read(const std::filesystem::path& path, bool follow, Exit code) {
  return open_to_read(AT_FDCWD, path.native(), path, follow, code);
}

Fd open_to_read(int folder, const std::string& name, const Where& where, bool follow, Exit code) {
  // O_NONBLOCK: should a file have turned into a pipe since it was looked at, do not wait on it.
  Fd fd(::openat(folder, name.c_str(),
                 O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK | (follow ? 0 : O_NOFOLLOW)));
  if (!fd.ok()) fail(code, "cannot be opened", errno, "check the path and your right to read it", where);
  return fd;
}

struct stat status_of(const Fd& fd, const Where& where, Exit code) {
  struct stat now {};
  if (::fstat(fd.get(), &now) != 0) fail(code, "cannot be read", errno, "check the medium", where);
  return now;
}

std::string read_whole(const Fd& fd, const Where& where, std::uint64_t limit, Exit code) {
  return read_whole(fd, status_of(fd, where, code), where, limit, code);
}

std::string read_whole(const Fd& fd, const struct stat& before, const Where& where, std::uint64_t limit,
                       Exit code) {
  const auto size = static_cast<std::uint64_t>(std::max<off_t>(before.st_size, 0));
  if (size > limit) {
    throw Error(Exit::input, fmt::format("{} bytes, over the bound of {}", size, limit),
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
    if (have == size) break;  // a file gives all that it has: one that grew is told by its status
  }
  const struct stat after = status_of(fd, where, code);
  if (have != size || after.st_size != before.st_size || after.st_mtim.tv_sec != before.st_mtim.tv_sec ||
      after.st_mtim.tv_nsec != before.st_mtim.tv_nsec) {
    throw Error(Exit::input, "changed while it was being read",
                "wait until nothing writes to it any more, then try again", Place{where.text()});
  }
  bytes.resize(have);
  return bytes;
}

void write_whole(const Fd& fd, std::string_view bytes, const std::filesystem::path& path) {
  while (!bytes.empty()) {
    const ssize_t put = ::write(fd.get(), bytes.data(), bytes.size());
    if (put < 0 && errno == EINTR) continue;
    if (put < 0) fail(Exit::store, "cannot be written", errno, "check the room on the disk", path);
    bytes.remove_prefix(static_cast<std::size_t>(put));
  }
}

void sync(const Fd& fd, const std::filesystem::path& path) {
  if (::fsync(fd.get()) != 0) fail(Exit::store, "cannot be synced", errno, "check the disk", path);
}

void sync_folder(const std::filesystem::path& folder) {
  const Fd fd = open_to_read(folder.empty() ? "." : folder, true, Exit::store);
  // Some file systems cannot sync a folder and say EINVAL; there is nothing more to do on them.
  if (::fsync(fd.get()) != 0 && errno != EINVAL) {
    fail(Exit::store, "cannot be synced", errno, "check the disk", folder);
  }
}

void set_modified(const Fd& fd, std::int64_t seconds, const std::filesystem::path& path) {
  timespec when{};
  when.tv_sec = static_cast<time_t>(seconds);
  const timespec times[2] = {when, when};
  if (::futimens(fd.get(), times) != 0) {
    fail(Exit::store, "cannot set the file's time", errno, "check the disk", path);
  }
}

}  // namespace keepway::media
