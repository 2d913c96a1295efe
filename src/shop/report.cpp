#include "keepway/report.hpp"

#include <algorithm>
#include <map>
#include <unordered_map>

namespace keepway {
namespace {

// What each backup changed: rows of tables, and programs by the ids of their texts. Tables are read only
// where their blob differs from the one before.
class Walk {
 public:
  explicit Walk(const store::Repository& repository) : repository_(repository) {}

  void visit(std::size_t place, const store::Oid& commit) {
    const auto state = repository_.id_at(commit, "state");
    if (place > 0 && state == state_) return;
    state_ = state;
    for (const Group group : all_groups) visit_table(place, commit, group);
    visit_programs(place, commit);
  }

  std::vector<History> finish() {
    std::sort(histories_.begin(), histories_.end(), [](const History& a, const History& b) {
      if (a.address.group != b.address.group) return a.address.group < b.address.group;
      return natural_order(a.address.key, b.address.key) < 0;
    });
    return std::move(histories_);
  }

 private:
  void add(std::size_t place, Group group, const std::string& key, std::optional<std::string> value) {
    const auto [found, fresh] = places_[static_cast<std::size_t>(group)].try_emplace(key, histories_.size());
    if (fresh) histories_.push_back({{group, key}, {}});
    histories_[found->second].versions.push_back({place, std::move(value)});
  }

  void visit_table(std::size_t place, const store::Oid& commit, Group group) {
    const auto at = static_cast<std::size_t>(group);
    const auto id = repository_.id_at(commit, table_path(group));
    if (id == table_ids_[at]) return;
    table_ids_[at] = id;
    const std::string path = table_path(group);
    Table now = id ? read_table(repository_.read(*id), path) : Table{};
    for (ValueChange& change : compare_tables(group, tables_[at], now))
      add(place, group, change.key, std::move(change.after));
    tables_[at] = std::move(now);
  }

  void visit_programs(std::size_t place, const store::Oid& commit) {
    const auto id = repository_.id_at(commit, "state/programs");
    if (id == programs_id_) return;
    programs_id_ = id;
    std::map<std::string, store::Oid> now;
    for (const store::Blob& blob : repository_.list(commit, "state/programs/")) {
      if (auto name = program_name_from_path(blob.path)) now.emplace(std::move(*name), blob.id);
    }
    for (const auto& [name, blob] : now) {
      const auto before = programs_.find(name);
      if (before == programs_.end() || before->second != blob) add(place, Group::programs, name, blob);
    }
    for (const auto& [name, blob] : programs_) {
      if (!now.contains(name)) add(place, Group::programs, name, std::nullopt);
    }
    programs_ = std::move(now);
  }

  const store::Repository& repository_;
  std::optional<store::Oid> state_;
  std::array<std::optional<store::Oid>, 5> table_ids_;
  std::array<Table, 5> tables_;
  std::optional<store::Oid> programs_id_;
  std::map<std::string, store::Oid> programs_;
  std::array<std::unordered_map<std::string, std::size_t>, 5> places_;  // of histories
  std::vector<History> histories_;
};

std::vector<std::int64_t> times(const std::vector<Backup>& backups) {
  std::vector<std::int64_t> at;
  at.reserve(backups.size());
  for (const Backup& backup : backups) at.push_back(backup.at);
  std::sort(at.begin(), at.end());
  return at;
}

constexpr std::int64_t day = 86'400;

}  // namespace

Report gather_report(const Machine& machine, std::int64_t now, const Progress& progress) {
  Report report;
  report.machine = machine.facts();
  report.namebook = machine.namebook();
  report.line = machine.repository().line();
  report.made = now;
  report.backups = machine.backups();
  std::reverse(report.backups.begin(), report.backups.end());
  if (!report.backups.empty()) report.tip = report.backups.back().commit;
  report.trials = trials(machine);
  Walk walk(machine.repository());
  for (std::size_t i = 0; i < report.backups.size(); ++i) {
    walk.visit(i, report.backups[i].commit);
    if (progress) progress(i + 1, report.backups.size());
  }
  report.items = walk.finish();
  report.text = [&machine](const std::string& id) { return machine.repository().read(id); };
  return report;
}

std::int64_t usual_interval(const std::vector<Backup>& backups) {
  if (backups.size() < 3) return 0;
  const auto at = times(backups);
  std::vector<std::int64_t> between;
  for (std::size_t i = 1; i < at.size(); ++i) between.push_back(at[i] - at[i - 1]);
  const auto middle = between.begin() + static_cast<std::ptrdiff_t>(between.size() / 2);
  std::nth_element(between.begin(), middle, between.end());
  return *middle;
}

std::vector<Gap> gaps(const std::vector<Backup>& backups, std::int64_t now) {
  std::vector<Gap> found;
  const std::int64_t usual = usual_interval(backups);
  if (usual <= 0) return found;
  auto at = times(backups);
  if (now > at.back()) at.push_back(now);
  for (std::size_t i = 1; i < at.size(); ++i) {
    const std::int64_t between = at[i] - at[i - 1];
    if (between * 2 <= usual * 5 || between <= day * 3 / 2) continue;
    // Halves round to fewer: a gap is not made out larger than it is.
    const std::int64_t intervals = (between * 2 + usual - 1) / (usual * 2);
    found.push_back({at[i - 1], at[i], static_cast<std::size_t>(std::max<std::int64_t>(intervals - 1, 1))});
  }
  return found;
}

}  // namespace keepway
