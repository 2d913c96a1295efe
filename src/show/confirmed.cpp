#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

Json values_json(const Context& context, const std::vector<ValueChange>& values) {
  Json json = Json::array();
  for (const ValueChange& change : values) {
    json.push_back(to_json(explain_change(context.namebook, context.machine.units, change.group, change.key,
                                          change.before, change.after),
                           change));
  }
  return json;
}

std::string values_text(const Context& context, const std::vector<ValueChange>& values) {
  Grid grid;
  grid.heading({"item", "name", "meant", "found"});
  for (const ValueChange& change : values) {
    const ValueMeaning meaning = explain_change(context.namebook, context.machine.units, change.group,
                                                change.key, change.before, change.after);
    grid.row({escape(meaning.address), escape(meaning.name), change.before ? meaning.before : "(none)",
              change.after ? meaning.after : "(none)"});
  }
  return grid.text(context.style);
}

}  // namespace

Answer confirmed(const Context& context, const Backup& against, const Confirmation& confirmation,
                 const Inspection& inspection, const Backup* stored) {
  std::string text =
      fmt::format("{}  {} against {}\n\n", paint(context.style, Tone::strong, context.machine.name),
                  escape(inspection.set.source), backup_name(against));
  if (confirmation.full_match) {
    text += fmt::format("{}  the machine holds what was meant: {}, all alike\n",
                        paint(context.style, Tone::good, "CONFIRMED"),
                        count_of(confirmation.matching, "item", "items"));
  } else {
    text += fmt::format("{}  {} alike, but:\n", paint(context.style, Tone::bad, "NOT CONFIRMED"),
                        count_of(confirmation.matching, "item", "items"));
    if (!confirmation.differences.values.empty())
      text += values_text(context, confirmation.differences.values);
    for (const ProgramChange& change : confirmation.differences.programs) {
      text += fmt::format("  program {}: {}\n", escape(change.name), program_change_name(change.kind));
    }
    for (const Group group : confirmation.unjudged) {
      text += fmt::format("  {}: nothing is known of what was meant\n", group_name(group));
    }
    text +=
        "  do: look at each of these at the machine before it moves; load it again, or restore the item "
        "alone\n";
  }
  if (!confirmation.left_aside.empty()) {
    text +=
        "\nLeft aside, living values that differ by nature\n" + values_text(context, confirmation.left_aside);
  }
  for (const std::string& name : confirmation.renumbered)
    text += fmt::format("  program {}: block numbers differ, nothing else\n", escape(name));
  if (stored != nullptr) {
    text += fmt::format("\nStored as backup #{}, {}.\n", stored->number,
                        confirmation.full_match ? "a confirmed restore" : "a restore that is not confirmed");
  } else {
    text += "\nNothing was stored.\n";
  }
  Json json = start("confirm", &context);
  json["against"] = to_json(against);
  json["confirmed"] = confirmation.full_match;
  json["matching"] = confirmation.matching;
  json["values"] = values_json(context, confirmation.differences.values);
  json["programs"] = Json::array();
  for (const ProgramChange& change : confirmation.differences.programs)
    json["programs"].push_back(to_json(change));
  json["left_aside"] = values_json(context, confirmation.left_aside);
  json["verdict"] = to_json(inspection.verdict);
  json["stored"] = stored != nullptr ? to_json(*stored) : Json(nullptr);
  return {std::move(text), finish(json)};
}

Answer twins(const Context& context, const TwinFacts& facts) {
  const Twins& twins = facts.twins;
  std::string text = fmt::format("{} {} and {} {}\n\n", paint(context.style, Tone::strong, facts.a.name),
                                 backup_name(facts.at_a), paint(context.style, Tone::strong, facts.b.name),
                                 backup_name(facts.at_b));
  Json json = start("twin", nullptr);
  json["a"] = {{"machine", facts.a.name}, {"at", to_json(facts.at_a)}};
  json["b"] = {{"machine", facts.b.name}, {"at", to_json(facts.at_b)}};
  json["equal"] = twins.equal;
  json["values"] = Json::array();
  json["programs"] = Json::array();
  text += fmt::format("{} alike; {} own to a machine and {} living are left aside\n",
                      count_of(twins.equal, "item", "items"), twins.own.size(), twins.living.size());
  if (twins.alike()) text += "Nothing that should be equal differs.\n";
  const auto side = [&](const TwinValue& value, bool a) {
    const MachineFacts& machine = a ? facts.a : facts.b;
    const auto& text_of = a ? value.a : value.b;
    const auto entry = context.namebook.find(value.address.group, value.address.key);
    return text_of ? explain_value(entry, machine.units, *text_of) : std::string("(none)");
  };
  const auto restore_line = [&](const std::string& address) {
    return fmt::format("keepway restore {} --from {} --at '#{}' --only {} --to DIR", facts.b.name,
                       facts.a.name, facts.at_a.number, shell_quoted(escape(address)));
  };
  const auto name_of = [&](const TwinValue& value) {
    const auto entry = context.namebook.find(value.address.group, value.address.key);
    return entry ? entry->name : std::string();
  };
  const auto value_json = [&](const TwinValue& value, const std::string& line) {
    return Json{{"address", escape(value.address.text())},
                {"name", name_of(value)},
                {"a", optional_text(value.a)},
                {"b", optional_text(value.b)},
                {"a_shown", side(value, true)},
                {"b_shown", side(value, false)},
                {"restore", line.empty() ? Json(nullptr) : Json(line)}};
  };
  Grid grid;
  if (!twins.values.empty()) grid.heading({"item", "name", facts.a.name, facts.b.name});
  for (const TwinValue& value : twins.values) {
    grid.row({escape(value.address.text()), escape(name_of(value)), side(value, true), side(value, false)});
    // Between inch and mm a value is another length, and no row is added to a table: no ready line for these.
    const bool can_be = value.a && value.b && facts.a.units == facts.b.units;
    const std::string line = can_be ? restore_line(value.address.text()) + " --accept" : "";
    if (can_be) grid.note(Tone::faint, line);
    json["values"].push_back(value_json(value, line));
  }
  if (!twins.values.empty()) {
    text += fmt::format(
        "\n{} What is right on one machine may be wrong on its twin: check each value before it goes in;\n"
        "  --accept in the lines says that you did.\n{}",
        paint(context.style, Tone::doubtful, "!"), grid.text(context.style));
  }
  json["own"] = Json::array();
  json["living"] = Json::array();
  for (const TwinValue& value : twins.own) json["own"].push_back(value_json(value, ""));
  for (const TwinValue& value : twins.living) json["living"].push_back(value_json(value, ""));
  const auto tell_groups = [&](const char* key, const std::vector<Group>& groups,
                               const std::string& machine) {
    json[key] = Json::array();
    for (const Group group : groups) {
      json[key].push_back(group_name(group));
      text += fmt::format("  {}: only {} has any\n", group_name(group), machine);
    }
  };
  tell_groups("only_a", twins.only_a, facts.a.name);
  tell_groups("only_b", twins.only_b, facts.b.name);
  for (const ProgramChange& change : twins.programs) {
    const std::string& name_on_a = change.before_name.empty() ? change.name : change.before_name;
    text += fmt::format("  program {}: {}\n", escape(change.name),
                        change.kind == ProgramChangeKind::added     ? "only on " + facts.b.name
                        : change.kind == ProgramChangeKind::removed ? "only on " + facts.a.name
                        : change.kind == ProgramChangeKind::renamed
                            ? fmt::format("named {} on {}", escape(change.before_name), facts.a.name)
                            : program_change_name(change.kind));
    Json each = to_json(change);
    each["restore"] = nullptr;
    if (change.kind != ProgramChangeKind::added) {
      const std::string line = restore_line("programs/" + name_on_a);
      text += paint(context.style, Tone::faint, "      " + line + "\n");
      each["restore"] = line;
    }
    json["programs"].push_back(std::move(each));
  }
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
