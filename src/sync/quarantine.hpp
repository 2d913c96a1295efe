// Where the objects that a remote sends lie until they have been looked at.
//
// Motivation: what a stranger sends and is refused must leave nothing behind, and until it is looked at no
// other program should find it among what is stored. Git's own server does so for a push
// (git-receive-pack(1), "Quarantine Environment").
#pragma once

#include <filesystem>
#include <vector>

#include "git/folder.hpp"
#include "git/git.hpp"
#include "git/pack_hold.hpp"

namespace keepway::store {

class Receiving {
 public:
  // `folder`: the machine's. What another program of ours that was cut off left there goes. Error{store}.
  Receiving(const std::filesystem::path& folder, std::filesystem::path git_folder);

  // The machine's repository, which sees what has come as well as what is stored; packs that are fetched into
  // it come here.
  [[nodiscard]] git_repository& repository() const { return *repo_; }
  [[nodiscard]] std::filesystem::path packs() const { return passing_.path() / "pack"; }
  // Puts what has come among what is stored, synced; Git clears none of it away for as long as this lives.
  void keep();

 private:
  std::filesystem::path git_folder_;
  TemporaryFolder passing_;  // outlives what is open in it
  RepoHandle repo_;
  std::vector<PackHold> held_;
};

}  // namespace keepway::store
