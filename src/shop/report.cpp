#include "keepway/report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <unordered_map>

#include "shop/main_line.hpp"

namespace keepway {
namespace {

std::vector<History> histories(const Machine& machine) {
  std::vector<History> found;
  std::array<std::unordered_map<std::string, std::size_t>, 5> places;  // in `found`, by key
  machine.visit_changes([&](std::size_t backup, Address item, std::optional<std::string> value) {
    const auto [known, fresh] =
        places[static_cast<std::size_t>(item.group)].try_emplace(item.key, found.size());
    if (fresh && !value) {  // gone before it was there: as when() passes it over
      places[static_cast<std::size_t>(item.group)].erase(known);
      return;
    }
    if (fresh) {
      found.push_back({std::move(item), {{backup, std::move(value)}}});
      return;
    }
    std::vector<Version>& versions = found[known->second].versions;
    if (versions.back().value != value) versions.push_back({backup, std::move(value)});
  });
  std::sort(found.begin(), found.end(), [](const History& a, const History& b) {
    if (a.address.group != b.address.group) return a.address.group < b.address.group;
    return natural_order(a.address.key, b.address.key) < 0;
  });
  return found;
}

std::vector<std::int64_t> times(const std::vector<Backup>& backups) {
  std::vector<std::int64_t> at;
  at.reserve(backups.size());
  for (const Backup& backup : backups) {
    if (counts(backup)) at.push_back(backup.at);
  }
  std::sort(at.begin(), at.end());
  return at;
}

// A program's text by its id; where that is lost, of the backups that brought it.
std::string program_text(const Machine& machine, const std::string& id) {
  try {
    return machine.repository().read(id);
  } catch (const Error& lost) {
    if (lost.kind() != ErrorKind::store) throw;
    const std::vector<Backup> backups = machine.backups_by_date();
    std::optional<std::string> text;
    machine.visit_changes(
        [&](std::size_t place, const Address& item, const std::optional<std::string>& value) {
          if (text || value != id) return;
          const State state = machine.state(backups[place].commit);
          const Program* program = state.program(item.key);
          if (program != nullptr && machine.repository().blob_ids({program->text}).front() == id)
            text = program->text;
        });
    if (!text) throw;
    return std::move(*text);
  }
}

// As a doubtful backup writes its numbers the machine perhaps does not.
Precision precision_of(const Machine& machine, const Report& report) {
  if (!report.shown) return {};
  const Backup& by = is_stood_by(*report.shown) || !report.last_good ? *report.shown : *report.last_good;
  return machine.precision(by.commit);
}

constexpr std::int64_t day = 86'400;

}  // namespace

std::string seen_tip(const Machine& machine) {
  const store::Repository& repository = machine.repository();
  const auto tip = repository.tip();
  const auto main = main_tip(repository);
  return tip == main ? tip.value_or("") : tip.value_or("") + "-" + main.value_or("");
}

Report gather_report(const Machine& machine, std::int64_t now) {
  Report report;
  report.machine = machine.facts();
  report.namebook = machine.namebook();
  report.line = machine.repository().line();
  report.made = now;
  report.backups = machine.backups_by_date();
  report.tip = seen_tip(machine);
  report.newest = machine.newest();
  report.last_good = machine.last_good();
  report.shown = machine.shown();
  report.trials = trials(machine);
  report.items = histories(machine);
  report.precision = precision_of(machine, report);
  report.text = [&machine](const std::string& id) { return program_text(machine, id); };
  std::vector<store::Oid> commits;
  for (const Backup& backup : report.backups) commits.push_back(backup.commit);
  report.received = [&machine, commits = std::move(commits)](std::size_t backup, const std::string& program) {
    auto found = machine.received(commits.at(backup), program);
    return found ? std::optional(std::move(found->text)) : std::nullopt;
  };
  return report;
}

std::int64_t usual_interval(const std::vector<Backup>& backups) {
  const auto at = times(backups);
  if (at.size() < 3) return 0;
  std::vector<std::int64_t> between;
  for (std::size_t i = 1; i < at.size(); ++i) between.push_back(at[i] - at[i - 1]);
  const auto middle = between.begin() + static_cast<std::ptrdiff_t>(between.size() / 2);
  std::nth_element(between.begin(), middle, between.end());
  return *middle;
}

std::vector<Gap> gaps(const std::vector<Backup>& backups, std::optional<int> every_days, std::int64_t now) {
  std::vector<Gap> found;
  const std::int64_t usual = every_days ? *every_days * day : usual_interval(backups);
  if (usual <= 0 || backups.empty()) return found;
  // An interval that was agreed is exceeded by half of it; what was merely usual, by one and a half.
  const std::int64_t longest = std::max(every_days ? usual * 3 / 2 : usual * 5 / 2, day * 3 / 2);
  auto at = times(backups);
  if (at.empty()) return found;
  if (now > at.back()) at.push_back(now);
  for (std::size_t i = 1; i < at.size(); ++i) {
    const std::int64_t between = at[i] - at[i - 1];
    if (between <= longest) continue;
    // Halves round to fewer: a gap is not made out larger than it is.
    const std::int64_t intervals = (between * 2 + usual - 1) / (usual * 2);
    found.push_back({at[i - 1], at[i], static_cast<std::size_t>(std::max<std::int64_t>(intervals - 1, 1))});
  }
  return found;
}

}  // namespace keepway
