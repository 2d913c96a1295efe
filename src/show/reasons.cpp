// The reasons that people stood by.
#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

Json to_json(const KnownReason& reason) {
  return {{"code", escape(reason.code)},
          {"spot", escape(reason.spot)},
          {"what", escape(reason.what)},
          {"since", reason.since},
          {"accepted_at", format_time_rfc3339(reason.at)},
          {"by", escape(reason.by)}};
}

}  // namespace

Answer reasons(const Context& context, const std::vector<KnownReason>& known,
               const std::vector<KnownReason>& taken_back) {
  Json json = start("reasons", &context);
  json["reasons"] = Json::array();
  json["taken_back"] = Json::array();
  std::string text;
  for (const KnownReason& each : taken_back) {
    json["taken_back"].push_back(to_json(each));
    text += fmt::format("Taken back: {}: {}\n", escape(each.code), escape(each.what));
  }
  if (!taken_back.empty()) text += "The next backup that has it is doubtful again.\n\n";
  text += fmt::format(
      "{}  {}\n", paint(context.style, Tone::strong, context.machine.name),
      known.empty() ? "no accepted reasons" : count_of(known.size(), "accepted reason", "accepted reasons"));
  if (known.empty()) return {std::move(text), finish(json)};
  Grid grid;
  grid.heading({"", "since", "accepted", "by", "reason"});
  for (std::size_t i = 0; i < known.size(); ++i) {
    const KnownReason& each = known[i];
    json["reasons"].push_back(to_json(each));
    grid.row({std::to_string(i + 1), fmt::format("#{}", each.since), format_time(each.at), escape(each.by),
              fmt::format("{}: {}", escape(each.code), escape(each.what))});
  }
  text += "\n" + grid.text(context.style);
  text += fmt::format(
      "\nA backup that has one of them is no longer doubtful because of it. To take one back: keepway "
      "reasons {} --take-back 1\n",
      context.machine.name);
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
