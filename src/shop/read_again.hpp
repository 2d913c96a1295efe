// A backup's state as the present reader makes it.
#pragma once

#include <optional>

#include "keepway/shop.hpp"

namespace keepway {

// Whether the state stored with a commit is as the present reader makes it. True for what is no backup.
bool made_by_this_reader(const store::CommitInfo& commit);

// The state of a backup that a reader of another version made, read again from its originals (and, of a kept
// trial, those that carry items of it). nullopt when the stored one is right, or is all there is.
std::optional<State> read_again(const store::Repository& repository, const store::Oid& commit);

}  // namespace keepway
