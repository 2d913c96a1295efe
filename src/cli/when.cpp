#include <fmt/format.h>

#include <memory>

#include "cli/command.hpp"

namespace keepway::cli {
namespace {

Group group_option(const std::string& name) {
  const auto group = parse_group(name);
  if (!group) {
    throw Error(ErrorKind::usage, fmt::format("'{}' is not a group", escape(name)),
                "name parameters, settings, offsets, variables or programs");
  }
  return *group;
}

}  // namespace

void add_when(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    std::string what;
    std::string group;
    bool doubtful = false;
  };
  auto options = std::make_shared<Options>();
  Command made =
      command(app, "when", "Show when an item changed, from what to what; or date all items of a group",
              "keepway when mill-1 offsets/work/G54/X\n  keepway when mill-1 \"screw lead\"\n  keepway when "
              "mill-1 --all parameters");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  Option what = made->add_option("WHAT", options->what, "An address, or any part of a name in the namebook");
  made->add_option("--all", options->group, "Each item of a group, with the date it was last changed")
      ->type_name("GROUP")
      ->excludes(what);
  made->add_flag("--doubtful", options->doubtful,
                 "Count too what doubtful backups alone held, where the value came back as it was");
  made->callback([&globals, options] {
    const Machine machine = open_shop(globals).machine(options->machine);
    const show::Context shown = context(globals, machine);
    if (!options->group.empty()) {
      const Group group = group_option(options->group);
      const auto at = machine.shown();
      const bool main = at && at->trial.empty();
      print(globals, show::since(shown, group, machine.since(group, options->doubtful), at.value_or(Backup{}),
                                 main ? beside(machine, "") : show::Beside()));
      return;
    }
    if (options->what.find_first_not_of(" \t\r\n") == std::string::npos) {
      throw Error(ErrorKind::usage, "no item is named",
                  "name an address or a part of a name, or a group with --all GROUP");
    }
    std::optional<Address> address = typed_address(machine, options->what);
    auto hits = machine.search(address ? address->text() : options->what);
    if (hits.empty() && address && !address->key.empty()) {
      address = as_the_reader_spells(machine, *address);
      hits = machine.search(address->text());
    }
    if (hits.empty()) hits = machine.loosely_named(options->what);
    if (hits.empty() && address && !address->key.empty()) throw no_such_item(machine, *address);
    if (hits.empty()) {
      throw Error(ErrorKind::usage,
                  fmt::format("no item of {} is called '{}'", machine.facts().name, escape(options->what)),
                  fmt::format("see which groups it has: keepway show {}", machine.facts().name));
    }
    if (hits.size() > 1) {
      print(globals, show::hits(shown, options->what, hits));
      globals.exit = Exit::look;
      return;
    }
    Folded found{machine.when(hits.front()), {}};
    if (!options->doubtful) found = machine.without_doubtful(std::move(found.changes));
    print(globals, show::when(shown, hits.front(), found));
    if (found.changes.empty()) globals.exit = Exit::look;
  });
}

}  // namespace keepway::cli
