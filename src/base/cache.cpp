#include "base/cache.hpp"

#include <fcntl.h>
#include <libdeflate.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <system_error>

#include "base/fd.hpp"

namespace keepway {
namespace {

// A record: its size, a CRC-32 over size and bytes, the bytes. In the machine's own byte order: a file from
// another kind of machine reads as damaged.
struct Head {
  std::uint32_t size = 0;
  std::uint32_t sum = 0;
};

std::uint32_t sum_of(std::uint32_t size, std::string_view record) {
  return libdeflate_crc32(libdeflate_crc32(0, &size, sizeof size), record.data(), record.size());
}

// Empty when there is no such file, or it cannot be read.
std::string read_all(const std::filesystem::path& path) {
  // O_NONBLOCK: a pipe by that name must not hang us.
  const Fd file(::open(path.c_str(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC));
  struct stat found {};
  if (!file || ::fstat(file.get(), &found) != 0 || !S_ISREG(found.st_mode)) return {};
  std::string bytes(static_cast<std::size_t>(found.st_size), '\0');
  std::size_t filled = 0;
  while (filled < bytes.size()) {
    const ssize_t got = ::read(file.get(), bytes.data() + filled, bytes.size() - filled);
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) break;
    filled += static_cast<std::size_t>(got);
  }
  bytes.resize(filled);
  return bytes;
}

// False when the disk will not have it.
bool write_all(int file, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t put = ::write(file, bytes.data(), bytes.size());
    if (put < 0 && errno == EINTR) continue;
    if (put <= 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(put));
  }
  return true;
}

void put_record(std::string& out, std::string_view record) {
  Head head{static_cast<std::uint32_t>(record.size()), 0};
  head.sum = sum_of(head.size, record);
  out.append(reinterpret_cast<const char*>(&head), sizeof head);
  out += record;
}

}  // namespace

Cache::Records Cache::records(const std::string& name) const noexcept {
  Records found;
  try {
    found.bytes_ = read_all(folder_ / name);
    const std::string_view all = found.bytes_;
    for (std::size_t at = 0; at < all.size();) {
      Head head;
      const std::size_t begin = at + sizeof head;
      found.whole_ = begin <= all.size();
      if (!found.whole_) break;
      std::memcpy(&head, all.data() + at, sizeof head);
      found.whole_ =
          head.size <= all.size() - begin && sum_of(head.size, all.substr(begin, head.size)) == head.sum;
      if (!found.whole_) break;  // its size may be what is wrong: where the next begins is not known
      found.places_.emplace_back(begin, head.size);
      at = begin + head.size;
    }
  } catch (...) {
    found.places_.clear();
    found.whole_ = false;
  }
  return found;
}

std::optional<std::string> Cache::get(const std::string& name) const noexcept {
  const Records found = records(name);
  if (!found.whole() || found.size() != 1) return std::nullopt;
  return std::string(found[0]);
}

bool Cache::verify(const std::string& name) const noexcept {
  return records(name).whole();
}

// In place, under a lock of the system's: two programs must not mix what they write, and who reads meanwhile
// finds the sums wrong. One that finds the file locked leaves it to the other.
void Cache::write(const std::string& name, std::string_view bytes, bool at_end) const {
  const std::filesystem::path path = folder_ / name;
  const int flags = O_WRONLY | O_CREAT | O_CLOEXEC | O_NOFOLLOW | (at_end ? O_APPEND : 0);
  Fd file(::open(path.c_str(), flags, 0644));
  if (!file && errno == ENOENT) {
    std::filesystem::create_directories(folder_);
    // What versions before kept elsewhere.
    for (const char* old : {"index", "index-heads", "blobs", "readings", "../keepway-status"})
      std::filesystem::remove(folder_.parent_path() / old);
    file = Fd(::open(path.c_str(), flags, 0644));
  }
  if (!file || ::flock(file.get(), LOCK_EX | LOCK_NB) != 0) return;
  const bool written = write_all(file.get(), bytes);
  if (!at_end && (!written || ::ftruncate(file.get(), static_cast<off_t>(bytes.size())) != 0)) drop(name);
}

void Cache::put(const std::string& name, std::string_view record) const noexcept {
  put(name, std::vector<std::string_view>{record});
}

void Cache::put(const std::string& name, const std::vector<std::string_view>& records) const noexcept {
  try {
    std::string bytes;
    for (const std::string_view record : records) put_record(bytes, record);
    write(name, bytes, false);
  } catch (...) {  // NOLINT(bugprone-empty-catch): the next one to ask finds it out again
  }
}

void Cache::append(const std::string& name, std::string_view record) const noexcept {
  try {
    std::string bytes;
    put_record(bytes, record);
    write(name, bytes, true);
  } catch (...) {  // NOLINT(bugprone-empty-catch): the next one to ask finds it out again
  }
}

void Cache::drop(const std::string& name) const noexcept {
  std::error_code stays;
  std::filesystem::remove(folder_ / name, stays);
}

}  // namespace keepway
