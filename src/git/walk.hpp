// Walking a history.
#pragma once

#include <vector>

#include "git/git.hpp"

namespace keepway::store {

using WalkHandle = std::unique_ptr<git_revwalk, Freed<git_revwalk_free>>;

// What a walk that is set up visits, in its order. Error{store} when the history cannot be read.
std::vector<git_oid> rest_of(git_revwalk& walk);

}  // namespace keepway::store
