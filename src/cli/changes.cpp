#include <fmt/format.h>

#include <memory>

#include "cli/command.hpp"
#include "keepway/restoring.hpp"

namespace keepway::cli {
namespace {

// The newest of those that are older than it; a trial's own and those of main before it.
Backup before(const Machine& machine, const Backup& backup) {
  if (auto found = machine.before(backup)) return std::move(*found);
  throw Error(
      ErrorKind::usage,
      fmt::format("{} is the first backup of {}: there is nothing to compare it with", name_of(backup),
                  machine.facts().name),
      fmt::format("see what it holds: keepway show {} --at '{}'", machine.facts().name, name_of(backup)));
}

}  // namespace

void add_changes(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    std::string from;
    std::string to;
    bool spelling = false;
  };
  auto options = std::make_shared<Options>();
  Command made =
      command(app, "changes", "Explain the difference between two backups; by default the last two",
              "keepway changes mill-1 2026-03-01 'before ballscrew'\n  keepway changes mill-1 6 7");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_option("FROM", options->from, "'#N' or N, a date, a mark, a trial or a Git revision")->filled();
  made->add_option("TO", options->to, "The same; by default the newest backup")->filled();
  made->add_flag("--spelling", options->spelling,
                 "List the lines that are spelled otherwise and say the same");
  made->callback([&globals, options] {
    const Machine machine = open_shop(globals).machine(options->machine);
    const Backup to = backup_at(machine, options->to);
    const Backup from = options->from.empty() ? before(machine, to) : machine.resolve(options->from);
    Changes difference = machine.changes(from.commit, to.commit);
    const show::Spelling spelling{machine.spelling(from, to, difference), options->spelling};
    print(globals, show::changes(context(globals, machine), from, to, difference,
                                 read_the_same_way(machine, from, to), spelling));
    globals.exit = difference.empty() && from.digest == to.digest ? Exit::done : Exit::look;
  });
}

}  // namespace keepway::cli
