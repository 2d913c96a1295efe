// Backups rebased onto a line that others have continued.
#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

#include "git/git.hpp"
#include "git/pack_hold.hpp"
#include "sync/exchange.hpp"

namespace keepway::store {

struct Rebased {
  git_oid tip{};
  std::map<Oid, Oid> now;  // each commit of ours, and the one that stands for it on the line
  std::size_t count = 0;   // of commits rebased
  std::size_t twice = 0;
  std::vector<std::pair<std::string, std::string>> renumbered;  // backups: their number, and what it is now
  PackHold hold;  // of what was written: keep it until a ref leads there
};

// What a line has of what may be rebased onto it.
struct AlreadyThere {
  std::map<Oid, Oid> rebased_before;                             // commits, and what stands for them there
  std::map<std::pair<std::string, std::int64_t>, Oid> received;  // backups by digest and time
};
// Of the line that ends at `tip`, as far as `without` has not got it.
AlreadyThere already_on(git_repository& repo, const git_oid& tip, const git_oid* without);

// Rebases commits, in this order, onto a commit. Writes objects, moves no ref.
Rebased rebase(git_repository& repo, const std::filesystem::path& git_folder,
               const std::vector<git_oid>& line, const git_oid& onto, const AlreadyThere& there,
               const LineRules& rules);

// Rebases what `ours` has and `theirs` has not onto `theirs`. Writes objects, moves no ref.
// Error{refused} when the two have no commit in common.
Rebased rebase_onto(git_repository& repo, const std::filesystem::path& git_folder, const git_oid& ours,
                    const git_oid& theirs, const LineRules& rules);

// Commits that `tip` has and `without` has not.
std::size_t count_commits(git_repository& repo, const git_oid& tip, const git_oid* without);

}  // namespace keepway::store
