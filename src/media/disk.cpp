#include "media/disk.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <utility>

namespace keepway::media {

bool Disk::read(std::uint64_t offset, std::size_t size, std::string& out) const {
  out.resize(size);
  return read(offset, out.data(), size);
}

bool MemoryDisk::read(std::uint64_t offset, char* out, std::size_t size) const {
  if (offset > bytes_.size() || size > bytes_.size() - offset) return false;
  std::copy_n(bytes_.begin() + static_cast<std::ptrdiff_t>(offset), size, out);
  return true;
}

FileDisk::FileDisk(std::filesystem::path path, Use use) : path_(std::move(path)) {
  const ErrorKind code = use == Use::read ? ErrorKind::input : ErrorKind::store;
  struct stat status {};
  if (::stat(path_.c_str(), &status) != 0) fail(code, "cannot be opened", errno, "check the path", path_);
  device_ = S_ISBLK(status.st_mode);
  if (!device_ && !S_ISREG(status.st_mode)) {
    throw Error(ErrorKind::refused, "not a file or a block device", "name an image or a stick",
                Place{printable(path_.native())});
  }
  // O_EXCL on a block device: fails while it is mounted, so that nobody else writes at the same time.
  const int flags = use == Use::read ? O_RDONLY : O_RDWR | (device_ ? O_EXCL : 0);
  fd_ = Fd(::open(path_.c_str(), flags | O_CLOEXEC | O_NOCTTY | O_NONBLOCK));
  if (!fd_) {
    fail(code, "cannot be opened", errno, errno == EBUSY ? "unmount it first" : "check your right to it",
         path_);
  }
  const off_t end = ::lseek(fd_.get(), 0, SEEK_END);
  if (end < 0 || ::fstat(fd_.get(), &status) != 0) {
    fail(code, "cannot be read", errno, "check the medium", path_);
  }
  size_ = static_cast<std::uint64_t>(end);
  modified_[0] = status.st_mtim.tv_sec;
  modified_[1] = status.st_mtim.tv_nsec;
}

bool FileDisk::read(std::uint64_t offset, char* out, std::size_t size) const {
  if (offset > size_ || size > size_ - offset) return false;
  while (size > 0) {
    const ssize_t got = ::pread(fd_.get(), out, size, static_cast<off_t>(offset));
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) return false;
    out += got;
    offset += static_cast<std::uint64_t>(got);
    size -= static_cast<std::size_t>(got);
  }
  return true;
}

bool FileDisk::changed() const {
  struct stat status {};
  if (::fstat(fd_.get(), &status) != 0) return true;
  return !device_ && (static_cast<std::uint64_t>(status.st_size) != size_ ||
                      status.st_mtim.tv_sec != modified_[0] || status.st_mtim.tv_nsec != modified_[1]);
}

void FileDisk::write(std::uint64_t offset, std::string_view bytes) {
  if (offset > size_ || bytes.size() > size_ - offset) {
    throw Error(ErrorKind::store, "write outside the medium", "report this as a fault in keepway",
                Place{printable(path_.native())});
  }
  while (!bytes.empty()) {
    const ssize_t put = ::pwrite(fd_.get(), bytes.data(), bytes.size(), static_cast<off_t>(offset));
    if (put < 0 && errno == EINTR) continue;
    if (put < 0)
      fail(ErrorKind::store, "cannot be written", errno, "check the medium and its write lock", path_);
    bytes.remove_prefix(static_cast<std::size_t>(put));
    offset += static_cast<std::uint64_t>(put);
  }
}

void FileDisk::sync() {
  media::sync(fd_, path_);
  ::posix_fadvise(fd_.get(), 0, 0, POSIX_FADV_DONTNEED);
}

}  // namespace keepway::media
