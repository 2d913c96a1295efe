// A backup's state as its originals give it.
#pragma once

#include <optional>

#include "keepway/state.hpp"
#include "keepway/store.hpp"

namespace keepway {

// Whether the state stored with a commit is as the present reader makes it. True for what is no backup.
bool made_by_this_reader(const store::CommitInfo& commit);

// The state of a backup that a reader of another version made, read again from its originals (and, of a kept
// trial, those that carry items of it). nullopt when the stored one is right, or is all there is.
std::optional<State> read_again(const store::Repository& repository, const store::Oid& commit);

// The state of a backup of which what is stored cannot be read, for the reason `lost`: made again from its
// originals, and proved to be the same by the id that its files have. Throws `lost` where the originals, or
// how they are read, are lost too; Error{store} where they give another. Says that it was done, see
// say_lost().
State state_despite(const Error& lost, const store::Repository& repository, const store::Oid& commit);

}  // namespace keepway
