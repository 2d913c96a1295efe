// Backups that Git rewrote (see git/made_of.hpp), found again and rebased onto the line as sync does it.
#pragma once

#include <optional>

#include "sync/exchange.hpp"
#include "sync/plan_refs.hpp"

namespace keepway::store {

// One of the commits that `tip` has and `there` has not, that is a rewritten backup.
std::optional<CommitInfo> rewritten_since(git_repository& repo, const git_oid& tip, const RefMap& there);

// Lays the backups that the rewritten commits of main were made of, where they are still to be found (the
// refs' logs have them), onto what comes before the first of those, and all that came after it on top; where
// that was sent already, on the line's tip. The line as it was stays under refs/keepway/rewritten/.
// Error{refused} when an edit by hand would be lost.
InOrder put_line_in_order(const std::filesystem::path& folder, const LineRules& rules);

}  // namespace keepway::store
