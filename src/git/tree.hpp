// Trees: read flat, and made again from a parent's with some paths replaced.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "git/objects.hpp"

namespace keepway::store {

// Our own bound. Deeper than require_clean_path allows, for trees that other programs made.
inline constexpr std::size_t max_tree_depth = 512;

struct TreeEntry {
  std::string path;
  git_oid id{};
  bool executable = false;
};

// What lies at a path of a tree, without reading it; nullopt when nothing does. Error{store} where a folder
// on the way is lost: that is no folder without it.
struct AtPath {
  git_oid id{};
  bool folder = false;
};
std::optional<AtPath> at_path(git_repository& repo, const git_oid& tree, std::string_view path);

// Plain files of a tree below `prefix` in path order, with their whole paths. Links and submodules,
// which only other programs can have put there, are passed over.
// `trees`: gets the ids of the folders that were read for it.
std::vector<TreeEntry> list_files(git_repository& repo, const git_oid& tree, std::string_view prefix,
                                  Ids* trees = nullptr);

// A file to be, for merge_tree. In path order, none twice, none below another.
struct NewFile {
  std::string_view path;
  git_oid id{};
};

// The tree of `parent` (none for a first commit) with all that lies in the `replaced` paths left
// out and `files` put in. Folders that nothing touches keep their id unread. New trees go into `batch`.
git_oid merge_tree(git_repository& repo, ObjectBatch& batch, const std::optional<git_oid>& parent,
                   const std::vector<std::string_view>& replaced, const std::vector<NewFile>& files);

}  // namespace keepway::store
