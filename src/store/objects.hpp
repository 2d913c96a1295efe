// New objects of one commit: hashed, sifted from those the repository has, and written together.
#pragma once

#include <filesystem>
#include <functional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "store/git.hpp"

namespace keepway::store {

struct OidLess {
  bool operator()(const git_oid& a, const git_oid& b) const { return git_oid_cmp(&a, &b) < 0; }
};

class ObjectBatch {
 public:
  ObjectBatch(git_repository& repo, std::filesystem::path git_folder);

  // Takes a blob already hashed up for writing unless the repository has it. The bytes must outlive write().
  void add_blob(const git_oid& id, std::string_view content);
  // The same for a tree, a commit or a tag, which the batch keeps.
  git_oid add(git_object_t type, std::string content);

  // Writes and syncs all that was added: a few as loose objects, more as one pack.
  void write();

 private:
  struct Pending {
    git_oid id{};
    git_object_t type = GIT_OBJECT_BLOB;
    std::string_view content;
    std::string owned;  // what `content` looks at, when the batch keeps it
  };
  [[nodiscard]] bool is_new(const git_oid& id);

  OdbHandle odb_;
  std::filesystem::path git_folder_;
  std::vector<Pending> pending_;
  std::set<git_oid, OidLess> ids_;
};

// Calls work(0) ... work(count - 1) on two threads; rethrows the first failure.
void in_parallel(std::size_t count, const std::function<void(std::size_t)>& work);

}  // namespace keepway::store
