#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli/command.hpp"

namespace keepway::cli {
namespace {

// Items at an address: the one with that key, else those below it.
Table items_at(const std::optional<Table>& table, const std::string& key) {
  Table found;
  if (!table) return found;
  for (const Item& item : *table) {
    if (key.empty() || item.key == key || item.key.starts_with(key + "/")) found.push_back(item);
  }
  return found;
}

std::string block_count(const Program& program) {
  return fmt::format("{} blocks", std::count(program.text.begin(), program.text.end(), '\n'));
}

}  // namespace

void add_show(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    std::string address;
    std::string at;
  };
  auto options = std::make_shared<Options>();
  Command made =
      command(app, "show", "Print what the machine held: a group, a table, one value, one program",
              "keepway show mill-1 offsets/work/G54 --at 2026-03-01\n  keepway show mill-1 programs/O1234");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_option("ADDRESS", options->address, "group/key[/field], or any part of it from the left");
  made->add_option("--at", options->at,
                   "'#N', a date, a mark, a trial or a Git revision; by default the newest")
      ->filled()
      ->type_name("WHEN");
  made->callback([&globals, options] {
    const Machine machine = open_shop(globals).machine(options->machine);
    const show::Context shown = context(globals, machine);
    const Backup at = backup_at(machine, options->at);
    if (options->address.empty()) {
      print(globals, show::overview(shown, at));
      return;
    }
    const Address address = address_option(machine, options->address);
    if (address.group == Group::programs && !is_unread(address.key)) {
      const State state = machine.state(at.commit);
      if (const Program* program = state.program(address.key)) {
        print(globals, show::state(shown, at, address, {}, program));
        return;
      }
      Table list;
      for (const Program& program : state.programs) {
        if (address.key.empty() || program.name.starts_with(address.key + "/"))
          list.push_back({program.name, block_count(program)});
      }
      for (Item& item : items_at(state.table(Group::programs), address.key)) list.push_back(std::move(item));
      if (!list.empty() || address.key.empty()) {
        print(globals, show::state(shown, at, address, list, nullptr));
        return;
      }
    } else {
      const Table items = items_at(machine.table(at.commit, address.group), address.key);
      if (!items.empty() || address.key.empty()) {
        print(globals, show::state(shown, at, address, items, nullptr));
        return;
      }
    }
    std::string remedy =
        fmt::format("list the group: keepway show {} {}", machine.facts().name, group_name(address.group));
    if (at.commit == machine.latest().value_or(Backup{}).commit)
      remedy = no_such_item(machine, address).remedy();
    throw Error(
        ErrorKind::usage,
        fmt::format("backup #{} of {} has no {}", at.number, machine.facts().name, escape(address.text())),
        remedy);
  });
}

}  // namespace keepway::cli
