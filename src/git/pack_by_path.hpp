// Many objects as one pack, each the delta from the next newer one at its path.
//
// Motivation: from one backup to the next a table changes in a few rows, so nothing is nearer to it than the
// same path's neighbour in time. A packer for any repository cannot know that and compares by size.
#pragma once

#include <filesystem>

#include "git/objects.hpp"
#include "git/pack.hpp"

namespace keepway::store {

// Writes one synced pack into `folder`, the pack folder of the repository. Error{store} when an object is not
// there or the disk fails. Memory: ids and paths, and two objects at a time. What it reads it does not hash:
// before the pack takes the place of others, read it back.
PackFile pack_by_path(git_repository& repo, const std::filesystem::path& folder, const Ids& ids,
                      Compression compression, PackHold* hold = nullptr);

// Reads every object of a pack, each checked against its id. Error{store} when one of `ids` is not there or
// is not whole.
void read_back(const PackFile& pack, const Ids& ids);

}  // namespace keepway::store
