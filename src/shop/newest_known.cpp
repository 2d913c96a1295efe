#include "shop/newest_known.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <unordered_set>

#include "keepway/restoring.hpp"
#include "shop/backup_commit.hpp"

namespace keepway {

std::vector<Backup> known_by_date(const Machine& machine) {
  const store::Repository& repository = machine.repository();
  std::vector<Backup> all;
  std::unordered_set<store::Oid> seen;
  const auto consider = [&](const store::Oid& tip) {
    repository.walk(tip, [&](const store::CommitInfo& info) {
      if (!seen.insert(info.id).second) return false;
      if (auto backup = backup_from_commit(info)) all.push_back(std::move(*backup));
      return true;
    });
  };
  consider(tip_in_force(repository));  // of what came in the same second, what is in force is the last
  for (const auto& line : repository.lines()) consider(line.tip);
  for (const auto& ref : repository.refs("refs/keepway/archive/trial/")) consider(ref.id);
  machine.amend(all);
  std::erase_if(all, [](const Backup& backup) { return !counts(backup); });
  std::stable_sort(all.begin(), all.end(), is_newer);
  if (all.empty()) throw machine.no_backup();
  return all;
}

Backup newest_known(const Machine& machine) {
  return known_by_date(machine).front();
}

State newest_state(const Machine& machine, const std::vector<Backup>& all, Backup& known) {
  for (const Backup& each : all) {
    try {
      State state = machine.state(each.commit);
      if (each.commit != known.commit) {
        machine.repository().say_lost(
            fmt::format("what the machine held at its newest backup, {}, is lost: the plan is against {}",
                        name_of(known), name_of(each)),
            {name_of(known)});
        known = each;
      }
      return state;
    } catch (const Error& error) {
      if (error.kind() != ErrorKind::store || &each == &all.back()) throw;
    }
  }
  throw machine.no_backup();
}

}  // namespace keepway
