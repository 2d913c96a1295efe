// An object's bytes from a repository, checked against its id.
//
// Motivation: libgit2 holds what it reads against its id with the SHA-1 that detects made collisions,
// which is right for an object that is new here and takes six times as long. What is stored was looked at
// when it came in; on reading, only damage has to be reported.
#pragma once

#include <git2.h>

#include <string>

namespace keepway::store {

struct ReadObject {
  git_object_t type = GIT_OBJECT_INVALID;
  std::string bytes;
};

// Error{store} when it is not there, or its bytes do not fit its id. `doing` says in the message what it was
// wanted for.
ReadObject read_object(git_odb& odb, const git_oid& id, const std::string& doing);
ReadObject read_object(git_repository& repo, const git_oid& id, const std::string& doing);

}  // namespace keepway::store
