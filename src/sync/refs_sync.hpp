// The Git side of sync: refs compared, moved and sent.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "keepway/store.hpp"
#include "keepway/sync.hpp"

namespace keepway::store {

using PathText = std::pair<std::string, std::string>;

// What only one who knows machines can say when a backup is laid anew.
struct LineRules {
  // Message of backup `old` after `onto`: its number, and what changed since.
  std::function<NewCommit(const CommitInfo& old, const Oid& onto)> message;
  // Files of state/ that originals give by this layout, for a backup whose layout is not the line's.
  std::function<std::vector<PathText>(const std::string& layout, const std::string& machine,
                                      const std::vector<PathText>& originals)>
      state;
};

// With options.to, a repository is begun in such a folder.
SyncAnswer sync_repository(const std::filesystem::path& folder, const SyncOptions& options,
                           const LineRules& rules);

}  // namespace keepway::store
