// Two machines side by side: what should be equal and is not.
#include "show/twins.hpp"

#include <fmt/format.h>

#include "show/text.hpp"

namespace keepway::show {
namespace {

// As a's namebook has it, or else b's.
std::optional<Entry> entry_of(const Context& context, const TwinFacts& facts, const Address& address) {
  auto entry = context.namebook.find(address.group, address.key);
  if (entry || facts.names_b == nullptr) return entry;
  return facts.names_b->find(address.group, address.key);
}

std::string name_of(const Context& context, const TwinFacts& facts, const TwinValue& value) {
  const auto entry = entry_of(context, facts, value.address);
  return entry ? entry->name : std::string();
}

struct Side {
  Units units;
  const Precision* precision;
};

std::string shown(const Context& context, const TwinFacts& facts, const Side& side, const Address& address,
                  const std::optional<std::string>& text) {
  if (!text) return "(none)";
  const auto entry = entry_of(context, facts, address);
  return explain_value(
      entry, side.units,
      side.precision == nullptr ? *text : written(*side.precision, entry, address.group, address.key, *text));
}
std::string shown_a(const Context& context, const TwinFacts& facts, const TwinValue& value) {
  return shown(context, facts, {facts.a.units, facts.written_a}, value.address, value.a);
}
std::string shown_b(const Context& context, const TwinFacts& facts, const TwinValue& value) {
  return shown(context, facts, {facts.b.units, facts.written_b}, value.address, value.b);
}

std::string restore_line(const TwinFacts& facts, const std::string& address) {
  return fmt::format("keepway restore {} --from {} --at '#{}' --only {} --to DIR", facts.b.name, facts.a.name,
                     facts.at_a.number, shell_quoted(escape(address)));
}

// The command that puts a's value on b; empty where there is none: between inch and mm a value is another
// length, and no row is added to a table.
std::string value_line(const TwinFacts& facts, const TwinValue& value) {
  const bool can_be = value.a && value.b && facts.a.units == facts.b.units;
  return can_be ? restore_line(facts, value.address.text()) + " --accept" : "";
}

std::string program_line(const TwinFacts& facts, const ProgramChange& change) {
  if (change.kind == ProgramChangeKind::added || facts.a.units != facts.b.units) return "";
  const std::string& name_on_a = change.before_name.empty() ? change.name : change.before_name;
  return restore_line(facts, "programs/" + name_on_a);
}

std::string values_text(const Context& context, const TwinFacts& facts) {
  if (facts.twins.values.empty()) return "";
  Grid grid;
  grid.heading({"item", "name", facts.a.name, facts.b.name});
  for (const TwinValue& value : facts.twins.values) {
    grid.row({escape(value.address.text()), escape(name_of(context, facts, value)),
              shown_a(context, facts, value), shown_b(context, facts, value)});
    if (const std::string line = value_line(facts, value); !line.empty()) grid.note(Tone::faint, line);
  }
  return fmt::format("\n{} {};\n  --accept in the lines says that you did.\n{}",
                     paint(context.style, Tone::doubtful, "!"), twins_caution, grid.text(context.style));
}

std::string twins_text(const Context& context, const TwinFacts& facts) {
  const Twins& twins = facts.twins;
  std::string text = fmt::format("{} {} and {} {}\n\n", paint(context.style, Tone::strong, facts.a.name),
                                 backup_name(facts.at_a), paint(context.style, Tone::strong, facts.b.name),
                                 backup_name(facts.at_b));
  text += not_good_text(context.style, facts.at_a) + not_good_text(context.style, facts.at_b);
  text += twins_counted(twins) + "\n";
  if (facts.a.units != facts.b.units) {
    text += fmt::format(
        "{} is in {}, {} in {}: what a namebook calls a length is compared as a length, all else as it is "
        "written\n",
        facts.a.name, units_name(facts.a.units), facts.b.name, units_name(facts.b.units));
  }
  if (twins.are_equal()) text += "Nothing that should be equal differs.\n";
  text += values_text(context, facts);
  for (const Group group : twins.only_a)
    text += fmt::format("  {}: only {} has any\n", group_name(group), facts.a.name);
  for (const Group group : twins.only_b)
    text += fmt::format("  {}: only {} has any\n", group_name(group), facts.b.name);
  for (const ProgramChange& change : twins.programs) {
    text += fmt::format("  program {}: {}\n", escape(change.name), difference_of(facts, change));
    if (const std::string line = program_line(facts, change); !line.empty())
      text += paint(context.style, Tone::faint, "      " + line + "\n");
  }
  return text;
}

Json line_json(const std::string& line) {
  return line.empty() ? Json(nullptr) : Json(line);
}

Json value_json(const Context& context, const TwinFacts& facts, const TwinValue& value,
                const std::string& line) {
  return {{"address", escape(value.address.text())},
          {"name", name_of(context, facts, value)},
          {"a", optional_text(value.a)},
          {"b", optional_text(value.b)},
          {"a_shown", shown_a(context, facts, value)},
          {"b_shown", shown_b(context, facts, value)},
          {"restore", line_json(line)}};
}

Json groups_json(const std::vector<Group>& groups) {
  Json json = Json::array();
  for (const Group group : groups) json.push_back(group_name(group));
  return json;
}

}  // namespace

std::string difference_of(const TwinFacts& facts, const ProgramChange& change) {
  switch (change.kind) {
    case ProgramChangeKind::added:
      return "only on " + facts.b.name;
    case ProgramChangeKind::removed:
      return "only on " + facts.a.name;
    case ProgramChangeKind::renamed:
      return fmt::format("named {} on {}", escape(change.before_name), facts.a.name);
    default:
      return std::string(program_change_name(change.kind));
  }
}

std::string twins_counted(const Twins& twins) {
  return fmt::format("{} equal; {} of one machine alone and {} living are left out",
                     count_of(twins.equal, "item", "items"), twins.own.size(), twins.living.size());
}

Json twins_json(const Context& context, const TwinFacts& facts) {
  const Twins& twins = facts.twins;
  Json json = start("twin", nullptr);
  json["a"] = {{"machine", facts.a.name}, {"at", to_json(facts.at_a)}};
  json["b"] = {{"machine", facts.b.name}, {"at", to_json(facts.at_b)}};
  json["equal"] = twins.equal;
  for (const char* list : {"values", "own", "living", "programs"}) json[list] = Json::array();
  for (std::size_t i = 0; i < twins.values.size(); ++i) {
    Json each = value_json(context, facts, twins.values[i], value_line(facts, twins.values[i]));
    if (i < facts.deltas.size() && !facts.deltas[i].text.empty()) {
      each["delta"] = facts.deltas[i].text;
      if (facts.deltas[i].is_mm) each["delta_unit"] = "mm";
    }
    json["values"].push_back(std::move(each));
  }
  for (const TwinValue& value : twins.own) json["own"].push_back(value_json(context, facts, value, ""));
  for (const TwinValue& value : twins.living) json["living"].push_back(value_json(context, facts, value, ""));
  json["only_a"] = groups_json(twins.only_a);
  json["only_b"] = groups_json(twins.only_b);
  for (const ProgramChange& change : twins.programs) {
    Json each = to_json(change);
    each["restore"] = line_json(program_line(facts, change));
    json["programs"].push_back(std::move(each));
  }
  return json;
}

Answer twins(const Context& context, const TwinFacts& facts) {
  return {twins_text(context, facts), finish(twins_json(context, facts))};
}

}  // namespace keepway::show
