// The reasons that people accepted.
#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

Json reason_json(const KnownReason& reason) {
  return {{"code", escape(reason.code)},
          {"spot", escape(reason.spot)},
          {"what", escape(reason.what)},
          {"since", reason.since},
          {"accepted_at", format_time_rfc3339(reason.at)},
          {"by", escape(reason.by)}};
}

std::string reasons_text(const Context& context, const std::vector<KnownReason>& known,
                         const std::vector<KnownReason>& taken_back) {
  std::string text;
  for (const KnownReason& each : taken_back)
    text += fmt::format("Taken back: {}: {}\n", escape(each.code), escape(each.what));
  if (!taken_back.empty()) text += "The next backup that has it is doubtful again.\n\n";
  text += fmt::format(
      "{}  {}\n", paint(context.style, Tone::strong, context.machine.name),
      known.empty() ? "no accepted reasons" : count_of(known.size(), "accepted reason", "accepted reasons"));
  if (known.empty()) return text;
  Grid grid;
  grid.heading({"", "since", dated("accepted"), "by", "reason"});
  for (std::size_t i = 0; i < known.size(); ++i) {
    const KnownReason& each = known[i];
    grid.row({std::to_string(i + 1), fmt::format("#{}", each.since), format_time(each.at), escape(each.by),
              fmt::format("{}: {}", escape(each.code), escape(each.what))});
  }
  return text + "\n" + grid.text(context.style) +
         fmt::format(
             "\nA backup that has one of them is no longer doubtful because of it. To take one back: keepway "
             "reasons {} --take-back 1\n",
             context.machine.name);
}

Json reasons_json(const Context& context, const std::vector<KnownReason>& known,
                  const std::vector<KnownReason>& taken_back) {
  Json json = start("reasons", &context);
  json["reasons"] = Json::array();
  for (const KnownReason& each : known) json["reasons"].push_back(reason_json(each));
  json["taken_back"] = Json::array();
  for (const KnownReason& each : taken_back) json["taken_back"].push_back(reason_json(each));
  return json;
}

}  // namespace

Answer reasons(const Context& context, const std::vector<KnownReason>& known,
               const std::vector<KnownReason>& taken_back) {
  return {reasons_text(context, known, taken_back), finish(reasons_json(context, known, taken_back))};
}

}  // namespace keepway::show
