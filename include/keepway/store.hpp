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

#include "keepway/commit.hpp"
#include "keepway/error.hpp"
#include "keepway/sha256.hpp"

namespace keepway::store {

class Repository {
 public:
  // Makes a repository with a first commit holding `files`. Error{refused} if the folder is not empty. It is
  // made beside the folder, on the disk before it comes there, and there whole or not at all; `more` is given
  // where it is being made, to do what else belongs to it.
  static Repository create(const std::filesystem::path& folder, const std::vector<TreeFile>& files,
                           const NewCommit& first,
                           const std::function<void(const std::filesystem::path& made)>& more = {});
  // Error{store} when there is none or it cannot be read. A work tree left behind by a program that
  // was cut off is put right (see repair).
  static Repository open(const std::filesystem::path& folder);
  Repository(Repository&&) noexcept;
  Repository& operator=(Repository&&) noexcept;
  ~Repository();

  [[nodiscard]] const std::filesystem::path& folder() const;
  // Where objects and refs live; derived files of keepway's own go into its `keepway/`.
  [[nodiscard]] std::filesystem::path git_folder() const;

  // While a step that was cut off cannot be finished, nothing more may be built onto it: as long as a reason
  // is here, all that would write through this object throws it. Reading goes on.
  void hold_writes(std::optional<Error> reason);
  [[nodiscard]] const std::optional<Error>& writes_held() const;
  void require_writes() const;

  // Error{refused}, with the way out, while another Git program has a merge, a rebase or the like half done
  // in the work tree: what is stored then would become part of it. Asked by all that moves the line checked
  // out.
  void require_settled() const;

  // Replaces everything under `replace` prefixes ("state/", "originals/") and the single files
  // given by `files` elsewhere; the rest of the parent's tree stays. Commits onto `line` (a branch
  // name, "main" for the machine's own), updates the work tree when that branch is checked out.
  // Takes the repository's lock itself: Error{store} naming the owner when another program has it.
  // Error{refused} for paths that are not clean, given twice, or a file where a folder must be;
  // Error{input} for a time out of range; Error{usage} for a trailer's name or a line that is not
  // there. A replace prefix may also name one file, which removes it.
  Oid add(const std::string& line, const std::vector<std::string>& replace,
          const std::vector<TreeFile>& files, const NewCommit& commit);

  // A series: until it lands, add() stores nothing, and what it made is seen through this object alone. It
  // lands as one pack, one move of the line and one bringing of the work tree. Takes the lock for as long.
  void begin_series();
  // Error{store}: nothing of the series is stored. Either way the series is over.
  void land_series();
  void drop_series() noexcept;
  [[nodiscard]] std::size_t series_bytes() const;  // held in memory by now

  // Packs the objects that lie in many small packs and loose files together, with deltas: all of them, or
  // those of the last backups when there are enough to be worth it. New packs are checked and synced before
  // old ones go, so a program killed at any point loses nothing. No object goes, reachable or not.
  // Error{store} when another program has the lock or the disk is full.
  struct Tidied {
    std::size_t packs_before = 0;
    std::size_t packs_after = 0;
    std::size_t loose = 0;  // loose objects that were packed
    std::uint64_t bytes_before = 0;
    std::uint64_t bytes_after = 0;
  };
  Tidied tidy();
  // For one who has just added: never fails, and bounded in what it takes on at a time.
  void tidy_when_due() noexcept;

  // Where the line that is checked out is, in a series too.
  [[nodiscard]] std::optional<Oid> tip() const;
  // Any revision: a full or short id, a branch, a tag, HEAD~2. nullopt when there is none.
  [[nodiscard]] std::optional<Oid> resolve(const std::string& revision) const;
  [[nodiscard]] CommitInfo info(const Oid& commit) const;
  // Where a line goes on behind a commit that is lost: by Git's own logs, else at the newest commit from
  // before that is neither above it nor on a trial. Nothing when there is none. Each that was asked for is
  // remembered.
  [[nodiscard]] std::optional<Oid> past(const Oid& lost) const;
  struct Hole {
    Oid lost;
    std::optional<Oid> next;
  };
  [[nodiscard]] const std::vector<Hole>& holes() const;
  // Something stored that is lost, and how reading went around it.
  struct Loss {
    std::filesystem::path folder;  // the repository's
    std::string what;
    std::vector<std::string>
        backups;  // that it touches, by their names ("#4"); empty where that is not known
  };
  // Says so, once, to whoever listens: on the thread that meets it; for a program, set before any repository
  // is opened.
  using TellLoss = std::function<void(const Loss& loss)>;
  static void tell_losses(TellLoss tell);
  void say_lost(const std::string& what, const std::vector<std::string>& backups = {}) const;
  // Error{refused}, with what still works and what to do, when a commit or a folder in it is lost: nothing
  // can be stored on top of it.
  void require_folders(const Oid& tip) const;
  // First-parent line from `tip` back to the root, newest first; stops when `visit` returns false. Goes
  // around what is lost, see past().
  void walk(const Oid& tip, const std::function<bool(const CommitInfo&)>& visit) const;
  // Finds the holes in a line's newest commits, so many of them: see holes().
  void look_through(const Oid& tip, int most) const;
  // Number of commits that walk() would visit.
  [[nodiscard]] std::size_t first_parent_count(const Oid& tip) const;

  // Files of a commit's tree below `prefix`, in path order ("" for all).
  [[nodiscard]] std::vector<Blob> list(const Oid& commit, const std::string& prefix) const;
  // Id of the blob or tree at a path, without reading it; nullopt when absent.
  [[nodiscard]] std::optional<Oid> id_at(const Oid& commit, const std::string& path) const;
  [[nodiscard]] std::string read(const Oid& blob) const;
  [[nodiscard]] bool has(const Oid& object) const;  // whether it is stored
  // Whether a content of that SHA-256 was among those last added, as far as is remembered.
  [[nodiscard]] bool was_added_last(const Sha256& sum) const;
  // Ids that contents would have as blobs, in their order, whether they are stored or not.
  // `sums`: their SHA-256 where it is known, or empty.
  [[nodiscard]] std::vector<Oid> blob_ids(const std::vector<std::string_view>& contents,
                                          const std::vector<std::optional<Sha256>>& sums = {}) const;
  // For contents that come next, on another thread than the one that stores: their ids are known then.
  void hash_ahead(const std::vector<std::string_view>& contents, const std::vector<Sha256>& sums) const;
  [[nodiscard]] std::optional<std::string> read_at(const Oid& commit, const std::string& path) const;
  // Id that a folder of these files would have, whether it is stored or not; paths are those below it.
  [[nodiscard]] Oid folder_id(const std::vector<TreeFile>& files) const;

  // Marks: annotated tags. Spaces are kept by writing them as '_' in the ref and whole in the tag.
  // Error{refused} when another mark reads the same, but for capitals and spaces; Error{usage} when Git could
  // not hold the name. `instead`: a mark that this one replaces, of whatever backup.
  struct Mark {
    std::string name;
    Oid commit;
  };
  void mark(const std::string& name, const Oid& commit, const std::string& who, std::int64_t when,
            const std::optional<Mark>& instead = {});
  void remove_mark(const Mark& mark);
  [[nodiscard]] std::vector<Mark> marks() const;
  // The mark of that name, or the one that reads the same; two that do came from two PCs, and neither is
  // meant.
  [[nodiscard]] std::optional<Mark> find_mark(const std::string& name) const;

  // A file of the work tree as it is, else of the line's tip: how hand edits of machine.toml,
  // layout.toml and namebook.tsv are taken up.
  [[nodiscard]] std::optional<std::string> working_file(const std::string& path) const;

  // Lines: branches. A line is begun at a commit; switching to it moves HEAD, index and work tree.
  struct Line {
    std::string name;
    Oid tip;
  };
  // Name of the line that is checked out; empty when a commit itself is ("detached HEAD").
  [[nodiscard]] std::string line() const;
  [[nodiscard]] std::vector<Line> lines() const;  // by name
  // Error{usage} when Git could not hold the name, Error{refused} when there is such a line already.
  void begin_line(const std::string& name, const Oid& commit);
  // Error{refused}, naming the file, when an edit made by hand in the work tree would be lost.
  void switch_line(const std::string& name);
  // Error{refused} for the line that is checked out. The commits stay until Git's gc.
  void drop_line(const std::string& name);

  // Refs of keepway's own, all under "refs/keepway/"; Error{usage} for any other name.
  struct Ref {
    std::string name;
    Oid id;
  };
  void set_ref(const std::string& name, const Oid& id);
  void remove_ref(const std::string& name);                              // no error when absent
  [[nodiscard]] std::vector<Ref> refs(const std::string& prefix) const;  // by name

  // The work tree and index are derived from the line's tip. add() keeps them so, and never fails
  // for their sake once the commit has landed: what went wrong is here until it is repaired.
  [[nodiscard]] const std::string& work_tree_trouble() const;
  // Puts files below the `replace` prefixes back as they are in the tip. Files elsewhere are left
  // alone: they may hold edits made by hand.
  void repair(const std::vector<std::string>& replace);

 private:
  struct Impl;
  explicit Repository(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace keepway::store
