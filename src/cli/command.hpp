// What the commands share. Each command is one file with one add_…() that hangs it on the program.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "cli/losses.hpp"
#include "cli/parser.hpp"
#include "keepway/exit.hpp"
#include "keepway/shop.hpp"
#include "keepway/show.hpp"

namespace keepway::cli {

// Options before or after any command, and the exit code that the command chose.
struct Globals {
  std::string shop;
  bool json = false;
  bool no_color = false;
  Exit exit = Exit::done;
  std::shared_ptr<Losses> lost = std::make_shared<Losses>();
};

void add_init(Command app, Globals& globals);
void add_enroll(Command app, Globals& globals);
void add_inspect(Command app, Globals& globals);
void add_intake(Command app, Globals& globals);
void add_history(Command app, Globals& globals);
void add_changes(Command app, Globals& globals);
void add_when(Command app, Globals& globals);
void add_show(Command app, Globals& globals);
void add_restore(Command app, Globals& globals);
void add_mark(Command app, Globals& globals);
void add_withdraw(Command app, Globals& globals);
void add_correct(Command app, Globals& globals);
void add_slots(Command app, Globals& globals);
void add_trial(Command app, Globals& globals);
void add_confirm(Command app, Globals& globals);
void add_twin(Command app, Globals& globals);
void add_pile(Command app, Globals& globals);
void add_report(Command app, Globals& globals);
void add_sheet(Command app, Globals& globals);
void add_view(Command app, Globals& globals);
void add_counter(Command app, Globals& globals);
void add_tidy(Command app, Globals& globals);
void add_sync(Command app, Globals& globals);
void add_hooks(Command app, Globals& globals);
void add_hook(Command app, Globals& globals);
void add_git_diff(Command app, Globals& globals);
void add_git_merge(Command app, Globals& globals);
void add_audit(Command app, Globals& globals);
void add_status(Command app, Globals& globals);
void add_battery(Command app, Globals& globals);
void add_survey(Command app, Globals& globals);
void add_try(Command app, Globals& globals);
void add_names(Command app, Globals& globals);
void add_reasons(Command app, Globals& globals);
void add_clashes(Command app, Globals& globals);
void add_help(Command app, Globals& globals);
// Hidden: prints the manual page of the whole program, in man(7)'s form. Hang it on last.
void add_manual(Command app, Globals& globals);

// What the last of the words of a command line (without the program's name) could be finished to, for shells:
// commands, options, machines, addresses a part at a time, marks and trials. Empty where a file may stand.
// Throws nothing but std::bad_alloc: where the shop cannot be read there is nothing to offer.
std::vector<std::string> completions(const CLI::App& app, const std::vector<std::string>& words);

// After a command line that could not be parsed: Error{usage} for the first word that was left over where a
// command was wanted, with the nearest there is. nullopt when that is not what was wrong.
std::optional<Error> mistyped(const CLI::App& app);

// The shop in force: --shop, else $KEEPWAY_SHOP, else the nearest folder upwards. Error{usage} without one.
Shop open_shop(const Globals& globals);
// The backup that a person names, or the newest when `when` is empty; Error{usage} when there is none.
Backup backup_at(const Machine& machine, const std::string& when);
// What must be said of that backup when `when` is empty.
show::Beside beside(const Machine& machine, const std::string& when);
show::Style style(const Globals& globals);
show::Context context(const Globals& globals, const Machine& machine);
show::Context context(const Machine& machine, show::Style style);
void print(const Globals& globals, const show::Answer& answer);

// For --all: `work` for each machine. One that fails does not keep the others waiting; what failed is
// returned for the answer, and the exit code is the worst of all. Where `all` is false an error ends the
// command.
std::vector<show::Failure> for_each_machine(Globals& globals, const std::vector<std::string>& names, bool all,
                                            const std::function<void(const std::string& name)>& work);
// Each on standard error, as any error; after the answer.
void print_failures(const std::vector<show::Failure>& failures);
// That something stored in a machine's folder is lost: what Repository::tell_losses() is for.
Error error_of(const store::Repository::Loss& loss);
// What happened, where, and what to do, as whole lines; `of` is in front of it.
std::string error_text(const Error& error, const std::string& of = "");
// The same on standard error.
void print_error(const Error& error, const std::string& of = "");

std::int64_t now();
// Who is at the keyboard, for backups without --by.
std::string who();
// A time given by a person; Error{usage} when it cannot be read.
std::int64_t time_option(const std::string& text);
// An address as a person types it: a slash at its end is passed over, and programs/1234 is O1234 unless a
// program of the newest backup is called `1234`. nullopt for a text that is none, as a name is.
std::optional<Address> typed_address(const Machine& machine, std::string_view text);
// Whether an item, or one below it, ever had the address; true as well for a pattern, and before the first
// backup, when nobody can know.
bool may_be_known(const Machine& machine, const Address& address);
// `R010` for an item that its reader calls `R10`, `länge` for `laenge`: the item that is the same but for
// leading zeros, capitals and letters that ASCII lacks, which is said on standard error; the address itself
// where there is none.
Address as_the_reader_spells(const Machine& machine, const Address& address);
// An address given by a person, as typed_address(). What no item has ever had is taken as the reader spells
// it, as above; and what is no address, as the one item whose name it is a part of. Error{usage} when there
// is none, or more than one.
Address address_option(const Machine& machine, std::string_view text);
std::vector<Address> addresses_option(const Machine& machine, const std::vector<std::string>& texts);
// Error{usage}: the machine has no such item; names those that it might have been meant to be.
Error no_such_item(const Machine& machine, const Address& address);

}  // namespace keepway::cli
