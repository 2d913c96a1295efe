// The work tree and the index, kept after a line's tip: derived, so always safe to make again.
#pragma once

#include <sys/stat.h>

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "git/folder.hpp"
#include "git/git.hpp"
#include "git/tree.hpp"
#include "keepway/on_progress.hpp"

namespace keepway::store {

// What a program meant to do to the work tree, written down before the line moves and removed when it is
// done. When the program is cut off between, the next one finds it and finishes the work.
struct Pending {
  std::optional<git_oid> before;     // commit that the work tree was after; none for a new repository
  std::vector<std::string> folders;  // of ours alone: made equal to the tip whatever is there
};

class WorkTree {
 public:
  WorkTree(git_repository& repo, std::filesystem::path folder);

  [[nodiscard]] std::optional<Pending> pending() const;
  void set_pending(const Pending& pending) const;
  void clear_pending() const;

  // Brings files and index from the commit `before` to `after`. Below `folders` all is made equal to `after`.
  // Elsewhere only what differs between the two is touched, and not where the file is neither: then it
  // was edited by hand. Contents come from `fresh` (path order), else from the repository. Goes on past
  // a file that the disk will not take, and throws for the first such file at the end. `known`: the
  // files of `before` in path order, when they are listed already. `on_progress`: of the files that are
  // written.
  void bring(const std::optional<git_oid>& before, const git_oid& after,
             const std::vector<std::string>& folders, std::span<const TreeFile> fresh,
             std::span<const TreeEntry> known = {}, const OnProgress& on_progress = {});

  // Error{refused} naming the first file edited by hand that the way from `before` to `after` would change.
  void require_untouched(const std::optional<git_oid>& before, const git_oid& after);

 private:
  struct Change;
  struct Write;
  [[nodiscard]] std::vector<TreeEntry> files_of(const std::optional<git_oid>& commit) const;
  [[nodiscard]] std::optional<git_oid> standing(const std::string& path);
  [[nodiscard]] bool is_left_by_cut(const TreeEntry& was);
  [[nodiscard]] IndexHandle open_index(bool& rebuild) const;
  void drop(git_index& index, const TreeEntry& old, bool ours);
  // Enters a file that is there already; returns one that is to be written.
  std::optional<Write> put(git_index& index, const Change& change);
  static void enter(git_index& index, const git_index_entry& entry);
  void write(Write& what, Folder& disk, std::span<const TreeFile> fresh) const;
  void write_all(std::vector<Write>& writes, std::span<const TreeFile> fresh, const OnProgress& on_progress);

  git_repository& repo_;
  Folder disk_;
  std::filesystem::path git_folder_;
};

}  // namespace keepway::store
