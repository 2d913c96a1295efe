// What a machine held: all of it counted, a group, an item, a program.
#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

std::string overview_text(const Context& context, const Backup& at, const Beside& beside) {
  std::string text = fmt::format("{}  {}", paint(context.style, Tone::strong, context.machine.name),
                                 escape(context.machine.title));
  if (!context.machine.serial.empty()) text += fmt::format(", serial {}", escape(context.machine.serial));
  text += fmt::format(", units {}\n{}\n", units_name(context.machine.units), as_of(context, at, beside));
  Grid grid;
  for (const Group group : all_groups) {
    const std::size_t count = at.counts.items[static_cast<std::size_t>(group)];
    grid.row({std::string(group_name(group)), with_commas(count)});
  }
  return text + grid.text(context.style) +
         fmt::format("\nOne group or item: keepway show {} offsets/work/G54\n", context.machine.name);
}

// A program as lines that are safe to print; the last one ends too.
std::string program_lines(const Program& program, const ReceivedProgram* received) {
  std::string lines = escape_lines(received != nullptr ? received->text : program.text.str());
  if (!lines.empty() && lines.back() != '\n') lines += '\n';
  return lines;
}

std::string items_text(const Context& context, const Backup& at, const Address& address, const Table& items,
                       const Beside& beside) {
  Grid grid;
  for (const Item& item : items) {
    const auto entry = context.namebook.find(address.group, item.key);
    grid.row({escape(item.key), explain_value(entry, context.machine.units, item.value),
              entry ? escape(entry->name) : ""});
  }
  return fmt::format("{}  {}\n{}\n", paint(context.style, Tone::strong, escape(address.text())),
                     context.machine.name, as_of(context, at, beside)) +
         grid.text(context.style);
}

Json items_json(const Context& context, const Address& address, const Table& items) {
  Json json = Json::array();
  for (const Item& item : items) {
    const Address each{address.group, item.key};
    json.push_back({{"address", escape(each.text())},
                    {"name", item_name(context, each)},
                    {"value", escape(item.value)}});
  }
  return json;
}

}  // namespace

std::string as_of(const Context& context, const Backup& at, const Beside& beside) {
  return fmt::format("  as of backup {}, {}\n{}", escape(backup_name(at)), verdict_text(at),
                     beside_text(context.style, at, beside));
}

Answer overview(const Context& context, const Backup& at, const Beside& beside) {
  Json json = start("show", &context);
  json["at"] = to_json(at);
  add_beside(json, beside);
  return {overview_text(context, at, beside), finish(json)};
}

Answer state(const Context& context, const Backup& at, const Address& address, const Table& items,
             const Program* program, const Beside& beside, const ReceivedProgram* received) {
  Json json = start("show", &context);
  json["at"] = to_json(at);
  add_beside(json, beside);
  json["address"] = escape(address.text());
  if (program == nullptr) {
    json["items"] = items_json(context, address, items);
    return {items_text(context, at, address, items, beside), finish(json)};
  }
  const std::string lines = program_lines(*program, received);
  json["program"] = lines;
  json["form"] = received != nullptr ? "received" : "normal";
  if (received != nullptr) {
    json["file"] = escape(received->file);
    json["line"] = received->line;
  }
  return {lines, finish(json)};
}

}  // namespace keepway::show
