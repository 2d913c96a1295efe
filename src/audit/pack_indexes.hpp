// Indexes of packs: whether they are whole, and made again where they are not.
#pragma once

#include <filesystem>
#include <string_view>

namespace keepway::store {

// Whether an index ends with its own checksum, and names before that the pack that it was made for: the one
// with `pack_sum`, or any where that is empty.
bool index_is_whole(std::string_view index, std::string_view pack_sum);

// An index made again from its pack, whose objects are all read and summed for it. It is made elsewhere, with
// the copy of the pack that the indexer writes: until it is whole, what is in its place stays there. For one
// who holds the lock. Error{store}.
void make_index(const std::filesystem::path& git_folder, const std::filesystem::path& index);

// Moves a damaged file to .git/keepway/damaged.
void set_aside(const std::filesystem::path& git_folder, const std::filesystem::path& file);

}  // namespace keepway::store
