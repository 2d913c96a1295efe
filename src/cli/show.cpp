#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli/command.hpp"
#include "cli/terminal.hpp"

namespace keepway::cli {
namespace {

// Items at an address: the one with that key, else those below it; `/*` behind it always means these.
Table items_at(const std::optional<Table>& table, const Address& address) {
  Table found;
  if (!table) return found;
  if (const Item* item = find_item(*table, address.key)) return {*item};
  for (const Item& item : *table) {
    if (covers(address, {address.group, item.key})) found.push_back(item);
  }
  return found;
}

// An item that a backup has not is still that item, and not the row that bears its name.
bool was_item(const Machine& machine, const Address& address) {
  return !address.key.empty() && !machine.when(address).empty();
}

std::string block_count(const Program& program) {
  return fmt::format("{} blocks", std::count(program.text.begin(), program.text.end(), '\n'));
}

void say_row_beside(const Address& address, const Table& table) {
  const Address row{address.group, address.key + "/*"};
  const auto more = std::count_if(table.begin(), table.end(), [&](const Item& item) {
    return covers(row, {address.group, item.key});
  });
  if (more > 0)
    put(stderr,
        fmt::format("keepway: this is the row's own value; {} has {} more\n", escape(row.text()), more));
}

Error value_is_gone(const Machine& machine, const Backup& at, const Address& address) {
  return {ErrorKind::usage,
          fmt::format(
              "backup #{} of {} has no value at {}, which had one at other times; it has a row of that name",
              at.number, machine.facts().name, escape(address.text())),
          fmt::format("for the row name {}/*; for the value's history ask 'keepway when'",
                      escape(address.text()))};
}

struct Asked {
  const Machine& machine;
  const Backup& at;
  Address address;
  bool normal = false;  // a program's normal form
  show::Beside beside;
};

// False where there is no such program.
bool show_programs(const Globals& globals, const Asked& asked) {
  const show::Context shown = context(globals, asked.machine);
  const State state = asked.machine.state(asked.at.commit);
  if (const Program* program = state.program(asked.address.key)) {
    // Not among the program's lines: they may go into a file.
    if (!globals.json) put(stderr, show::as_of(shown, asked.at, asked.beside));
    const auto received =
        asked.normal ? std::nullopt : asked.machine.received(asked.at.commit, program->name);
    print(globals, show::state(shown, asked.at, asked.address, {}, program, asked.beside,
                               received ? &*received : nullptr));
    return true;
  }
  Table list;
  for (const Program& program : state.programs) {
    if (covers(asked.address, {Group::programs, program.name}))
      list.push_back({program.name, block_count(program)});
  }
  for (Item& item : items_at(state.table(Group::programs), asked.address)) list.push_back(std::move(item));
  if (list.empty() && !asked.address.key.empty()) return false;
  print(globals, show::state(shown, asked.at, asked.address, list, nullptr, asked.beside));
  return true;
}

// False where there is no such value.
bool show_values(const Globals& globals, const Asked& asked) {
  const Address& address = asked.address;
  const auto table = asked.machine.table(asked.at.commit, address.group);
  const Table items = items_at(table, address);
  if (items.empty() && !address.key.empty()) return false;
  if (!items.empty() && find_item(items, address.key) == nullptr && was_item(asked.machine, address))
    throw value_is_gone(asked.machine, asked.at, address);
  print(globals,
        show::state(context(globals, asked.machine), asked.at, address, items, nullptr, asked.beside));
  if (items.size() == 1 && items.front().key == address.key) say_row_beside(address, *table);
  return true;
}

Error not_there(const Asked& asked) {
  const std::string& name = asked.machine.facts().name;
  const bool elsewhere = !asked.machine.search(asked.address.text()).empty();
  const bool newest = asked.at.commit == asked.machine.newest().value_or(Backup{}).commit;
  return {
      ErrorKind::usage,
      fmt::format("backup {} of {} has no {}", name_of(asked.at), name, escape(asked.address.text())),
      elsewhere ? fmt::format("other backups have it: keepway when {} {}", name, escape(asked.address.text()))
      : newest  ? no_such_item(asked.machine, asked.address).remedy()
                : fmt::format("list the group: keepway show {} {}", name, group_name(asked.address.group))};
}

}  // namespace

void add_show(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    std::string address;
    std::string at;
    bool normal = false;
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
  made->add_flag(
      "--normal", options->normal,
      "Of a program the normal form, by which texts are compared, rather than the text as received");
  made->callback([&globals, options] {
    const Machine machine = open_shop(globals).machine(options->machine);
    const show::Context shown = context(globals, machine);
    const Backup at = backup_at(machine, options->at);
    if (options->address.empty()) {
      print(globals, show::overview(shown, at, beside(machine, options->at)));
      return;
    }
    const Asked asked{machine, at, address_option(machine, options->address), options->normal,
                      beside(machine, options->at)};
    const bool program = asked.address.group == Group::programs && !is_unread(asked.address.key);
    if (!(program ? show_programs(globals, asked) : show_values(globals, asked))) throw not_there(asked);
  });
}

}  // namespace keepway::cli
