// A commit as plain facts.
#pragma once

#include "git/git.hpp"

namespace keepway::store {

CommitInfo info_of(git_repository& repo, const git_commit& commit);

}  // namespace keepway::store
