#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

Json values_json(const Context& context, const std::vector<ValueChange>& values) {
  Json json = Json::array();
  for (const ValueChange& change : values) json.push_back(to_json(context, change));
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

std::string confirmed_text(const Context& context, const Backup& against, const Confirmation& confirmation,
                           const Inspection& inspection, const ConfirmedAs& as) {
  std::string text =
      fmt::format("{}  {} against {}\n\n", paint(context.style, Tone::strong, context.machine.name),
                  escape(inspection.set.source), backup_name(against));
  if (confirmation.full_match) {
    text += fmt::format("{}  the machine holds what was meant: {}, all equal\n",
                        paint(context.style, Tone::good, "CONFIRMED"),
                        count_of(confirmation.matching, "item", "items"));
  } else {
    text += fmt::format("{}  {} equal, but:\n", paint(context.style, Tone::bad, "NOT CONFIRMED"),
                        count_of(confirmation.matching, "item", "items"));
    if (!confirmation.differences.values.empty())
      text += values_text(context, confirmation.differences.values);
    for (const ProgramChange& change : confirmation.differences.programs) {
      text += fmt::format("  program {}: {}\n", escape(change.name), program_change_name(change.kind));
    }
    for (const Group group : confirmation.unjudged) {
      text += fmt::format("  {}: it is not known what was meant\n", group_name(group));
    }
    text +=
        "  do: look at each of these at the machine before it moves; load it again, or restore the item "
        "alone\n";
  }
  if (confirmation.full_match && inspection.sums.digest == against.digest) {
    text += fmt::format(
        "  every file is byte for byte as in {}: make sure that the control wrote these files, and not "
        "'restore'\n",
        escape(name_of(against)));
  }
  if (!confirmation.left_aside.empty()) {
    text += "\nLeft out: living values, which change by themselves\n" +
            values_text(context, confirmation.left_aside);
  }
  for (const std::string& name : confirmation.renumbered)
    text += fmt::format("  program {}: block numbers differ, nothing else\n", escape(name));
  if (const auto heavy = doubts_text(context, inspection.verdict); !heavy.empty())
    text += fmt::format("\nWhat speaks against this backup\n{}", heavy);
  const char* what = confirmation.full_match ? "a confirmed restore" : "a restore that is not confirmed";
  if (as.stored != nullptr) {
    text += fmt::format("\nStored as backup {}, {}.\n", escape(name_of(*as.stored)), what);
  } else if (as.already != nullptr) {
    text += fmt::format("\nStored already as backup {}, {}. Nothing was stored.\n",
                        escape(name_of(*as.already)), what);
  } else {
    text += "\nNothing was stored.\n";
  }
  return text;
}

Json confirmed_json(const Context& context, const Backup& against, const Confirmation& confirmation,
                    const Inspection& inspection, const ConfirmedAs& as) {
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
  json["stored"] = as.stored != nullptr ? to_json(*as.stored) : Json(nullptr);
  if (as.already != nullptr) json["already"] = to_json(*as.already);
  return json;
}

}  // namespace

Answer confirmed(const Context& context, const Backup& against, const Confirmation& confirmation,
                 const Inspection& inspection, const ConfirmedAs& as) {
  return {confirmed_text(context, against, confirmation, inspection, as),
          finish(confirmed_json(context, against, confirmation, inspection, as))};
}

}  // namespace keepway::show
