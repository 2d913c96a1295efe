#include <fmt/format.h>

#include <memory>

#include "cli/command.hpp"

namespace keepway::cli {

void add_mark(CLI::App& app, Globals& globals) {
  struct Options {
    std::string machine;
    std::string name;
    std::string at;
  };
  auto options = std::make_shared<Options>();
  CLI::App* made = command(app, "mark", "Name a backup, so that it can be asked for by that name",
                           "keepway mark mill-1 \"before ballscrew\" --at '#6'");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_option("NAME", options->name, "The name")->required();
  made->add_option("--at", options->at, "'#N', a date, a mark or a Git revision; by default the newest")
      ->check(filled())
      ->type_name("WHEN");
  made->callback([&globals, options] {
    Machine machine = open_shop(globals).machine(options->machine);
    const Backup backup = machine.resolve(options->at.empty() ? "HEAD" : options->at);
    machine.repository().mark(options->name, backup.commit, who(), now());
    print(globals, show::done(fmt::format("Backup #{} ({}) is marked '{}'.\n", backup.number,
                                          format_time(backup.at), escape(options->name)),
                              {{"command", "mark"},
                               {"machine", machine.facts().name},
                               {"mark", escape(options->name)},
                               {"commit", backup.commit}}));
  });
}

}  // namespace keepway::cli
