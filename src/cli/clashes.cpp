#include "keepway/clashes.hpp"

#include <fmt/format.h>

#include <memory>

#include "cli/acts.hpp"

namespace keepway::cli {
namespace {

// By what was edited, as the list names it: a number would be another clash's once one is settled, and the
// same line typed again would decide that.
std::size_t place_of(const Machine& machine, const std::string& named) {
  const std::vector<EditClash> open = open_clashes(machine.repository());
  std::vector<std::string> names;
  for (std::size_t i = 0; i < open.size(); ++i) {
    const EditClash& each = open[i];
    names.push_back(each.key.empty() ? each.file : each.key);
    if (named == names.back() || named == fmt::format("{}: {}", each.file, each.key)) return i;
  }
  for (std::string& name : names) name = escape(name);
  throw Error(
      ErrorKind::usage,
      fmt::format("{} has no open clash '{}'; it may have been settled", machine.facts().name, escape(named)),
      open.empty() ? "nothing is to be chosen" : fmt::format("open are: {}", fmt::join(names, ", ")));
}

}  // namespace

void add_clashes(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    std::string keep;
    std::string take;
    std::string by;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "clashes", "List edits of one thing on two PCs, and choose which is in force",
                         "keepway clashes mill-1\n  keepway clashes mill-1 --take variables/40");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  const Option keep =
      made->add_option("--keep", options->keep, "Keep what is in force of this, as the list names it");
  keep->filled()->type_name("WHAT");
  made->add_option("--take", options->take, "Take the other")->filled()->excludes(keep)->type_name("WHAT");
  made->add_option("--by", options->by, "Who chooses; else the user's name")->type_name("NAME");
  made->callback([&globals, options] {
    Machine machine = open_shop(globals).machine(options->machine);
    show::Settled settled;
    settled.other = !options->take.empty();
    if (const std::string& named = settled.other ? options->take : options->keep; !named.empty()) {
      const std::string by = options->by.empty() ? who() : options->by;
      settled.clash = choose(machine, {place_of(machine, named), settled.other, by, now()});
    }
    const std::vector<EditClash> open = open_clashes(machine.repository());
    if (!open.empty()) globals.exit = std::max(globals.exit, Exit::look);
    print(globals, show::clashes({machine.facts(), machine.namebook(), style(globals)}, open, settled));
  });
}

}  // namespace keepway::cli
