// write_slot of media.hpp, with a place to break it off.
#pragma once

#include "keepway/media.hpp"
#include "media/fat_volume.hpp"
#include "media/new_file.hpp"

namespace keepway::media {

std::filesystem::path write_slot(const Set& set, const std::filesystem::path& path, std::size_t slot,
                                 const WriteOptions& options, const BeforeWrite& before_write);

// The whole volume. Error{refused} when it is larger than its medium or than may be read; Error{store} when
// it cannot be read.
std::string read_slot(const Disk& disk, const Volume& volume, const Place& place);

// Where write_slot stores a slot's old content.
std::filesystem::path kept_path(const std::filesystem::path& path, std::size_t slot, bool device,
                                const WriteOptions& options);

}  // namespace keepway::media
