// A pack and its index, written in one go.
//
// Motivation: an intake brings thousands of small objects. As one pack they cost three syncs
// instead of two each, and no inflating and hashing a second time as an indexer for packs of
// unknown origin must do: these are ours, and each object's id and CRC are known as it is written.
// Source of the formats: Git's gitformat-pack(5), pack version 2, index version 2.
#pragma once

#include <git2.h>

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "git/pack_files.hpp"
#include "git/pack_hold.hpp"
#include "git/summed_file.hpp"

namespace keepway::store {

// How hard to compress: not at all, in little time, or to a small size.
enum class Compression { none, fast, best };

// An object made ready: whole, or as a delta from one that comes before it in the pack.
struct PackedObject {
  git_oid id{};
  git_object_t type = GIT_OBJECT_BLOB;
  std::uint64_t size = 0;           // of what `stream` unpacks to
  std::string stream;               // zlib
  std::optional<std::size_t> base;  // the place in the pack, from 0, of what the delta is from
};

// Both throw std::bad_alloc alone, and may be called from several threads.
PackedObject pack_object(const git_oid& id, git_object_t type, std::string_view content,
                         Compression compression = Compression::fast);
PackedObject pack_delta(const git_oid& id, std::string_view delta, std::size_t base,
                        Compression compression = Compression::fast);

// Writes a pack object by object: only their ids and offsets are kept. Nothing is left of one that is not
// finished. Error{store} when the disk fails.
class PackWriter {
 public:
  PackWriter(std::filesystem::path folder, std::size_t count);  // of objects to come
  void add(const PackedObject& object);
  // Syncs it, and names it pack-<checksum>.pack with its index beside it; held from before it has its name
  // where there is a `hold`. Precondition: `count` were added, their ids all unlike.
  PackFile finish(PackHold* hold = nullptr);

 private:
  std::filesystem::path folder_;
  SummedFile pack_;
  std::uint64_t at_ = 0;
  std::vector<PackEntry> entries_;
};

// All of them, in their order.
PackFile write_pack(const std::filesystem::path& folder, const std::vector<PackedObject>& objects);

// What a pack begins with.
std::string pack_head(std::size_t count);
// Appends 32 bits, the highest byte first.
void put32(std::string& out, std::uint64_t value);
// The index's bytes, without its own checksum.
std::string index_bytes(std::vector<PackEntry> entries, std::string_view pack_checksum);
// Gives a pack and its index, both finished, their names; syncs the folder. Returns the stem.
std::filesystem::path name_pack(const std::filesystem::path& folder, SummedFile& pack, SummedFile& index,
                                std::string_view checksum, PackHold* hold = nullptr);

}  // namespace keepway::store
