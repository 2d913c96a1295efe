#include "git/loose.hpp"

#include <fcntl.h>
#include <git2/sys/odb_backend.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <cstring>
#include <memory>
#include <new>
#include <optional>
#include <string>

#include "git/folder.hpp"
#include "git/inflate_stream.hpp"
#include "git/pack_bounds.hpp"

namespace keepway::store {
namespace {

// Before libgit2's own for loose objects, which has 1, and behind that for packs, which has 2 and is there
// already: nearly all that is read is packed, and looking for a loose file first takes a call of the system.
constexpr int behind_packs = 2;
constexpr std::size_t max_header = 32;  // "commit 18446744073709551615\0"
// Deflate packs no tighter than 1032 to 1 (zlib's own technical notes), so no more has to be set aside.
constexpr std::uint64_t max_ratio = 1100;
constexpr std::uint64_t most_of_header = 512;  // bytes of a file, in which its header is

struct Backend {
  git_odb_backend base{};
  std::filesystem::path objects;
  std::optional<bool> packs_sound;  // nullopt: not asked yet
};

// Its first bytes; nullopt, with errno, when there is none or it cannot be read.
std::optional<std::string> read_file(const std::string& path, std::uint64_t most) {
  const Fd file(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK));
  struct stat found {};
  if (!file || ::fstat(file.get(), &found) != 0) return std::nullopt;
  std::string bytes(static_cast<std::size_t>(std::min(static_cast<std::uint64_t>(found.st_size), most)),
                    '\0');
  std::size_t filled = 0;
  while (filled < bytes.size()) {
    const ssize_t got = ::read(file.get(), bytes.data() + filled, bytes.size() - filled);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return std::nullopt;
    if (got == 0) break;
    filled += static_cast<std::size_t>(got);
  }
  bytes.resize(filled);
  return bytes;
}

class Inflater {
 public:
  explicit Inflater(const std::string& bytes) : left_(bytes) {}

  // Fills `out` as far as the stream gives; how much it gave.
  std::size_t fill(char* out, std::size_t room) {
    std::size_t given = 0;
    while (given < room && code_ == Z_OK) {
      const InflateStream::Step step = stream_.step(left_, out + given, room - given);
      code_ = step.code;
      left_.remove_prefix(step.taken);
      given += step.given;
    }
    return given;
  }
  [[nodiscard]] bool ended() const { return code_ == Z_STREAM_END && left_.empty(); }

 private:
  std::string_view left_;
  InflateStream stream_;
  int code_ = Z_OK;
};

struct Header {
  git_object_t type = GIT_OBJECT_INVALID;
  std::uint64_t size = 0;
  std::size_t length = 0;
};

std::optional<Header> read_header(std::string_view head) {
  Header header;
  const std::size_t nul = head.substr(0, max_header).find('\0');
  const std::size_t space = head.find(' ');
  if (nul == std::string_view::npos || space > nul) return std::nullopt;
  header.type = git_object_string2type(std::string(head.substr(0, space)).c_str());
  header.length = nul + 1;
  const auto read = std::from_chars(head.data() + space + 1, head.data() + nul, header.size);
  const bool known = header.type == GIT_OBJECT_BLOB || header.type == GIT_OBJECT_TREE ||
                     header.type == GIT_OBJECT_COMMIT || header.type == GIT_OBJECT_TAG;
  if (!known || read.ec != std::errc() || read.ptr != head.data() + nul) return std::nullopt;
  return header;
}

std::optional<Header> header_of(const std::string& file) {
  Inflater inflater(file);
  std::array<char, max_header> head{};
  return read_header({head.data(), inflater.fill(head.data(), head.size())});
}

struct Data {
  git_object_t type = GIT_OBJECT_INVALID;
  void* bytes = nullptr;  // libgit2's, one longer than `size`
  std::size_t size = 0;
};

// nullopt for anything but one whole object of the size that it states.
std::optional<Data> unpack(git_odb_backend* backend, const std::string& file) {
  Inflater inflater(file);
  std::array<char, 64> head{};
  const std::size_t got = inflater.fill(head.data(), head.size());
  const auto header = read_header({head.data(), got});
  if (!header || header->size > file.size() * max_ratio || got - header->length > header->size)
    return std::nullopt;
  const auto size = static_cast<std::size_t>(header->size);
  auto* bytes = static_cast<char*>(git_odb_backend_data_alloc(backend, size + 1));
  if (bytes == nullptr) throw std::bad_alloc();
  const std::size_t early = got - header->length;
  std::memcpy(bytes, head.data() + header->length, early);
  // One more than there should be, so that the stream's end is met and more than was stated is noticed.
  const std::size_t rest = inflater.fill(bytes + early, size + 1 - early);
  if (early + rest != size || !inflater.ended()) {
    git_odb_backend_data_free(backend, bytes);
    return std::nullopt;
  }
  bytes[size] = '\0';
  return Data{header->type, bytes, size};
}

int read_from_packs(void** data, std::size_t* size, git_object_t* type, Backend& own, const git_oid* id) {
  if (!own.packs_sound) own.packs_sound = !fault_in_packs(own.objects / "pack");
  if (!*own.packs_sound) return GIT_ENOTFOUND;
  git_odb_backend* packs = nullptr;
  if (git_odb_backend_pack(&packs, own.objects.c_str()) != 0) return GIT_ERROR;
  int code = packs->refresh != nullptr ? packs->refresh(packs) : 0;
  if (code == 0) code = packs->read(data, size, type, packs, id);
  packs->free(packs);
  return code;
}

// libgit2 is C: nothing may be thrown through it.
int read(void** data, std::size_t* size, git_object_t* type, git_odb_backend* backend,
         const git_oid* id) try {
  auto& own = *reinterpret_cast<Backend*>(backend);
  const std::string name = oid_text(*id);
  const auto file = read_file((own.objects / name.substr(0, 2) / name.substr(2)).string(), UINT64_MAX);
  if (!file && errno == ENOENT) return GIT_ENOTFOUND;
  const auto unpacked = file ? unpack(backend, *file) : std::nullopt;
  if (unpacked) {
    *data = unpacked->bytes;
    *size = unpacked->size;
    *type = unpacked->type;
    return 0;
  }
  if (read_from_packs(data, size, type, own, id) == 0) return 0;
  git_error_set_str(GIT_ERROR_ODB, ("the loose object " + name + " is damaged").c_str());
  return GIT_ERROR;
} catch (...) {
  git_error_set_oom();
  return GIT_ERROR;
}

// libgit2's own would wait for a pipe.
int read_header_of(std::size_t* size, git_object_t* type, git_odb_backend* backend, const git_oid* id) try {
  const auto& own = *reinterpret_cast<Backend*>(backend);
  const std::string name = oid_text(*id);
  const auto file = read_file((own.objects / name.substr(0, 2) / name.substr(2)).string(), most_of_header);
  if (!file && errno == ENOENT) return GIT_ENOTFOUND;
  const auto header = file ? header_of(*file) : std::nullopt;
  if (!header) {
    git_error_set_str(GIT_ERROR_ODB, ("the loose object " + name + " is damaged").c_str());
    return GIT_ERROR;
  }
  *size = static_cast<std::size_t>(header->size);
  *type = header->type;
  return 0;
} catch (...) {
  git_error_set_oom();
  return GIT_ERROR;
}

int read_prefix(git_oid* full, void** data, std::size_t* size, git_object_t* type, git_odb_backend* backend,
                const git_oid* part, std::size_t length) try {
  constexpr std::size_t folder_digits = 2;
  const auto& own = *reinterpret_cast<Backend*>(backend);
  const std::string name = oid_text(*part).substr(0, length);
  if (name.size() < folder_digits) return GIT_ENOTFOUND;
  std::error_code failed;
  bool found = false;
  for (std::filesystem::directory_iterator at(own.objects / name.substr(0, folder_digits), failed), end;
       !failed && at != end; at.increment(failed)) {
    const std::string whole = name.substr(0, folder_digits) + at->path().filename().string();
    git_oid id{};
    if (!whole.starts_with(name) || whole.size() != sizeof id.id * 2 ||
        git_oid_fromstr(&id, whole.c_str()) != 0)
      continue;
    if (found) return GIT_EAMBIGUOUS;
    found = true;
    *full = id;
  }
  return found ? read(data, size, type, backend, full) : static_cast<int>(GIT_ENOTFOUND);
} catch (...) {
  git_error_set_oom();
  return GIT_ERROR;
}

// All that is here, libgit2's own reader of loose objects lists too.
int list_nothing(git_odb_backend* /*backend*/, git_odb_foreach_cb /*visit*/, void* /*payload*/) {
  return 0;
}

void release(git_odb_backend* backend) {
  delete reinterpret_cast<Backend*>(backend);  // NOLINT(cppcoreguidelines-owning-memory): libgit2 owned it
}

}  // namespace

void guard_loose(git_odb& odb, const std::filesystem::path& objects_folder) {
  auto backend = std::make_unique<Backend>();
  check(git_odb_init_backend(&backend->base, GIT_ODB_BACKEND_VERSION), "open the objects");
  backend->objects = objects_folder;
  backend->base.read = read;
  backend->base.read_header = read_header_of;
  backend->base.read_prefix = read_prefix;
  backend->base.foreach = list_nothing;
  backend->base.free = release;
  check(git_odb_add_backend(&odb, &backend->base, behind_packs), "open the objects");
  (void)backend.release();  // the store's now
}

}  // namespace keepway::store
