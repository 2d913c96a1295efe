// Where a repository's objects are: its own folder, and those that it borrows from, as `git clone -s` makes
// them. Source: gitrepository-layout(5), objects/info/alternates.
#pragma once

#include <filesystem>
#include <vector>

namespace keepway::store {

// The folder itself first; at most 16. One that is not there is left out.
std::vector<std::filesystem::path> object_folders(const std::filesystem::path& own);

}  // namespace keepway::store
