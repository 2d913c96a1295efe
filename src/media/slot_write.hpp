// write_slot of media.hpp, with a place to break it off.
#pragma once

#include "keepway/media.hpp"
#include "media/new_file.hpp"

namespace keepway::media {

std::filesystem::path write_slot(const Set& set, const std::filesystem::path& path, std::size_t slot,
                                 const WriteOptions& options, const BeforeWrite& before_write);

}  // namespace keepway::media
