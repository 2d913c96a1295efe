// The check of what a remote sent, before any ref here names it.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "sync/exchange.hpp"
#include "sync/plan_refs.hpp"

namespace keepway::store {

// Error{refused} for a name of the remote's that no disk, no Git or no person could hold safely, and for
// names that cannot exist beside each other or beside ours.
void require_names(const RefMap& there, const RefMap& here, const std::string& shown_url);

struct ReceiveRules {
  bool accept = false;  // what does no harm is taken as it is
  decltype(LineRules::faults) faults;
  decltype(SyncOptions::progress) progress;
};

// Looks at each commit that `there` has and `here` has not, in a repository that sees both, and at the marks.
// Error{refused}, naming the commit and the path: for what could do harm, for a history that has no commit in
// common with ours, and, unless it is accepted, for what a server's hook would refuse. Returns what people
// should know, one line each.
std::vector<std::string> require_harmless(git_repository& repo, const RefMap& there, const RefMap& here,
                                          const std::string& shown_url, const ReceiveRules& rules);

}  // namespace keepway::store
