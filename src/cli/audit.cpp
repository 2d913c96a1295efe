#include "keepway/audit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli/acts.hpp"
#include "cli/progress.hpp"
#include "keepway/text.hpp"

namespace keepway::cli {
namespace {

struct AuditOptions {
  std::string machine;
  std::string from;
  std::string rescue;
  bool all = false;
  bool settle = false;
};

void take_out(Globals& globals, const Shop& shop, const AuditOptions& options) {
  if (options.machine.empty())
    throw Error(ErrorKind::usage, "no machine is named", "name the one to take everything out of");
  const auto on_progress = [&](std::string_view stage, std::size_t done, std::size_t total) {
    Progress::step(stage, done, total, options.machine);
  };
  const Rescued got = rescue(shop.machine_folder(options.machine), options.rescue, {{}, on_progress});
  print(globals, show::rescued(options.machine, options.rescue, got, style(globals)));
  if (got.partly + got.lost + got.unnamed > 0) globals.exit = Exit::look;
}

}  // namespace

Done audit_machine(const Shop& shop, const std::string& name, const OnProgress& on_progress,
                   show::Style style) {
  store::Repository::tell_losses({});  // the audit names each by itself
  const Audit found = audit(shop.machine_folder(name), {{}, on_progress});
  return {show::audit({found}, {}, style), exit_of(found)};
}

void add_audit(Command app, Globals& globals) {
  auto options = std::make_shared<AuditOptions>();
  Command made = command(app, "audit", "Check that everything stored is intact; repair it from a clone",
                         "keepway audit mill-1\n  keepway audit --all\n  keepway audit mill-1 --from "
                         "/media/stick/mill-1");
  Option machine = made->add_option("MACHINE", options->machine, "The machine");
  Option all = made->add_flag("--all", options->all, "Every machine of the shop")->excludes(machine);
  Option from = made->add_option("--from", options->from,
                                 "Repair damage from this clone: a folder, a remote's name or an address; "
                                 "only what matches its digest is taken")
                    ->filled()
                    ->type_name("CLONE")
                    ->excludes(all);
  made->add_flag(
          "--settle", options->settle,
          "Accept Git's settings, hooks, remotes and lines as they are now, and report only later changes")
      ->excludes(from);
  made->add_option(
          "--rescue", options->rescue,
          "Take everything that can still be had out into this new folder, even where no command opens "
          "the machine")
      ->filled()
      ->type_name("DIR")
      ->excludes(all)
      ->excludes(from);
  made->callback([&globals, options] {
    store::Repository::tell_losses({});  // the audit names each by itself
    const Shop shop = open_shop(globals);
    if (!options->rescue.empty()) return take_out(globals, shop, *options);
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
      const auto on_progress = [&](std::string_view stage, std::size_t done, std::size_t total) {
        Progress::step(stage, done, total, name);
      };
      audits.push_back(audit(folder, {options->from, on_progress}));
      globals.exit = std::max(globals.exit, exit_of(audits.back()));
    });
    print(globals, show::audit(audits, failures, style(globals)));
    print_failures(failures);
  });
}

}  // namespace keepway::cli
