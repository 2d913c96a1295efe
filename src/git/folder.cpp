#include "git/folder.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>

#include "base/durable.hpp"
#include "git/git.hpp"
#include "git/path.hpp"

namespace keepway::store {
namespace {

std::string name_of(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  return slash == std::string::npos ? path : path.substr(slash + 1);
}

std::string folder_of(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  return slash == std::string::npos ? std::string() : path.substr(0, slash);
}

Fd open_folder(int above, const std::string& name) {
  return Fd(::openat(above, name.c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC));
}

}  // namespace

void write_all(int file, std::string_view bytes, std::string_view name) {
  while (!bytes.empty()) {
    const ssize_t put = ::write(file, bytes.data(), bytes.size());
    if (put < 0 && errno == EINTR) continue;
    if (put < 0) fail_disk(errno, fmt::format("write {}", name));
    bytes.remove_prefix(static_cast<std::size_t>(put));
  }
}

void sync(int file, std::string_view name) {
  while (::fsync(file) != 0) {
    if (errno == EINTR) continue;
    fail_disk(errno, fmt::format("write {} through to the disk", name));
  }
}

void sync_folder(const std::filesystem::path& folder) {
  if (!sync_names(folder)) fail_disk(errno, "write " + folder.string() + " through to the disk");
}

TemporaryFolder::TemporaryFolder(std::filesystem::path path) : path_(std::move(path)) {
  std::error_code failed;
  std::filesystem::remove_all(path_, failed);
  std::filesystem::create_directories(path_, failed);
  if (failed) fail_disk(failed.value(), "make the folder " + path_.string());
}

TemporaryFolder::~TemporaryFolder() {
  std::error_code stays;
  std::filesystem::remove_all(path_, stays);
}

Folder::Folder(std::filesystem::path root) : root_path_(std::move(root)) {
  root_ = Fd(::open(root_path_.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (!root_) fail_disk(errno, "open " + root_path_.string());
}

int Folder::parent(const std::string& path, bool make) {
  if (const char* fault = path_fault(path)) {
    if (!make) return -1;
    throw Error(ErrorKind::refused,
                fmt::format("'{}' is not written: {}", printable(path.substr(0, 200)), fault),
                "find out who made the commit that holds it");
  }
  const std::string folder = folder_of(path);
  if (folder.empty()) return root_.get();
  if (open_ && folder == open_path_) return open_.get();
  Fd here;
  for (std::size_t begin = 0; begin <= folder.size();) {
    const std::size_t end = std::min(folder.find('/', begin), folder.size());
    const std::string part = folder.substr(begin, end - begin);
    const int above = here ? here.get() : root_.get();
    Fd next = open_folder(above, part);
    if (!next && make) {
      if (errno == ENOTDIR || errno == ELOOP) (void)::unlinkat(above, part.c_str(), 0);
      if (::mkdirat(above, part.c_str(), 0777) != 0 && errno != EEXIST)
        fail_disk(errno, "make the folder " + folder);
      next = open_folder(above, part);
    }
    if (!next) {
      if (make) fail_disk(errno, "open the folder " + folder);
      return -1;
    }
    here = std::move(next);
    begin = end + 1;
  }
  open_ = std::move(here);
  open_path_ = folder;
  return open_.get();
}

std::optional<struct stat> Folder::look(const std::string& path) {
  const int above = parent(path, false);
  struct stat found {};
  if (above < 0 || ::fstatat(above, name_of(path).c_str(), &found, AT_SYMLINK_NOFOLLOW) != 0)
    return std::nullopt;
  return found;
}

std::optional<std::string> Folder::read(const std::string& path) {
  const int above = parent(path, false);
  if (above < 0) return std::nullopt;
  // O_NONBLOCK: a pipe left in the work tree must not hang us.
  const Fd file(::openat(above, name_of(path).c_str(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC));
  struct stat found {};
  if (!file || ::fstat(file.get(), &found) != 0 || !S_ISREG(found.st_mode)) return std::nullopt;
  std::string bytes;
  bytes.resize(static_cast<std::size_t>(found.st_size) + 1);
  std::size_t filled = 0;
  while (true) {
    const ssize_t got = ::read(file.get(), bytes.data() + filled, bytes.size() - filled);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) fail_disk(errno, "read " + path);
    if (got == 0) break;
    filled += static_cast<std::size_t>(got);
    if (filled == bytes.size()) bytes.resize(bytes.size() * 2);
  }
  bytes.resize(filled);
  return bytes;
}

struct stat Folder::write(const std::string& path, std::string_view bytes, bool executable,
                          const Folder* staging) {
  const int above = parent(path, true);
  const std::string name = name_of(path);
  const std::string first_name = staging != nullptr ? "keepway.new" : name;
  const int first = staging != nullptr ? staging->root_.get() : above;
  // A new file each time: writing into the old one would write through a hard link to wherever else it is.
  const int flags = O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC;
  const mode_t mode = executable ? 0777 : 0666;
  Fd file(::openat(first, first_name.c_str(), flags, mode));
  if (!file && errno == EEXIST) {
    // An empty folder may give way to a file; a folder with files in it is somebody's.
    if (::unlinkat(first, first_name.c_str(), 0) != 0 &&
        ::unlinkat(first, first_name.c_str(), AT_REMOVEDIR) != 0) {
      fail_disk(errno, "replace " + path);
    }
    file = Fd(::openat(first, first_name.c_str(), flags, mode));
  }
  if (!file) fail_disk(errno, "write " + path);
  write_all(file.get(), bytes, path);
  if (staging != nullptr) {
    sync(file.get(), path);
    if (::renameat(first, first_name.c_str(), above, name.c_str()) != 0) {
      const int error_number = errno;
      (void)::unlinkat(first, first_name.c_str(), 0);
      if (error_number == EXDEV) return write(path, bytes, executable, nullptr);
      fail_disk(error_number, "replace " + path);
    }
  }
  struct stat written {};
  if (::fstat(file.get(), &written) != 0) fail_disk(errno, "look at " + path);
  return written;
}

void Folder::remove(const std::string& path) {
  int above = parent(path, false);
  if (above < 0) return;
  if (::unlinkat(above, name_of(path).c_str(), 0) != 0 && errno != ENOENT && errno != EISDIR) {
    fail_disk(errno, "remove " + path);
  }
  for (std::string folder = folder_of(path); !folder.empty(); folder = folder_of(folder)) {
    above = parent(folder, false);
    if (above < 0 || ::unlinkat(above, name_of(folder).c_str(), AT_REMOVEDIR) != 0) return;
    open_ = Fd();  // may be the folder that has just gone
    open_path_.clear();
  }
}

}  // namespace keepway::store
