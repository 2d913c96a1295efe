// What a Repository holds, for the files that implement it.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <vector>

#include "git/git.hpp"
#include "git/known_blobs.hpp"
#include "git/lock.hpp"
#include "git/tree.hpp"
#include "keepway/store.hpp"
#include "store/worktree.hpp"

namespace keepway::store {

class Series;

struct Repository::Impl {
  Impl();
  Impl(const Impl&) = delete;
  Impl& operator=(const Impl&) = delete;
  Impl(Impl&&) = delete;
  Impl& operator=(Impl&&) = delete;
  ~Impl();

  std::filesystem::path folder;
  RepoHandle repo;
  KnownBlobs known;
  std::string trouble;              // with the work tree, see work_tree_trouble()
  std::optional<Error> held;        // why nothing may be written
  std::optional<git_oid> harmless;  // a commit that was looked at, or made here
  std::vector<Hole> holes;          // that reading went around
  std::set<std::string> losses;     // that were said
  std::unique_ptr<Series> series;   // goes before the object store does

  // Where objects, refs and the lock live.
  [[nodiscard]] std::filesystem::path git_folder() const { return git_repository_commondir(repo.get()); }
  // Taken by all that writes.
  [[nodiscard]] Lock lock() const;
  // Ref that HEAD names, "refs/heads/main", whether it is there or not; empty when detached.
  [[nodiscard]] std::string head_ref() const;
  // What a ref points at; nullopt when it is not there.
  [[nodiscard]] std::optional<git_oid> target(const std::string& ref) const;

  // Lets go of packs that are no more.
  void reopen();

  // The names of main's backups that went with a commit ("#4"); none where it is not known which.
  [[nodiscard]] std::vector<std::string> touched_by(const std::vector<Line>& lines, const Hole& hole) const;

  // Error{refused} for a commit with a tree that must not be written out or built on; see git/form.hpp.
  void require_harmless(const git_oid& commit);
  void require_folders(const git_oid& commit) const;

  // The rest is for one who holds the lock.
  Oid commit_onto(const std::string& line, const std::vector<std::string>& replace,
                  const std::vector<TreeFile>& files, const NewCommit& commit);
  // Gives the files' blobs to the batch, which writes those that are new to it; all paths and ids.
  std::vector<NewFile> add_blobs(const std::vector<TreeFile>& files, ObjectBatch& batch);
  // Moves a line to a commit whose objects are stored, from where it was; brings the work tree when that line
  // is checked out.
  void move_line(const std::string& ref, const std::optional<git_oid>& tip, const git_oid& id,
                 const std::string& reason, const std::vector<std::string>& replace,
                 const std::vector<TreeFile>& fresh, std::span<const TreeEntry> old_files = {},
                 const OnProgress& on_progress = {});
  // Stores what the series made.
  void land_series();
  // Moves a ref back; to nothing at all when it was not there before. Best effort.
  void take_back(const std::string& ref, const git_oid& from, const std::optional<git_oid>& to) const;
  // Finishes what a program that was cut off had pending with the work tree.
  void finish_pending();
  // Brings the work tree to HEAD; failures go to `trouble` and stay pending.
  void bring_work_tree(const std::optional<git_oid>& before, const std::vector<std::string>& folders,
                       const std::vector<TreeFile>& fresh, std::span<const TreeEntry> old_files = {},
                       const OnProgress& on_progress = {});
};

inline constexpr const char* lines_prefix = "refs/heads/";

// The bytes of a commit object.
std::string commit_bytes(git_repository& repo, const git_oid& tree, const std::vector<git_oid>& parents,
                         const NewCommit& commit);
// Who acts: a name as Git can hold it, and the e-mail of Git's configuration or one made of the name.
std::string email_for(git_repository& repo, const std::string& clean_name);

}  // namespace keepway::store
