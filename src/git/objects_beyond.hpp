// What one repository has that another has not.
#pragma once

#include <string>
#include <vector>

#include "git/objects.hpp"

namespace keepway::store {

// All that `tips` lead to in `from`, but for the commits that are `known` and what is in `known_in` of their
// trees. Each object is read once, nothing recurses, and none is read that is larger than what a backup may
// have (git/form.hpp). Contents of files are not read. Error{store} when one is missing or damaged,
// Error{refused} when one is too large; `shown` names where they are.
Ids objects_beyond(git_repository& from, const std::vector<git_oid>& tips, git_repository& known_in,
                   const Ids& known, const std::string& shown);

// The commits that refs lead to. One that is lost hides what is behind it, and no other.
Ids commits_of(git_repository& repo, const std::vector<git_oid>& tips);

}  // namespace keepway::store
