// A repository as Git shows it to a hook: opened by the environment that Git sets (GIT_DIR, the index of
// a partial commit, the quarantine that holds what a push brought), bare or not. Read only.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "git/form.hpp"
#include "keepway/store.hpp"

namespace keepway::store {

// An entry of a whole tree or index, of any kind: unlike Repository::list, links are not passed over.
struct ViewEntry {
  std::string path;
  Oid id;
  std::uint32_t mode = 0;  // 0100644 for a plain file
  int stage = 0;           // over 0 for a side of a merge that is not settled
};

class RepositoryView {
 public:
  // Error{usage} when the environment and this folder lead to no repository.
  static RepositoryView open();
  // One that is open already, and stays so.
  static RepositoryView onto(git_repository& repo);
  RepositoryView(RepositoryView&&) noexcept;
  RepositoryView& operator=(RepositoryView&&) noexcept;
  ~RepositoryView();

  [[nodiscard]] std::vector<ViewEntry> index() const;                  // by path
  [[nodiscard]] std::vector<ViewEntry> tree(const Oid& commit) const;  // by path
  [[nodiscard]] std::string read(const Oid& blob) const;
  // How many bytes read() would give, without reading them.
  [[nodiscard]] std::uint64_t size(const Oid& blob) const;
  // nullopt before the first commit.
  [[nodiscard]] std::optional<Oid> head() const;
  // Heads that a merge not yet committed brings in.
  [[nodiscard]] std::vector<Oid> merge_heads() const;
  // What a commit holds that must not come in; see git/form.hpp. To be asked before anything else of it.
  [[nodiscard]] std::optional<Harm> harm(const Oid& commit) const;
  // Whether no ref is there yet.
  [[nodiscard]] bool is_fresh() const;
  // Error{input} when it is no commit.
  [[nodiscard]] CommitInfo info(const Oid& commit) const;
  // Whether the text is the id of a commit that is here; false for any other text.
  [[nodiscard]] bool has_commit(std::string_view id) const;
  // The commit that a tag or a commit stands for; nullopt for anything else.
  [[nodiscard]] std::optional<Oid> commit_of(const Oid& object) const;
  // Commits that `tip` has and no ref reaches yet, parents first.
  [[nodiscard]] std::vector<Oid> unknown(const Oid& tip) const;
  [[nodiscard]] bool descends(const Oid& commit, const Oid& ancestor) const;

 private:
  struct Impl;
  explicit RepositoryView(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace keepway::store
