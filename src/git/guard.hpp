// Stores of objects, opened so that damage in their files ends no program: see loose.hpp and pack_bounds.hpp.
#pragma once

#include <git2.h>

#include <filesystem>
#include <optional>

#include "git/git.hpp"

namespace keepway::store {

// The objects in a repository's folder of objects and in those that it borrows from. A pack whose index
// points outside it is passed over, with the index over all packs: what it holds is missing, all else is
// there. Error{store}.
OdbHandle open_objects(const std::filesystem::path& objects);

// The same for the objects that an opened repository reads.
void guard(git_repository& repo);

// The first index of their packs that points outside its pack; nullopt where none does.
std::optional<std::filesystem::path> bad_pack_index(const std::filesystem::path& objects);

}  // namespace keepway::store
