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

void tell_row_beside(const Address& address, const Table& table) {
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
    const Address address = address_option(machine, options->address);
    const show::Beside with = beside(machine, options->at);
    if (address.group == Group::programs && !is_unread(address.key)) {
      const State state = machine.state(at.commit);
      if (const Program* program = state.program(address.key)) {
        // Not among the program's lines: they may go into a file.
        if (!globals.json) put(stderr, show::as_of(shown, at, with));
        const auto received = options->normal ? std::nullopt : machine.received(at.commit, program->name);
        print(globals, show::state(shown, at, address, {}, program, with, received ? &*received : nullptr));
        return;
      }
      Table list;
      for (const Program& program : state.programs) {
        if (covers(address, {Group::programs, program.name}))
          list.push_back({program.name, block_count(program)});
      }
      for (Item& item : items_at(state.table(Group::programs), address)) list.push_back(std::move(item));
      if (!list.empty() || address.key.empty()) {
        print(globals, show::state(shown, at, address, list, nullptr, with));
        return;
      }
    } else {
      const auto table = machine.table(at.commit, address.group);
      const Table items = items_at(table, address);
      const bool row_of_gone =
          !items.empty() && find_item(items, address.key) == nullptr && was_item(machine, address);
      if ((!items.empty() && !row_of_gone) || address.key.empty()) {
        print(globals, show::state(shown, at, address, items, nullptr, with));
        if (items.size() == 1 && items.front().key == address.key)
          tell_row_beside(address, table ? *table : Table{});
        return;
      }
      if (row_of_gone) throw value_is_gone(machine, at, address);
    }
    std::string remedy =
        fmt::format("list the group: keepway show {} {}", machine.facts().name, group_name(address.group));
    if (at.commit == machine.newest().value_or(Backup{}).commit)
      remedy = no_such_item(machine, address).remedy();
    throw Error(
        ErrorKind::usage,
        fmt::format("backup {} of {} has no {}", name_of(at), machine.facts().name, escape(address.text())),
        remedy);
  });
}

}  // namespace keepway::cli
