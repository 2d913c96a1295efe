// Loose objects read with care, before libgit2 comes to them.
//
// Motivation: libgit2 1.5 takes the size that a loose object's header states on trust. Where a bit has turned
// in it, reading the object writes past the end of the memory set aside for it: a damaged disk would crash
// the program, or worse. So each store that is opened gets a reader of our own in front, which refuses such
// files; it takes the object from a pack when one holds it too.
#pragma once

#include <filesystem>

#include "git/git.hpp"

namespace keepway::store {

// Puts the reader in front of a store's own. Error{store} on want of memory.
void guard_loose(git_odb& odb, const std::filesystem::path& objects_folder);

}  // namespace keepway::store
