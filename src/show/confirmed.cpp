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
  if (!twins.values.empty()) {
    Grid grid;
    grid.heading({"item", "name", facts.a.name, facts.b.name});
    for (const TwinValue& value : twins.values) {
      const auto entry = context.namebook.find(value.address.group, value.address.key);
      grid.row({escape(value.address.text()), escape(entry ? entry->name : ""), side(value, true),
                side(value, false)});
      // Between inch and mm a value is another length: no ready line for that.
      if (value.a && facts.a.units == facts.b.units) {
        grid.note(Tone::faint,
                  fmt::format("keepway restore {} --from {} --at '#{}' --only {} --to DIR", facts.b.name,
                              facts.a.name, facts.at_a.number, shell_quoted(escape(value.address.text()))));
      }
      json["values"].push_back({{"address", escape(value.address.text())},
                                {"name", entry ? entry->name : ""},
                                {"a", optional_text(value.a)},
                                {"b", optional_text(value.b)}});
    }
    text += "\n" + grid.text(context.style);
  }
  for (const ProgramChange& change : twins.programs) {
    const std::string& name_on_a = change.before_name.empty() ? change.name : change.before_name;
    text += fmt::format("  program {}: {}\n", escape(change.name),
                        change.kind == ProgramChangeKind::added     ? "only on " + facts.b.name
                        : change.kind == ProgramChangeKind::removed ? "only on " + facts.a.name
                        : change.kind == ProgramChangeKind::renamed
                            ? fmt::format("named {} on {}", escape(change.before_name), facts.a.name)
                            : program_change_name(change.kind));
    if (change.kind != ProgramChangeKind::added) {
      text += paint(
          context.style, Tone::faint,
          fmt::format("      keepway restore {} --from {} --at '#{}' --only {} --to DIR\n", facts.b.name,
                      facts.a.name, facts.at_a.number, shell_quoted("programs/" + escape(name_on_a))));
    }
    json["programs"].push_back(to_json(change));
  }
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
