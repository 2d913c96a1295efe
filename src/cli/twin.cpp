#include "keepway/twin.hpp"

#include <memory>

#include "cli/command.hpp"

namespace keepway::cli {

void add_twin(Command app, Globals& globals) {
  struct Options {
    std::string a;
    std::string b;
    std::string at;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "twin", "Compare two machines: what should be equal and is not",
                         "keepway twin mill-1 mill-2");
  made->add_option("MACHINE-A", options->a, "The one to take from")->required();
  made->add_option("MACHINE-B", options->b, "The one to compare with it")->required();
  made->add_option("--at", options->at,
                   "A date, or anything that names a backup of both; by default the newest")
      ->filled()
      ->type_name("WHEN");
  made->callback([&globals, options] {
    const Shop shop = open_shop(globals);
    const Machine a = shop.machine(options->a);
    const Machine b = shop.machine(options->b);
    const std::string when = options->at.empty() ? "HEAD" : options->at;
    const Backup at_a = a.resolve(when);
    const Backup at_b = b.resolve(when);
    const State state_a = a.state(at_a.commit);
    const State state_b = b.state(at_b.commit);
    const Twins twins =
        twin({state_a, a.namebook(), a.facts().units}, {state_b, b.namebook(), b.facts().units});
    print(globals, show::twins(context(globals, a), {a.facts(), b.facts(), at_a, at_b, twins}));
    globals.exit = twins.are_equal() ? Exit::done : Exit::look;
  });
}

}  // namespace keepway::cli
