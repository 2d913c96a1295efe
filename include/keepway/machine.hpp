// One machine: its backups taken in, judged, found and read again. Not thread-safe.
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "keepway/backup.hpp"
#include "keepway/compare.hpp"
#include "keepway/facts.hpp"
#include "keepway/index.hpp"
#include "keepway/layout.hpp"
#include "keepway/media.hpp"
#include "keepway/namebook.hpp"
#include "keepway/on_progress.hpp"
#include "keepway/originals.hpp"
#include "keepway/precision.hpp"
#include "keepway/reader.hpp"
#include "keepway/spelling.hpp"
#include "keepway/state.hpp"
#include "keepway/store.hpp"
#include "keepway/time.hpp"
#include "keepway/verdict.hpp"

namespace keepway {

struct IntakeOptions {
  std::optional<std::int64_t> at;
  store::Oid confirms;     // taken to see whether a restore of that backup arrived
  bool confirmed = false;  // it did, wholly
  std::string by;
  std::string note;
  bool accept = false;
  bool from_drawer = false;     // one of a drawer of old ones: it may be older than those taken in
  std::int64_t now = 0;         // time of intake
  OnProgress on_progress = {};  // of reading and storing it
};

// A backup read and judged, not yet stored. Holds the bytes that the reading's views point to.
struct Inspection {
  media::Set set;
  SetSums sums;  // of the set
  Reading reading;
  std::shared_ptr<ReadingMemory> memory;  // what the reading was helped by, and what it added to that
  std::int64_t at = 0;
  // What follows is of the judgement.
  std::vector<StateFile> state_files;             // the reading's state in normal form
  std::vector<std::optional<Sha256>> state_sums;  // of their contents, in their order, or none
  Verdict verdict;
  // The backup before it by date; on a trial, and where a trial was merged last, the one before it on its
  // line.
  std::optional<Backup> last;
  Changes changes;      // since `last`; everything when there is none
  std::string gist;     // of the changes; where no value changed, of what is spelled otherwise
  std::string beside;   // of inspect() alone: what is spelled otherwise, or not read, where values changed
  store::Oid tip;       // of the line when it was read: intake() lands on no other
  bool repeat = false;  // the same originals as `last`
  std::vector<KnownReason> known;  // what was known when it was judged
  bool late = false;  // older than the newest backup, by a date that holds: judged by those before it
};

// A program as it came off the control, but for parity bits, leaders and how its lines end: with LF here. In
// UTF-8 where the layout says the character set.
struct ReceivedProgram {
  std::string text;
  std::string file;        // as received
  std::uint64_t line = 1;  // of the file, on which it begins
};

// One change of one item, newest first in lists.
struct ItemChange {
  Backup backup;
  std::optional<std::string> before;
  std::optional<std::string> after;
};

// Changes of one item without those that came to nothing: where doubtful backups alone held another value, as
// after a loss of memory, and the next had it as before.
struct PutBack {
  Backup from;                           // the first that held another
  std::optional<std::string> meanwhile;  // what it held; absent: it was gone
  Backup back;
};
struct Folded {
  std::vector<ItemChange> changes;  // newest first
  std::vector<PutBack> put_back;    // newest first
};
// `stood_between`: whether somebody stands by a backup between two by date, which then held the other value.
using StoodBetween = std::function<bool(const Backup& from, const Backup& back)>;
Folded fold_doubtful(std::vector<ItemChange> changes, const StoodBetween& stood_between);

// An item's value and the backup that last changed it, doubtful ones passed over. `put_back`: the backup in
// which it was again as before them.
struct ItemSince {
  Item item;
  Backup since;
  std::optional<Backup> put_back;
};

class Readings;
class Timeline;
struct MainLine;

class Machine {
 public:
  // Error{usage} when the shop has no such machine; Error{input} when machine.toml, layout.toml or
  // namebook.tsv cannot be read, with line.
  static Machine open(const std::filesystem::path& folder);

  [[nodiscard]] const MachineFacts& facts() const { return facts_; }
  [[nodiscard]] const Layout& layout() const { return layout_; }
  [[nodiscard]] ReadContext read_context() const { return {facts_.serial, facts_.units}; }
  // layout.toml as layout() was read from it.
  [[nodiscard]] const std::string& layout_text() const { return owner_files_.layout; }
  [[nodiscard]] const Namebook& namebook() const { return namebook_; }
  [[nodiscard]] store::Repository& repository() { return repository_; }
  [[nodiscard]] const store::Repository& repository() const { return repository_; }

  // A set as its files are looked for: where an archive has one folder around everything, and the layout has
  // no pattern with a folder, what is in it. inspect() does so by itself.
  [[nodiscard]] media::Set without_outer_folder(media::Set set) const;

  // Reads and judges a backup; stores nothing. Of the two halves the first asks nothing of the repository, so
  // that one backup may be read on another thread while the one before is judged and stored. `sums`: of the
  // set, when they are known already.
  [[nodiscard]] Inspection inspect(media::Set set, const IntakeOptions& options) const;
  [[nodiscard]] Inspection read(media::Set set, const IntakeOptions& options, ReadingMemory* memory = nullptr,
                                std::optional<SetSums> sums = std::nullopt) const;
  void judge(Inspection& inspection, const IntakeOptions& options) const;
  // The backup of the line in force that has the same files of the same time: intake need not store it twice.
  [[nodiscard]] std::optional<Backup> stored_already(const Inspection& inspection) const;
  // Stores an inspected backup. Error{refused} when its verdict is refused and not accepted. One that is
  // given away is held to judge the next by, so that this need not be read from Git again.
  Backup intake(const Inspection& inspection, const IntakeOptions& options);
  Backup intake(Inspection&& inspection, const IntakeOptions& options);

  // The reasons that people stood by, with --accept, as of the line in force; by code and spot. What was
  // accepted with a backup that was withdrawn since is none of them.
  [[nodiscard]] std::vector<KnownReason> known_reasons() const;
  // Takes some of them back, by a commit on top: the next backup that has them is doubtful again. `places`:
  // in known_reasons(). Error{usage} for one that is not there.
  struct TakeBack {
    std::vector<std::size_t> places;
    std::string by;
    std::string why;
    std::int64_t now = 0;
  };
  std::vector<KnownReason> take_back(const TakeBack& what);

  // What people edited in place of the owner's files and no intake took along yet goes onto main by a commit
  // of its own, whatever line is checked out. `left`: files that a trial has otherwise than main, edited
  // there; the trial's next intake takes them along.
  struct Edits {
    std::vector<std::string> recorded;
    std::vector<std::string> left;
  };
  Edits record_edits(const std::string& by, std::int64_t now);

  // Backups of the line in force, the one stored last first.
  [[nodiscard]] std::vector<Backup> backups() const;
  // The same by their dates, the oldest first, whatever came in last (see is_newer()): as the machine was.
  [[nodiscard]] std::vector<Backup> backups_by_date() const;
  // Commits of that line that Git made of backups, by rebase or cherry-pick, and that are none; newest first.
  [[nodiscard]] std::vector<store::CommitInfo> rewritten() const;
  // Why a machine without backups cannot answer: Error{usage} when none was ever taken in, Error{store} when
  // its commits were rewritten.
  [[nodiscard]] Error no_backup() const;
  // What was stored last on the line in force, whatever its date: what the next one is stored onto.
  [[nodiscard]] std::optional<Backup> latest() const;
  // The newest of those that are older than it by date, and count on main; of a trial's, and of a merge, the
  // one before it on its line.
  [[nodiscard]] std::optional<Backup> before(const Backup& backup) const;
  // The newest by date of those that count on main (see counts_on_main() and is_newer()); and the newest of
  // these that was good or stood by.
  [[nodiscard]] std::optional<Backup> newest() const;
  [[nodiscard]] std::optional<Backup> last_good() const;
  // What was stored on main after newest() and is not the newest all the same: backups that came in late or
  // were withdrawn, merges of trials. The last stored first, and not more than `most`.
  [[nodiscard]] std::vector<Backup> passed_over(std::size_t most) const;
  // Backups as people have said of them since: of a commit, or as their commits tell them.
  [[nodiscard]] Backup as_amended(const store::Oid& commit) const;
  void amend(std::vector<Backup>& backups) const;
  // `#N`, `N`, `TRIAL#N`, `kept TRIAL`, a date or time (the last backup of main at or before it that was not
  // withdrawn), a mark, a trial, any Git revision. Error{usage} when there is none, saying what there is.
  [[nodiscard]] Backup resolve(const std::string& when) const;

  // As the present reader makes it: a state that a reader of another version made, or of which something is
  // lost, is read again from its originals.
  [[nodiscard]] State state(const store::Oid& commit) const;
  // compare() of the two commits' states, reading only the files that differ.
  [[nodiscard]] Changes changes(const store::Oid& from, const store::Oid& to) const;
  // nullopt where the originals do not hold it, or are lost, which is said.
  [[nodiscard]] std::optional<ReceivedProgram> received(const store::Oid& commit,
                                                        const std::string& program) const;
  // Files whose bytes differ though what they say does not. Adds to `changes`, of the same two, what only the
  // files tell. Where files are lost: none, and that is said.
  [[nodiscard]] std::vector<SpelledFile> spelling(const Backup& from, const Backup& to,
                                                  Changes& changes) const;
  [[nodiscard]] std::optional<Table> table(const store::Oid& commit, Group group) const;
  [[nodiscard]] media::Set originals(const store::Oid& commit) const;
  // How the numbers of a backup are written; of nothing where its originals are lost.
  [[nodiscard]] Precision precision(const store::Oid& commit) const;

  // By date, and without what was withdrawn: one that came in late is where its date puts it.
  [[nodiscard]] std::vector<ItemChange> when(const Address& address) const;
  [[nodiscard]] Folded without_doubtful(std::vector<ItemChange> changes) const;
  // Of the state of shown(): main's newest backup, or on a trial its last. `doubtful_too`: where doubtful
  // backups alone held another value, it counts from when it came back.
  [[nodiscard]] std::vector<ItemSince> since(Group group, bool doubtful_too = false) const;
  [[nodiscard]] std::optional<Backup> shown() const;
  // What each backup left otherwise than the one before it by date, those withdrawn too; `backup` is its
  // place in backups_by_date(). A program's value is the id of its text; absent: the item is gone.
  using VisitChange = std::function<void(std::size_t backup, Address item, std::optional<std::string> value)>;
  void visit_changes(const VisitChange& visit) const;
  // Addresses of all that any part of a name or address could mean, now or in the past. The address of a
  // row (`offsets/tool/1`) means its fields; one that no backup had means nothing: see near().
  [[nodiscard]] std::vector<Address> search(const std::string& what) const;
  // Items of any backup whose address, or the end of it, is that text but for capitals, blanks, slashes,
  // leading zeros and a program's file ending; '#' means a variable. For a text that search() does not know.
  [[nodiscard]] std::vector<Address> loosely_named(std::string_view text) const;
  // Addresses of the newest backup that `address` was perhaps meant to be, the likeliest first; few.
  [[nodiscard]] std::vector<Address> near(const Address& address) const;

 private:
  // The owner's files as they were read: an intake stores these beside what it read by them.
  struct OwnerFiles {
    std::string machine;
    std::string layout;
    std::optional<std::string> namebook;
  };
  Machine(MachineFacts facts, Layout layout, Namebook namebook, OwnerFiles owner_files,
          store::Repository repository);
  // What a backup is judged by: `last` is the one before it, `good` the newest that was good or stood by.
  struct JudgedBy {
    std::optional<Backup> last;
    std::optional<Backup> good;
  };
  // Of those that were made at a time or before it, both or `good` alone may be none; see Inspection::late.
  [[nodiscard]] JudgedBy before_time(std::int64_t time) const;
  // The newest by date, where `stored_last` of main is not; else that.
  [[nodiscard]] Backup by_date(const Backup& stored_last) const;
  // Backups of main that were not withdrawn by the dates that they read as, of equal dates the one that came
  // in later behind. Kept, so that a drawer of thousands does not ask the index for each; what is stored onto
  // `onto` is added.
  struct Dated {
    std::int64_t at = 0;
    store::Oid commit;
    std::optional<bool> stood_by;  // none: nobody has looked
  };
  [[nodiscard]] std::vector<Dated>& dated() const;
  [[nodiscard]] std::vector<Dated>::iterator behind(std::int64_t time) const;  // in dated()
  // The last of them at a time or before it that is not lost, and that somebody stands by.
  [[nodiscard]] std::optional<Backup> last_at(std::int64_t time, bool stood_by) const;
  void note_dated(const Backup& stored, const store::Oid& onto);
  // Whether a backup is out of the past. The date that files bear is no proof of it: a control that has lost
  // its memory has lost its clock too, and that is to be judged by what the machine held last.
  [[nodiscard]] bool is_late(std::int64_t at, const IntakeOptions& options) const;
  [[nodiscard]] std::vector<KnownReason> stored_reasons() const;
  [[nodiscard]] std::vector<KnownReason> without_withdrawn(std::vector<KnownReason> known) const;
  [[nodiscard]] std::vector<Address> meant_by(const Address& address) const;
  [[nodiscard]] std::optional<ReceivedProgram> received_from(const store::Oid& commit,
                                                             const std::string& program) const;
  [[nodiscard]] Readings readings() const;
  MachineFacts facts_;
  Layout layout_;
  Namebook namebook_;
  OwnerFiles owner_files_;
  store::Repository repository_;

  // States of the newest backup and of the newest that was good, as they came in.
  struct Held {
    store::Oid commit;
    std::shared_ptr<const Previous> state;
  };
  Held newest_;
  Held good_;

  // The state of a backup that `now` is judged against: files that both have are not read from Git. Sums up
  // the state files of `now`.
  [[nodiscard]] State state_before(const store::Oid& commit, Inspection& now) const;
  // What `now` is to be judged by of a backup; `held` may be it.
  [[nodiscard]] std::shared_ptr<const Previous> previous_of(const Backup& backup, const Held& held,
                                                            Inspection& now) const;
  [[nodiscard]] std::vector<SpelledFile> spelling_of(const Backup& from, const Backup& to,
                                                     Changes& changes) const;
  // What differs between the files of the last backup and those of `inspection` beside what its changes say;
  // nullopt where files are lost, which is said.
  [[nodiscard]] std::optional<std::vector<SpelledFile>> spelled_since(const Backup& last,
                                                                      const Inspection& inspection) const;
  // The gist of its changes, and of its files where no value changed.
  void set_gist(Inspection& inspection) const;
  // For people who look at one backup: it reads the files of both that differ.
  void set_beside(Inspection& inspection) const;
  // The state of a commit that a reader of another version made, or null: see state().
  [[nodiscard]] const State* again(const store::Oid& commit) const;
  // Keeps a state that was made again, until a few others are.
  const State& hold_again(const store::Oid& commit, State state) const;
  // Where what is stored of a state cannot be read: see state_despite().
  [[nodiscard]] const State& despite(const Error& lost, const store::Oid& commit) const;
  void add_former_name(const Address& address, std::vector<ItemChange>& changes) const;
  [[nodiscard]] std::optional<std::string> value_at(const Backup& backup, const Address& address) const;
  // The names in the index of what differs between two backups, by their places, where readers of two
  // versions made their states. nullopt where one did: then all that is stored otherwise differs.
  [[nodiscard]] std::optional<std::set<std::string>> true_changes(const store::Index& all, std::size_t before,
                                                                  std::size_t place) const;
  // What a backup left otherwise than another, or than nothing, as in the index. `before`: its place. nullopt
  // where a state is lost.
  [[nodiscard]] std::optional<std::vector<store::Change>> changes_since(const store::Index& all,
                                                                        std::optional<std::size_t> before,
                                                                        std::size_t place) const;
  [[nodiscard]] const Timeline& timeline() const;
  [[nodiscard]] std::vector<std::size_t> whole_by_date() const;
  struct Turn;
  [[nodiscard]] std::vector<Turn> turns(
      const std::vector<std::pair<std::size_t, std::optional<std::string>>>& stored) const;
  [[nodiscard]] int reader_at(const store::Index& all, std::size_t place) const;

  // The index of the line in force, kept until its tip moves.
  [[nodiscard]] const store::Index& index() const;
  [[nodiscard]] std::optional<Backup> near_tip(int number) const;
  // What resolve() finds by number, by time, by a mark's, trial's or revision's name; the one at a place of
  // the index, which is whole.
  [[nodiscard]] std::optional<Backup> numbered(int number) const;
  [[nodiscard]] Backup at_or_before(std::int64_t time, const std::string& when) const;
  [[nodiscard]] Backup named(const std::string& name) const;
  [[nodiscard]] Backup whole_at(std::size_t place) const;
  [[nodiscard]] std::vector<Backup> backups_at(const std::vector<std::size_t>& places) const;
  [[nodiscard]] std::size_t shown_place() const;
  [[nodiscard]] std::optional<Backup> on_trial(const std::string& name) const;
  [[nodiscard]] std::optional<Backup> kept_merge(const std::string& name) const;
  [[nodiscard]] std::optional<Backup> main_at(std::int64_t time) const;
  // before() of one that counts on main.
  [[nodiscard]] std::optional<Backup> before_on_main(const Backup& backup) const;
  void add_marks(std::vector<Backup>& backups) const;
  [[nodiscard]] const MainLine& main() const;
  mutable std::shared_ptr<const MainLine> main_;
  mutable std::optional<store::Index> index_;
  mutable store::Oid index_tip_;
  mutable std::shared_ptr<const Timeline> timeline_;
  mutable store::Oid timeline_as_of_;
  mutable std::vector<Dated> dated_;
  mutable store::Oid dated_tip_;
  mutable std::vector<std::optional<int>> readers_;  // by place
  mutable store::Oid readers_tip_;
  mutable std::map<store::Oid, std::shared_ptr<const State>> again_;
  mutable std::map<store::Oid, std::map<std::string, ReceivedProgram, std::less<>>> received_;
};

}  // namespace keepway
