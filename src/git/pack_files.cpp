#include "git/pack_files.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <functional>
#include <numeric>
#include <set>

#include "git/objects.hpp"
#include "git/pack.hpp"
#include "git/pack_form.hpp"
#include "git/summed_file.hpp"

namespace keepway::store {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t pack_head_size = 12;  // "PACK", version, number of objects

fs::path with(const PackFile& pack, const char* ending) {
  return pack.stem.string() + ending;
}

std::optional<std::string> file_bytes(const fs::path& path) {
  return Folder(path.parent_path()).read(path.filename().string());
}

using VisitPiece = std::function<void(std::string_view)>;

enum class Checksum { fits, differs, unread };

// Reads a pack from end to end, in pieces of 1 MiB. `visit` is given all that comes before the checksum;
// whether that fits is known only after the last piece.
Checksum read_through(const PackFile& pack, const VisitPiece& visit) {
  // O_NONBLOCK: a pipe left there must not hang us.
  const Fd file(::open(with(pack, ".pack").c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK));
  if (!file) return Checksum::unread;
  constexpr std::size_t piece_size = std::size_t{1} << 20U;
  Sha1 sum;
  std::string some(piece_size, '\0');
  std::string held;  // not yet visited: the last bytes read may be the checksum
  held.reserve(piece_size + checksum_size);
  while (true) {
    const ssize_t got = ::read(file.get(), some.data(), some.size());
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return Checksum::unread;
    if (got == 0) break;
    held.append(some, 0, static_cast<std::size_t>(got));
    if (held.size() <= checksum_size) continue;
    const std::string_view piece(held.data(), held.size() - checksum_size);
    sum.put(piece);
    visit(piece);
    held.erase(0, piece.size());
  }
  return sum.finish() == held ? Checksum::fits : Checksum::differs;
}

Checksum checksum_of(const PackFile& pack) {
  return read_through(pack, [](std::string_view) {});
}

// Visits the bytes between a pack's head and its checksum. False for a pack that is not whole or does not
// hold `count` objects; what was visited is then worth nothing.
bool read_body(const PackFile& pack, std::size_t count, const VisitPiece& visit) {
  std::string head;
  const Checksum checksum = read_through(pack, [&](std::string_view piece) {
    const std::size_t of_head = std::min(pack_head_size - head.size(), piece.size());
    head += piece.substr(0, of_head);
    visit(piece.substr(of_head));
  });
  return checksum == Checksum::fits && head.size() == pack_head_size && head.starts_with("PACK") &&
         number_at(head, 4) == 2 && number_at(head, 8) == count;
}

}  // namespace

std::vector<PackFile> pack_files(const fs::path& folder) {
  std::error_code trouble;
  std::set<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder, trouble)) names.insert(entry.path().filename());
  std::vector<PackFile> packs;
  for (const std::string& name : names) {
    constexpr std::string_view ending = ".idx";
    if (!name.ends_with(ending)) continue;
    const std::string stem = name.substr(0, name.size() - ending.size());
    PackFile pack;
    pack.stem = folder / stem;
    std::error_code absent;
    pack.bytes = fs::file_size(with(pack, ".pack"), absent);
    if (absent) continue;
    pack.kept = names.contains(stem + ".keep") || names.contains(stem + ".promisor");
    packs.push_back(std::move(pack));
  }
  std::sort(packs.begin(), packs.end(), [](const PackFile& a, const PackFile& b) {
    return std::tie(a.bytes, a.stem) < std::tie(b.bytes, b.stem);
  });
  return packs;
}

std::size_t objects_in(const PackFile& pack) {
  std::error_code absent;
  const auto size = fs::file_size(with(pack, ".idx"), absent);
  constexpr std::size_t around = index_head_size + index_fanout_size + 2 * checksum_size;
  return absent || size < around ? 0 : static_cast<std::size_t>(size - around) / (GIT_OID_RAWSZ + 4 + 4);
}

bool is_whole(const PackFile& pack) {
  return checksum_of(pack) == Checksum::fits;
}

bool is_damaged(const PackFile& pack) {
  return checksum_of(pack) == Checksum::differs;
}

std::optional<std::vector<PackEntry>> read_pack_index(const PackFile& pack) {
  const auto bytes = file_bytes(with(pack, ".idx"));
  constexpr std::size_t tables = index_head_size + index_fanout_size;
  if (!bytes || bytes->size() < tables + 2 * checksum_size || !bytes->starts_with("\377tOc") ||
      number_at(*bytes, 4) != 2) {
    return std::nullopt;
  }
  const auto count = static_cast<std::size_t>(number_at(*bytes, tables - 4));
  constexpr std::size_t row = GIT_OID_RAWSZ + 4 + 4;
  if ((bytes->size() - tables - 2 * checksum_size) / row < count) return std::nullopt;
  Sha1 sum;
  sum.put(std::string_view(*bytes).substr(0, bytes->size() - checksum_size));
  if (sum.finish() != bytes->substr(bytes->size() - checksum_size)) return std::nullopt;
  const std::size_t crcs = tables + count * GIT_OID_RAWSZ;
  const std::size_t offsets = crcs + count * 4;
  const std::size_t longs = offsets + count * 4;
  std::vector<PackEntry> entries(count);
  for (std::size_t i = 0; i < count; ++i) {
    std::memcpy(entries[i].id.id, bytes->data() + tables + i * GIT_OID_RAWSZ, GIT_OID_RAWSZ);
    entries[i].crc = static_cast<std::uint32_t>(number_at(*bytes, crcs + i * 4));
    entries[i].offset = number_at(*bytes, offsets + i * 4);
    if (entries[i].offset >> 31U == 0) continue;
    const std::size_t at = longs + (entries[i].offset & 0x7fffffffU) * 8;
    if (at + 8 > bytes->size() - 2 * checksum_size) return std::nullopt;
    entries[i].offset = number_at(*bytes, at) << 32U | number_at(*bytes, at + 4);
  }
  return entries;
}

std::vector<PackFile> join_packs(const fs::path& folder, const std::vector<PackFile>& packs) {
  struct Part {
    PackFile pack;
    std::vector<PackEntry> entries;
  };
  std::vector<Part> parts;
  std::set<git_oid, OidLess> ids;
  std::size_t count = 0;
  for (const PackFile& pack : packs) {
    auto entries = read_pack_index(pack);
    if (!entries || std::any_of(entries->begin(), entries->end(),
                                [&](const PackEntry& entry) { return ids.contains(entry.id); })) {
      continue;
    }
    if (!read_body(pack, entries->size(), [](std::string_view) {})) continue;
    for (const PackEntry& entry : *entries) ids.insert(entry.id);
    count += entries->size();
    parts.push_back({pack, std::move(*entries)});
  }
  if (parts.size() < 2) return {};

  SummedFile joined(folder, "pack");
  joined.put(pack_head(count));
  std::vector<PackEntry> joined_entries;
  joined_entries.reserve(count);
  std::uint64_t at = pack_head_size;
  std::vector<PackFile> done;
  for (const Part& part : parts) {
    for (const PackEntry& entry : part.entries) {
      joined_entries.push_back({entry.id, entry.crc, entry.offset - pack_head_size + at});
    }
    const bool same = read_body(part.pack, part.entries.size(), [&](std::string_view piece) {
      joined.put(piece);
      at += piece.size();
    });
    if (!same) throw Error(ErrorKind::store, "a pack changed while it was read", "try again");
    done.push_back(part.pack);
  }
  const std::string checksum = joined.finish();
  SummedFile index(folder, "idx");
  index.put(index_bytes(std::move(joined_entries), checksum));
  index.finish();
  name_pack(folder, joined, index, checksum);
  return done;
}

void remove_packs(const fs::path& folder, const std::vector<PackFile>& packs) {
  if (packs.empty()) return;
  std::error_code ignored;
  // A list over all packs would name some that are gone; Git makes it again.
  fs::remove(folder / "multi-pack-index", ignored);
  // The index last: one alone is nothing to Git, and known for a leftover. A pack alone would be taken for
  // one that lost its index, and stay.
  for (const PackFile& pack : packs) {
    for (const char* ending : {".rev", ".bitmap", ".pack", ".idx"}) fs::remove(with(pack, ending), ignored);
  }
  sync_folder(folder);
}

}  // namespace keepway::store
