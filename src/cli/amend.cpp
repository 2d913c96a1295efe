#include "keepway/amend.hpp"

#include <memory>

#include "cli/command.hpp"

namespace keepway::cli {

void add_withdraw(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    std::string backup;
    std::string why;
    std::string by;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "withdraw",
                         "Say that a backup is not to be used; said again, that it may be used after all",
                         "keepway withdraw mill-1 7 --why \"it came from the other mill\"");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_option("N", options->backup, "The backup: its number, or any other name of it")
      ->required()
      ->filled();
  made->add_option("--why", options->why, "The reason; shown wherever the backup is")
      ->filled()
      ->type_name("TEXT");
  made->add_option("--by", options->by, "Who says so; else the user's name")->filled()->type_name("NAME");
  made->callback([&globals, options] {
    Machine machine = open_shop(globals).machine(options->machine);
    const Backup backup = machine.resolve(options->backup);
    const Speaker by{options->by.empty() ? who() : options->by, now()};
    print(globals,
          show::amended(context(globals, machine), withdraw(machine, backup, options->why, by), "withdraw"));
  });
}

void add_correct(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    std::string backup;
    std::string at;
    std::optional<std::string> by;
    std::optional<std::string> note;
  };
  auto options = std::make_shared<Options>();
  Command made =
      command(app, "correct",
              "Say when a backup was really taken, by whom, or what it is; said again, take that back",
              "keepway correct mill-1 7 --at 2026-03-01 --note \"the control's clock was wrong\"");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_option("N", options->backup, "The backup: its number, or any other name of it")
      ->required()
      ->filled();
  made->add_option("--at", options->at, "When it was taken: 2026-03-01, or 2026-03-01T06:30:00Z")
      ->filled()
      ->type_name("TIME");
  made->add_option("--by", options->by, "Who took it")->filled()->type_name("NAME");
  made->add_option("--note", options->note, "What it is; \"\" for no note")->type_name("TEXT");
  made->callback([&globals, options] {
    Machine machine = open_shop(globals).machine(options->machine);
    const Backup backup = machine.resolve(options->backup);
    Correction said{{}, options->by, options->note};
    if (!options->at.empty()) said.at = time_option(options->at);
    print(globals, show::amended(context(globals, machine), correct(machine, backup, said, {who(), now()}),
                                 "correct"));
  });
}

}  // namespace keepway::cli
