#include "store/index_file.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <new>

#include "store/disk.hpp"

namespace keepway::store {
namespace {

constexpr std::size_t aligned = 8;
// Places in a damaged stretch that look like a chunk's head and are not: more are not looked at, so that
// no file can make the search for the next sound chunk long.
constexpr std::size_t false_heads = 64;

std::size_t read_whole(int file, char* into, std::size_t size) {
  std::size_t filled = 0;
  while (filled < size) {
    const ssize_t got = ::read(file, into + filled, size - filled);
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) break;
    filled += static_cast<std::size_t>(got);
  }
  return filled;
}

bool same_file(int file, const std::filesystem::path& path) {
  struct stat held {};
  struct stat named {};
  return ::fstat(file, &held) == 0 && ::stat(path.c_str(), &named) == 0 && held.st_ino == named.st_ino &&
         held.st_dev == named.st_dev;
}

}  // namespace

// Read, not mapped: a bad sector under a mapping would kill the program, and the file is read whole anyway.
void IndexFile::load(std::size_t at_most) {
  chunks_.clear();
  damaged_ = false;
  const Fd file(::open(path_.c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW));
  struct stat found {};
  if (!file || ::fstat(file.get(), &found) != 0 || !S_ISREG(found.st_mode)) return;
  const auto whole = static_cast<std::size_t>(found.st_size);
  const std::size_t skipped = whole > at_most ? (whole - at_most) / aligned * aligned : 0;
  if (::lseek(file.get(), static_cast<off_t>(skipped), SEEK_SET) < 0) return;
  const std::size_t size = whole - skipped;
  bytes_ = room_for(size);
  const std::string_view all(bytes_.get(), read_whole(file.get(), bytes_.get(), size));
  std::size_t false_found = 0;
  for (std::size_t at = 0; at < all.size();) {
    const auto chunk = Chunk::read(all.substr(at));
    if (chunk) {
      chunks_.push_back(*chunk);
      at += chunk->bytes().size();
      continue;
    }
    damaged_ = true;
    if (++false_found > false_heads) return;
    const std::string_view magic(reinterpret_cast<const char*>(&chunk_magic), sizeof chunk_magic);
    do {  // the next place where a head could begin
      at += aligned;
    } while (at + sizeof(ChunkHead) <= all.size() &&
             all.substr(at + sizeof(std::uint32_t), magic.size()) != magic);
    if (at + sizeof(ChunkHead) > all.size()) return;
  }
}

// Not cleared: it is filled at once. In large pages where there is much of it and the system has them, or
// half the time of reading goes by with taking small ones.
std::unique_ptr<char, IndexFile::FreeRoom> IndexFile::room_for(std::size_t bytes) {
  constexpr std::size_t large_page = std::size_t{2} << 20U;
  const bool much = bytes > large_page;
  const std::size_t whole = (bytes + large_page - 1) / large_page * large_page;
  std::unique_ptr<char, FreeRoom> room(
      static_cast<char*>(much ? std::aligned_alloc(large_page, whole) : std::malloc(bytes + 1)));
  if (!room) throw std::bad_alloc();
#ifdef MADV_HUGEPAGE
  if (much) (void)::madvise(room.get(), whole, MADV_HUGEPAGE);
#endif
  return room;
}

void IndexFile::append(std::string_view chunks) const {
  std::error_code failed;
  Fd file(::open(path_.c_str(), O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0644));
  if (!file) {
    std::filesystem::create_directories(path_.parent_path(), failed);
    file = Fd(::open(path_.c_str(), O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0644));
  }
  // Two programs must not mix their chunks, and one that was replaced meanwhile is nobody's.
  if (!file || ::flock(file.get(), LOCK_EX | LOCK_NB) != 0 || !same_file(file.get(), path_)) return;
  // In one call where the system takes it: a chunk cut off is found by its sum.
  while (!chunks.empty()) {
    const ssize_t put = ::write(file.get(), chunks.data(), chunks.size());
    if (put < 0 && errno == EINTR) continue;
    if (put <= 0) return;
    chunks.remove_prefix(static_cast<std::size_t>(put));
  }
}

void IndexFile::remove() const noexcept {
  std::error_code stays;
  std::filesystem::remove(path_, stays);
}

void IndexFile::replace(const std::vector<std::string_view>& chunks) const {
  std::error_code failed;
  std::filesystem::create_directories(path_.parent_path(), failed);
  const std::string aside = path_.string() + ".new";
  // One that a killed program left is written over; one that a program still writes is left to it.
  const Fd file(::open(aside.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0644));
  if (!file || ::flock(file.get(), LOCK_EX | LOCK_NB) != 0 || !same_file(file.get(), aside)) return;
  try {
    if (::ftruncate(file.get(), 0) != 0) return;
    std::string buffer;
    constexpr std::size_t worth_a_call = 1 << 20;
    for (const std::string_view chunk : chunks) {
      buffer += chunk;
      if (buffer.size() < worth_a_call) continue;
      write_all(file.get(), buffer, aside);
      buffer.clear();
    }
    write_all(file.get(), buffer, aside);
    // Not synced: after a crash the sums tell what is sound.
    std::filesystem::rename(aside, path_, failed);
  } catch (const Error&) {
    // The disk is full, or the like: the answers do not need the file.
    failed = std::make_error_code(std::errc::io_error);
  }
  if (failed) std::filesystem::remove(aside, failed);
}

}  // namespace keepway::store
