#include "git/lost_folder.hpp"

#include <fmt/format.h>

#include "git/tree.hpp"

namespace keepway::store {
namespace {

std::optional<std::string> lost_below(git_repository& repo, const git_oid& id, const std::string& path,
                                      std::size_t depth) {
  git_tree* raw = nullptr;
  if (git_tree_lookup(&raw, &repo, &id) != 0) {
    return path.empty() ? fmt::format("has lost its list of files (object {})", oid_text(id))
                        : fmt::format("has lost its folder {} (object {})", escape(path), oid_text(id));
  }
  const TreeHandle tree(raw);
  for (std::size_t i = 0; depth < max_tree_depth && i < git_tree_entrycount(raw); ++i) {
    const git_tree_entry* entry = git_tree_entry_byindex(raw, i);
    if (git_tree_entry_filemode(entry) != GIT_FILEMODE_TREE) continue;
    auto lost =
        lost_below(repo, *git_tree_entry_id(entry), path + git_tree_entry_name(entry) + '/', depth + 1);
    if (lost) return lost;
  }
  return std::nullopt;
}

}  // namespace

std::optional<std::string> lost_folder(git_repository& repo, const git_oid& commit) {
  git_commit* raw = nullptr;
  if (git_commit_lookup(&raw, &repo, &commit) != 0) return "is lost";
  const CommitHandle held(raw);
  return lost_below(repo, *git_commit_tree_id(raw), "", 0);
}

}  // namespace keepway::store
