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
                              facts.a.name, facts.at_a.number, escape(value.address.text())));
      }
      json["values"].push_back({{"address", escape(value.address.text())},
                                {"name", entry ? entry->name : ""},
                                {"a", optional_text(value.a)},
                                {"b", optional_text(value.b)}});
    }
    text += "\n" + grid.text(context.style);
  }
  for (const ProgramChange& change : twins.programs) {
    text += fmt::format("  program {}: {}\n", escape(change.name),
                        change.kind == ProgramChangeKind::added     ? "only on " + facts.b.name
                        : change.kind == ProgramChangeKind::removed ? "only on " + facts.a.name
                                                                    : program_change_name(change.kind));
    if (change.kind != ProgramChangeKind::added) {
      text += paint(context.style, Tone::faint,
                    fmt::format("      keepway restore {} --from {} --at '#{}' --only programs/{} --to DIR\n",
                                facts.b.name, facts.a.name, facts.at_a.number, escape(change.name)));
    }
    json["programs"].push_back(to_json(change));
  }
  return {std::move(text), finish(json)};
}

namespace {

// Slots are numbered as they are found. Where positions of a stick hold no volume, its emulator's numbers run
// on ahead of ours: room for a whole slot between two tells.
std::string gaps_text(const std::vector<SlotFacts>& found, Style style) {
  std::uint64_t spacing = 0;
  for (std::size_t i = 1; i < found.size(); ++i) {
    const std::uint64_t apart = found[i].slot.offset - found[i - 1].slot.offset;
    if (spacing == 0 || apart < spacing) spacing = apart;
  }
  if (spacing == 0) return "";
  std::string text;
  const auto tell = [&](std::uint64_t room, const std::string& where) {
    if (room >= spacing) text += fmt::format("{}{}", text.empty() ? "" : ", ", where);
  };
  tell(found[0].slot.offset, "before slot 1");
  for (std::size_t i = 1; i < found.size(); ++i) {
    tell(found[i].slot.offset - found[i - 1].slot.offset - spacing,
         fmt::format("between slots {} and {}", found[i - 1].slot.number, found[i].slot.number));
  }
  if (text.empty()) return "";
  return fmt::format(
      "\n  {} there is room for a slot that holds no volume {}: the emulator may count it, and show\n"
      "    higher numbers than these\n",
      paint(style, Tone::doubtful, "!"), text);
}

}  // namespace

Answer slots(const std::string& path, const std::vector<SlotFacts>& found, Style style) {
  std::string text =
      fmt::format("{}  {}\n\n", paint(style, Tone::strong, escape(path)),
                  found.empty() ? "no floppy-sized volume found" : count_of(found.size(), "slot", "slots"));
  Json json = start("slots", nullptr);
  json["path"] = escape(path);
  json["slots"] = Json::array();
  constexpr std::size_t told = 6;
  const auto more = [&text](std::size_t all) {
    if (all > told) text += fmt::format("             … and {} more\n", all - told);
  };
  for (const SlotFacts& each : found) {
    const media::Slot& slot = each.slot;
    text += fmt::format("  slot {:<3} {:>9} bytes free  {}{}{}\n", slot.number, with_commas(slot.free_bytes),
                        count_of(slot.files.size(), "file", "files"),
                        slot.label.empty() ? "" : ", label " + escape(slot.label),
                        each.machine.empty()
                            ? ""
                            : fmt::format(", seems to be {}", paint(style, Tone::strong, each.machine)));
    Json entry{{"slot", slot.number},     {"offset", slot.offset}, {"size", slot.size},
               {"free", slot.free_bytes}, {"full", slot.full},     {"label", escape(slot.label)},
               {"machine", each.machine}};
    entry["files"] = Json::array();
    entry["deleted"] = Json::array();
    entry["flaws"] = Json::array();
    std::size_t count = 0;
    for (const media::SlotFile& file : slot.files) {
      if (++count <= told) {
        text += fmt::format("             {:<14} {:>10}  {}\n", escape(file.name), with_commas(file.size),
                            file.modified ? format_time(*file.modified) : "no date");
      }
      entry["files"].push_back(
          {{"name", escape(file.name)},
           {"size", file.size},
           {"modified", file.modified ? Json(format_time_rfc3339(*file.modified)) : Json(nullptr)}});
    }
    more(slot.files.size());
    if (slot.full)
      text += "             " + paint(style, Tone::doubtful, "! full: the control may have run out of room") +
              "\n";
    count = 0;
    for (const media::Deleted& file : slot.deleted) {
      if (++count <= told) {
        text += fmt::format("             {:<14} {:>10}  {}  deleted, {}\n", escape(file.name),
                            with_commas(file.size), file.modified ? format_time(*file.modified) : "no date",
                            file.recoverable ? "can be read with --recover" : "its clusters were used again");
      }
      entry["deleted"].push_back(
          {{"name", escape(file.name)},
           {"size", file.size},
           {"modified", file.modified ? Json(format_time_rfc3339(*file.modified)) : Json(nullptr)},
           {"recoverable", file.recoverable}});
    }
    more(slot.deleted.size());
    count = 0;
    for (const media::Flaw& flaw : slot.flaws) {
      if (++count <= told) {
        text += fmt::format("             {} {}{}\n", paint(style, Tone::doubtful, "!"),
                            flaw.file.empty() ? "" : escape(flaw.file) + ": ", flaw.what);
      }
      entry["flaws"].push_back({{"file", escape(flaw.file)}, {"what", flaw.what}});
    }
    more(slot.flaws.size());
    json["slots"].push_back(std::move(entry));
  }
  const std::string gaps = gaps_text(found, style);
  text += gaps;
  json["gaps"] = !gaps.empty();
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
