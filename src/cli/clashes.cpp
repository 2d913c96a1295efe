#include "keepway/clashes.hpp"

#include <memory>

#include "cli/acts.hpp"

namespace keepway::cli {

void add_clashes(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    std::size_t keep = 0;
    std::size_t take = 0;
    std::string by;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "clashes", "List edits of one thing on two PCs, and choose which is in force",
                         "keepway clashes mill-1\n  keepway clashes mill-1 --take 2");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  const Option keep = made->add_option("--keep", options->keep, "Keep what is in force of the clash N")
                          ->between(1, 1'000'000)
                          ->type_name("N");
  made->add_option("--take", options->take, "Take the other of the clash N")
      ->between(1, 1'000'000)
      ->excludes(keep)
      ->type_name("N");
  made->add_option("--by", options->by, "Who chooses; else the user's name")->type_name("NAME");
  made->callback([&globals, options] {
    Machine machine = open_shop(globals).machine(options->machine);
    show::Settled settled;
    if (const std::size_t place = std::max(options->keep, options->take); place > 0) {
      settled.other = options->take > 0;
      settled.clash =
          choose(machine, {place - 1, settled.other, options->by.empty() ? who() : options->by, now()});
    }
    const std::vector<EditClash> open = open_clashes(machine.repository());
    if (!open.empty()) globals.exit = std::max(globals.exit, Exit::look);
    print(globals, show::clashes({machine.facts(), machine.namebook(), style(globals)}, open, settled));
  });
}

}  // namespace keepway::cli
