// Slots of a stick: volumes with numbers, as people choose them.
#pragma once

#include <optional>
#include <vector>

#include "media/fat_volume.hpp"

namespace keepway::media {

// Files, deleted files, empty folders and flaws on all volumes of a medium together: a thousand slots of five
// hundred, and no more memory than that takes.
inline constexpr std::size_t max_names = 500'000;

Slot describe(const Volume& volume, std::size_t number);
std::vector<Slot> describe(const std::vector<Volume>& volumes);

// The volume that is meant; Error{usage} that lists them when it is not clear, Error{input} when there is
// none.
const Volume& pick(const std::vector<Volume>& volumes, std::optional<std::size_t> slot,
                   const std::filesystem::path& path);

}  // namespace keepway::media
