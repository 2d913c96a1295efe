#include "git/pack_bounds.hpp"

#include <fcntl.h>
#include <sys/stat.h>

#include <algorithm>
#include <cstdint>
#include <map>
#include <string>
#include <string_view>

#include "base/fd.hpp"
#include "git/pack_form.hpp"

namespace keepway::store {
namespace {

namespace fs = std::filesystem;

constexpr std::uint64_t id_size = 20;
constexpr std::uint64_t elsewhere = 1U << 31U;  // set where the rest is a row of the table of 8 bytes

// A file of which parts are read.
class Parts {
 public:
  explicit Parts(const fs::path& path) : file_(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK)) {
    struct stat found {};
    if (file_ && ::fstat(file_.get(), &found) == 0 && S_ISREG(found.st_mode))
      size_ = static_cast<std::uint64_t>(found.st_size);
  }
  [[nodiscard]] std::uint64_t size() const { return size_; }
  // nullopt where the file has no such bytes.
  [[nodiscard]] std::optional<std::string> read(std::uint64_t at, std::uint64_t length) const {
    if (at > size_ || length > size_ - at) return std::nullopt;
    std::string bytes(length, '\0');
    std::size_t done = 0;
    while (done < bytes.size()) {
      const ssize_t got =
          ::pread(file_.get(), bytes.data() + done, bytes.size() - done, static_cast<off_t>(at + done));
      if (got <= 0) return std::nullopt;
      done += static_cast<std::size_t>(got);
    }
    return bytes;
  }

 private:
  Fd file_;
  std::uint64_t size_ = 0;
};

std::uint64_t size_of(const fs::path& pack) {
  std::error_code absent;
  const auto size = fs::file_size(pack, absent);
  return absent ? 0 : size;
}

// An object has at least its head and something before the pack's checksum.
bool within(std::uint64_t offset, std::uint64_t pack_size) {
  return pack_size > id_size && offset < pack_size - id_size;
}

// Whether each offset, `stride` bytes from the one before, lies in the pack that `pack_size` gives for its
// row; one that says so is looked up in `large`.
template <typename PackSize>
bool all_within(std::string_view rows, std::uint64_t stride, std::string_view large, PackSize pack_size) {
  for (std::uint64_t at = 0; at + stride <= rows.size(); at += stride) {
    const std::string_view row = rows.substr(at, stride);
    std::uint64_t offset = number_at(row, stride == 8 ? 4 : 0);
    if (stride != 4 + id_size && offset >= elsewhere) {
      const std::uint64_t place = (offset - elsewhere) * 8;
      if (place + 8 > large.size()) return false;
      offset = number_at(large, place, 8);
    }
    if (!within(offset, pack_size(row))) return false;
  }
  return true;
}

// A form that does not fit is libgit2's to refuse, which it does.
bool is_sound(const fs::path& index) {
  const Parts file(index);
  const auto head = file.read(0, index_head_size);
  if (!head) return true;
  const bool second = head->starts_with("\377tOc");
  const std::uint64_t tables = index_fanout_size + (second ? index_head_size : 0);
  const auto total = file.read(tables - 4, 4);
  if (!total) return true;
  const std::uint64_t count = number_at(*total, 0);
  const std::uint64_t offsets_at = second ? tables + count * (id_size + 4) : tables;
  const std::uint64_t stride = second ? 4 : 4 + id_size;
  const std::uint64_t large_at = offsets_at + count * stride;
  const auto offsets = file.read(offsets_at, count * stride);
  if (!offsets || file.size() < large_at + 2 * id_size) return true;
  const auto large = second ? file.read(large_at, file.size() - 2 * id_size - large_at) : std::string();
  const std::uint64_t pack = size_of(fs::path(index).replace_extension(".pack"));
  return large && all_within(*offsets, stride, *large, [pack](std::string_view) { return pack; });
}

// The index over all packs. Its chunks are found by a table behind the head. The last one ends where the
// checksum begins, as libgit2 has it, whatever the table's closing row says.
bool is_sound_over_all(const fs::path& index) {
  constexpr std::uint64_t head_size = 12;
  constexpr std::uint64_t row_size = 12;  // the chunk's name and its place
  const Parts file(index);
  const auto head = file.read(0, head_size);
  if (!head || !head->starts_with("MIDX")) return true;
  const auto rows = file.read(head_size, (number_at(*head, 6, 1) + 1) * row_size);
  if (!rows) return true;
  std::map<std::string, std::string, std::less<>> chunks;
  const std::uint64_t behind_last = file.size() - std::min(id_size, file.size());
  for (std::uint64_t at = 0; at + row_size < rows->size(); at += row_size) {
    const std::uint64_t begin = number_at(*rows, at + 4, 8);
    const bool last = at + 2 * row_size == rows->size();
    const std::uint64_t end = last ? behind_last : number_at(*rows, at + row_size + 4, 8);
    if (begin > end) return true;
    auto chunk = file.read(begin, end - begin);
    if (!chunk) return true;
    chunks[rows->substr(at, 4)] = std::move(*chunk);
  }
  std::vector<std::uint64_t> sizes;
  const std::string& names = chunks["PNAM"];
  for (std::uint64_t at = 0; sizes.size() < number_at(*head, 8) && at < names.size();) {
    const std::string name = names.substr(at, names.find('\0', at) - at);
    if (name.find('/') != std::string::npos) return true;
    sizes.push_back(size_of((index.parent_path() / name).replace_extension(".pack")));
    at += name.size() + 1;
  }
  return all_within(chunks["OOFF"], 8, chunks["LOFF"], [&](std::string_view row) {
    const std::uint64_t pack = number_at(row, 0);
    return pack < sizes.size() ? sizes[pack] : 0;
  });
}

std::vector<fs::path> single_indexes(const fs::path& packs) {
  std::vector<fs::path> out;
  std::error_code failed;
  for (fs::directory_iterator at(packs, failed), end; !failed && at != end; at.increment(failed)) {
    if (at->path().extension() != ".idx") continue;
    std::error_code absent;
    if (fs::exists(fs::path(at->path()).replace_extension(".pack"), absent)) out.push_back(at->path());
  }
  std::sort(out.begin(), out.end());
  return out;
}

}  // namespace

std::optional<fs::path> index_out_of_bounds(const fs::path& packs) {
  const fs::path over_all = packs / "multi-pack-index";
  if (!is_sound_over_all(over_all)) return over_all;
  for (const fs::path& index : single_indexes(packs)) {
    if (!is_sound(index)) return index;
  }
  return std::nullopt;
}

std::vector<fs::path> sound_indexes(const fs::path& packs) {
  std::vector<fs::path> out = single_indexes(packs);
  std::erase_if(out, [](const fs::path& index) { return !is_sound(index); });
  return out;
}

}  // namespace keepway::store
