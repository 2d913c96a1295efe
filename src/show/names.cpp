#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

std::string number(const std::optional<Decimal>& value) {
  return value ? value->text() : std::string();
}

Json limit(const std::optional<Decimal>& value) {
  return value ? Json(value->text()) : Json(nullptr);
}

Json entry_json(const Entry& entry) {
  Json json;
  json["address"] = escape(entry.address);
  json["name"] = escape(entry.name);
  json["unit"] = escape(entry.unit);
  json["kind"] = kind_name(entry.kind);
  json["min"] = limit(entry.min);
  json["max"] = limit(entry.max);
  json["step"] = limit(entry.step);
  json["meanings"] = Json::array();
  for (const Meaning& meaning : entry.meanings)
    json["meanings"].push_back({{"value", escape(meaning.value)}, {"name", escape(meaning.name)}});
  json["living"] = entry.living;
  json["machine_own"] = entry.own;
  json["power_cycle"] = entry.power_cycle;
  json["caution"] = escape(entry.caution);
  return json;
}

void add_row(Grid& grid, const Entry& entry) {
  const bool limits = entry.min || entry.max;
  grid.row({escape(entry.address), escape(entry.name), std::string(kind_name(entry.kind)), escape(entry.unit),
            limits ? number(entry.min) + " to " + number(entry.max) : "", number(entry.step)});
  for (const Meaning& meaning : entry.meanings)
    grid.note(Tone::plain, fmt::format("{} = {}", escape(meaning.value), escape(meaning.name)));
  std::vector<const char*> flags;
  if (entry.living) flags.push_back("living");
  if (entry.own) flags.push_back("the machine's own");
  if (entry.power_cycle) flags.push_back("takes effect after the power was off");
  if (!flags.empty()) grid.note(Tone::plain, fmt::format("{}", fmt::join(flags, ", ")));
  if (!entry.caution.empty()) grid.note(Tone::doubtful, "! " + escape(entry.caution));
}

std::string unnamed_text(const Context& context, const std::vector<Unnamed>& items) {
  constexpr std::size_t max_listed = 50;
  if (items.empty())
    return fmt::format("{}: every item of the newest backup has a name\n", context.machine.name);
  Grid grid;
  grid.heading({"item", "changes", "value"});
  for (std::size_t i = 0; i < items.size() && i < max_listed; ++i)
    grid.row({escape(items[i].address.text()), std::to_string(items[i].changes), escape(items[i].value)});
  std::string text = fmt::format("{}  {} without a name, those that changed most first\n\n",
                                 paint(context.style, Tone::strong, context.machine.name),
                                 count_of(items.size(), "item", "items"));
  text += grid.text(context.style);
  if (items.size() > max_listed)
    text += fmt::format("  and {} more (all with --json)\n", items.size() - max_listed);
  return text += fmt::format("\nName one: keepway names {} edit {} --name \"…\"\n", context.machine.name,
                             escape(items.front().address.text()));
}

}  // namespace

Answer names(const Context& context, const std::vector<Entry>& entries) {
  Grid grid;
  if (!entries.empty()) grid.heading({"address", "name", "kind", "unit", "limits", "step"});
  for (const Entry& entry : entries) add_row(grid, entry);
  Json json = start("names", &context);
  json["entries"] = Json::array();
  for (const Entry& entry : entries) json["entries"].push_back(entry_json(entry));
  return {grid.text(context.style), finish(json)};
}

Answer unnamed(const Context& context, const std::vector<Unnamed>& items) {
  Json json = start("names", &context);
  json["missing"] = Json::array();
  for (const Unnamed& item : items) {
    json["missing"].push_back(
        {{"address", escape(item.address.text())}, {"changes", item.changes}, {"value", escape(item.value)}});
  }
  return {unnamed_text(context, items), finish(json)};
}

}  // namespace keepway::show
