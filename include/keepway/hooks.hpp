// The Git hooks of a machine's repository: put in place, and what they check. They keep a repository
// true when other programs than keepway write to it: an editor and `git commit`, or a push.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/error.hpp"

namespace keepway {

struct HookPlace {
  std::filesystem::path repository;  // a machine's folder, or a bare repository of a server
  bool server = false;               // pre-receive, for a repository that is pushed to
  std::string program;               // keepway's own path, for when it is not on the PATH
};
// Writes the hooks and, but for a server, the configuration of the diff and merge drivers. A server's HEAD is
// made to name main where the branch that it names is not there yet, so that a clone checks main out. Returns
// the names of the hooks written. Error{refused} for a hook there that is not keepway's, or when Git is set
// (core.hooksPath) to look for hooks elsewhere.
std::vector<std::string> install_hooks(const HookPlace& place);

// One reason why a commit or a push cannot be taken.
struct Fault {
  Place place;
  std::string what;
};

// All of these work on the repository that Git's environment names, and return no fault when all is
// well. At most `max_faults` are reported.
inline constexpr std::size_t max_faults = 10;

// Before a commit: the index has only files of the form, in normal form, its state follows from its
// originals by its layout (or, in a merge, each item is in a side of it); owner's files can be read.
std::vector<Fault> check_commit();

// The message of a commit, with the Keepway- trailers of the backup that it amends put back.
// `author_name` and `author_date` are those that Git gives the hook (GIT_AUTHOR_NAME, GIT_AUTHOR_DATE): an
// amended commit has them from the commit it amends. `fault` is set when the originals were changed.
std::string check_message(std::string_view text, std::string_view author_name, std::string_view author_date,
                          std::vector<Fault>& faults);

// Before a push is taken: `updates` are lines "old new ref" as Git gives them. History only grows, refs
// are those of the form, and each new commit passes as a commit does; a backup's digest is right.
std::vector<Fault> check_push(std::string_view updates);

}  // namespace keepway
