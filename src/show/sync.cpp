#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

std::string text_of(const Synced& machine) {
  if (!machine.answer)
    return fmt::format("{0}  has no remote: keepway sync {0} --to URL\n", escape(machine.machine));
  const SyncAnswer& answer = *machine.answer;
  std::string text = fmt::format("{}  with {}\n", escape(machine.machine), escape(answer.url));
  const auto line = [&](std::size_t count, const std::string& what) {
    if (count > 0) text += fmt::format("  {} {}\n", with_commas(count), what);
  };
  for (const std::string& each : answer.recorded)
    text += fmt::format("  recorded: {}, as it was edited here\n", escape(each));
  line(answer.received, "received");
  line(answer.sent, answer.rebased == 0
                        ? "sent"
                        : fmt::format("sent, {} rebased onto what others had sent", answer.rebased));
  line(answer.twice, "there already: the same files of the same time");
  for (const auto& [was, now] : answer.renumbered)
    text += fmt::format("  backup #{} of this PC is #{} now\n", escape(was), escape(now));
  for (const std::string& each : answer.came) text += fmt::format("  received: {}\n", escape(each));
  for (const std::string& each : answer.went) text += fmt::format("  sent: {}\n", escape(each));
  for (const std::string& each : answer.attention) text += fmt::format("  ! {}\n", escape(each));
  for (const EditClash& each : answer.clashes) text += fmt::format("  ! {}\n", clash_text(each));
  if (!answer.clashes.empty())
    text += fmt::format("    choose on one PC: keepway clashes {}\n", escape(machine.machine));
  const bool nothing = answer.received + answer.sent + answer.twice == 0 && answer.came.empty() &&
                       answer.went.empty() && answer.attention.empty();
  return nothing ? text + "  both sides are the same\n" : text;
}

Json json_of(const Synced& machine) {
  if (!machine.answer) return {{"machine", escape(machine.machine)}, {"remote", nullptr}};
  const SyncAnswer& answer = *machine.answer;
  const auto list = [](const std::vector<std::string>& texts) {
    Json out = Json::array();
    for (const std::string& text : texts) out.push_back(escape(text));
    return out;
  };
  Json renumbered = Json::array();
  for (const auto& [was, now] : answer.renumbered)
    renumbered.push_back({{"was", escape(was)}, {"is", escape(now)}});
  return {{"machine", escape(machine.machine)},
          {"remote", escape(answer.url)},
          {"recorded", list(answer.recorded)},
          {"received", answer.received},
          {"sent", answer.sent},
          {"laid", answer.rebased},
          {"twice", answer.twice},
          {"came", list(answer.came)},
          {"went", list(answer.went)},
          {"attention", list(answer.attention)},
          {"renumbered", std::move(renumbered)},
          {"clashes", clashes_json(answer.clashes)}};
}

}  // namespace

Answer synced(const std::vector<Synced>& machines, const std::vector<Failure>& failures) {
  std::string text;
  for (const Synced& machine : machines) text += text_of(machine);
  for (const Failure& failure : failures) text += failure_text(failure);
  Json json = start("sync", nullptr);
  json["machines"] = Json::array();
  for (const Synced& machine : machines) json["machines"].push_back(json_of(machine));
  for (const Failure& failure : failures) json["machines"].push_back(to_json(failure));
  return {text, finish(json)};
}

}  // namespace keepway::show
