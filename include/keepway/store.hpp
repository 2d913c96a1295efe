// A machine's repository: backups as commits, kept with libgit2. Knows trees, refs and trailers;
// nothing of what a control writes.
//
// Promises: add() either lands whole (objects synced, then the ref) or leaves the repository as it
// was; originals come back byte for byte; two programs at once never interleave (a lock with its
// owner). Not thread-safe: one Repository a thread.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/error.hpp"

namespace keepway::store {

using Oid = std::string;  // 40 hex digits

// A file of the tree to commit; `path` is a clean relative path of the repository's form.
struct TreeFile {
  std::string path;
  std::string_view bytes;  // must live until add() returns
};

using Trailers = std::vector<std::pair<std::string, std::string>>;

struct NewCommit {
  std::string summary;     // one line, in the trade's words
  std::string body;        // may be empty
  Trailers trailers;       // "Keepway-Verdict", "good"; values are made one line
  std::string author;      // who; the e-mail is taken from Git's configuration
  std::int64_t at = 0;     // author date: the time of the backup (UTC)
  std::int64_t taken = 0;  // committer date: the time of intake (UTC)
};

struct CommitInfo {
  Oid id;
  std::vector<Oid> parents;
  std::string summary;
  std::string body;  // without the trailers
  Trailers trailers;
  std::string author;
  std::int64_t at = 0;
  std::int64_t taken = 0;

  // First value of a trailer, or empty.
  [[nodiscard]] std::string_view trailer(std::string_view name) const;
};

struct Blob {
  std::string path;
  Oid id;
};

class Repository {
 public:
  // Makes a repository with a first commit holding `files`. Error{refused} if the folder is not empty.
  static Repository create(const std::filesystem::path& folder, const std::vector<TreeFile>& files,
                           const NewCommit& first);
  // Error{store} when there is none or it cannot be read.
  static Repository open(const std::filesystem::path& folder);
  Repository(Repository&&) noexcept;
  Repository& operator=(Repository&&) noexcept;
  ~Repository();

  [[nodiscard]] const std::filesystem::path& folder() const;

  // Replaces everything under `replace` prefixes ("state/", "originals/") and the single files
  // given by `files` elsewhere; the rest of the parent's tree stays. Commits onto `line` (a branch
  // name, "main" for the machine's own), updates the work tree when that branch is checked out.
  // Takes the repository's lock itself.
  Oid add(const std::string& line, const std::vector<std::string>& replace,
          const std::vector<TreeFile>& files, const NewCommit& commit);

  // Any revision: a full or short id, a branch, a tag, HEAD~2. nullopt when there is none.
  [[nodiscard]] std::optional<Oid> resolve(const std::string& revision) const;
  [[nodiscard]] CommitInfo info(const Oid& commit) const;
  // First-parent line from `tip` back to the root, newest first; stops when `visit` returns false.
  void walk(const Oid& tip, const std::function<bool(const CommitInfo&)>& visit) const;

  // Files of a commit's tree below `prefix`, in path order ("" for all).
  [[nodiscard]] std::vector<Blob> list(const Oid& commit, const std::string& prefix) const;
  // Id of the blob or tree at a path, without reading it; nullopt when absent.
  [[nodiscard]] std::optional<Oid> id_at(const Oid& commit, const std::string& path) const;
  [[nodiscard]] std::string read(const Oid& blob) const;
  [[nodiscard]] std::optional<std::string> read_at(const Oid& commit, const std::string& path) const;

  // Marks: annotated tags. Error{refused} when the name is taken by another backup, Error{usage} when
  // Git could not hold the name. Spaces are kept by writing them as '_' in the ref and whole in the tag.
  void mark(const std::string& name, const Oid& commit, const std::string& who, std::int64_t when);
  struct Mark {
    std::string name;
    Oid commit;
  };
  [[nodiscard]] std::vector<Mark> marks() const;

  // A file of the work tree as it stands, else of the line's tip: how hand edits of machine.toml,
  // layout.toml and namebook.tsv are taken up.
  [[nodiscard]] std::optional<std::string> working_file(const std::string& path) const;

  // Name of the line that is checked out.
  [[nodiscard]] std::string line() const;

 private:
  struct Impl;
  explicit Repository(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace keepway::store
