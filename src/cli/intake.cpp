// inspect and intake: the same reading and verdict, without and with storing.
#include <fmt/format.h>

#include <memory>

#include "cli/command.hpp"

namespace keepway::cli {
namespace {

struct Options {
  std::string machine;
  std::string path;
  std::string at;
  IntakeOptions intake;
};

Exit exit_of(Worth worth) {
  return worth == Worth::good ? Exit::done : Exit::look;
}

Inspection look(const Machine& machine, Options& options) {
  if (!options.at.empty()) options.intake.at = time_option(options.at);
  options.intake.now = now();
  return machine.inspect(media::read(options.path), options.intake);
}

void add_common(CLI::App& made, Options& options) {
  made.add_option("MACHINE", options.machine, "The machine that the backup came off")->required();
  made.add_option("PATH", options.path, "The backup: a folder or a file")->required()->check(filled());
  made.add_option("--at", options.at, "Time of the backup: RFC 3339 or a date; else the newest file's")
      ->check(filled())
      ->type_name("TIME");
}

}  // namespace

void add_inspect(CLI::App& app, Globals& globals) {
  auto options = std::make_shared<Options>();
  CLI::App* made = command(app, "inspect", "Say what a backup is worth, storing nothing",
                           "keepway inspect mill-1 /media/stick/MILL1");
  add_common(*made, *options);
  made->callback([&globals, options] {
    const Machine machine = open_shop(globals).machine(options->machine);
    const Inspection inspection = look(machine, *options);
    print(globals, show::inspection(context(globals, machine), inspection, nullptr, ""));
    globals.exit =
        inspection.verdict.worth == Worth::refused ? Exit::refused : exit_of(inspection.verdict.worth);
  });
}

void add_intake(CLI::App& app, Globals& globals) {
  auto options = std::make_shared<Options>();
  CLI::App* made =
      command(app, "intake", "Take a backup in: judge it and store it",
              "keepway intake mill-1 /media/stick/MILL1 --by Ana --note \"before the ballscrew swap\"");
  add_common(*made, *options);
  made->add_option("--by", options->intake.by, "Who took the backup; else the user's name")
      ->type_name("NAME");
  made->add_option("--note", options->intake.note, "Why, in a line")->type_name("TEXT");
  made->add_flag("--accept", options->intake.accept,
                 "Store it although the verdict is 'refused'; stand by one that is 'doubtful'");
  made->callback([&globals, options] {
    Machine machine = open_shop(globals).machine(options->machine);
    if (options->intake.by.empty()) options->intake.by = who();
    const Inspection inspection = look(machine, *options);
    if (inspection.verdict.worth == Worth::refused && !options->intake.accept) {
      print(globals, show::inspection(context(globals, machine), inspection, nullptr, ""));
      std::fputs(
          "keepway: this backup is refused, and nothing was stored\n  what to do: read the reasons above; if "
          "you "
          "are sure that it is right, take it in with --accept\n",
          stderr);
      globals.exit = Exit::refused;
      return;
    }
    const Backup stored = machine.intake(inspection, options->intake);
    print(globals,
          show::inspection(context(globals, machine), inspection, &stored, machine.repository().line()));
    globals.exit = exit_of(inspection.verdict.worth);
  });
}

}  // namespace keepway::cli
