// A remote that is a folder: on this disk, a share or a stick.
//
// Motivation: nobody stands between us and such a repository, and libgit2's way to one reads its objects as
// if they were our own: a tree of a hundred thousand folders ends the program, a loose object that lies about
// its size overwrites memory, deltas that lead in a circle never end. So its refs, its objects and what we
// put there go through a repository that was looked at (git/strange_folder.hpp), and what comes is packed
// here.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "git/git.hpp"
#include "sync/plan_refs.hpp"

namespace keepway::store {

// A ref that the remote would not take, and its reason.
struct Rejection {
  std::string ref;
  std::string reason;
};

class FolderRemote {
 public:
  // The folder that an address names; nullopt when it is none of this disk.
  static std::optional<std::filesystem::path> named_by(std::string_view url);

  // Error{store}, saying why, where it is not to be read.
  FolderRemote(std::filesystem::path folder, std::string shown);
  [[nodiscard]] const std::filesystem::path& git_folder() const { return git_folder_; }

  // All of these throw Error{store}; fetch() Error{refused} also.
  RefMap refs();
  // Packs into the folder `packs` what its refs lead to and what `here` has not.
  void fetch(git_repository& here, const std::vector<std::string>& refs, const std::filesystem::path& packs);
  // Puts there what `from` has, and moves the refs that are as refs() had them; the others are rejected.
  std::vector<Rejection> push(git_repository& from, const std::vector<RefPush>& refs);

 private:
  git_repository& look();

  std::filesystem::path folder_;
  std::string shown_;
  std::filesystem::path git_folder_;
  RepoHandle there_;  // looked at when it was opened
  RefMap known_;      // as they were listed
};

}  // namespace keepway::store
