// What commands do, without the command line around them: the counter does the same by the same functions.
// Each throws Error as its command does, and then nothing was done.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cli/command.hpp"
#include "keepway/on_progress.hpp"
#include "keepway/restoring.hpp"
#include "keepway/sync.hpp"
#include "keepway/trial.hpp"

namespace keepway::cli {

struct Done {
  show::Answer answer;
  Exit exit = Exit::done;
  std::string beside = {};            // said next to the answer, on standard error; whole lines
  std::optional<Error> refused = {};  // why it would not be done, where it is only looked at
};

struct IntakeWords {
  std::string at;
  std::size_t slot = 0;  // 0: none given
  bool recover = false;
  std::vector<std::string> recovered_as;  // "OLD=NEW" each, of recovered files
  bool again = false;                     // store it although the same files of the same time are stored
  IntakeOptions intake;
  // Of received(), for people.
  std::string left_out;    // what a PC wrote, and not the control; a whole line
  std::string other_date;  // that its name says another date than its files, and what to do; begins a line
};
// Reads the medium; fills in the times of `words.intake`, and what is remarkable.
media::Set received(const std::string& path, IntakeWords& words);
Done inspected(const show::Context& shown, const Inspection& inspection);
// Stores what was inspected, unless it is refused or stored already.
Done take_in(Machine& machine, const Inspection& inspection, const IntakeWords& words, show::Style style);

struct ConfirmWords : IntakeWords {
  std::string against;
  std::vector<std::string> only;  // the restore was of these items alone
  bool look = false;              // nothing is stored yet
};
// Whether the machine holds what was meant: by a backup of it, which is stored as the proof unless it is
// refused.
Done confirm_restore(Machine& machine, const Inspection& inspection, const ConfirmWords& words,
                     show::Style style);

// The floppy-sized volumes of a stick or its image, and which of the machines each seems to be of. `shown`:
// the path for people.
Done list_slots(const std::string& path, const std::string& shown, const std::vector<Machine>& machines,
                const OnProgress& on_progress, show::Style style);
Done list_sticks(const std::vector<media::Plugged>& sticks, show::Style style);

struct MarkWords {
  std::string name;
  std::string at;      // empty: the newest
  std::string by;      // empty, here and below: who()
  std::string rename;  // the mark's new name
  bool remove = false;
};
Done mark(Machine& machine, const MarkWords& words, show::Style style);

struct WithdrawWords {
  std::string backup;
  std::string why;
  bool undo = false;  // it is used again
  std::string by;
};
Done withdraw(Machine& machine, const WithdrawWords& words, show::Style style);

struct CorrectWords {
  std::string backup;
  std::string at;  // empty: as it reads
  std::optional<std::string> taken_by;
  std::optional<std::string> note;
  bool undo = false;  // it reads as it was stored
  std::string by;
};
Done correct(Machine& machine, const CorrectWords& words, show::Style style);

struct ReasonsWords {
  std::size_t back = 0;  // 0: none, they are listed
  std::string by;
  std::string why;
};
Done reasons(Machine& machine, const ReasonsWords& words, show::Style style);

struct BatteryWords {
  std::string changed;  // empty: as it is
  int months = 0;       // 0: as it is
};
Done battery(const Machine& machine, const BatteryWords& words, show::Style style);

struct RestoreWords {
  std::string at;
  std::vector<std::string> only;
  bool plan = false;
  bool accept = false;  // a doubtful or withdrawn backup, or values of one machine
  OnProgress on_progress = {};
};
// What would be put back. `other`: the machine that `at` is a backup of, when it is another one.
RestoreJob restore_job(const Machine& machine, const RestoreWords& words, const Machine* other = nullptr);

struct TrialWords {
  std::string name;
  std::string at;  // begin: the backup to begin from; empty: the newest
  std::string note;
  std::string by;
  std::vector<std::string> only;
  std::vector<std::string> prefer;  // "main", "trial", or "ADDRESS=main", "ADDRESS=trial"
  bool accept = false;
  // keep: main's tip and the trial's that were looked at; empty: whatever they are.
  std::string onto;
  std::string tip;
};
Done trial_begin(Machine& machine, const TrialWords& words, show::Style style);
Done trial_list(const Machine& machine, show::Style style);
Done trial_changes(const Machine& machine, const TrialWords& words, show::Style style);
Done trial_pause(Machine& machine, const TrialWords& words, show::Style style);
Done trial_resume(Machine& machine, const TrialWords& words, show::Style style);
// What keeping it comes to; stores nothing. Error{refused} when no backup was taken on it.
Keep trial_plan(const Machine& machine, const TrialWords& words);
Done trial_keep(Machine& machine, const TrialWords& words, show::Style style);
Done trial_drop(Machine& machine, const TrialWords& words, show::Style style);

// What a backup says of a machine that is not enrolled yet: the layout that it proposes, and what that reads.
struct Proposal {
  Survey survey;
  Understood understood;
  std::vector<std::string> backups;  // the folders of several, where it looks like that: see backups_within()
  std::string remarks;               // on what it is proposed from, whole lines
};
// What is said beside a proposal whose files name another serial than the one that was given.
std::string other_serial_text(const Survey& survey);
// `enrollment` gets the layout, and where it has none the serial and the units that were found. Nothing is
// made. `edits`: what a person corrected of it.
Proposal propose(const media::Set& backup, Shop::Enrollment& enrollment, const OnProgress& on_progress,
                 const std::vector<SourceEdit>& edits = {});
// `from`, and the slot on it, 0 where it is none: the backup, for people. Nothing of it is stored.
Done enroll_from(Shop shop, const Proposal& proposal, const Shop::Enrollment& enrollment,
                 const std::string& from, std::size_t slot, show::Style style);

// What is set of one address of the namebook; what is not given stays as it is, "" takes a value out.
struct NameWords {
  std::string address;
  std::optional<std::string> name, unit, kind, min, max, step, meaning, normal, caution;
  std::optional<bool> living, own, power_cycle;
  bool remove = false;
};
Done name_item(const Machine& machine, const NameWords& words, show::Style style);

// Whether everything of a machine is still there.
Done audit_machine(const Shop& shop, const std::string& name, const OnProgress& on_progress,
                   show::Style style);
// One machine, by `options`; one that is not here yet may be copied from `options.to`.
SyncAnswer sync_machine(const Shop& shop, const std::string& name, SyncOptions options);
Done synced(const std::string& name, const SyncAnswer& answer);

// The command's end: prints the answer and sets the exit code.
void finish(Globals& globals, const Done& done);

}  // namespace keepway::cli
