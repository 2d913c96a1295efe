#include "index/index_file.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <utility>

#include "base/seal.hpp"
#include "git/remembered.hpp"

namespace keepway::store {
namespace {

constexpr std::size_t aligned = 8;
// Places in a damaged stretch that look like a chunk's head and are not: more are not looked at, so that
// no file can make the search for the next sound chunk long.
constexpr std::size_t false_heads = 64;

constexpr const char* heads_name = "index-heads";
constexpr std::uint64_t worth_remembering = std::uint64_t{256} << 10U;  // of an index whose heads are not
constexpr std::size_t window_bytes = std::size_t{256} << 10U;           // a core's own cache holds it

std::size_t read_at(int file, char* into, std::size_t size, std::uint64_t at) {
  std::size_t filled = 0;
  while (filled < size) {
    const ssize_t got = ::pread(file, into + filled, size - filled, static_cast<off_t>(at + filled));
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) break;
    filled += static_cast<std::size_t>(got);
  }
  return filled;
}

struct HeadsFront {
  std::uint64_t magic = 0x3173646165687773;  // raised when the form of the file or of a chunk's head changes
  std::uint64_t known = 0;
  std::uint32_t chunks = 0;
  std::uint32_t hashes = 0;
};

bool same_file(int file, const std::filesystem::path& path) {
  struct stat held {};
  struct stat named {};
  return ::fstat(file, &held) == 0 && ::stat(path.c_str(), &named) == 0 && held.st_ino == named.st_ino &&
         held.st_dev == named.st_dev;
}

}  // namespace

// Read, not mapped: a bad sector under a mapping would kill the program.
std::string_view FileWindow::from(std::uint64_t at, std::size_t wanted, bool alone) {
  if (!file_ || at >= size_) return {};
  wanted = static_cast<std::size_t>(std::min<std::uint64_t>(wanted, size_ - at));
  if (at < start_ || at + wanted > start_ + held_) {
    const std::size_t room = alone ? wanted : std::max(wanted, window_bytes);
    if (buffer_.size() < room) buffer_.resize(room);
    // Who steps back wants what lies before, next.
    const bool back = held_ > 0 && at < start_;
    start_ = back && at + wanted > room ? at + wanted - room : back ? 0 : at;
    held_ = read_at(file_.get(), buffer_.data(),
                    static_cast<std::size_t>(std::min<std::uint64_t>(room, size_ - start_)), start_);
    if (start_ + held_ <= at) return {};
  }
  return std::string_view(buffer_).substr(static_cast<std::size_t>(at - start_),
                                          static_cast<std::size_t>(start_ + held_ - at));
}

// False when there is nothing to read.
bool IndexFile::open() {
  heads_.clear();
  places_.clear();
  hashes_.clear();
  first_hashes_.clear();
  damaged_ = false;
  window_ = FileWindow();
  Fd file(::open(path_.c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW));
  struct stat found {};
  if (!file || ::fstat(file.get(), &found) != 0 || !S_ISREG(found.st_mode)) return false;
  window_ = FileWindow(std::move(file), static_cast<std::uint64_t>(found.st_size));
  return true;
}

void IndexFile::load() {
  if (!open()) return;
  const std::uint64_t known = take_heads();
  go_through(known);
  if (damaged_ && known > 0) return load_whole();
  if (!damaged_ && window_.size() - known > worth_remembering) remember_heads();
}

void IndexFile::load_whole() {
  if (open()) go_through(0);
}

void IndexFile::load_end() {
  constexpr std::uint64_t end_bytes = std::uint64_t{512} << 10U;  // some hundred backups
  if (!open()) return;
  const std::uint64_t size = window_.size();
  go_through(size > end_bytes ? (size - end_bytes) / aligned * aligned : 0);
}

void IndexFile::go_through(std::uint64_t at) {
  std::size_t false_found = 0;
  while (at < window_.size()) {
    const std::size_t told = Chunk::size_told(window_.from(at, sizeof(ChunkHead)));
    if (const auto chunk = Chunk::read(window_.from(at, told))) {
      heads_.push_back(chunk->head());
      places_.push_back(at);
      first_hashes_.push_back(hashes_.size());
      chunk->add_hashes(hashes_);
      at += chunk->bytes().size();
      continue;
    }
    damaged_ = true;
    if (++false_found > false_heads) return;
    const std::string_view magic(reinterpret_cast<const char*>(&chunk_magic), sizeof chunk_magic);
    std::string_view head;
    do {  // the next place where a head could begin
      at += aligned;
      head = window_.from(at, sizeof(ChunkHead));
      if (head.size() < sizeof(ChunkHead)) return;  // the end, or what cannot be read
    } while (head.substr(sizeof(std::uint32_t), magic.size()) != magic);
  }
}

bool IndexFile::may_hold(std::size_t number, std::uint32_t hash) const {
  const auto begin = hashes_.begin() + static_cast<std::ptrdiff_t>(first_hashes_.at(number));
  const auto end = begin + static_cast<std::ptrdiff_t>(heads_[number].changes);
  return std::find(begin, end, hash) != end;
}

std::optional<Chunk> IndexFile::chunk(std::size_t number) {
  const ChunkHead& head = heads_.at(number);
  const bool in_turn = number + 1 == std::exchange(asked_, number);
  const auto chunk = Chunk::read(window_.from(places_[number], head.size, !in_turn));
  return chunk && chunk->head() == head ? chunk : std::nullopt;
}

// magic | how far in the index | number of chunks, of hashes | heads | places | hashes | CRC of all that
std::uint64_t IndexFile::take_heads() {
  const auto bytes = recall(git_folder_, heads_name);
  const auto summed = bytes ? unsealed(*bytes) : std::nullopt;
  HeadsFront front;
  if (!summed || summed->size() < sizeof front) return 0;
  std::memcpy(&front, summed->data(), sizeof front);
  const std::uint64_t each = sizeof(ChunkHead) + sizeof(std::uint64_t);
  if (front.magic != HeadsFront().magic || front.known > window_.size() || front.chunks == 0 ||
      summed->size() != sizeof front + front.chunks * each + front.hashes * sizeof(std::uint32_t)) {
    return 0;
  }
  const char* from = summed->data() + sizeof front;
  const auto fill = [&from](auto& list, std::size_t count) {
    list.resize(count);
    if (count != 0) std::memcpy(list.data(), from, count * sizeof list[0]);
    from += count * sizeof list[0];
  };
  fill(heads_, front.chunks);
  fill(places_, front.chunks);
  fill(hashes_, front.hashes);
  first_hashes_.reserve(front.chunks);
  std::size_t hashes = 0;
  for (const ChunkHead& head : heads_) {
    first_hashes_.push_back(hashes);
    hashes += head.changes;
  }
  if (hashes == hashes_.size() && chunk(heads_.size() - 1)) return front.known;
  (void)open();  // of another index
  return 0;
}

void IndexFile::remember_heads() const {
  HeadsFront front;
  front.known = window_.size();
  front.chunks = static_cast<std::uint32_t>(heads_.size());
  front.hashes = static_cast<std::uint32_t>(hashes_.size());
  std::string out(reinterpret_cast<const char*>(&front), sizeof front);
  const auto put = [&out](const auto& list) {
    out.append(reinterpret_cast<const char*>(list.data()), list.size() * sizeof list[0]);
  };
  put(heads_);
  put(places_);
  put(hashes_);
  seal(out);
  remember(git_folder_, heads_name, out);
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
  forget(git_folder_, heads_name);
  std::filesystem::remove(path_, stays);
}

void IndexFile::replace(const std::function<std::string_view()>& next) const {
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
    for (std::string_view chunk = next(); !chunk.empty(); chunk = next()) {
      buffer += chunk;
      if (buffer.size() < worth_a_call) continue;
      write_all(file.get(), buffer, aside);
      buffer.clear();
    }
    write_all(file.get(), buffer, aside);
    // Not synced: after a crash the sums tell what is sound.
    forget(git_folder_, heads_name);
    std::filesystem::rename(aside, path_, failed);
  } catch (const Error&) {
    // The disk is full, or the like: the answers do not need the file.
    failed = std::make_error_code(std::errc::io_error);
  }
  if (failed) std::filesystem::remove(aside, failed);
}

}  // namespace keepway::store
