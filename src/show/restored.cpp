#include <fmt/format.h>

#include <algorithm>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

constexpr std::size_t line_width = 100;

std::string groups_text(const LoadStep& step) {
  std::string text;
  for (const Group group : step.groups)
    text += fmt::format("{}{}", text.empty() ? "" : ", ", group_name(group));
  return text.empty() ? "no group claims it: look before you load it" : text;
}

}  // namespace

Answer restored(const Context& context, const RestoreFacts& facts) {
  const Backup& backup = facts.backup;
  std::string text = fmt::format("{}  backup {}, {}, put into {}\n",
                                 paint(context.style, Tone::strong, context.machine.name),
                                 backup_name(backup), worth_name(backup.worth), escape(facts.target));
  text += fmt::format("  {}, {}; read back, SHA-256 of each equal to what was stored\n",
                      count_of(facts.files, "file", "files"), count_of(facts.bytes, "byte", "bytes"));
  for (const std::string& reason : backup.reasons)
    text += paint(context.style, Tone::doubtful, "  ! ") + escape(reason) + "\n";

  text += "\n" + paint(context.style, Tone::doubtful, "Before you load it") + "\n";
  for (const std::string& caution : cautions()) text += "  ! " + wrap(caution, line_width, 4) + "\n";

  text += "\nChecklist, in this order\n";
  text += "  [ ] the control is the one with this " +
          (context.machine.serial.empty() ? std::string("machine's nameplate")
                                          : fmt::format("serial: {}", escape(context.machine.serial))) +
          "\n";
  text += "  [ ] what the machine holds now is backed up\n";
  Json json = start("restore", &context);
  json["backup"] = to_json(backup);
  json["to"] = escape(facts.target);
  json["files"] = facts.files;
  json["bytes"] = facts.bytes;
  json["digest"] = facts.digest;
  json["steps"] = Json::array();
  constexpr std::size_t told = 40;
  std::size_t at = 0;
  for (const LoadStep& step : facts.steps) {
    Json each;
    each["file"] = escape(step.file);
    for (const Group group : step.groups) each["groups"].push_back(group_name(group));
    each["protected_programs"] = step.protected_programs;
    json["steps"].push_back(std::move(each));
    if (++at > told) continue;
    text += fmt::format("  [ ] load {}  ({})\n", escape(step.file), groups_text(step));
    const bool parameters =
        std::find(step.groups.begin(), step.groups.end(), Group::parameters) != step.groups.end();
    if (parameters) text += "        parameter lock off before, on again after\n";
    if (step.protected_programs)
      text += "        edit lock of the protected programs off before, on again after\n";
  }
  if (at > told)
    text += fmt::format("      … and {} more files, in the same order as in the list above\n", at - told);
  text += "  [ ] power off and on, home the machine\n";
  text += fmt::format("  [ ] back the machine up again and compare: keepway inspect {} PATH\n",
                      context.machine.name);
  json["cautions"] = cautions();
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
