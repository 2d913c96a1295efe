// Stores of objects, opened so that what is in their files ends no program: see loose.hpp, pack_bounds.hpp
// and pack_chains.hpp.
#pragma once

#include <git2.h>

#include <cstdint>
#include <filesystem>
#include <optional>

#include "git/git.hpp"
#include "git/pack_bounds.hpp"

namespace keepway::store {

// The objects in a repository's folder of objects and in those that it borrows from. A pack that must not be
// followed is passed over, with the index over all packs: what it holds is missing, all else is there.
// Error{store}.
OdbHandle open_objects(const std::filesystem::path& objects);

// The same for the objects that an opened repository reads. For `max_size` see fault_in_chains(). Returns the
// first pack that is passed over; nullopt where none is.
std::optional<PackFault> guard(git_repository& repo, std::uint64_t max_size = any_size);

// So that the next command need not follow all packs again: for who has stored something, see
// followed_packs.hpp.
void remember_packs(const std::filesystem::path& objects) noexcept;

}  // namespace keepway::store
