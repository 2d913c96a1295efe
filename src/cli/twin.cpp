#include "cli/twin.hpp"

#include <memory>

#include "cli/command.hpp"

namespace keepway::cli {

ComparedMachines compare_machines(const MachineAt& a, const MachineAt& b) {
  const TwinSide left{a.state, a.machine.namebook(), a.machine.facts().units};
  const TwinSide right{b.state, b.machine.namebook(), b.machine.facts().units};
  ComparedMachines out{twin(left, right), {}};
  for (const TwinValue& value : out.twins.values) out.deltas.push_back(twin_delta(left, right, value));
  return out;
}

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
    const auto wanted = [&](const Machine& machine) {
      if (!options->at.empty()) return machine.resolve(options->at);
      auto newest = machine.shown();
      if (!newest) throw machine.no_backup();
      return std::move(*newest);
    };
    const Backup at_a = wanted(a);
    const Backup at_b = wanted(b);
    const State state_a = a.state(at_a.commit);
    const State state_b = b.state(at_b.commit);
    const ComparedMachines found = compare_machines({a, state_a}, {b, state_b});
    print(globals, show::twins(context(globals, a),
                               {a.facts(), b.facts(), at_a, at_b, found.twins, found.deltas, &b.namebook()}));
    globals.exit = found.twins.are_equal() ? Exit::done : Exit::look;
  });
}

}  // namespace keepway::cli
