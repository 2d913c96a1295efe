#include <memory>

#include "cli/command.hpp"

namespace keepway::cli {

void add_history(CLI::App& app, Globals& globals) {
  auto name = std::make_shared<std::string>();
  CLI::App* made =
      command(app, "history", "List the backups of a machine, newest first", "keepway history mill-1");
  made->add_option("MACHINE", *name, "The machine")->required();
  made->callback([&globals, name] {
    const Machine machine = open_shop(globals).machine(*name);
    print(globals, show::history(context(globals, machine), machine.backups()));
  });
}

}  // namespace keepway::cli
