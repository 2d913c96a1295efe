// Trials: a branch of a machine's state, begun before an experiment, then kept or dropped.
//
// The line that is checked out is the line that intakes go to: "main", or "trial/NAME" while a trial
// is in progress. Each step here is all or nothing: what a cut-off program left half done is finished, or
// never was, when the machine is next opened (see finish_steps).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/index.hpp"
#include "keepway/machine.hpp"
#include "keepway/merge.hpp"

namespace keepway {

struct Trial {
  std::string name;
  Backup base;                   // the backup that it was begun from
  std::optional<Backup> newest;  // on the trial itself and not withdrawn; none before its first intake
  int backups = 0;               // taken in on it
  std::string who;
  std::string note;
  std::int64_t begun = 0;
  bool in_progress = false;  // intakes go to it
  // Of one that was put away: "kept" or "dropped". Its backups are asked for as before, 'warm-up #1'.
  std::string ended = {};
};

// The trial whose line this is; nullopt for main and any other.
std::optional<std::string> trial_of_line(const std::string& line);

// "main" or "trial NAME", for people.
std::string line_title(const std::string& line);

struct TrialStep {
  std::string name;
  std::string by;
  std::string note;
  std::int64_t now = 0;
};

// Error{refused} when the name is taken or another trial is in progress; Error{usage} for a name
// that is not plain (letters, digits, '-', '_', '.').
Trial begin_trial(Machine& machine, const Backup& from, const TrialStep& step);
std::vector<Trial> trials(const Machine& machine);
// Those in the archive, the last begun first.
std::vector<Trial> ended_trials(const Machine& machine);
// Error{usage} when there is no such trial, naming those there are.
Trial find_trial(const Machine& machine, const std::string& name);
// Of `changes`, from where the trial began to its newest backup, leaves what main's newest does not have by
// now: after keeping a part of it, the rest.
void leave_out_what_main_has(const Machine& machine, const Trial& trial, Changes& changes);
void pause_trial(Machine& machine, const std::string& name);
void resume_trial(Machine& machine, const std::string& name);

// Which items of a merged state are carried by another commit's originals: address and commit. Empty for
// a backup that came off the machine.
struct Carried {
  Address address;
  store::Oid commit;
};

// What keeping a trial comes to, before and after it is done.
struct Keep {
  Trial trial;
  Backup ours;      // main's newest
  store::Oid onto;  // main's tip that this was worked out for,
  store::Oid tip;   // and the trial's
  Merge merge;
  std::vector<Address> carried;   // items of the merged state that the trial's originals carry, not main's
  std::vector<Carried> carriers;  // of these, and of what main carried from an earlier trial
  std::vector<Group> missing;     // groups that the trial's newest backup does not speak of: left as on main
  Changes changes;                // of main by the merge
  std::optional<Backup> stored;   // set once it is done
  std::vector<Address> only;      // what was asked for; empty: all
  Changes rest;  // what the trial changed and was not asked for: it stays a trial while there is any
  bool record_only = false;  // no restore set can be put together for it, and it is kept all the same
  std::string unfinished;    // why the trial could not be put away yet: the next command does it
};
// Merges item by item: base is the backup that the trial began from, ours main's newest, theirs the
// trial's newest. With `only`, the trial counts as unchanged elsewhere. Stores nothing. Error{refused} where
// no backup was taken on the trial.
Keep plan_keep(const Machine& machine, const Trial& trial, const std::vector<Address>& only,
               const std::vector<Preference>& preferences);
// Why no restore set could be put together for the merged state out of the originals that would be stored
// with it, with the rows that are in the way; nullopt when one can.
std::optional<Error> cannot_be_restored(const Machine& machine, const Keep& keep);
// Error{refused} for what should not be kept: a trial on which the memory was lost, parts that main has
// already, and what no restore set can be made of. `accept` passes over the first and the last: this is then
// returned, and `record_only` set.
std::optional<Error> require_keepable(const Machine& machine, Keep& keep, bool accept);
// Stores the merge on main; archives the trial and goes back to main, unless some of it rests. Precondition:
// keep.merge.clean().
void do_keep(Machine& machine, Keep& keep, const TrialStep& step);
// Archives the trial under refs/keepway/archive/ and goes back to main. What fails once the step is written
// down is left to the next command, and said in `unfinished`.
struct Dropped {
  std::string archive;  // its ref
  std::string unfinished;
};
Dropped drop_trial(Machine& machine, const Trial& trial, const TrialStep& step);

// Of a stored merge, as `state/carried.tsv` names them.
std::vector<Carried> carried_items(const store::Repository& repository, const store::Oid& commit);
using store::carried_path;

// Finishes a step that was cut off; one that another program is in the middle of is left to it. Cheap when
// there is none; called when a machine is opened. What is in its way (a full disk, an edit made by hand) is
// in nobody's way who reads: it is returned, and holds the repository's writes (see Repository::hold_writes).
std::optional<Error> finish_steps(store::Repository& repository);

}  // namespace keepway
