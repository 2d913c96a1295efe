#include "keepway/audit.hpp"

#include <algorithm>
#include <memory>

#include "cli/command.hpp"
#include "cli/progress.hpp"

namespace keepway::cli {
namespace {

struct Options {
  std::string machine;
  std::string from;
  bool all = false;
  bool settle = false;
};

}  // namespace

void add_audit(Command app, Globals& globals) {
  auto options = std::make_shared<Options>();
  Command made = command(app, "audit", "Prove that all that is stored is whole; repair it from a clone",
                         "keepway audit mill-1\n  keepway audit --all\n  keepway audit mill-1 --from "
                         "/media/stick/mill-1");
  Option machine = made->add_option("MACHINE", options->machine, "The machine");
  Option all = made->add_flag("--all", options->all, "Every machine of the shop")->excludes(machine);
  Option from =
      made->add_option(
              "--from", options->from,
              "Repair what is damaged from this clone's folder, remote or address, where digests fit")
          ->filled()
          ->type_name("CLONE")
          ->excludes(all);
  made->add_flag("--settle", options->settle,
                 "Git's settings, hooks, remotes and lines are right as they are: report later changes from here on")
      ->excludes(from);
  made->callback([&globals, options] {
    const Shop shop = open_shop(globals);
    std::vector<std::string> names;
    if (options->all) {
      names = shop.machines();
    } else if (!options->machine.empty()) {
      names.push_back(options->machine);
    } else {
      throw Error(ErrorKind::usage, "no machine is named", "name one, or audit every machine with --all");
    }
    std::vector<Audit> audits;
    const auto failures = for_each_machine(globals, names, options->all, [&](const std::string& name) {
      const auto folder = shop.machine_folder(name);
      if (options->settle) settle(folder);
      const auto tell = [&](std::string_view stage, std::size_t done, std::size_t total) {
        Progress::step(stage, done, total, name);
      };
      audits.push_back(audit(folder, {options->from, tell}));
      globals.exit = std::max(globals.exit, exit_of(audits.back()));
    });
    print(globals, show::audit(audits, failures, style(globals)));
    print_failures(failures);
  });
}

}  // namespace keepway::cli
