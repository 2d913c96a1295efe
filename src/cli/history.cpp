#include <algorithm>
#include <memory>

#include "cli/command.hpp"

namespace keepway::cli {

void add_history(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    bool reasons = false;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "history", "List the backups of a machine, newest first",
                         "keepway history mill-1 --reasons");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_flag("--reasons", options->reasons, "All reasons of each verdict, not only the first");
  made->callback([&globals, options] {
    const Machine machine = open_shop(globals).machine(options->machine);
    const auto rewritten = machine.rewritten();
    if (!rewritten.empty()) globals.exit = std::max(globals.exit, Exit::look);
    std::vector<Backup> backups = machine.backups();
    std::stable_sort(backups.begin(), backups.end(), is_newer);
    print(globals, show::history(context(globals, machine), backups, rewritten, options->reasons));
  });
}

}  // namespace keepway::cli
