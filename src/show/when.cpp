// When a value changed, and by whom.
#include <fmt/format.h>

#include <functional>
#include <map>
#include <utility>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

// What became of a program, where it was before and is after.
std::string became(const ItemChange& change) {
  if (!change.before) return "added";
  if (!change.after) return "removed";
  const auto difference = compare_programs(*change.before, *change.after);
  if (!difference) return "changed";
  return difference->kind == ProgramChangeKind::changed
             ? "changed in " + count_of(difference->blocks.size(), "place", "places")
         : difference->kind == ProgramChangeKind::comments ? "comments changed"
                                                           : "block numbers changed";
}

bool is_program(const Address& address) {
  return address.group == Group::programs && !is_unread(address.key);
}

// "#5", "#5, doubtful": who reads a date looks no verdict up. A kept trial is what is meant: the machine may
// not hold it yet.
std::string name_with_doubt(const Backup& backup) {
  const char* note = !backup.kept.empty() ? " (meant)" : is_stood_by(backup) ? "" : ", doubtful";
  return escape(name_of(backup)) + note;
}

// "#5 (2026-03-20), doubtful, held 0; since #6 (2026-03-21) it is as it was before"
std::string put_back_text(const Context& context, const Address& address, const PutBack& each) {
  const std::string held = !each.meanwhile ? "lacked it"
                           : is_program(address)
                               ? "held another text"
                               : "held " + explain_value(context.namebook.find(address.group, address.key),
                                                         context.machine.units, *each.meanwhile);
  return fmt::format("  {} ({}), doubtful, {}; since {} ({}) it is as before that\n",
                     escape(name_of(each.from)), format_time(each.from.at), held, escape(name_of(each.back)),
                     format_time(each.back.at));
}

std::string when_text(const Context& context, const Address& address, const Folded& found) {
  const std::vector<ItemChange>& changes = found.changes;
  const std::string name = item_name(context, address);
  const std::string heading =
      fmt::format("{}{}  on {}\n\n", paint(context.style, Tone::strong, escape(address.text())),
                  name.empty() ? "" : "  " + escape(name), context.machine.name);
  if (changes.empty()) return heading + "  never seen in any backup\n";
  Grid grid;
  grid.heading({dated("date"), "backup", "old", "new", "delta", "who", "note"});
  for (const ItemChange& change : changes) {
    const ValueMeaning meaning =
        is_program(address) ? ValueMeaning()
                            : meaning_of(context, {address.group, address.key, change.before, change.after});
    const bool program = is_program(address);
    grid.row({format_time(change.backup.at), name_with_doubt(change.backup),
              program         ? ""
              : change.before ? meaning.before
                              : "(none)",
              program        ? became(change)
              : change.after ? meaning.after
                             : "(gone)",
              delta_text(meaning), escape(change.backup.who), escape(change.backup.note)});
  }
  std::string text = heading + grid.text(context.style);
  if (found.put_back.empty()) return text;
  text += "\nPassed over; --doubtful lists them with the others:\n";
  for (const PutBack& each : found.put_back) text += put_back_text(context, address, each);
  return text;
}

Json put_back_json(const PutBack& each, bool program) {
  Json json = {{"from", to_json(each.from)}, {"back", to_json(each.back)}};
  if (!program) json["meanwhile"] = each.meanwhile ? Json(escape(*each.meanwhile)) : Json(nullptr);
  return json;
}

Json when_json(const Context& context, const Address& address, const ItemChange& change) {
  Json json = {{"backup", to_json(change.backup)}};
  if (is_program(address)) {
    if (change.before && change.after) {
      if (const auto difference = compare_programs(*change.before, *change.after))
        json["change"] = to_json(*difference);
    }
    json["what"] = became(change);
    return json;
  }
  const ValueChange each{address.group, address.key, change.before, change.after};
  const Json value = to_json(meaning_of(context, each), each);
  for (const char* key : {"before", "after", "delta", "unit", "other_delta", "other_unit"}) {
    if (value.contains(key)) json[key] = value[key];
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
  // How many items were put back in each backup, the newest first.
  std::map<std::pair<std::int64_t, std::string>, std::size_t, std::greater<>> put_back;
  for (const ItemSince& each : items) {
    if (each.put_back) ++put_back[{each.put_back->at, name_of(*each.put_back)}];
    const auto entry = context.namebook.find(group, each.item.key);
    grid.row({escape(each.item.key), entry ? escape(entry->name) : "",
              explain_value(entry, context.machine.units, each.item.value), format_time(each.since.at),
              name_with_doubt(each.since), escape(each.since.who)});
  }
  std::string text =
      fmt::format("{}  {} of {}, with the backup that last changed each\n{}\n",
                  paint(context.style, Tone::strong, group_name(group)),
                  count_of(items.size(), "item", "items"), context.machine.name, as_of(context, at, beside)) +
      grid.text(context.style);
  for (const auto& [backup, count] : put_back) {
    text += fmt::format("{} {} put back in {} ({}), after doubtful backups, and dated as before those.\n",
                        count_of(count, "item", "items"), count == 1 ? "was" : "were", escape(backup.second),
                        format_time(backup.first));
  }
  return text;
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
                             {"by", escape(each.since.who)},
                             {"put_back", each.put_back ? to_json(*each.put_back) : Json(nullptr)}});
  }
  return json;
}

}  // namespace

Answer when(const Context& context, const Address& address, const Folded& found) {
  Json json = start("when", &context);
  json["address"] = escape(address.text());
  json["name"] = item_name(context, address);
  json["changes"] = Json::array();
  if (context.style.json) {
    for (const ItemChange& change : found.changes)
      json["changes"].push_back(when_json(context, address, change));
  }
  json["passed_over"] = Json::array();
  for (const PutBack& each : found.put_back)
    json["passed_over"].push_back(put_back_json(each, is_program(address)));
  return {when_text(context, address, found), finish(json)};
}

Answer hits(const Context& context, const std::string& what, const std::vector<Address>& found) {
  return {hits_text(context, what, found), finish(hits_json(context, what, found))};
}

Answer since(const Context& context, Group group, const std::vector<ItemSince>& items, const Backup& at,
             const Beside& beside) {
  return {since_text(context, group, items, at, beside),
          finish(since_json(context, group, items, at, beside))};
}

}  // namespace keepway::show
