// Folders' own entries, brought to the disk: a file that is synced is gone all the same after a power cut
// when the folder that names it is not.
#pragma once

#include <filesystem>

namespace keepway {

// Of what a folder holds. False, with errno, when the disk fails or the folder cannot be opened; true where
// the file system cannot sync a folder.
bool sync_names(const std::filesystem::path& folder) noexcept;

// Makes a folder with all above it, each name synced. False, with errno, when the disk fails.
bool make_folders(const std::filesystem::path& folder);

}  // namespace keepway
