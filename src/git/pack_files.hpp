// The packs of a repository as files: which there are, what is in them, and joining them end to end.
// Source of the formats: Git's gitformat-pack(5), pack version 2, index version 2.
#pragma once

#include <git2.h>

#include <cstdint>
#include <filesystem>
#include <optional>
#include <vector>

namespace keepway::store {

struct PackFile {
  std::filesystem::path stem;  // ".../pack-<checksum>", without an ending
  std::uint64_t bytes = 0;     // of the pack
  bool kept = false;           // somebody's .keep or .promisor: not ours to touch
};
// Packs that have an index, smallest first.
std::vector<PackFile> pack_files(const std::filesystem::path& folder);

// Roughly how many objects it has, by the size of its index: nothing is read.
std::size_t objects_in(const PackFile& pack);
// Whether the pack carries the checksum of its own bytes. Read piece by piece.
bool is_whole(const PackFile& pack);
// Whether it carries another. A pack that cannot be read is neither whole nor damaged.
bool is_damaged(const PackFile& pack);

struct PackEntry {
  git_oid id{};
  std::uint32_t crc = 0;
  std::uint64_t offset = 0;
};
// By id. nullopt for an index that is not of version 2, or not whole.
std::optional<std::vector<PackEntry>> read_pack_index(const PackFile& pack);

// Writes the packs' bodies one after another into one new pack, synced; deltas stay as they are, since
// they name their base by how far back it lies. Packs that do not carry their own checksum, or that hold an
// object again that another has, are left out. Returns those that went in; none when fewer than two could.
// Read piece by piece, twice: memory grows with the number of objects, not with their size.
std::vector<PackFile> join_packs(const std::filesystem::path& folder, const std::vector<PackFile>& packs);

// Removes packs with all that belongs to them.
void remove_packs(const std::filesystem::path& folder, const std::vector<PackFile>& packs);

}  // namespace keepway::store
