#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

std::string number(const std::optional<Decimal>& value) {
  return value ? value->text() : std::string();
}

}  // namespace

Answer names(const Context& context, const std::vector<Entry>& entries) {
  Json json = start("names", &context);
  json["entries"] = Json::array();
  Grid grid;
  if (!entries.empty()) grid.heading({"address", "name", "kind", "unit", "limits", "step"});
  for (const Entry& entry : entries) {
    Json each;
    each["address"] = escape(entry.address);
    each["name"] = escape(entry.name);
    each["unit"] = escape(entry.unit);
    each["kind"] = kind_name(entry.kind);
    each["min"] = entry.min ? Json(entry.min->text()) : Json(nullptr);
    each["max"] = entry.max ? Json(entry.max->text()) : Json(nullptr);
    each["step"] = entry.step ? Json(entry.step->text()) : Json(nullptr);
    each["meanings"] = Json::array();
    each["living"] = entry.living;
    each["machine_own"] = entry.own;
    each["power_cycle"] = entry.power_cycle;
    each["caution"] = escape(entry.caution);
    const bool limits = entry.min || entry.max;
    grid.row({escape(entry.address), escape(entry.name), std::string(kind_name(entry.kind)),
              escape(entry.unit), limits ? number(entry.min) + " to " + number(entry.max) : "",
              number(entry.step)});
    for (const Meaning& meaning : entry.meanings) {
      each["meanings"].push_back({{"value", escape(meaning.value)}, {"name", escape(meaning.name)}});
      grid.note(Tone::plain, fmt::format("{} = {}", escape(meaning.value), escape(meaning.name)));
    }
    std::vector<const char*> flags;
    if (entry.living) flags.push_back("living");
    if (entry.own) flags.push_back("the machine's own");
    if (entry.power_cycle) flags.push_back("takes effect after the power was off");
    if (!flags.empty()) grid.note(Tone::plain, fmt::format("{}", fmt::join(flags, ", ")));
    if (!entry.caution.empty()) grid.note(Tone::doubtful, "! " + escape(entry.caution));
    json["entries"].push_back(std::move(each));
  }
  return {grid.text(context.style), finish(json)};
}

Answer unnamed(const Context& context, const std::vector<Unnamed>& items) {
  constexpr std::size_t most = 50;
  Json json = start("names", &context);
  json["missing"] = Json::array();
  Grid grid;
  if (!items.empty()) grid.heading({"item", "changes", "value"});
  for (std::size_t i = 0; i < items.size(); ++i) {
    const Unnamed& item = items[i];
    json["missing"].push_back(
        {{"address", escape(item.address.text())}, {"changes", item.changes}, {"value", escape(item.value)}});
    if (i < most) grid.row({escape(item.address.text()), std::to_string(item.changes), escape(item.value)});
  }
  if (items.empty()) {
    return {fmt::format("{}: every item of the newest backup has a name\n", context.machine.name),
            finish(json)};
  }
  std::string text = fmt::format("{}  {} without a name, those that changed most first\n\n",
                                 paint(context.style, Tone::strong, context.machine.name),
                                 count_of(items.size(), "item", "items"));
  text += grid.text(context.style);
  if (items.size() > most) text += fmt::format("  and {} more (all with --json)\n", items.size() - most);
  text += fmt::format("\nName one: keepway names {} edit {} --name \"…\"\n", context.machine.name,
                      escape(items.front().address.text()));
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
