// The index of item changes: what each backup of a line changed, at hand without reading its trees.
//
// Motivation: to date one offset, Git must look at a table of a thousand rows in each of ten thousand
// commits. The index holds, for each commit, its message and the rows and files of `state/` that differ
// from the backup before. It is derived: a file of the cache (base/cache.hpp), of segments that hold some
// hundred commits each, by name, of which a search opens what it needs. What a segment says follows from its
// commits alone, so none is ever stale; commits that are in no sound segment are read from Git, and written
// for the next time. Not thread-safe. Answers are the same whatever the file holds, and whether it can be
// written or not.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/state.hpp"
#include "keepway/store.hpp"

namespace keepway::store {

// One row or one whole file of `state/` that a backup left otherwise than the backup before.
struct Change {
  std::string name;                  // see row_name() and file_name()
  std::optional<std::string> value;  // a row's value as written, a file's blob id; absent: gone
  friend bool operator==(const Change&, const Change&) = default;
};
// Rows are those of `state/NAME.tsv`: a key as written, TAB, a value. `path` is whole: "state/offsets.tsv".
std::string row_name(std::string_view path, std::string_view written_key);
// Any other file of `state/` stands for itself.
std::string file_name(std::string_view path);
// The way back: a path, and of a row its key as written.
struct Named {
  std::string path;
  std::optional<std::string> written_key;
};
Named named(std::string_view name);

class Index {
 public:
  // Number of the backup that a commit is, below 2^31; it must depend on the commit alone.
  using Numbering = std::function<std::optional<std::uint32_t>(const CommitInfo&)>;

  // The files of a commit's `state/` where what is stored of them is lost. Error{store} where they cannot be
  // had in any way.
  using MadeAgain = std::function<std::vector<StateFile>(const Oid& commit)>;

  // Reads the index and brings it up to the commit `tip`, from Git where need be. Error{store} only when Git
  // cannot be read. With `again`, a commit whose state cannot be had has no changes: what it changed counts
  // as changed by the next.
  static Index open(const Repository& repository, const Oid& tip, const Numbering& numbering,
                    const MadeAgain& again = {});
  // Adds a backup just made, from what its maker knows. `changes` are against the newest
  // backup among its ancestors. Never fails: what is not added now is read from Git later.
  static void note(const Repository& repository, const CommitInfo& backup, std::uint32_t number,
                   std::vector<Change> changes) noexcept;

  // Checks the file against Git: how many of its commits are on the lines that end at `tips`, of how many of
  // them it says otherwise than Git does, and whether anything else in the file is not sound. Error{store}
  // when Git cannot be read.
  struct Checked {
    std::size_t commits = 0;
    std::size_t wrong = 0;
    bool damaged = false;
  };
  static Checked check(const Repository& repository, const std::vector<Oid>& tips,
                       const Numbering& numbering);
  // Removes the file, for the next open() to make again. Never fails.
  static void drop(const Repository& repository) noexcept;

  Index(Index&&) noexcept;
  Index& operator=(Index&&) noexcept;
  ~Index();

  // Backups of the line, the newest first: place 0.
  [[nodiscard]] std::size_t size() const;
  [[nodiscard]] std::uint32_t number(std::size_t place) const;
  [[nodiscard]] std::int64_t at(std::size_t place) const;
  [[nodiscard]] Oid commit(std::size_t place) const;
  [[nodiscard]] std::optional<std::size_t> place_of(const Oid& commit) const;
  [[nodiscard]] CommitInfo info(std::size_t place) const;
  // Commits of the line that are no backups, newest first.
  [[nodiscard]] std::vector<Oid> others() const;

  // Visits the backups that changed one row or file, newest first; `value` as in Change.
  using Found = std::function<void(std::size_t place, std::optional<std::string> value, CommitInfo info)>;
  void find(const std::string& name, const Found& visit) const;
  // All that one backup changed, by name.
  [[nodiscard]] std::vector<Change> changes(std::size_t place) const;

 private:
  struct Impl;
  explicit Index(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

// Which commit's originals carry a kept trial's items: in the form of a table, but of no item's value, so
// that the index leaves it out.
inline constexpr std::string_view carried_path = "state/carried.tsv";

// What differs below `state/` between two commits, by name; all of `after` when there is no `before`.
// `again`: as of Index::open(). Error{store} where a state is lost.
std::vector<Change> changes_between(const Repository& repository, const std::optional<Oid>& before,
                                    const Oid& after, const Index::MadeAgain& again = {});

}  // namespace keepway::store
