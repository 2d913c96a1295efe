// What the commands share. Each command is one file with one add_…() that hangs it on the program.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <string>

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
void add_tidy(CLI::App& app, Globals& globals);
void add_sync(CLI::App& app, Globals& globals);
void add_hooks(CLI::App& app, Globals& globals);
void add_hook(CLI::App& app, Globals& globals);
void add_git_diff(CLI::App& app, Globals& globals);
void add_git_merge(CLI::App& app, Globals& globals);
void add_audit(CLI::App& app, Globals& globals);

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

std::int64_t now();
// Who is at the keyboard, for backups without --by.
std::string who();
// A time given by a person; Error{usage} when it cannot be read.
std::int64_t time_option(const std::string& text);
// Addresses given by a person; Error{usage} for one that is none.
std::vector<Address> addresses_option(const std::vector<std::string>& texts);

}  // namespace keepway::cli
