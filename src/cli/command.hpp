// What the commands share. Each command is one file with one add_…() that hangs it on the program.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

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
};

void add_found(CLI::App& app, Globals& globals);
void add_enroll(CLI::App& app, Globals& globals);
void add_inspect(CLI::App& app, Globals& globals);
void add_intake(CLI::App& app, Globals& globals);
void add_history(CLI::App& app, Globals& globals);
void add_changes(CLI::App& app, Globals& globals);
void add_when(CLI::App& app, Globals& globals);
void add_show(CLI::App& app, Globals& globals);
void add_restore(CLI::App& app, Globals& globals);
void add_mark(CLI::App& app, Globals& globals);
void add_slots(CLI::App& app, Globals& globals);
void add_trial(CLI::App& app, Globals& globals);
void add_confirm(CLI::App& app, Globals& globals);
void add_twin(CLI::App& app, Globals& globals);
void add_pile(CLI::App& app, Globals& globals);
void add_report(CLI::App& app, Globals& globals);
void add_sheet(CLI::App& app, Globals& globals);
void add_view(CLI::App& app, Globals& globals);
void add_tidy(CLI::App& app, Globals& globals);
void add_sync(CLI::App& app, Globals& globals);
void add_hooks(CLI::App& app, Globals& globals);
void add_hook(CLI::App& app, Globals& globals);
void add_git_diff(CLI::App& app, Globals& globals);
void add_git_merge(CLI::App& app, Globals& globals);
void add_audit(CLI::App& app, Globals& globals);
void add_status(CLI::App& app, Globals& globals);
void add_battery(CLI::App& app, Globals& globals);
void add_survey(CLI::App& app, Globals& globals);
void add_names(CLI::App& app, Globals& globals);
// Hidden: prints the manual page of the whole program, in man(7)'s form. Hang it on last.
void add_manual(CLI::App& app, Globals& globals);

// What the last of the words of a command line (without the program's name) could be finished to, for shells:
// commands, options, machines, addresses a part at a time, marks and trials. Empty where a file may stand.
// Throws nothing but std::bad_alloc: where the shop cannot be read there is nothing to offer.
std::vector<std::string> completions(const CLI::App& app, const std::vector<std::string>& words);

// After a command line that could not be parsed: Error{usage} for the first word that was left over where a
// command was wanted, with the nearest there is. nullopt when that is not what was wrong.
std::optional<Error> mistyped(const CLI::App& app);

// A command with its one-line purpose and an example that its help shows. Global options may follow it.
CLI::App* command(CLI::App& app, const std::string& name, const std::string& purpose,
                  const std::string& example);

// For options that mean nothing when empty, as in `--to "$UNSET"`: an empty folder name is the folder one
// stands in.
const CLI::Validator& filled();

// The shop in force: --shop, else $KEEPWAY_SHOP, else the nearest folder upwards. Error{usage} without one.
Shop open_shop(const Globals& globals);
// The backup that a person names, or the newest when `when` is empty; Error{usage} when there is none.
Backup backup_at(const Machine& machine, const std::string& when);
show::Style style(const Globals& globals);
show::Context context(const Globals& globals, const Machine& machine);
void print(const Globals& globals, const show::Answer& answer);

// For --all: `work` for each machine. One that fails does not keep the others waiting; what failed is
// returned for the answer, and the exit code is the worst of all. Where `all` is false an error ends the
// command.
std::vector<show::Failure> for_each_machine(Globals& globals, const std::vector<std::string>& names, bool all,
                                            const std::function<void(const std::string& name)>& work);
// Each on standard error, as any error; after the answer.
void print_failures(const std::vector<show::Failure>& failures);
// On standard error: what happened, where, and what to do. `of` stands in front of it.
void print_error(const Error& error, const std::string& of = "");

std::int64_t now();
// Who is at the keyboard, for backups without --by.
std::string who();
// A time given by a person; Error{usage} when it cannot be read.
std::int64_t time_option(const std::string& text);
// An address given by a person: a slash at its end is passed over, and programs/1234 is O1234 unless a
// program of the newest backup is called `1234`. Error{usage} for a text that is no address.
Address address_option(const Machine& machine, std::string_view text);
std::vector<Address> addresses_option(const Machine& machine, const std::vector<std::string>& texts);
// Error{usage}: the machine has no such item; names those that it might have been meant to be.
Error no_such_item(const Machine& machine, const Address& address);

}  // namespace keepway::cli
