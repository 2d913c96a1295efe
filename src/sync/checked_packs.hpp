// Packs that come over the network, looked at while they come in (git/pack_stream.hpp).
#pragma once

#include <git2.h>

#include <filesystem>

namespace keepway::store {

// From here on what the store fetches comes into the folder `objects`, which has a folder `pack`, and is
// checked. Error{store}.
void check_packs_that_come(git_odb& odb, const std::filesystem::path& objects);

}  // namespace keepway::store
