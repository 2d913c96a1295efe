// Slots of a stick: volumes with numbers, as people choose them.
#pragma once

#include <optional>
#include <vector>

#include "media/fat_volume.hpp"

namespace keepway::media {

inline constexpr std::uint64_t max_scan_bytes = 4ULL << 30U;  // of a medium; our own bound, not a standard's

// Files, deleted files, empty folders and flaws on all volumes of a medium together: a thousand slots of five
// hundred, and no more memory than that takes.
inline constexpr std::size_t max_names = 500'000;

std::vector<Slot> describe(const std::vector<Volume>& volumes);

// The volume that is meant; Error{usage} that lists them when it is not clear, Error{input} when there is
// none.
const Volume& pick(const std::vector<Volume>& volumes, std::optional<std::size_t> slot,
                   const std::filesystem::path& path);

}  // namespace keepway::media
