#include "show/json.hpp"

#include <fmt/format.h>

#include "keepway/exit.hpp"
#include "show/text.hpp"

namespace keepway::show {

Json start(const char* command, const Context* context) {
  Json json;
  json["schema"] = json_schema;
  json["command"] = command;
  if (context != nullptr) {
    json["machine"] = context->machine.name;
    json["units"] = units_name(context->machine.units);
  }
  return json;
}

// Values may hold bytes that are not UTF-8: they are given in the normal form's escapes, so that this cannot
// fail.
std::string finish(const Json& json) {
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

Json optional_text(const std::optional<std::string>& text) {
  return text ? Json(escape(*text)) : Json(nullptr);
}

Json number_json(const Backup& backup) {
  return backup.number > 0 ? Json(backup.number) : Json(nullptr);
}

Json to_json(const Backup& backup) {
  Json json;
  json["number"] = number_json(backup);
  json["name"] = escape(name_of(backup));
  json["trial"] = backup.trial.empty() ? Json(nullptr) : Json(escape(backup.trial));
  json["kept"] = backup.kept.empty() ? Json(nullptr) : Json(escape(backup.kept));
  json["withdrawn"] = nullptr;
  if (const auto& word = backup.withdrawn) {
    json["withdrawn"] = {
        {"why", escape(word->why)}, {"by", escape(word->by)}, {"at", format_time_rfc3339(word->when)}};
  }
  json["corrected"] = nullptr;
  if (const auto& was = backup.as_stored) {
    json["corrected"] = {{"by", escape(was->corrected_by)},
                         {"at", format_time_rfc3339(was->corrected)},
                         {"stored_at", format_time_rfc3339(was->at)},
                         {"stored_by", escape(was->who)},
                         {"stored_note", escape(was->note)}};
  }
  json["at"] = format_time_rfc3339(backup.at);
  json["taken"] = format_time_rfc3339(backup.taken);
  json["verdict"] = worth_name(backup.worth);
  json["accepted"] = backup.accepted;
  json["by"] = escape(backup.who);
  json["note"] = escape(backup.note);
  json["gist"] = escape(backup.gist);
  json["source"] = escape(backup.source);
  json["digest"] = backup.digest;
  json["reasons"] = backup.reasons;
  json["remedy"] = escape(backup.remedy);
  json["marks"] = backup.marks;
  json["commit"] = backup.commit;
  for (const Group group : all_groups) {
    json["counts"][std::string(group_name(group))] = backup.counts.items[static_cast<std::size_t>(group)];
  }
  json["counts"]["files"] = backup.counts.files;
  json["counts"]["bytes"] = backup.counts.bytes;
  return json;
}

Json to_json(const Place& place) {
  Json json;
  json["file"] = place.file;
  if (place.line) json["line"] = *place.line;
  if (place.byte) json["byte"] = *place.byte;
  return json;
}

Json to_json(const Verdict& verdict) {
  Json json;
  json["worth"] = worth_name(verdict.worth);
  json["reasons"] = Json::array();
  for (const Reason& reason : verdict.reasons) {
    Json each;
    each["weight"] = worth_name(reason.weight);
    each["code"] = reason.code;
    each["what"] = reason.what;
    each["remedy"] = reason.remedy;
    if (!reason.place.file.empty()) each["place"] = to_json(reason.place);
    json["reasons"].push_back(std::move(each));
  }
  json["as_before"] = Json::array();
  for (const AsBefore& each : verdict.as_before)
    json["as_before"].push_back({{"code", each.reason.code},
                                 {"what", each.reason.what},
                                 {"since", each.since},
                                 {"by", escape(each.by)}});
  for (const Group group : all_groups) {
    const auto at = static_cast<std::size_t>(group);
    json["counts"][std::string(group_name(group))] = verdict.counts.items[at];
    json["unread"][std::string(group_name(group))] = verdict.counts.unread[at];
  }
  json["counts"]["files"] = verdict.counts.files;
  json["counts"]["bytes"] = verdict.counts.bytes;
  return json;
}

std::optional<std::string> as_written(const Context& context, Group group, const std::string& key,
                                      const std::optional<std::string>& value) {
  if (!value || context.precision == nullptr) return value;
  return written(*context.precision, context.namebook.find(group, key), group, key, *value);
}

Json to_json(const ValueMeaning& meaning, const ValueChange& change) {
  Json json;
  json["address"] = escape(meaning.address);
  json["name"] = meaning.name;
  json["unit"] = meaning.unit;
  json["before"] = optional_text(change.before);
  json["after"] = optional_text(change.after);
  if (!meaning.delta.empty()) json["delta"] = meaning.delta;
  if (!meaning.other_delta.empty()) {
    json["other_delta"] = meaning.other_delta;
    json["other_unit"] = meaning.other_unit;
  }
  for (const BitChange& bit : meaning.bits) {
    json["bits"].push_back(
        {{"bit", bit.bit}, {"name", bit.name}, {"before", bit.before}, {"after", bit.after}});
  }
  json["warnings"] = meaning.warnings;
  if (!change.note.empty()) json["warnings"].push_back(escape(change.note));
  return json;
}

Json to_json(const Context& context, ValueChange change) {
  const ValueMeaning meaning = meaning_of(context, change);
  for (auto* side : {&change.before, &change.after})
    *side = as_written(context, change.group, change.key, *side);
  return to_json(meaning, change);
}

const char* program_change_name(ProgramChangeKind kind) {
  switch (kind) {
    case ProgramChangeKind::added:
      return "added";
    case ProgramChangeKind::removed:
      return "removed";
    case ProgramChangeKind::changed:
      return "changed";
    case ProgramChangeKind::comments:
      return "comments";
    case ProgramChangeKind::renumbered:
      return "renumbered";
    case ProgramChangeKind::renamed:
      return "renamed";
  }
  return "";
}

Json to_json(const ProgramChange& change) {
  Json json;
  json["program"] = escape(change.name);
  json["change"] = program_change_name(change.kind);
  if (!change.before_name.empty()) json["before_name"] = escape(change.before_name);
  if (change.renumbered > 0) json["renumbered_blocks"] = change.renumbered;
  json["blocks"] = Json::array();
  const auto escaped = [](const std::vector<std::string>& lines) {
    Json list = Json::array();
    for (const std::string& line : lines) list.push_back(escape(line));
    return list;
  };
  for (const BlockChange& block : change.blocks) {
    json["blocks"].push_back({{"before_line", block.before_line},
                              {"after_line", block.after_line},
                              {"before", escaped(block.before)},
                              {"after", escaped(block.after)},
                              {"meaning", escaped(block.meaning)}});
  }
  return json;
}

Json to_json(const Failure& failure) {
  return {{"machine", escape(failure.machine)},
          {"error", escape(failure.error.message())},
          {"remedy", escape(failure.error.remedy())},
          {"exit", static_cast<int>(exit_of(failure.error.kind()))}};
}

Answer done(const std::string& text, const std::vector<std::pair<std::string, Fact>>& facts,
            const std::vector<Failure>& failures) {
  Json json;
  json["schema"] = json_schema;
  for (const auto& [name, fact] : facts) {
    Json& value = json[name];
    std::visit([&](const auto& each) { value = each; }, fact);
  }
  std::string whole = text;
  for (const Failure& failure : failures) {
    whole += failure_text(failure);
    json["failed"].push_back(to_json(failure));
  }
  return {std::move(whole), finish(json)};
}

std::string with_lost(const std::string& json, const std::vector<Lost>& lost) {
  if (lost.empty()) return json;
  Json all = Json::parse(json);
  for (const Lost& each : lost)
    all["lost"].push_back(
        {{"machine", each.machine}, {"what", escape(each.what)}, {"backups", each.backups}});
  return finish(all);
}

std::string error_json(const Error& error) {
  Json json;
  json["schema"] = json_schema;
  json["error"]["what"] = error.what();
  json["error"]["remedy"] = error.remedy();
  json["error"]["exit"] = static_cast<int>(exit_of(error.kind()));
  if (!error.place().file.empty()) json["error"]["place"] = to_json(error.place());
  return finish(json);
}

void add_beside(Json& json, const Beside& beside) {
  json["last_good"] = beside.last_good ? to_json(*beside.last_good) : Json(nullptr);
  json["passed_over"] = Json::array();
  for (const Backup& each : beside.passed_over) json["passed_over"].push_back(to_json(each));
  json["trial"] = beside.trial.empty() ? Json(nullptr) : Json(escape(beside.trial));
}

}  // namespace keepway::show
