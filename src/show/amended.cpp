// What was said of a backup afterwards: withdrawn, corrected, or taken back.
#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

std::string withdrawn_text(const Backup& backup) {
  if (!backup.withdrawn) return " is used again.\n";
  return fmt::format(
      " is withdrawn: {}\n  It stays stored, but is no longer the newest, the last good one or a baseline. "
      "The same command again takes this back.\n",
      escape(backup.withdrawn->why));
}

std::string corrected_text(const Backup& backup) {
  if (!backup.as_stored) return " reads as it was stored.\n";
  return fmt::format(
      " is corrected: by {}{}\n  It stays stored as it was. The same command again takes this back.\n",
      escape(backup.who), backup.note.empty() ? "" : ", note: " + escape(backup.note));
}

}  // namespace

Answer amended(const Context& context, const Backup& backup, const std::string& command) {
  Json json = start(command.c_str(), &context);
  json["backup"] = to_json(backup);
  return {fmt::format("Backup {} of {}{}", escape(backup_name(backup)), context.machine.name,
                      command == "withdraw" ? withdrawn_text(backup) : corrected_text(backup)),
          finish(json)};
}

}  // namespace keepway::show
