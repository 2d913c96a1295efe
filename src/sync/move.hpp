// Refs moved here, with the work tree where the line is checked out. For one who holds the lock.
#pragma once

#include <filesystem>
#include <string>

#include "sync/plan_refs.hpp"

namespace keepway::store {

// The ref that HEAD names; empty when a commit itself is checked out.
std::string head_of(git_repository& repo);

// Error{store} when the ref is not where the move says that it was, or is there where it says that it was
// not. One that is where it is to go is left there.
void move_ref(git_repository& repo, const RefMove& move);
// A ref of keepway's own, wherever it was unless `from` says.
void set_ref(git_repository& repo, const std::string& ref, const git_oid& to,
             const std::optional<git_oid>& from = {});

// Moves the line that is checked out, and the work tree with it, as an intake does. Error{refused} when an
// edit by hand would be lost.
void move_checked_out(git_repository& repo, const std::filesystem::path& folder, const RefMove& move);

// Goes from the line that is checked out to another, as switching lines does. Error{refused} when an edit by
// hand would be lost.
void leave_for(git_repository& repo, const std::filesystem::path& folder, const std::string& from,
               const std::string& to);

}  // namespace keepway::store
