// The parts of an audit that know backups: their history, what damage touches them, what they hold.
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "audit/verify.hpp"
#include "git/raw_object.hpp"
#include "keepway/machine.hpp"
#include "keepway/on_progress.hpp"

namespace keepway::audits {

// A file of a commit's tree.
struct TreeFile {
  std::string path;
  git_oid id{};
};

// A backup as found by walking, whole or not.
struct Stored {
  Backup backup;
  Affected name;
  git_oid tree{};
  const store::RawCommit* commit = nullptr;
};

// All that can be reached from the refs, and what of it is damaged.
class History {
 public:
  // `past`: where reading goes on behind a commit that is lost, see store::Repository::past(); or none.
  using Past = std::function<std::optional<git_oid>(const git_oid& lost)>;
  History(const store::Objects& objects, const store::Frame& frame, const Past& past,
          store::Findings& findings);

  // Oldest first on each line; main's before the trials'.
  [[nodiscard]] const std::vector<Stored>& backups() const { return backups_; }
  [[nodiscard]] const store::RawCommit* commit(const git_oid& id) const;
  [[nodiscard]] const std::map<git_oid, store::RawCommit, store::OidLess>& commits() const {
    return commits_;
  }
  // Objects that are needed and not whole.
  [[nodiscard]] const store::Ids& wanted() const { return wanted_; }
  // Files below `prefix` of a tree, folders that are not whole passed over.
  [[nodiscard]] std::vector<TreeFile> files(const git_oid& tree, const std::string& prefix) const;
  // Whether all below `prefix` of a commit's tree is whole.
  [[nodiscard]] bool whole_below(const git_oid& tree, std::string_view prefix) const;
  // The object of a file or folder at a tree's top; nullopt when there is none or the tree is not whole.
  [[nodiscard]] std::optional<git_oid> at(const git_oid& tree, const std::string& path) const;

 private:
  struct Bad {
    std::string path;
    git_oid id{};
  };
  // A commit that a line lost, with the numbers of the backups above and below; 0 where there is none.
  struct Gap {
    git_oid lost{};
    std::string line;
    int above = 0;
    int below = 0;
  };
  void reach(const git_oid& tip);
  void reach_past_holes(const Past& past);
  void follow_line(const std::string& line, const git_oid& tip, store::Findings& findings);
  void check_ref(const store::FoundRef& ref, store::Findings& findings);
  void excuse_log(const store::FoundRef& ref, store::Findings& findings) const;
  void report_damage(store::Findings& findings);
  void report_cuts(store::Findings& findings);
  [[nodiscard]] const Gap* gap_of(const git_oid& lost) const;
  [[nodiscard]] std::string lost_with(const git_oid& lost, const Gap* gap) const;
  const std::vector<Bad>& bad_below(const git_oid& tree, std::size_t depth);

  const store::Objects& objects_;
  std::map<git_oid, store::RawCommit, store::OidLess> commits_;
  std::map<git_oid, std::vector<Bad>, store::OidLess> bad_;  // by tree, paths below it
  store::Ids cut_;                                           // commits that are not whole
  std::map<git_oid, git_oid, store::OidLess> past_;          // of these, where reading goes on behind each
  std::vector<Gap> gaps_;
  std::vector<Stored> backups_;
  store::Ids wanted_;
  store::Ids on_lines_;
  bool tip_lost_ = false;
};

// Holds each backup's originals against its digest and makes its state again, on two threads. Adds to
// `audit`.
void check_backups(const store::Objects& objects, const History& history, Audit& audit,
                   const OnProgress& on_progress);

// What was said of backups afterwards (see amend.hpp) against the backups that there are.
void check_amendments(const store::Frame& frame, const History& history, store::Findings& findings);

// What other programs did to the lines, against what keepway remembers of them.
void check_lines(const std::filesystem::path& git_folder, const store::Objects& objects,
                 const store::Frame& frame, const History& history, store::Findings& findings);

// The machine's folder against its newest commit, and Git's index against that too.
void check_work_tree(const std::filesystem::path& folder, const store::Objects& objects,
                     const store::Frame& frame, const History& history, store::Findings& findings);

// What keepway derives to be quick (the index of item changes, ids of blobs, status): reported where it is
// wrong, and made again; no loss. `machine` is nullptr where no command can open it.
void check_memories(const std::filesystem::path& git_folder, const Machine* machine,
                    const store::Objects& objects, const store::Frame& frame, store::Findings& findings);

}  // namespace keepway::audits
