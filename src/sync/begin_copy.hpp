// The folder that a machine is copied to from its remote.
#pragma once

#include <filesystem>

namespace keepway::store {

// Makes a repository with nothing in it, there at once; one that is there stays.
void begin_copy(const std::filesystem::path& folder);

}  // namespace keepway::store
