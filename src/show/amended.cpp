// What was said of a backup afterwards: withdrawn, corrected, or taken back.
#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

std::string withdrawn_text(const Context& context, const Backup& before, const Backup& backup) {
  if (!backup.withdrawn)
    return before.withdrawn ? " is used again.\n" : " is not withdrawn: nothing changes.\n";
  const std::string why = escape(backup.withdrawn->why);
  if (!before.withdrawn) {
    return fmt::format(
        " is withdrawn: {}\n  It stays stored, but is no longer the newest, the last good one or a baseline. "
        "To use it again: keepway withdraw {} {} --undo\n",
        why, context.machine.name, shell_quoted(escape(name_of(backup))));
  }
  if (before.withdrawn->why == backup.withdrawn->why)
    return fmt::format(" is withdrawn already: nothing changes. The reason: {}\n", why);
  return fmt::format(" stays withdrawn, with another reason: {}\n  The reason was: {}\n", why,
                     escape(before.withdrawn->why));
}

std::string corrected_text(const Context& context, const Backup& before, const Backup& backup) {
  std::vector<std::string> said;
  const auto say = [&](const char* what, const std::string& was, const std::string& is) {
    const auto shown = [](const std::string& text) { return text.empty() ? "none" : escape(text); };
    if (was != is) said.push_back(fmt::format("{}: {} (was {})", what, shown(is), shown(was)));
  };
  if (before.at != backup.at) say("date", format_time(before.at), format_time(backup.at));
  say("by", before.who, backup.who);
  say("note", before.note, backup.note);
  if (said.empty()) return " has that date, name and note already: nothing changes.\n";
  return fmt::format(
      " is corrected: {}\n  {}\n", fmt::join(said, ", "),
      backup.as_stored
          ? fmt::format("It stays stored as it was. To take all of it back: keepway correct {} {} --undo",
                        context.machine.name, shell_quoted(escape(name_of(backup))))
          : "It reads as it was stored.");
}

// Their verdicts rest on it: good beside a wrong one, or doubtful because of it.
std::string judged_text(const Context& context, const std::vector<Backup>& judged) {
  if (judged.empty()) return "";
  std::string text = "Judged against it when they came in, and not again since:\n";
  for (const Backup& each : judged) {
    text += fmt::format("  {} ({}), {}{}\n", escape(name_of(each)), format_time(each.at),
                        worth_name(each.worth), each.accepted ? ", accepted" : "");
  }
  return text +
         fmt::format(
             "Look whether they are right: keepway history {0}. One that is wrong too: withdraw it. To "
             "judge one again: keepway intake {0} PATH --again\n",
             context.machine.name);
}

}  // namespace

Answer amended(const Context& context, const Backup& before, const Backup& backup,
               const std::vector<Backup>& judged_against, const std::string& command) {
  Json json = start(command.c_str(), &context);
  json["backup"] = to_json(backup);
  json["judged_against"] = Json::array();
  for (const Backup& each : judged_against) json["judged_against"].push_back(to_json(each));
  return {fmt::format("Backup {} of {}{}", escape(backup_name(backup)), context.machine.name,
                      command == "withdraw" ? withdrawn_text(context, before, backup)
                                            : corrected_text(context, before, backup)) +
              judged_text(context, judged_against),
          finish(json)};
}

}  // namespace keepway::show
