// What each data file says.
#include "show/pages/data.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <map>

#include "show/text.hpp"

namespace keepway::show::pages {
namespace {

// What one backup's page lists in full; the rest is counted.
constexpr std::size_t most_values = 1000;
constexpr std::size_t most_program_lines = 400;
constexpr std::size_t heat_columns = 60;

const Version* version_before(const History& history, std::size_t version) {
  return version == 0 ? nullptr : &history.versions[version - 1];
}

// A program's value is recognised by its length; a table's as its owner's namebook says.
std::string shown_value(const Site& site, const History& history, const std::optional<Entry>& entry,
                        const std::optional<std::string>& value) {
  if (!value) return "";
  if (!history.is_program())
    return explain_value(entry, site.report.machine.units, written(site, history, entry, *value));
  const std::string text = site.report.text(*value);
  return count_of(static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')), "block", "blocks");
}

// Groups of which a backup changed every item from or to nothing: the backup, not the machine, lacks them.
struct Whole {
  std::array<bool, 5> gone{};
  std::array<bool, 5> come{};
};

Whole whole_groups(const Site& site, std::size_t backup) {
  const auto& before = site.report.backups[backup - 1].counts.items;
  const auto& now = site.report.backups[backup].counts.items;
  Whole whole;
  for (std::size_t i = 0; i < before.size(); ++i) {
    whole.gone[i] = before[i] > 0 && now[i] == 0;
    whole.come[i] = before[i] == 0 && now[i] > 0;
  }
  return whole;
}

void bound_blocks(Json& program) {
  std::size_t lines = 0;
  std::size_t kept = 0;
  auto& blocks = program["blocks"];
  while (kept < blocks.size() && lines < most_program_lines) {
    lines += blocks[kept]["before"].size() + blocks[kept]["after"].size();
    ++kept;
  }
  if (lines > 2 * most_program_lines && kept > 0) --kept;
  program["more"] = blocks.size() - kept;
  while (blocks.size() > kept) blocks.erase(blocks.size() - 1);
}

Json program_changes(const Site& site, const std::vector<Site::Changed>& changed) {
  State before;
  State after;
  for (const Site::Changed& each : changed) {
    const History& history = site.report.items[each.item];
    if (!history.is_program()) continue;
    const Version* old = version_before(history, each.version);
    const Version& now = history.versions[each.version];
    if (old != nullptr && old->value)
      before.programs.push_back({history.address.key, site.report.text(*old->value)});
    if (now.value) after.programs.push_back({history.address.key, site.report.text(*now.value)});
  }
  Json list = Json::array();
  for (const ProgramChange& change : compare(before, after).programs) {
    Json each = to_json(change);
    if (change.kind == ProgramChangeKind::added || change.kind == ProgramChangeKind::removed)
      each["blocks"] = Json::array();
    bound_blocks(each);
    list.push_back(std::move(each));
  }
  return list;
}

Json value_change(const Site& site, const Site::Changed& changed) {
  const History& history = site.report.items[changed.item];
  const Version* old = version_before(history, changed.version);
  return value_change(site, history, old == nullptr ? std::nullopt : old->value,
                      history.versions[changed.version].value);
}

Json backup_json(const Site& site, std::size_t place) {
  const Backup& backup = site.report.backups[place];
  Json json = to_json(backup);
  json["key"] = key_of(backup);
  json["note"] = escape_lines(backup.note);
  json["reasons"] = Json::array();
  for (const std::string& reason : backup.reasons) json["reasons"].push_back(escape(reason));
  json["marks"] = Json::array();
  for (const std::string& mark : backup.marks) json["marks"].push_back(escape(mark));
  json["kept"] = escape(backup.kept);
  json["confirmed"] = backup.confirmed;
  json["confirms"] = !backup.confirms.empty();
  json["values"] = Json::array();
  json["gone"] = Json::array();
  json["come"] = Json::array();
  json["programs"] = Json::array();
  if (place == 0) return json;
  const auto& changed = site.changes[place];
  const Whole whole = whole_groups(site, place);
  for (const Group group : all_groups) {
    const auto at = static_cast<std::size_t>(group);
    if (whole.gone[at]) json["gone"].push_back(group_name(group));
    if (whole.come[at]) json["come"].push_back(group_name(group));
  }
  std::size_t more = 0;
  for (const Site::Changed& each : changed) {
    const History& history = site.report.items[each.item];
    const auto at = static_cast<std::size_t>(history.address.group);
    if (history.is_program() || whole.gone[at] || whole.come[at]) continue;
    if (json["values"].size() < most_values) {
      json["values"].push_back(value_change(site, each));
    } else {
      ++more;
    }
  }
  json["more"] = more;
  const auto programs = static_cast<std::size_t>(Group::programs);
  if (!whole.gone[programs] && !whole.come[programs]) json["programs"] = program_changes(site, changed);
  return json;
}

// The first comment of a program: what machinists call it by.
std::string program_title(std::string_view text) {
  const std::size_t open = text.find('(');
  const std::size_t close = text.find(')', std::min(open, text.size()));
  constexpr std::size_t head = 400;
  if (open == std::string_view::npos || close == std::string_view::npos || open > head) return "";
  return escape(text.substr(open + 1, std::min<std::size_t>(close - open - 1, 80)));
}

// How often the item changed by good backups, up to a version: a memory that was lost and put back is no
// change.
std::size_t held_changes(const Site& site, const History& history, std::size_t version) {
  std::size_t changes = 0;
  auto held = held_at(history, version, site.goods);
  while (held && (held = held_before(history, *held, site.goods))) ++changes;
  return changes;
}

// Whether a version is another value than good backups had before: no memory that was lost, none put back.
bool is_held_change(const Site& site, const History& history, std::size_t version) {
  if (is_doubtful(history, version, site.goods)) return false;  // the quickest to find out
  return held_at(history, version, site.goods)->version == version;
}

// Of an item whose versions end with this one: since when good backups have it so, where that is not the
// version's own backup; or, where none has it, what the last good one had.
void add_held(Json& item, const Site& site, const History& history, std::size_t version,
              const std::optional<Entry>& entry) {
  const auto held = held_at(history, version, site.goods);
  if (!is_doubtful(history, version, site.goods)) {
    if (held->since != history.versions[version].backup) item["held"] = held->since;
    return;
  }
  item["doubtful"] = true;
  if (!held) return;
  const auto& value = history.versions[held->version].value;
  item["good"] = {{"v", shown_value(site, history, entry, value)}, {"s", held->since}};
  if (value && !history.is_program()) item["good"]["r"] = escape(written(site, history, entry, *value));
}

}  // namespace

std::string written(const Site& site, const History& history, const std::optional<Entry>& entry,
                    const std::string& value) {
  const Address& address = history.address;
  return show::written(site.report.precision, entry, address.group, address.key, value);
}

Json key_of(const Backup& backup) {
  if (backup.number > 0 && backup.trial.empty()) return backup.number;
  return escape(name_of(backup));
}

std::size_t place_of(const Report& report, const Backup& backup) {
  for (std::size_t i = report.backups.size(); i-- > 0;) {
    if (report.backups[i].commit == backup.commit) return i;
  }
  return Site::none;
}

std::string unit_of(const Site& site, const Entry& entry) {
  if (entry.unit == "length") return site.report.machine.units == Units::mm ? "mm" : "in";
  return escape(entry.unit);
}

Json value_change(const Site& site, const History& history, const std::optional<std::string>& before,
                  const std::optional<std::string>& after) {
  const auto entry = site.report.namebook.find(history.address.group, history.address.key);
  const auto as_written = [&](const std::optional<std::string>& value) {
    return value ? std::optional(written(site, history, entry, *value)) : std::nullopt;
  };
  const ValueChange change{history.address.group, history.address.key, as_written(before), as_written(after)};
  const ValueMeaning meaning = explain_change(site.report.namebook, site.report.machine.units, change.group,
                                              change.key, change.before, change.after);
  Json json = to_json(meaning, change);
  json["before_text"] = meaning.before;
  json["after_text"] = meaning.after;
  if (meaning.living) json["living"] = true;
  if (json["warnings"].empty()) json.erase("warnings");
  return json;
}

Json backups_chunk(const Site& site, std::size_t chunk) {
  Json json;
  json["first"] = site.backups.begin(chunk);
  json["backups"] = Json::array();
  for (std::size_t i = site.backups.begin(chunk); i < site.backups.end(chunk); ++i)
    json["backups"].push_back(backup_json(site, i));
  return json;
}

Json group_items(const Site& site, Group group) {
  Json items = Json::array();
  const std::size_t shown = site.report.shown ? place_of(site.report, *site.report.shown) : Site::none;
  for (std::size_t i = 0; i < site.report.items.size(); ++i) {
    const History& history = site.report.items[i];
    if (history.address.group != group) continue;
    const bool program = history.is_program();
    const auto entry = site.report.namebook.find(group, history.address.key);
    // As of the backup that is shown; an item that only later ones have is shown as theirs.
    std::size_t at = history.versions.size() - 1;
    while (at > 0 && history.versions[at].backup > shown) --at;
    const Version& last = history.versions[at];
    const Version& held = last.value || at == 0 ? last : history.versions[at - 1];
    std::string name = entry ? escape(entry->name) : "";
    if (program && name.empty() && held.value) name = program_title(site.report.text(*held.value));
    Json item = {{"k", escape(history.address.key)},
                 {"v", shown_value(site, history, entry, held.value)},
                 {"s", last.backup},
                 {"c", held_changes(site, history, at)}};
    if (!name.empty()) item["n"] = std::move(name);
    if (!program && held.value) item["r"] = escape(written(site, history, entry, *held.value));
    if (!last.value) item["gone"] = true;
    add_held(item, site, history, at, entry);
    if (last.backup > shown) item["only"] = true;
    if (entry && entry->living) item["living"] = true;
    if (site.chunk[i] != Site::none) item["h"] = site.chunk[i];
    items.push_back(std::move(item));
  }
  return {{"group", group_name(group)}, {"items", std::move(items)}};
}

Json histories_chunk(const Site& site, std::size_t chunk) {
  Json json = Json::object();
  for (std::size_t i = site.histories.begin(chunk); i < site.histories.end(chunk); ++i) {
    const History& history = site.report.items[site.history_items[i]];
    const auto entry = site.report.namebook.find(history.address.group, history.address.key);
    Json versions = Json::array();
    const bool is_plain = !entry || entry->kind == Kind::number;
    for (std::size_t version = 0; version < history.versions.size(); ++version) {
      const auto& value = history.versions[version].value;
      Json each = {history.versions[version].backup,
                   value ? Json(escape(written(site, history, entry, *value))) : Json()};
      const bool is_doubted = is_doubtful(history, version, site.goods);
      if (is_doubted || !is_plain) each.push_back(is_doubted);
      if (!is_plain)
        each.push_back(value ? Json(explain_value(entry, site.report.machine.units, *value)) : Json());
      versions.push_back(std::move(each));
    }
    Json item = {{"v", std::move(versions)}};
    if (entry) {
      if (entry->min) item["min"] = entry->min->text();
      if (entry->max) item["max"] = entry->max->text();
      item["unit"] = unit_of(site, *entry);
      if (!is_plain) item["kind"] = kind_name(entry->kind);
    }
    json[escape(history.address.text())] = std::move(item);
  }
  return json;
}

Json programs_chunk(const Site& site, std::size_t chunk) {
  Json json = Json::object();
  for (std::size_t i = site.programs.begin(chunk); i < site.programs.end(chunk); ++i) {
    const History& history = site.report.items[site.program_items[i]];
    Json versions = Json::array();
    Json texts = Json::array();
    Json received = Json::array();
    std::map<std::string, std::size_t> known;  // a text that came back is there once
    for (std::size_t v = 0; v < history.versions.size(); ++v) {
      const Version& version = history.versions[v];
      const bool is_doubted = is_doubtful(history, v, site.goods);
      if (!version.value) {
        versions.push_back({version.backup, nullptr, is_doubted});
        continue;
      }
      const auto [text, fresh] = known.try_emplace(*version.value, known.size());
      if (fresh) {
        texts.push_back(escape_lines(site.report.text(*version.value)));
        const auto came = site.report.received(version.backup, history.address.key);
        received.push_back(came ? Json(escape_lines(*came)) : Json(nullptr));
      }
      versions.push_back({version.backup, text->second, is_doubted});
    }
    json[escape(history.address.key)] = {
        {"v", std::move(versions)}, {"texts", std::move(texts)}, {"received", std::move(received)}};
  }
  return json;
}

Json heat_map(const Site& site) {
  const Report& report = site.report;
  Json json;
  json["columns"] = Json::array();
  json["rows"] = Json::array();
  // One of which nobody knows the day has no column.
  std::vector<bool> dated(report.backups.size());
  std::int64_t from = INT64_MAX;
  std::int64_t to = INT64_MIN;
  for (std::size_t i = 0; i < dated.size(); ++i) {
    dated[i] = !is_misdated(report.backups[i]);
    if (!dated[i]) continue;
    from = std::min(from, report.backups[i].at);
    to = std::max(to, report.backups[i].at);
  }
  if (from > to) return json;
  const auto most = static_cast<std::int64_t>(heat_columns);
  constexpr std::int64_t day = 86'400;
  // No finer than backups come as a rule: between two of them nothing could be seen.
  const std::int64_t width = std::max({(to - from) / most + 1, usual_interval(report.backups), day});
  const auto column_of = [&](std::size_t backup) {
    return static_cast<std::size_t>((report.backups[backup].at - from) / width);
  };
  std::vector<std::size_t> taken(static_cast<std::size_t>((to - from) / width) + 1);
  for (std::size_t i = 0; i < dated.size(); ++i) {
    if (dated[i]) ++taken[column_of(i)];
  }
  for (std::size_t i = 0; i < taken.size(); ++i)
    json["columns"].push_back({{"from", from + static_cast<std::int64_t>(i) * width}, {"backups", taken[i]}});
  for (const History& history : report.items) {
    std::map<std::size_t, std::size_t> cells;
    for (std::size_t i = 0; i < history.versions.size(); ++i) {
      const std::size_t backup = history.versions[i].backup;
      if (backup > 0 && dated[backup] && is_held_change(site, history, i)) ++cells[column_of(backup)];
    }
    if (cells.empty()) continue;
    Json row = {{"a", escape(history.address.text())}, {"n", Json("")}, {"c", Json::array()}};
    if (const auto entry = report.namebook.find(history.address.group, history.address.key))
      row["n"] = escape(entry->name);
    for (const auto& [column, count] : cells) {
      row["c"].push_back(column);
      row["c"].push_back(count);
    }
    json["rows"].push_back(std::move(row));
  }
  return json;
}

}  // namespace keepway::show::pages
