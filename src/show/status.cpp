#include <fmt/format.h>

#include "keepway/time.hpp"
#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

std::string day(std::int64_t at) {
  return format_time(at).substr(0, 10);
}

std::string days(std::int64_t seconds) {
  const std::int64_t whole = std::max<std::int64_t>(seconds, 0) / day_seconds;
  return fmt::format("{} {}", whole, whole == 1 ? "day" : "days");
}

std::string overdue(std::int64_t seconds) {
  return seconds < day_seconds ? "due today" : days(seconds) + " overdue";
}

std::string backup_cell(const MachineStatus& status, std::int64_t now) {
  if (!status.last_good) return status.newest ? "none good" : "none yet";
  std::string text = fmt::format("{} {}, {} old", name_of(*status.last_good), day(status.last_good->at),
                                 days(now - status.last_good->at));
  if (status.backup_every_days) text += fmt::format(" of {}", *status.backup_every_days);
  return text;
}

std::string verdict_cell(const MachineStatus& status) {
  if (!status.newest) return "";
  std::string text(worth_name(status.newest->worth));
  if (status.newest->accepted) text += ", accepted";
  return text;
}

std::string battery_cell(const MachineStatus& status) {
  const auto due = status.battery.due();
  return due ? fmt::format("due {}", day(*due)) : "not recorded";
}

std::string confirmed_cell(const MachineStatus& status) {
  if (!status.last_confirming) return "none";
  return fmt::format("{}, last {}", status.confirmed, day(status.last_confirming->at));
}

void add_notes(Grid& grid, const MachineStatus& status, std::int64_t now) {
  if (status.is_backup_due(now)) {
    grid.note(Tone::bad, !status.last_good ? "! a backup is due: there is no good one yet"
                                           : "! a backup is " + overdue(now - *status.backup_due));
  }
  if (status.battery.is_due(now)) {
    grid.note(Tone::bad, fmt::format("! its battery is {}: change it with the control on, then "
                                     "'keepway battery {} --changed DATE'",
                                     overdue(now - *status.battery.due()), escape(status.name)));
  }
  if (status.clashes > 0) {
    grid.note(Tone::bad, fmt::format("! {} of two PCs: keepway clashes {}",
                                     count_of(status.clashes, "clash of edits", "clashes of edits"),
                                     escape(status.name)));
  }
  if (!status.trial.empty())
    grid.note(Tone::strong, fmt::format("trial {} is in progress", escape(status.trial)));
  for (const std::string& paused : status.paused) {
    grid.note(Tone::plain, fmt::format("trial {} is paused on this PC: keepway trial {} list", escape(paused),
                                       escape(status.name)));
  }
  const Backup* doubtful = status.doubtful();
  if (doubtful == nullptr || doubtful->reasons.empty()) return;
  const auto& reasons = doubtful->reasons;
  std::string line =
      fmt::format("! the newest, {}, is not good: {}", name_of(*doubtful), escape(reasons.front()));
  if (reasons.size() > 1) line += fmt::format("  (and {} more)", reasons.size() - 1);
  grid.note(tone_of(doubtful->worth), std::move(line));
  if (!doubtful->remedy.empty()) grid.note(Tone::plain, "do: " + escape(doubtful->remedy));
}

Json backup_json(const std::optional<Backup>& backup) {
  return backup ? to_json(*backup) : Json(nullptr);
}

Json time_json(const std::optional<std::int64_t>& at) {
  return at ? Json(format_time_rfc3339(*at)) : Json(nullptr);
}

void add_battery(Json& json, const Battery& battery, std::int64_t now) {
  const auto due = battery.due();
  json["changed"] = battery.changed ? Json(day(*battery.changed)) : Json(nullptr);
  json["every_months"] = battery.every_months;
  json["due_at"] = due ? Json(day(*due)) : Json(nullptr);
  json["due"] = battery.is_due(now);
}

Json status_json(const MachineStatus& status, std::int64_t now) {
  Json json;
  json["machine"] = escape(status.name);
  json["title"] = escape(status.title);
  json["due"] = status.is_due(now);
  if (!status.trouble.empty()) {
    json["trouble"] = {{"what", escape(status.trouble)}, {"remedy", escape(status.remedy)}};
    return json;
  }
  json["last_good"] = backup_json(status.last_good);
  json["newest"] = backup_json(status.newest);
  json["doubtful"] = status.doubtful() != nullptr;
  json["trial"] = status.trial.empty() ? Json(nullptr) : Json(escape(status.trial));
  json["on_trial"] = backup_json(status.on_trial);
  json["paused"] = Json::array();
  for (const std::string& paused : status.paused) json["paused"].push_back(escape(paused));
  json["backup"]["every_days"] = status.backup_every_days ? Json(*status.backup_every_days) : Json(nullptr);
  // A machine that has no good backup was always due.
  json["backup"]["due_at"] = status.last_good ? time_json(status.backup_due) : Json(nullptr);
  json["backup"]["due"] = status.is_backup_due(now);
  add_battery(json["battery"], status.battery, now);
  json["clashes"] = status.clashes;
  json["confirmed_restores"]["count"] = status.confirmed;
  json["confirmed_restores"]["last"] = backup_json(status.last_confirming);
  return json;
}

std::string status_text(const std::vector<MachineStatus>& machines, std::int64_t now, std::size_t due,
                        Style style) {
  if (machines.empty()) return "no machines yet: keepway enroll MACHINE --layout NAME|FILE.toml\n";
  Grid grid;
  grid.heading({"machine", "last good backup", "newest", "battery", "restores confirmed"});
  for (const MachineStatus& status : machines) {
    if (!status.trouble.empty()) {
      grid.row({escape(status.name), "cannot be read"});
      grid.note(Tone::bad, "! " + escape(status.trouble));
      if (!status.remedy.empty()) grid.note(Tone::plain, "what to do: " + escape(status.remedy));
      continue;
    }
    grid.row({escape(status.name), backup_cell(status, now), verdict_cell(status), battery_cell(status),
              confirmed_cell(status)});
    add_notes(grid, status, now);
  }
  return fmt::format("{}, {}\n\n", count_of(machines.size(), "machine", "machines"),
                     due == 0 ? "nothing is due" : fmt::format("{} to look at", due)) +
         grid.text(style);
}

std::string battery_text(const Context& context, std::int64_t now) {
  const Battery& battery = context.machine.battery;
  const std::string machine = paint(context.style, Tone::strong, context.machine.name);
  if (!battery.changed) {
    return machine + fmt::format(
                         "  it is not recorded when its battery was changed\n"
                         "  record it: keepway battery {} --changed DATE\n",
                         context.machine.name);
  }
  const std::int64_t due = *battery.due();
  return machine + fmt::format("  battery changed {}, due {} ({})\n", day(*battery.changed), day(due),
                               battery.is_due(now) ? overdue(now - due) : "in " + days(due - now));
}

Json battery_json(const Context& context, std::int64_t now) {
  Json json = start("battery", &context);
  add_battery(json, context.machine.battery, now);
  return json;
}

}  // namespace

Answer status(const std::vector<MachineStatus>& machines, std::int64_t now, Style style) {
  Json json = start("status", nullptr);
  json["at"] = format_time_rfc3339(now);
  json["machines"] = Json::array();
  std::size_t due = 0;
  for (const MachineStatus& status : machines) {
    json["machines"].push_back(status_json(status, now));
    due += status.is_due(now) ? 1 : 0;
  }
  json["due"] = due;
  return {status_text(machines, now, due, style), finish(json)};
}

Answer battery(const Context& context, std::int64_t now) {
  return {battery_text(context, now), finish(battery_json(context, now))};
}

}  // namespace keepway::show
