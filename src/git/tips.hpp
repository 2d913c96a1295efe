// Where keepway itself brought each line, remembered beside the repository: a line that was reset or rebased
// since no longer has it. Git's own log of the line would say so too, but expires. One file,
// `.git/keepway/tips`, with a sum and not synced; where it is gone or damaged nothing is known of the lines.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "git/git.hpp"

namespace keepway::store {

struct RememberedTip {
  std::string ref;  // "refs/heads/main"
  git_oid id{};
  std::int64_t at = 0;   // the time of the backup
  std::string summary;   // of its commit
  std::string digest;    // of its originals; empty for a commit that is no backup
  bool settled = false;  // no tip of ours: somebody said that the line is right as it was then
};

// The oldest first: of each line the newest, and those before it that are not on the way to it. None where
// the file is absent; nullopt when it is damaged.
std::optional<std::vector<RememberedTip>> remembered_tips(const std::filesystem::path& git_folder);
// For one who holds the lock. `is_on`: whether another tip of the line is on the way to this one, and need
// not be remembered by itself. Best effort.
void remember_tip(const std::filesystem::path& git_folder, const RememberedTip& tip,
                  const std::function<bool(const git_oid&)>& is_on);
// Forgets them all: the lines are right as they are, where these are their tips.
void settle_tips(const std::filesystem::path& git_folder,
                 const std::vector<std::pair<std::string, git_oid>>& lines);

}  // namespace keepway::store
