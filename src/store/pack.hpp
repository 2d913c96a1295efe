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
#include <string>
#include <string_view>
#include <vector>

namespace keepway::store {

// An object made ready: type and size in the pack's header form, then a zlib stream.
struct PackedObject {
  git_oid id{};
  std::string bytes;
  std::uint32_t crc = 0;  // of `bytes`
};

// Deflates one object. Error{store} on want of memory. Safe to call from several threads.
PackedObject pack_object(const git_oid& id, git_object_t type, std::string_view content);

// Writes `folder`/pack-<checksum>.pack and .idx, synced with the folder; leaves nothing when it
// throws. The objects must be whole (no deltas) and their ids unlike. Takes their order as given.
void write_pack(const std::filesystem::path& folder, const std::vector<PackedObject>& objects);

// Appends 32 bits, the highest byte first.
void put32(std::string& out, std::uint64_t value);

// The index's bytes, without its own checksum. `offsets` belong to `objects` one by one.
std::string index_bytes(const std::vector<PackedObject>& objects, const std::vector<std::uint64_t>& offsets,
                        std::string_view pack_checksum);

}  // namespace keepway::store
