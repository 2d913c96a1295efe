// New objects of one commit: hashed, sifted from those the repository has, and written together.
#pragma once

#include <filesystem>
#include <functional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "git/git.hpp"
#include "git/pack_hold.hpp"
#include "keepway/on_progress.hpp"

namespace keepway::store {

struct OidLess {
  bool operator()(const git_oid& a, const git_oid& b) const { return git_oid_cmp(&a, &b) < 0; }
};

using Ids = std::set<git_oid, OidLess>;

class ObjectBatch {
 public:
  ObjectBatch(git_repository& repo, std::filesystem::path git_folder);

  // Only what `held` says is there is not written: what the repository has besides may be on its way out by
  // `git prune`. Without this, nothing is written that the repository has.
  void spare(std::function<bool(const git_oid&)> held) { held_ = std::move(held); }

  // Whether an object is stored, as far as is known without looking through the folder again.
  [[nodiscard]] bool is_there(const git_oid& id) const;

  // Takes a blob already hashed up for writing unless it is there. The bytes must outlive write().
  void add_blob(const git_oid& id, std::string_view content);
  // The same for a tree, a commit or a tag, which the batch keeps.
  git_oid add(git_object_t type, std::string content);

  // The bytes of a tree that was added, or that the repository has.
  [[nodiscard]] std::string bytes(const git_oid& tree) const;

  // Writes and syncs all that was added as one pack. It is held until a ref leads to it: keep what this
  // returns for as long.
  PackHold write(const OnProgress& on_progress = {});
  // Instead of writing: puts them into an object store's memory (git_mempack). Returns the ids of what was
  // put there; `bytes` grows by what it takes.
  std::vector<git_oid> keep_in(git_odb_backend& memory, std::size_t& bytes);

 private:
  struct Pending {
    git_oid id{};
    git_object_t type = GIT_OBJECT_BLOB;
    std::string_view content;
    std::string owned;  // what `content` looks at, when the batch keeps it
  };
  static std::string_view bytes_of(const Pending& object) {
    return object.type == GIT_OBJECT_BLOB ? object.content : std::string_view(object.owned);
  }
  [[nodiscard]] bool is_new(const git_oid& id);
  PackHold write_packed(const std::filesystem::path& folder, const OnProgress& on_progress);

  OdbHandle odb_;
  std::filesystem::path git_folder_;
  std::vector<Pending> pending_;
  Ids ids_;
  std::function<bool(const git_oid&)> held_;
};

}  // namespace keepway::store
