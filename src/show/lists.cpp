#include <fmt/format.h>

#include <algorithm>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

void add_beside(Json& json, const Beside& beside) {
  json["last_good"] = beside.last_good ? to_json(*beside.last_good) : Json(nullptr);
  json["passed_over"] = Json::array();
  for (const Backup& each : beside.passed_over) json["passed_over"].push_back(to_json(each));
  json["trial"] = beside.trial.empty() ? Json(nullptr) : Json(escape(beside.trial));
}

std::string rewritten_text(const Context& context, const std::vector<store::CommitInfo>& rewritten) {
  if (rewritten.empty()) return "";
  std::string text;
  for (const store::CommitInfo& each : rewritten) {
    text += paint(context.style, Tone::doubtful,
                  fmt::format("! {} of {} is not a backup: rewritten by Git ({})\n", each.id.substr(0, 10),
                              format_time(each.at), escape(each.summary)));
  }
  return text +
         fmt::format("  put the branch in order: keepway hooks {} --in-order\n\n", context.machine.name);
}

void add_row(Grid& grid, const Backup& backup, bool all_reasons) {
  const std::string name = name_of(backup);
  grid.row({backup.withdrawn ? fmt::format("-{}-", escape(name)) : escape(name), format_time(backup.at),
            verdict_text(backup), escape(backup.who), escape(backup.gist)},
           backup.withdrawn ? Tone::struck : Tone::plain);
  for (std::string& said : said_of(backup)) grid.note(Tone::plain, std::move(said));
  if (!backup.marks.empty())
    grid.note(Tone::strong,
              fmt::format("marked: {}", escape(fmt::format("{}", fmt::join(backup.marks, ", ")))));
  if (!backup.note.empty()) grid.note(Tone::plain, fmt::format("note: {}", escape(backup.note)));
  const std::size_t shown =
      all_reasons ? backup.reasons.size() : std::min<std::size_t>(1, backup.reasons.size());
  for (std::size_t i = 0; i < shown; ++i) {
    std::string line = "! " + escape(backup.reasons[i]);
    if (shown < backup.reasons.size())
      line += fmt::format("  (and {} more: --reasons)", backup.reasons.size() - shown);
    grid.note(tone_of(backup.worth), std::move(line));
  }
  if (shown > 0 && !backup.remedy.empty()) grid.note(Tone::plain, "do: " + escape(backup.remedy));
}

std::string history_text(const Context& context, const std::vector<Backup>& backups,
                         const std::vector<store::CommitInfo>& rewritten, bool all_reasons) {
  Grid grid;
  if (!backups.empty()) grid.heading({"backup", dated("date"), "verdict", "who", "changes"});
  for (const Backup& backup : backups) add_row(grid, backup, all_reasons);
  return fmt::format("{}  {}\n\n", paint(context.style, Tone::strong, context.machine.name),
                     backups.empty() ? "no backups yet" : count_of(backups.size(), "backup", "backups")) +
         rewritten_text(context, rewritten) + grid.text(context.style);
}

Json history_json(const Context& context, const std::vector<Backup>& backups,
                  const std::vector<store::CommitInfo>& rewritten) {
  Json json = start("history", &context);
  json["backups"] = Json::array();
  for (const Backup& backup : backups) json["backups"].push_back(to_json(backup));
  json["rewritten"] = Json::array();
  for (const store::CommitInfo& each : rewritten) {
    json["rewritten"].push_back({{"commit", each.id},
                                 {"at", format_time_rfc3339(each.at)},
                                 {"by", escape(each.author)},
                                 {"summary", escape(each.summary)}});
  }
  return json;
}

std::string hits_text(const Context& context, const std::string& what, const std::vector<Address>& found) {
  Grid grid;
  for (const Address& address : found)
    grid.row({escape(address.text()), escape(item_name(context, address))});
  return fmt::format("'{}' could be any of {} items; name one by its address:\n{}", escape(what),
                     found.size(), grid.text(context.style));
}

Json hits_json(const Context& context, const std::string& what, const std::vector<Address>& found) {
  Json json = start("when", &context);
  json["what"] = escape(what);
  json["hits"] = Json::array();
  for (const Address& address : found)
    json["hits"].push_back({{"address", escape(address.text())}, {"name", item_name(context, address)}});
  return json;
}

std::string since_text(const Context& context, Group group, const std::vector<ItemSince>& items,
                       const Backup& at, const Beside& beside) {
  Grid grid;
  grid.heading({"item", "name", "value", dated("since"), "backup", "who"});
  for (const ItemSince& each : items) {
    const auto entry = context.namebook.find(group, each.item.key);
    grid.row({escape(each.item.key), entry ? escape(entry->name) : "",
              explain_value(entry, context.machine.units, each.item.value), format_time(each.since.at),
              escape(name_of(each.since)), escape(each.since.who)});
  }
  return fmt::format("{}  {} of {}, with the backup that last changed each\n{}\n",
                     paint(context.style, Tone::strong, group_name(group)),
                     count_of(items.size(), "item", "items"), context.machine.name,
                     as_of(context, at, beside)) +
         grid.text(context.style);
}

Json since_json(const Context& context, Group group, const std::vector<ItemSince>& items, const Backup& at,
                const Beside& beside) {
  Json json = start("when", &context);
  json["at"] = to_json(at);
  add_beside(json, beside);
  json["group"] = group_name(group);
  json["items"] = Json::array();
  for (const ItemSince& each : items) {
    const Address address{group, each.item.key};
    json["items"].push_back({{"address", escape(address.text())},
                             {"name", item_name(context, address)},
                             {"value", escape(each.item.value)},
                             {"since", format_time_rfc3339(each.since.at)},
                             {"backup", number_json(each.since)},
                             {"verdict", worth_name(each.since.worth)},
                             {"by", escape(each.since.who)}});
  }
  return json;
}

std::string withdrawn_text(const Backup& backup) {
  if (!backup.withdrawn) return " is used again.\n";
  return fmt::format(
      " is withdrawn: {}\n  It stays stored, but is no longer the newest, the last good one or a baseline. "
      "The same command again takes this back.\n",
      escape(backup.withdrawn->why));
}

std::string corrected_text(const Backup& backup) {
  if (!backup.as_stored) return " reads as it was stored.\n";
  return fmt::format(
      " is corrected: by {}{}\n  It stays stored as it was. The same command again takes this back.\n",
      escape(backup.who), backup.note.empty() ? "" : ", note: " + escape(backup.note));
}

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

Answer history(const Context& context, const std::vector<Backup>& backups,
               const std::vector<store::CommitInfo>& rewritten, bool all_reasons) {
  if (context.style.json) return {"", finish(history_json(context, backups, rewritten))};
  return {history_text(context, backups, rewritten, all_reasons), ""};
}

Answer hits(const Context& context, const std::string& what, const std::vector<Address>& found) {
  return {hits_text(context, what, found), finish(hits_json(context, what, found))};
}

Answer since(const Context& context, Group group, const std::vector<ItemSince>& items, const Backup& at,
             const Beside& beside) {
  return {since_text(context, group, items, at, beside),
          finish(since_json(context, group, items, at, beside))};
}

std::string as_of(const Context& context, const Backup& at, const Beside& beside) {
  return fmt::format("  as of backup {}, {}\n{}", escape(backup_name(at)), verdict_text(at),
                     beside_text(context.style, at, beside));
}

Answer amended(const Context& context, const Backup& backup, const std::string& command) {
  Json json = start(command.c_str(), &context);
  json["backup"] = to_json(backup);
  return {fmt::format("Backup {} of {}{}", escape(backup_name(backup)), context.machine.name,
                      command == "withdraw" ? withdrawn_text(backup) : corrected_text(backup)),
          finish(json)};
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
