// Whether libgit2 may read the packs of a folder: what their indexes point at lies within the packs, and the
// deltas there come to an end (pack_chains.hpp).
//
// Motivation: libgit2 1.5 reads an object at the place that an index gives, without asking whether the pack
// is that long: one bit turned in an index would end the program. Nothing else of an index is looked at here:
// libgit2 checks its form, and what does not fit the object's id is found out when it is read.
// Source of the forms: Git's gitformat-pack(5), pack indexes of versions 1 and 2, multi-pack-index version 1.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <vector>

#include "git/followed_packs.hpp"
#include "git/pack_chains.hpp"

namespace keepway::store {

struct PackFault {
  std::filesystem::path index;
  const char* what = nullptr;  // "it points outside its pack"
};

// The first index in a folder of packs that must not be followed; nullopt where there is none. One that is
// absent or cannot be read leads nowhere. For `max_size` see fault_in_chains(). The deltas of packs that are
// in `followed` are not followed again.
std::optional<PackFault> fault_in_packs(const std::filesystem::path& packs, std::uint64_t max_size = any_size,
                                        FollowedPacks* followed = nullptr);

// The indexes of single packs that may be followed.
std::vector<std::filesystem::path> sound_indexes(const std::filesystem::path& packs,
                                                 std::uint64_t max_size = any_size);

}  // namespace keepway::store
