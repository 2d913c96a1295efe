// The machine at a glance: the last changes that matter, and what creeps most.
#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "show/pages/data.hpp"

namespace keepway::show::pages {
namespace {

// What a person takes in at once; the rest is counted, and a click away.
constexpr std::size_t most_backups = 6;
constexpr std::size_t most_entries = 5;
constexpr std::size_t most_drifts = 6;

// A change between two values that good backups showed.
struct Matter {
  const History* history = nullptr;
  std::optional<std::string> before;
  std::optional<std::string> after;
  Json json;
  bool is_warned = false;
};

// How far an item's number moves as a rule: the median of its steps; 0 where it moved too seldom for a rule.
class UsualSteps {
 public:
  // Whether it is another step like those before: reported as a drift, and not each time.
  bool has(const History& history, const Matter& matter) {
    if (!matter.before || !matter.after) return false;
    const auto before = Decimal::parse(*matter.before);
    const auto after = Decimal::parse(*matter.after);
    if (!before || !after) return false;
    const auto [known, fresh] = steps_.try_emplace(&history);
    if (fresh) known->second = median_of(history);
    constexpr double much_more = 4;
    return std::strtod((*after - *before).abs().text().c_str(), nullptr) <= much_more * known->second;
  }

 private:
  static double median_of(const History& history) {
    std::vector<double> steps;
    for (std::size_t i = 1; i < history.versions.size(); ++i) {
      const auto& before = history.versions[i - 1].value;
      const auto& after = history.versions[i].value;
      if (before && after && Decimal::is_number(*before) && Decimal::is_number(*after))
        steps.push_back(
            std::abs(std::strtod(after->c_str(), nullptr) - std::strtod(before->c_str(), nullptr)));
    }
    constexpr std::size_t fewest = 8;
    if (steps.size() < fewest) return 0;
    const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
    std::nth_element(steps.begin(), middle, steps.end());
    return *middle;
  }
  std::unordered_map<const History*, double> steps_;
};

std::optional<Matter> matter_of(const Site& site, const Site::Changed& changed, UsualSteps& usual) {
  const History& history = site.report.items[changed.item];
  if (is_doubtful(history, changed.version, site.goods)) return std::nullopt;
  const auto held = held_at(history, changed.version, site.goods);
  if (!held || held->version != changed.version) return std::nullopt;  // put back as before
  Matter matter;
  matter.history = &history;
  if (const auto before = held_before(history, *held, site.goods))
    matter.before = history.versions[before->version].value;
  matter.after = history.versions[held->version].value;
  if (history.is_program()) return matter;
  const auto entry = site.report.namebook.find(history.address.group, history.address.key);
  if (entry && entry->living) return std::nullopt;
  matter.json = value_change(site, history, matter.before, matter.after);
  matter.is_warned = matter.json.contains("warnings");
  if (!matter.is_warned && usual.has(history, matter)) return std::nullopt;
  return matter;
}

Json program_matter(const Site& site, const Matter& matter) {
  State before;
  State after;
  const std::string& name = matter.history->address.key;
  if (matter.before) before.programs.push_back({name, site.report.text(*matter.before)});
  if (matter.after) after.programs.push_back({name, site.report.text(*matter.after)});
  Json json = {{"program", escape(name)}, {"change", "changed"}, {"places", 0}};
  for (const ProgramChange& change : compare(before, after).programs) {
    json["change"] = program_change_name(change.kind);
    json["places"] = change.blocks.size();
  }
  return json;
}

Json matters_of(const Site& site, std::size_t place, UsualSteps& usual) {
  std::vector<Matter> found;
  for (const Site::Changed& changed : site.changes[place]) {
    if (auto matter = matter_of(site, changed, usual)) found.push_back(std::move(*matter));
  }
  // What can hurt first, then programs, which come first in the list of groups, last: values are sooner read.
  std::stable_sort(found.begin(), found.end(), [](const Matter& a, const Matter& b) {
    return std::pair{!a.is_warned, a.history->is_program()} <
           std::pair{!b.is_warned, b.history->is_program()};
  });
  Json json = {{"place", place}, {"entries", Json::array()}};
  const std::size_t shown = std::min(found.size(), most_entries);
  for (std::size_t i = 0; i < shown; ++i) {
    json["entries"].push_back(found[i].history->is_program() ? program_matter(site, found[i])
                                                             : std::move(found[i].json));
  }
  json["more"] = found.size() - shown;
  return json;
}

double weight(const Drift& drift, const std::optional<Entry>& entry) {
  double scale = std::max(std::abs(drift.now), 1e-9) / 10;
  if (entry && entry->min && entry->max)
    scale = std::strtod((*entry->max - *entry->min).text().c_str(), nullptr) / 10;
  if (entry && entry->step) scale = std::strtod(entry->step->text().c_str(), nullptr);
  return scale > 0 ? std::abs(drift.per_year) / scale : 0;
}

Json drift_json(const Site& site, const History& history, const Drift& drift,
                const std::optional<Entry>& entry) {
  Json json = {{"a", escape(history.address.text())},
               {"points", drift.points},
               {"year", drift.per_year},
               {"least", drift.least},
               {"most", drift.most},
               {"sure", drift.is_sure},
               {"weight", weight(drift, entry)}};
  if (entry) {
    json["n"] = escape(entry->name);
    json["unit"] = unit_of(site, *entry);
  }
  const auto held = held_at(history, history.versions.size() - 1, site.goods);
  if (held) {
    const auto& value = history.versions[held->version].value;
    json["r"] = value ? Json(escape(written(site, history, entry, *value))) : Json();
  }
  if (drift.meets != 0) {
    json["limit"] = drift.limit;
    json["meets"] = drift.meets;
    json["earliest"] = drift.earliest;
    json["latest"] = drift.latest;
  }
  return json;
}

}  // namespace

Json drifts(const Site& site) {
  Json list = Json::array();
  for (const History& history : site.report.items) {
    const auto drift = drift_of(history, site.report, site.goods);
    if (!drift) continue;
    const auto entry = site.report.namebook.find(history.address.group, history.address.key);
    if (entry && (entry->living || entry->kind != Kind::number)) continue;
    list.push_back(drift_json(site, history, *drift, entry));
  }
  std::stable_sort(list.begin(), list.end(), [](const Json& a, const Json& b) {
    return std::pair{a["sure"].get<bool>(), a["weight"].get<double>()} >
           std::pair{b["sure"].get<bool>(), b["weight"].get<double>()};
  });
  return list;
}

Json glance(const Site& site, const Json& drifts) {
  Json json = {{"changes", Json::array()}, {"drifts", Json::array()}};
  const std::size_t first = site.goods.first();
  UsualSteps usual;
  for (std::size_t place = site.changes.size(); place-- > first + 1;) {
    if (json["changes"].size() == most_backups) break;
    Json matters = matters_of(site, place, usual);
    if (!matters["entries"].empty()) json["changes"].push_back(std::move(matters));
  }
  for (const Json& drift : drifts) {
    if (!drift["sure"].get<bool>() || json["drifts"].size() == most_drifts) break;
    json["drifts"].push_back(drift);
  }
  return json;
}

}  // namespace keepway::show::pages
