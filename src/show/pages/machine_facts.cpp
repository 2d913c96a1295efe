// What the first page of a machine's report says of it.
#include <fmt/format.h>

#include <map>

#include "keepway/status.hpp"
#include "show/pages/data.hpp"
#include "show/text.hpp"

namespace keepway::show::pages {
namespace {

char worth_letter(const Backup& backup) {
  const char letter = worth_name(backup.worth).front();
  return backup.accepted ? static_cast<char>(letter - 'a' + 'A') : letter;
}

// Backups that nobody may rely on, with the gravest of the reasons.
Json doubts(const Site& site) {
  Json list = Json::array();
  for (std::size_t i = 0; i < site.report.backups.size(); ++i) {
    const Backup& backup = site.report.backups[i];
    if (is_stood_by(backup)) continue;
    list.push_back({i, backup.reasons.empty() ? "" : escape(backup.reasons.front()), escape(backup.remedy)});
  }
  return list;
}

// Columns with a value for each backup.
void add_backups(Json& json, const Site& site) {
  const Report& report = site.report;
  json["number"] = Json::array();
  json["at"] = Json::array();
  json["changes"] = Json::array();
  json["marks"] = Json::array();
  json["people"] = Json::array();
  json["by"] = Json::array();
  std::map<std::string, std::size_t> people;
  json["withdrawn"] = Json::array();
  std::string worth;
  for (std::size_t i = 0; i < report.backups.size(); ++i) {
    const Backup& backup = report.backups[i];
    const auto [person, fresh] = people.try_emplace(backup.who, people.size());
    if (fresh) json["people"].push_back(escape(backup.who));
    json["by"].push_back(person->second);
    json["number"].push_back(key_of(backup));
    if (backup.withdrawn) json["withdrawn"].push_back(i);
    json["at"].push_back(backup.at);
    json["changes"].push_back(site.changes[i].size());
    worth += worth_letter(backup);
    for (const std::string& mark : backup.marks)
      json["marks"].push_back({{"name", escape(mark)}, {"backup", i}});
  }
  json["worth"] = worth;
}

// Those dated wrongly, and days without a backup between the others.
void add_dates(Json& json, const Report& report) {
  json["misdated"] = Json::array();
  std::vector<Backup> dated;
  for (std::size_t i = 0; i < report.backups.size(); ++i) {
    if (is_misdated(report.backups[i])) {
      json["misdated"].push_back(i);
    } else {
      dated.push_back(report.backups[i]);
    }
  }
  json["usual"] = usual_interval(dated);
  json["gaps"] = Json::array();
  for (const Gap& gap : gaps(dated, report.machine.backup_every_days, report.made))
    json["gaps"].push_back({{"from", gap.from}, {"to", gap.to}, {"missing", gap.missing}});
}

void add_trials(Json& json, const Report& report) {
  json["trials"] = Json::array();
  for (const Trial& trial : report.trials) {
    const std::size_t base = place_of(report, trial.base);
    json["trials"].push_back({{"name", escape(trial.name)},
                              {"begun", trial.begun},
                              {"by", escape(trial.who)},
                              {"note", escape_lines(trial.note)},
                              {"base", escape(name_of(trial.base))},
                              {"base_place", base == Site::none ? Json(nullptr) : Json(base)},
                              {"backups", trial.backups},
                              {"in_progress", trial.in_progress}});
  }
}

Json groups_json(const Report& report) {
  Json groups = Json::array();
  for (const Group group : all_groups) {
    std::size_t items = 0;
    for (const History& history : report.items)
      items += history.address.group == group && history.versions.back().value ? 1U : 0U;
    groups.push_back({{"name", group_name(group)}, {"items", items}});
  }
  return groups;
}

}  // namespace

Json machine_facts(const Site& site) {
  const Report& report = site.report;
  Json json = start("report", nullptr);
  json["machine"] = report.machine.name;
  json["title"] = escape(report.machine.title);
  json["serial"] = escape(report.machine.serial);
  json["units"] = units_name(report.machine.units);
  json["line"] = line_title(report.line);
  json["shop"] = escape(site.options.shop);
  json["tip"] = report.tip;
  json["made"] = report.made;
  add_backups(json, site);
  const auto place = [&](const std::optional<Backup>& backup) {
    const std::size_t found = backup ? place_of(report, *backup) : Site::none;
    return found == Site::none ? Json(nullptr) : Json(found);
  };
  json["newest"] = place(report.newest);
  json["good"] = place(report.last_good);
  json["shown"] = place(report.shown);
  if (report.machine.backup_every_days) json["every_days"] = *report.machine.backup_every_days;
  json["doubts"] = doubts(site);
  json["battery"] = Json::object();
  if (const Battery& battery = report.machine.battery; battery.changed) {
    json["battery"] = {{"changed", *battery.changed}, {"due", *battery.due()}};
  }
  add_dates(json, report);
  add_trials(json, report);
  json["groups"] = groups_json(report);
  json["chunks"] = {{"backups", site.backups.first}};
  return json;
}

}  // namespace keepway::show::pages
