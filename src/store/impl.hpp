// What a Repository holds, for the files that implement it.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "keepway/store.hpp"
#include "store/git.hpp"
#include "store/known_blobs.hpp"
#include "store/lock.hpp"

namespace keepway::store {

struct Repository::Impl {
  std::filesystem::path folder;
  RepoHandle repo;
  KnownBlobs known;
  std::string trouble;        // with the work tree, see work_tree_trouble()
  std::optional<Error> held;  // why nothing may be written

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

  // The rest is for one who holds the lock.
  Oid commit_onto(const std::string& line, const std::vector<std::string>& replace,
                  const std::vector<TreeFile>& files, const NewCommit& commit);
  // Moves a ref back; to nothing at all when it was not there before. Best effort.
  void take_back(const std::string& ref, const git_oid& from, const std::optional<git_oid>& to) const;
  // Finishes what a program that was cut off had pending with the work tree.
  void finish_pending();
  // Brings the work tree to HEAD; failures go to `trouble` and stay pending.
  void bring_work_tree(const std::optional<git_oid>& before, const std::vector<std::string>& folders,
                       const std::vector<TreeFile>& fresh);
};

inline constexpr const char* lines_prefix = "refs/heads/";

// The bytes of a commit object.
std::string commit_bytes(git_repository& repo, const git_oid& tree, const std::vector<git_oid>& parents,
                         const NewCommit& commit);
// Who acts: a name as Git can hold it, and the e-mail of Git's configuration or one made of the name.
std::string email_for(git_repository& repo, const std::string& clean_name);

}  // namespace keepway::store
