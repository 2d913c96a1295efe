// What people and programs are shown: terminal text and JSON, from the same facts. Knows neither Git
// nor files. Every text from a backup is escaped before it gets here or here: no control byte passes.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "keepway/audit.hpp"
#include "keepway/machine.hpp"
#include "keepway/meaning.hpp"
#include "keepway/pile.hpp"
#include "keepway/prepare.hpp"
#include "keepway/restoring.hpp"
#include "keepway/slot_owner.hpp"
#include "keepway/status.hpp"
#include "keepway/survey.hpp"
#include "keepway/sync.hpp"
#include "keepway/trial.hpp"
#include "keepway/twin.hpp"

namespace keepway::show {

// Version of the JSON facts: raised when a field changes its meaning or goes.
inline constexpr int json_schema = 1;

// Colour only on a terminal that wants it; all marks also stand as text.
struct Style {
  bool color = false;
  bool json = true;    // whether the JSON is wanted: where it is not, long answers leave it out
  bool pages = false;  // for the pages, which make their tables from it
};

// One answer, in both forms. `text` ends with a line end, `json` is one object.
struct Answer {
  std::string text;
  std::string json;
};

struct Context {
  const MachineFacts& machine;
  const Namebook& namebook;
  Style style;
  // How the numbers in JSON are written, for the pages; null: in their normal form.
  std::shared_ptr<const Precision> precision = nullptr;
};

// What is said beside main's newest backup where a person asked for no other: nothing old or doubtful becomes
// "now" without a word.
struct Beside {
  std::optional<Backup> last_good;
  std::vector<Backup> passed_over;  // see Machine::passed_over()
  std::string trial;                // in progress
};

// A backup read and judged; `stored` is null for an inspection, else the stored backup with its line.
Answer inspection(const Context& context, const Inspection& inspection, const Backup* stored,
                  const std::string& line);
// What it changes since the backup before, as changes() lists it.
Answer changes_found(const Context& context, const Inspection& inspection);
// An intake of what is stored as `there`: nothing was.
Answer stored_already(const Context& context, const Backup& there);
// The reasons that people stand by, numbered from 1, behind those just taken back.
Answer reasons(const Context& context, const std::vector<KnownReason>& known,
               const std::vector<KnownReason>& taken_back);
// Edits of two PCs that clash, numbered from 1, behind the one just settled.
struct Settled {
  std::optional<EditClash> clash;
  bool other = false;  // the other one was taken
};
Answer clashes(const Context& context, const std::vector<EditClash>& open, const Settled& settled);
// Of a backup's reasons the first and how many more, or all.
// `rewritten`: commits that Git made of backups, which are none.
Answer history(const Context& context, const std::vector<Backup>& backups,
               const std::vector<store::CommitInfo>& rewritten, bool all_reasons);
// What differs beside the values; `list`: line by line.
struct Spelling {
  std::vector<SpelledFile> files;
  bool list = false;
};
// `alike`: both were read by the same layout, units and serial.
Answer changes(const Context& context, const Backup& from, const Backup& to, const Changes& changes,
               bool alike, const Spelling& spelling);
Answer when(const Context& context, const Address& address, const Folded& found);
Answer hits(const Context& context, const std::string& what, const std::vector<Address>& hits);
// `at`: the backup whose values they are.
Answer since(const Context& context, Group group, const std::vector<ItemSince>& items, const Backup& at,
             const Beside& beside);
// That something was said of a backup: as it read before and as it reads now.
Answer amended(const Context& context, const Backup& before, const Backup& backup,
               const std::vector<Backup>& judged_against, const std::string& command);
// `items` of the address asked for; a program's text when `program` is given.
// `received`: the program as it came, rather than in its normal form.
Answer state(const Context& context, const Backup& at, const Address& address, const Table& items,
             const Program* program, const Beside& beside, const ReceivedProgram* received = nullptr);
Answer overview(const Context& context, const Backup& at, const Beside& beside);
// "as of #7 (2026-03-01 06:30), good", with what must be known of it.
std::string as_of(const Context& context, const Backup& at, const Beside& beside);

// A restore: what it will do, and, once `written` is set, that it was done. Cautions always.
struct RestoreFacts {
  const RestoreJob& job;
  std::string target;                // for people: "folder out", "slot 3 of stick.img"
  std::vector<std::string> written;  // paths; empty: only the plan
  std::string kept;                  // where a slot's old content was stored
  std::string digest;                // of the set
  std::vector<media::ShortName> short_names = {};
  std::string short_names_in = {};  // where their table was written
};
Answer restore(const Context& context, const RestoreFacts& facts);

// What writing to a slot would overwrite. `path`: the medium, for people.
// `holds`: whose files the slot seems to hold.
Answer overwritten(const std::string& path, const media::Target& target, std::size_t slot,
                   const SlotOwner& holds);

// The shop at a glance, in the order given; times are reported against `now`.
Answer status(const std::vector<MachineStatus>& machines, std::int64_t now, Style style);
Answer battery(const Context& context, std::int64_t now);
Answer survey(const Survey& survey, const std::string& written, Style style);
// One screen: what a layout makes of files. `file` is the layout's.
Answer tried_layout(const std::string& file, const Understood& made, Style style);
// The same once the file was saved again, with what that changed.
Answer tried_again(const std::string& file, const Understood& made, const TryChanges& changes, Style style);
// The same of a layout that a backup proposes, with what was guessed. `facts`: serial and units that it was
// read with; the machine has no name yet.
Answer proposed(const MachineFacts& facts, const Survey& survey, const Understood& made, Style style);
// The same for a machine that was enrolled with the layout that its backup proposed; `from` is the backup.
Answer enrolled_from(const MachineFacts& facts, const std::string& folder, const std::string& from,
                     std::size_t slot, const Survey& survey, const Understood& made, Style style);
// Whether nothing is left to look at but what was guessed.
bool all_understood(const Understood& made);
Answer names(const Context& context, const std::vector<Entry>& entries);
Answer unnamed(const Context& context, const std::vector<Unnamed>& items);

Answer trial_list(const Context& context, const std::vector<Trial>& trials, const std::vector<Trial>& ended);
// What keeping a trial comes to; with clashes: what to decide, and that nothing was done.
Answer trial_keep(const Context& context, const Keep& keep);
// What a confirmation was stored as, or is stored as since it was asked for before; null: not so.
struct ConfirmedAs {
  const Backup* stored = nullptr;
  const Backup* already = nullptr;
};
Answer confirmed(const Context& context, const Backup& against, const Confirmation& confirmation,
                 const Inspection& inspection, const ConfirmedAs& as);
// Of two machines; `restore_line` is the command that puts one item of a onto b, without the address.
struct TwinFacts {
  const MachineFacts& a;
  const MachineFacts& b;
  const Backup& at_a;
  const Backup& at_b;
  const Twins& twins;
  std::vector<TwinDelta> deltas = {};  // of twins.values, in their order; or none
  const Namebook* names_b = nullptr;   // for what the context's names, which are a's, do not have
  // How each side's numbers are written; null: in their normal form.
  const Precision* written_a = nullptr;
  const Precision* written_b = nullptr;
};
Answer twins(const Context& context, const TwinFacts& facts);
// A stick's slots, with the machine that each seems to belong to, or "".
struct SlotFacts {
  media::Slot slot;
  std::string machine;
  std::string says;  // what says that it is of none of them; may be empty
};
Answer slots(const std::string& path, const std::vector<SlotFacts>& found, const media::Stick& stick,
             Style style);
// The sticks that are plugged in.
Answer sticks(const std::vector<media::Plugged>& found, Style style);
// What preparing a medium would write and what would go, text only; and what was done.
Answer prepare_plan(const media::PreparePlan& plan, Style style);
Answer prepared(const media::PreparePlan& plan, const std::vector<std::string>& kept, Style style);
// What was found in a drawer, before it is taken in; text only. `whole` lists all that is left aside.
Answer pile_plan(const Context& context, const Pile& pile, bool whole);
Answer pile(const Context& context, const Pile& pile, const std::vector<PileStep>& steps, bool dry_run);
// A machine that failed where a command goes through several; the others were done all the same.
struct Failure {
  std::string machine;
  Error error;
};
// One audit a machine.
Answer audit(const std::vector<Audit>& audits, const std::vector<Failure>& failures, Style style);
// What was taken out of a machine into a folder, with the cautions.
Answer rescued(const std::string& machine, const std::string& folder, const Rescued& rescued, Style style);
// A machine and what syncing it came to; nullopt when it has no remote.
struct Synced {
  std::string machine;
  std::optional<SyncAnswer> answer;
};
Answer synced(const std::vector<Synced>& machines, const std::vector<Failure>& failures);
struct TidiedMachine {
  std::string machine;
  store::Repository::Tidied tidied;
  std::size_t indexes_rebuilt = 0;  // of packs
};
Answer tidied(const std::vector<TidiedMachine>& machines, const std::vector<Failure>& failures);
// For Git's diff driver: one line an item with its name and unit, and the changes of a table explained. Text
// only.
std::string table_with_names(const Namebook& book, Units units, Group group, std::string_view normal_form);
std::string explained(const Namebook& book, Units units, Group group, const std::string& path,
                      const std::vector<ValueChange>& changes);
// Plain "done" answers: `facts` are name and value pairs for JSON. Failures follow the text, and are in the
// JSON as `failed` where there are any.
using Fact = std::variant<std::string, std::uint64_t, std::nullptr_t>;
Answer done(const std::string& text, const std::vector<std::pair<std::string, Fact>>& facts,
            const std::vector<Failure>& failures = {});
std::string error_json(const Error& error);

// Something stored that an answer had to do without.
struct Lost {
  std::string machine;
  std::string what;
  std::vector<std::string> backups;  // that it touches, by their names; empty where that is not known
};
// An answer's JSON with them, as `lost`; without that key where there are none.
std::string with_lost(const std::string& json, const std::vector<Lost>& lost);

}  // namespace keepway::show
