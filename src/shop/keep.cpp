// Keeping a trial: its items are merged into main's, one by one.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "keepway/trial.hpp"
#include "shop/backup_commit.hpp"
#include "shop/journal.hpp"

namespace keepway {
namespace {

constexpr std::size_t most_passed_over = 10'000;

// What main comes to: its newest backup, or a later merge of another trial, whatever came in after.
Backup newest_on_main(const Machine& machine) {
  std::optional<Backup> found = machine.newest();
  for (const Backup& merge : machine.passed_over(most_passed_over)) {
    if (!merge.kept.empty() && !merge.withdrawn) take_newer(found, merge);
  }
  if (!found) throw Error(ErrorKind::store, "main has no backup", "check the repository with 'git fsck'");
  return *found;
}

std::vector<Address> changed_addresses(const State& from, const State& to) {
  std::vector<Address> addresses;
  for (const Group group : all_groups) {
    static const Table none;
    const auto& before = from.table(group);
    const auto& after = to.table(group);
    for (const ValueChange& change : compare_tables(group, before ? *before : none, after ? *after : none)) {
      addresses.push_back({group, change.key});
    }
  }
  // A renamed program is, item by item, one that came and one that went.
  for (const Program& program : to.programs) {
    const Program* old = from.program(program.name);
    if (old == nullptr || old->text != program.text) addresses.push_back({Group::programs, program.name});
  }
  for (const Program& program : from.programs) {
    if (to.program(program.name) == nullptr) addresses.push_back({Group::programs, program.name});
  }
  return addresses;
}

// A group that no file of the backup spoke of was not emptied: it counts as unchanged since the trial began.
std::vector<Group> fill_in_missing(State& theirs, const State& base) {
  std::vector<Group> missing;
  for (const Group group : all_groups) {
    if (theirs.table(group) || !base.table(group)) continue;
    theirs.table(group) = base.table(group);
    if (group == Group::programs) theirs.programs = base.programs;
    missing.push_back(group);
  }
  return missing;
}

// What main's own originals hold is carried by them; for the rest the carrier is named. Items that main
// carried from an earlier trial stay with theirs.
std::vector<Carried> carriers_of(const Machine& machine, const Keep& keep) {
  std::vector<Carried> carriers = carried_items(machine.repository(), keep.ours.commit);
  std::erase_if(carriers, [&](const Carried& each) {
    return std::find(keep.carried.begin(), keep.carried.end(), each.address) != keep.carried.end();
  });
  for (const Address& address : keep.carried) carriers.push_back({address, keep.trial.newest->commit});
  return carriers;
}

}  // namespace

void leave_out_what_main_has(const Machine& machine, const Trial& trial, Changes& changes) {
  const State theirs = machine.state(trial.newest ? trial.newest->commit : trial.base.commit);
  std::set<std::string> missing;
  for (const Address& each : changed_addresses(machine.state(newest_on_main(machine).commit), theirs))
    missing.insert(each.text());
  const auto has = [&](Group group, const std::string& key) {
    return !missing.contains(Address{group, key}.text());
  };
  std::erase_if(changes.values, [&](const ValueChange& change) { return has(change.group, change.key); });
  // A rename is on main once the program is there by its new name and gone by the old one.
  std::erase_if(changes.programs, [&](const ProgramChange& change) {
    return has(Group::programs, change.name) &&
           (change.before_name.empty() || has(Group::programs, change.before_name));
  });
}

Keep plan_keep(const Machine& machine, const Trial& trial, const std::vector<Address>& only,
               const std::vector<Preference>& preferences) {
  if (!trial.newest) {
    throw Error(ErrorKind::refused,
                fmt::format("no backup was taken on trial {}: there is nothing to keep", trial.name),
                fmt::format("back the machine up and take it in, or drop the trial: keepway trial {} drop {}",
                            machine.facts().name, trial.name));
  }
  Keep keep;
  // The tips first: an intake that comes in meanwhile is then found out when the merge is stored.
  keep.onto = machine.repository().resolve("refs/heads/main").value_or("");
  keep.tip = machine.repository().resolve("refs/heads/trial/" + trial.name).value_or("");
  keep.trial = trial;
  keep.only = only;
  keep.ours = newest_on_main(machine);
  const State base = machine.state(trial.base.commit);
  const State ours = machine.state(keep.ours.commit);
  State theirs = machine.state(trial.newest->commit);
  keep.missing = fill_in_missing(theirs, base);
  const State asked = only.empty() ? theirs : overlay(base, theirs, only);
  keep.merge = merge(base, ours, asked, preferences);
  if (!only.empty()) keep.rest = compare(asked, theirs);
  for (const Group group : all_groups) {  // an empty table of the trial has no item that would carry it
    auto& table = keep.merge.state.table(group);
    if (table && table->empty() && !ours.table(group)) table.reset();
  }
  keep.changes = compare(ours, keep.merge.state);
  keep.carried = changed_addresses(ours, keep.merge.state);
  keep.carriers = carriers_of(machine, keep);
  return keep;
}

namespace {

// What the merge is stored as: a state of the line that never came off the machine.
Backup kept_backup(const Keep& keep, const TrialStep& step) {
  const Backup& ours = keep.ours;
  Backup kept = ours;
  kept.number = 0;
  kept.trial.clear();
  kept.marks.clear();
  kept.withdrawn.reset();
  kept.as_stored.reset();
  kept.at = kept.taken = step.now;
  kept.who = step.by;
  kept.note = step.note;
  kept.gist = fmt::format("trial {} kept: {}", keep.trial.name, gist(keep.changes));
  kept.source = fmt::format("trial {}", keep.trial.name);
  kept.kept = keep.trial.name;
  kept.reader = reader_version;
  kept.accepted = kept.confirmed = false;
  kept.confirms.clear();
  const Backup& theirs = *keep.trial.newest;
  kept.worth = std::max(ours.worth, theirs.worth);
  if (kept.reasons.empty()) kept.remedy = theirs.remedy;
  kept.reasons.insert(kept.reasons.end(), theirs.reasons.begin(), theirs.reasons.end());
  const Counts counts = count(keep.merge.state);
  kept.counts.items = counts.items;
  kept.counts.unread = counts.unread;
  return kept;
}

}  // namespace

void do_keep(Machine& machine, Keep& keep, const TrialStep& step) {
  store::Repository& repository = machine.repository();
  const Backup& ours = keep.ours;
  Backup kept = kept_backup(keep, step);

  Table rows;
  for (const Carried& each : keep.carriers) rows.push_back({each.address.text(), each.commit});
  sort_table(rows);

  store::NewCommit commit = commit_for_backup(kept);
  commit.also_parents = {keep.tip};
  commit.onto = keep.onto;
  auto files = write_state(keep.merge.state);
  if (!rows.empty()) files.push_back({std::string(carried_path), write_table(rows)});
  std::vector<store::TreeFile> tree;
  tree.reserve(files.size());
  for (const StateFile& file : files) tree.push_back({file.path, file.content});
  std::vector<std::string> replaced = {"state/"};
  // The state is beside the originals that it was merged onto, which are not the last stored where an old
  // backup came in late.
  std::vector<std::string> originals;
  if (repository.id_at(keep.onto, "originals") != repository.id_at(ours.commit, "originals")) {
    const auto blobs = repository.list(ours.commit, "originals/");
    originals.reserve(blobs.size());
    for (const store::Blob& blob : blobs) {
      originals.push_back(repository.read(blob.id));
      tree.push_back({blob.path, originals.back()});
    }
    replaced.emplace_back("originals/");
  }
  {
    const StepClaim claim(repository);
    claim.require();
    if (repository.resolve("refs/heads/trial/" + keep.trial.name) != keep.tip) {
      throw Error(ErrorKind::store,
                  fmt::format("trial {} has changed meanwhile, and nothing was merged", keep.trial.name),
                  "run the command again");
    }
    if (keep.rest.empty())
      write_step(repository, {"keep", keep.trial.name, keep.tip, step.by, step.note, step.now});
    kept.commit = repository.add("main", replaced, tree, commit);
  }
  keep.stored = kept;
  if (const auto trouble = finish_steps(repository)) keep.unfinished = trouble->what();
}

std::vector<Carried> carried_items(const store::Repository& repository, const store::Oid& commit) {
  std::vector<Carried> carried;
  const auto backup = backup_from_commit(repository.info(commit));
  if (backup && backup->kept.empty()) return carried;
  const auto text = repository.read_at(commit, std::string(carried_path));
  if (!text) return carried;
  for (const Item& row : read_table(*text, carried_path))
    carried.push_back({Address::parse(row.key), row.value});
  return carried;
}

}  // namespace keepway
