// A disk that fails on demand, put between a program and the C library by LD_PRELOAD.
//
// Counts every call that changes the disk below KEEPWAY_FAULT_ROOT (writes, syncs, renames, links, removals,
// folders, opening to write, truncating), and at the one numbered KEEPWAY_FAULT_AT does what
// KEEPWAY_FAULT_KIND says: `eio` and `enospc` let it fail; `full` lets it and all later ones that need room
// fail, as a disk that has run full does; `short` lets a write stop half way and the next one of that file
// fail; `cut` writes half and kills the process, as a power cut would. With KEEPWAY_FAULT_LOG each call is
// written there as a line: number, call, path.
#include <dlfcn.h>
#include <fcntl.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

#include <array>
#include <atomic>
#include <cerrno>
#include <climits>
#include <csignal>
#include <cstdarg>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>
#include <string_view>

namespace {

struct Setting {
  std::string root;
  std::string kind;
  long at = 0;
  int log = -1;
};

const Setting& setting() {
  static const Setting made = [] {
    Setting out;
    if (const char* root = std::getenv("KEEPWAY_FAULT_ROOT")) out.root = root;
    if (const char* kind = std::getenv("KEEPWAY_FAULT_KIND")) out.kind = kind;
    if (const char* at = std::getenv("KEEPWAY_FAULT_AT")) out.at = std::atol(at);
    if (const char* log = std::getenv("KEEPWAY_FAULT_LOG")) {
      out.log = static_cast<int>(
          syscall(SYS_openat, AT_FDCWD, log, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600));
    }
    return out;
  }();
  return made;
}

template <typename Function>
Function real(const char* name) {
  void* found = dlsym(RTLD_NEXT, name);
  Function function = nullptr;
  std::memcpy(&function, &found, sizeof function);
  return function;
}

std::string path_of_fd(int fd) {
  std::array<char, PATH_MAX> path{};
  const std::string link = "/proc/self/fd/" + std::to_string(fd);
  const ssize_t got = ::readlink(link.c_str(), path.data(), path.size() - 1);
  return got > 0 ? std::string(path.data(), static_cast<std::size_t>(got)) : std::string();
}

std::string path_at(int folder, const char* path) {
  if (path == nullptr) return {};
  if (path[0] == '/') return path;
  if (folder != AT_FDCWD) return path_of_fd(folder) + "/" + path;
  std::array<char, PATH_MAX> here{};
  return ::getcwd(here.data(), here.size()) != nullptr ? std::string(here.data()) + "/" + path
                                                       : std::string(path);
}

std::atomic<long> calls{0};
std::atomic<int> half_written{-1};  // file whose next write fails

enum class Do { go_on, fail, half, half_and_die };

[[noreturn]] void die() {
  ::kill(::getpid(), SIGKILL);
  while (true) ::pause();
}

bool needs_room(std::string_view call) {
  return call.starts_with("open") || call.starts_with("fopen") ||
         call.find("write") != std::string_view::npos || call == "mkdir" || call == "link" ||
         call == "symlink";
}

// What to do with a call that is about to change `path`; errno is set for a failing one.
Do meet(const char* call, const std::string& path, bool writes) {
  const Setting& set = setting();
  if (set.root.empty() || !std::string_view(path).starts_with(set.root)) return Do::go_on;
  const long number = ++calls;
  if (set.log >= 0) {
    const std::string line = std::to_string(number) + ' ' + call + ' ' + path + '\n';
    (void)!syscall(SYS_write, set.log, line.data(), line.size());
  }
  if (set.kind == "full" && set.at > 0 && number >= set.at && needs_room(call)) {
    errno = ENOSPC;
    return Do::fail;
  }
  if (number != set.at || set.kind == "full") return Do::go_on;
  if (set.kind == "cut") {
    if (writes) return Do::half_and_die;
    die();
  }
  if (set.kind == "short" && writes) return Do::half;
  errno = set.kind == "eio" ? EIO : ENOSPC;
  return Do::fail;
}

// Writes by `put`, as far as meet() lets it.
template <typename Put>
ssize_t write_some(const char* call, int fd, const void* bytes, std::size_t count, Put put) {
  if (fd >= 0 && half_written.load() == fd) {
    half_written = -1;
    errno = ENOSPC;
    return -1;
  }
  switch (meet(call, path_of_fd(fd), true)) {
    case Do::go_on:
      return put(bytes, count);
    case Do::fail:
      return -1;
    case Do::half:
      half_written = fd;
      return count > 1 ? put(bytes, count / 2) : put(bytes, count);
    case Do::half_and_die:
      break;
  }
  if (count > 1) (void)!put(bytes, count / 2);
  die();
}

bool writes_by(int flags) {
  return (flags & O_ACCMODE) != O_RDONLY || (flags & (O_CREAT | O_TRUNC)) != 0;
}

template <typename Go>
auto change(const char* call, const std::string& path, Go go) -> decltype(go()) {
  if (meet(call, path, false) == Do::fail) return -1;
  return go();
}

int open_with(const char* name, const char* path, int flags, mode_t mode) {
  if (writes_by(flags) && meet(name, path_at(AT_FDCWD, path), false) == Do::fail) return -1;
  return real<int (*)(const char*, int, mode_t)>(name)(path, flags, mode);
}

int openat_with(const char* name, int folder, const char* path, int flags, mode_t mode) {
  if (writes_by(flags) && meet(name, path_at(folder, path), false) == Do::fail) return -1;
  return real<int (*)(int, const char*, int, mode_t)>(name)(folder, path, flags, mode);
}

FILE* fopen_with(const char* name, const char* path, const char* mode) {
  if (std::strpbrk(mode, "wa+") != nullptr && meet(name, path_at(AT_FDCWD, path), false) == Do::fail)
    return nullptr;
  return real<FILE* (*)(const char*, const char*)>(name)(path, mode);
}

mode_t mode_of(int flags, va_list rest) {
  return (flags & (O_CREAT | O_TMPFILE)) != 0 ? va_arg(rest, mode_t) : 0;
}

}  // namespace

// The C library's own names and signatures.
extern "C" {

ssize_t write(int fd, const void* bytes, size_t count) {
  static const auto next = real<ssize_t (*)(int, const void*, size_t)>("write");
  return write_some("write", fd, bytes, count, [&](const void* at, size_t n) { return next(fd, at, n); });
}

ssize_t pwrite(int fd, const void* bytes, size_t count, off_t offset) {
  static const auto next = real<ssize_t (*)(int, const void*, size_t, off_t)>("pwrite");
  return write_some("pwrite", fd, bytes, count,
                    [&](const void* at, size_t n) { return next(fd, at, n, offset); });
}

ssize_t pwrite64(int fd, const void* bytes, size_t count, off64_t offset) {
  static const auto next = real<ssize_t (*)(int, const void*, size_t, off64_t)>("pwrite64");
  return write_some("pwrite", fd, bytes, count,
                    [&](const void* at, size_t n) { return next(fd, at, n, offset); });
}

ssize_t writev(int fd, const iovec* parts, int count) {
  static const auto next = real<ssize_t (*)(int, const iovec*, int)>("writev");
  switch (meet("writev", path_of_fd(fd), true)) {
    case Do::go_on:
      return next(fd, parts, count);
    case Do::fail:
      return -1;
    case Do::half:
      half_written = fd;
      return next(fd, parts, 1);
    case Do::half_and_die:
      break;
  }
  (void)!next(fd, parts, 1);
  die();
}

int fsync(int fd) {
  static const auto next = real<int (*)(int)>("fsync");
  return change("fsync", path_of_fd(fd), [&] { return next(fd); });
}

int fdatasync(int fd) {
  static const auto next = real<int (*)(int)>("fdatasync");
  return change("fdatasync", path_of_fd(fd), [&] { return next(fd); });
}

int ftruncate(int fd, off_t size) noexcept {
  static const auto next = real<int (*)(int, off_t)>("ftruncate");
  return change("ftruncate", path_of_fd(fd), [&] { return next(fd, size); });
}

int ftruncate64(int fd, off64_t size) noexcept {
  static const auto next = real<int (*)(int, off64_t)>("ftruncate64");
  return change("ftruncate", path_of_fd(fd), [&] { return next(fd, size); });
}

int rename(const char* from, const char* to) noexcept {
  static const auto next = real<int (*)(const char*, const char*)>("rename");
  return change("rename", path_at(AT_FDCWD, to), [&] { return next(from, to); });
}

int renameat(int from_folder, const char* from, int to_folder, const char* to) noexcept {
  static const auto next = real<int (*)(int, const char*, int, const char*)>("renameat");
  return change("rename", path_at(to_folder, to), [&] { return next(from_folder, from, to_folder, to); });
}

int renameat2(int from_folder, const char* from, int to_folder, const char* to, unsigned flags) noexcept {
  static const auto next = real<int (*)(int, const char*, int, const char*, unsigned)>("renameat2");
  return change("rename", path_at(to_folder, to),
                [&] { return next(from_folder, from, to_folder, to, flags); });
}

int link(const char* from, const char* to) noexcept {
  static const auto next = real<int (*)(const char*, const char*)>("link");
  return change("link", path_at(AT_FDCWD, to), [&] { return next(from, to); });
}

int linkat(int from_folder, const char* from, int to_folder, const char* to, int flags) noexcept {
  static const auto next = real<int (*)(int, const char*, int, const char*, int)>("linkat");
  return change("link", path_at(to_folder, to),
                [&] { return next(from_folder, from, to_folder, to, flags); });
}

int symlink(const char* target, const char* path) noexcept {
  static const auto next = real<int (*)(const char*, const char*)>("symlink");
  return change("symlink", path_at(AT_FDCWD, path), [&] { return next(target, path); });
}

int unlink(const char* path) noexcept {
  static const auto next = real<int (*)(const char*)>("unlink");
  return change("unlink", path_at(AT_FDCWD, path), [&] { return next(path); });
}

int unlinkat(int folder, const char* path, int flags) noexcept {
  static const auto next = real<int (*)(int, const char*, int)>("unlinkat");
  return change("unlink", path_at(folder, path), [&] { return next(folder, path, flags); });
}

int remove(const char* path) noexcept {
  static const auto next = real<int (*)(const char*)>("remove");
  return change("unlink", path_at(AT_FDCWD, path), [&] { return next(path); });
}

int rmdir(const char* path) noexcept {
  static const auto next = real<int (*)(const char*)>("rmdir");
  return change("rmdir", path_at(AT_FDCWD, path), [&] { return next(path); });
}

int mkdir(const char* path, mode_t mode) noexcept {
  static const auto next = real<int (*)(const char*, mode_t)>("mkdir");
  return change("mkdir", path_at(AT_FDCWD, path), [&] { return next(path, mode); });
}

int mkdirat(int folder, const char* path, mode_t mode) noexcept {
  static const auto next = real<int (*)(int, const char*, mode_t)>("mkdirat");
  return change("mkdir", path_at(folder, path), [&] { return next(folder, path, mode); });
}

int open(const char* path, int flags, ...) {
  va_list rest;
  va_start(rest, flags);
  const mode_t mode = mode_of(flags, rest);
  va_end(rest);
  return open_with("open", path, flags, mode);
}

int open64(const char* path, int flags, ...) {
  va_list rest;
  va_start(rest, flags);
  const mode_t mode = mode_of(flags, rest);
  va_end(rest);
  return open_with("open64", path, flags, mode);
}

int openat(int folder, const char* path, int flags, ...) {
  va_list rest;
  va_start(rest, flags);
  const mode_t mode = mode_of(flags, rest);
  va_end(rest);
  return openat_with("openat", folder, path, flags, mode);
}

int openat64(int folder, const char* path, int flags, ...) {
  va_list rest;
  va_start(rest, flags);
  const mode_t mode = mode_of(flags, rest);
  va_end(rest);
  return openat_with("openat64", folder, path, flags, mode);
}

int creat(const char* path, mode_t mode) {
  return open_with("open", path, O_WRONLY | O_CREAT | O_TRUNC, mode);
}

FILE* fopen(const char* path, const char* mode) {
  return fopen_with("fopen", path, mode);
}

FILE* fopen64(const char* path, const char* mode) {
  return fopen_with("fopen64", path, mode);
}

}  // extern "C"
