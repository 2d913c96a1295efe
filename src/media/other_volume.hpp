// Volumes that are not read here, so that an answer says what they are instead of what they are not.
#pragma once

#include <optional>
#include <string>

#include "media/disk.hpp"

namespace keepway::media {

// "FAT32" or "exFAT" for a volume at the beginning, or in one of the four partitions that a first sector
// lists.
std::optional<std::string> other_volume(const Disk& disk);

// Error{input}: such a volume, and the way around it.
[[noreturn]] void refuse_other_volume(const std::string& what, const std::filesystem::path& path);

}  // namespace keepway::media
