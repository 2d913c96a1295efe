// Whether what the indexes of packs point at lies within the packs.
//
// Motivation: libgit2 1.5 reads an object at the place that an index gives, without asking whether the pack
// is that long: one bit turned in an index would end the program. Nothing else of an index is looked at here:
// libgit2 checks its form, and what does not fit the object's id is found out when it is read.
// Source of the forms: Git's gitformat-pack(5), pack indexes of versions 1 and 2, multi-pack-index version 1.
#pragma once

#include <filesystem>
#include <optional>
#include <vector>

namespace keepway::store {

// The first index in a folder of packs that points outside a pack; nullopt where none does. One that is
// absent or cannot be read points nowhere.
std::optional<std::filesystem::path> index_out_of_bounds(const std::filesystem::path& packs);

// The indexes of single packs that point nowhere else than into their packs.
std::vector<std::filesystem::path> sound_indexes(const std::filesystem::path& packs);

}  // namespace keepway::store
