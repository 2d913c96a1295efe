// Sending refs to a remote, and what it answers.
#pragma once

#include <filesystem>
#include <vector>

#include "sync/plan_refs.hpp"
#include "sync/sync_remote.hpp"

namespace keepway::store {

// libgit2 sends refs, not objects: each object that goes is held by a ref of keepway's own meanwhile.
class Sending {
 public:
  Sending(git_repository& repo, std::filesystem::path git_folder)
      : repo_(repo), git_folder_(std::move(git_folder)) {}

  // False when the remote moved meanwhile. Error{store} with what it says when it would not take a ref.
  bool send(Remote& remote, const std::vector<RefPush>& refs);
  // Removes the refs that hold what goes, those of a sync that was cut off too.
  void let_go();

 private:
  std::vector<std::string> held(const std::vector<RefPush>& refs);

  git_repository& repo_;
  std::filesystem::path git_folder_;
};

}  // namespace keepway::store
