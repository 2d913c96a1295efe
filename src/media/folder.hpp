// Folders and single files on this computer's own disks.
#pragma once

#include "keepway/media.hpp"

namespace keepway::media {

// One regular file; Error{refused} for anything else.
File read_file(const std::filesystem::path& path, std::string name, bool follow, std::uint64_t limit);

Set read_folder(const std::filesystem::path& root);

}  // namespace keepway::media
