#include "git/pack_bounds.hpp"

#include <algorithm>
#include <cstdint>
#include <map>
#include <string>
#include <string_view>

#include "git/file_parts.hpp"
#include "git/pack_form.hpp"

namespace keepway::store {
namespace {

namespace fs = std::filesystem;

constexpr std::uint64_t id_size = 20;
constexpr const char* outside = "it points outside its pack";
constexpr const char* too_short = "it has not as many rows as it says";
constexpr const char* no_file = "it is no plain file";

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
// row.
template <typename PackSize>
bool all_within(std::string_view rows, std::uint64_t stride, std::string_view large, PackSize pack_size) {
  for (std::uint64_t at = 0; at + stride <= rows.size(); at += stride) {
    const std::string_view row = rows.substr(at, stride);
    if (!within(place_in(row, stride, large), pack_size(row))) return false;
  }
  return true;
}

// A pipe or a device, which libgit2 would wait for.
bool may_wait(const fs::path& path) {
  std::error_code absent;
  return fs::is_other(path, absent);
}

// Nullptr for one that is sound. A form that does not fit is libgit2's to refuse, which it does.
const char* fault_in(const fs::path& index, std::uint64_t max_size, FollowedPacks* followed) {
  const fs::path pack = fs::path(index).replace_extension(".pack");
  if (may_wait(index) || may_wait(pack)) return no_file;
  const FileParts file(index);
  const auto head = file.read(0, index_head_size);
  if (!head) return nullptr;
  const bool second = head->starts_with("\377tOc");
  const std::uint64_t tables = index_fanout_size + (second ? index_head_size : 0);
  const auto total = file.read(tables - 4, 4);
  if (!total) return nullptr;
  const std::uint64_t count = number_at(*total, 0);
  const std::uint64_t offsets_at = second ? tables + count * (id_size + 4) : tables;
  const std::uint64_t stride = second ? 4 : 4 + id_size;
  const std::uint64_t large_at = offsets_at + count * stride;
  const auto offsets = file.read(offsets_at, count * stride);
  if (!offsets || file.size() < large_at + 2 * id_size) return too_short;  // libgit2 counts in 32 bits
  const auto large = second ? file.read(large_at, file.size() - 2 * id_size - large_at) : std::string();
  const std::uint64_t pack_size = size_of(pack);
  if (!large || !all_within(*offsets, stride, *large, [pack_size](std::string_view) { return pack_size; }))
    return outside;
  if (followed != nullptr && followed->knows(index, pack)) return nullptr;
  const auto ids = second ? file.read(tables, count * id_size) : std::string();
  if (!ids) return nullptr;
  std::vector<PackPlace> places(count);
  for (std::uint64_t i = 0; i < count; ++i) {
    const std::string_view row = std::string_view(*offsets).substr(i * stride, stride);
    places[i] = {second ? std::string_view(*ids).substr(i * id_size, id_size) : row.substr(4),
                 place_in(row, stride, *large)};
  }
  const char* fault = fault_in_chains(pack, std::move(places), max_size);
  if (followed != nullptr && fault == nullptr) followed->note(index, pack);
  return fault;
}

// The index over all packs. Its chunks are found by a table behind the head. The last one ends where the
// checksum begins, as libgit2 has it, whatever the table's closing row says.
bool is_sound_over_all(const fs::path& index) {
  constexpr std::uint64_t head_size = 12;
  constexpr std::uint64_t row_size = 12;  // the chunk's name and its place
  if (may_wait(index)) return false;
  const FileParts file(index);
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

std::optional<PackFault> fault_in_packs(const fs::path& packs, std::uint64_t max_size,
                                        FollowedPacks* followed) {
  const fs::path over_all = packs / "multi-pack-index";
  if (!is_sound_over_all(over_all)) return PackFault{over_all, outside};
  for (const fs::path& index : single_indexes(packs)) {
    if (const char* fault = fault_in(index, max_size, followed)) return PackFault{index, fault};
  }
  return std::nullopt;
}

std::vector<fs::path> sound_indexes(const fs::path& packs, std::uint64_t max_size) {
  std::vector<fs::path> out = single_indexes(packs);
  std::erase_if(out, [&](const fs::path& index) { return fault_in(index, max_size, nullptr) != nullptr; });
  return out;
}

}  // namespace keepway::store
