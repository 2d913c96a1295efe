// What of a commit is lost that a commit on top of it has to read.
#pragma once

#include <optional>
#include <string>

#include "git/git.hpp"

namespace keepway::store {

// "is lost", "has lost its folder state/ (object …)": the commit itself, or the first of its folders that is
// not there or not whole. nullopt when all are there. Contents of files are not looked at.
std::optional<std::string> lost_folder(git_repository& repo, const git_oid& commit);

}  // namespace keepway::store
