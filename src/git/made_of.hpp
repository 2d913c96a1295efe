// What a backup's message says of the commit that it was made for: the commit before, and the trees of state/
// and originals/.
//
// Motivation: `git rebase`, `git pull --rebase` and `git cherry-pick` make a new commit with the old message,
// on another commit and of a tree that they put together; read by its trailers alone it would be a backup, of
// a state that no machine ever had. By this one trailer each commit tells by itself whether it still is what
// it says. It guards against mishaps; what a stranger makes up is found by the check of what comes in.
#pragma once

#include <optional>
#include <string>

#include "git/git.hpp"

namespace keepway::store {

inline constexpr const char* backup_trailer = "Keepway-Backup";
inline constexpr const char* made_of_trailer = "Keepway-Made-Of";

// "PARENT STATE ORIGINALS", ids or "-" where there is none. `root`: the bytes of the commit's tree.
std::string made_of(const std::optional<git_oid>& parent, std::string_view root);

// Puts the trailer into a backup's message, in place of one that is there; leaves other messages alone.
void say_made_of(NewCommit& commit, const std::optional<git_oid>& parent, std::string_view root);

// Whether a commit's message says what it was made of, and it is something else. `root`: the bytes of its
// tree. Of a commit whose tree cannot be read, false: that is damage, for others to report.
bool is_rewritten(const CommitInfo& info, const std::optional<git_oid>& parent, std::string_view root);
bool is_rewritten(git_repository& repo, const git_commit& commit, const CommitInfo& info);

}  // namespace keepway::store
