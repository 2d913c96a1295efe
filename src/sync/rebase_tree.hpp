// The tree of a commit that is rebased: what the commit brought, on top of the owner's files as they are
// there.
#pragma once

#include <filesystem>

#include "git/commit_info.hpp"
#include "git/git.hpp"
#include "sync/exchange.hpp"

namespace keepway::store {

// Whether a commit is the backup that it says; one whose message Git copied is none.
bool is_backup(const CommitInfo& info);

// The tree of `commit` on top of the tree `onto`: its state and originals are a backup's own; rows and keys
// of the owner's files are joined, and what clashes is noted in clashes.tsv. Where the layout is another
// there, the state is read again by `rules`. Writes objects.
git_oid rebased_tree(git_repository& repo, const std::filesystem::path& git_folder, const LineRules& rules,
                     const git_commit& commit, const git_oid& onto);

}  // namespace keepway::store
