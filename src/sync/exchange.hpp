// The Git side of sync: refs compared, moved and sent.
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "git/git.hpp"
#include "keepway/store.hpp"
#include "keepway/sync.hpp"

namespace keepway::store {

using PathText = std::pair<std::string, std::string>;

// What needs knowledge of machines when a backup is rebased.
struct LineRules {
  // Message of backup `old` after `onto`: its number, and what changed since.
  std::function<NewCommit(const CommitInfo& old, const Oid& onto)> message;
  // Files of state/ that originals give by this layout, for a backup whose layout is not the line's.
  std::function<std::vector<PathText>(const std::string& layout, const std::string& machine,
                                      const std::vector<PathText>& originals)>
      state;
  // What a server's hook would refuse of commits that came, parents first, in a repository that has them: one
  // line each. `tick` is called with how many have been looked at.
  std::function<std::vector<std::string>(git_repository& repo, const std::vector<Oid>& commits,
                                         const std::function<void(std::size_t, std::size_t)>& tick)>
      faults;
};

// With options.to, a repository is begun in such a folder.
SyncAnswer sync_repository(const std::filesystem::path& folder, const SyncOptions& options,
                           const LineRules& rules);

}  // namespace keepway::store
