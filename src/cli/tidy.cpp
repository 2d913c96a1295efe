#include <memory>

#include "cli/command.hpp"
#include "keepway/audit.hpp"

namespace keepway::cli {
void add_tidy(Command app, Globals& globals) {
  struct Options {
    std::vector<std::string> machines;
    bool all = false;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "tidy", "Pack what is stored as small as possible; nothing is deleted",
                         "keepway tidy mill-1\n  keepway tidy --all");
  Option named = made->add_option("MACHINE", options->machines, "The machines");
  made->add_flag("--all", options->all, "Every machine of the shop")->excludes(named);
  made->callback([&globals, options] {
    const Shop shop = open_shop(globals);
    const std::vector<std::string> machines = options->all ? shop.machines() : options->machines;
    if (machines.empty() && !options->all) {
      throw Error(ErrorKind::usage, "no machine is named", "name one, or take all of them with --all");
    }
    std::vector<show::TidiedMachine> done;
    const auto failures = for_each_machine(globals, machines, options->all, [&](const std::string& name) {
      const std::size_t rebuilt = rebuild_pack_indexes(shop.machine_folder(name));
      done.push_back({name, shop.machine(name).repository().tidy(), rebuilt});
    });
    print(globals, show::tidied(done, failures));
    print_failures(failures);
  });
}

}  // namespace keepway::cli
