#include "keepway/restoring.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "keepway/compose.hpp"
#include "keepway/trial.hpp"
#include "reader/read_set.hpp"
#include "shop/backup.hpp"

namespace keepway {
namespace {

// A backup's originals as they were stored, with the layout of that time.
struct Stored {
  media::Set set;
  Layout layout;
};

Stored stored_originals(const Machine& machine, const Backup& backup) {
  Stored stored{machine.originals(backup.commit), machine.layout_at(backup.commit)};
  if (set_digest(stored.set) != backup.digest) {
    throw Error(Exit::store,
                fmt::format("the originals of backup #{} do not have the digest that they were stored with",
                            backup.number),
                "the repository is damaged: check it with 'git fsck', and restore from a clone");
  }
  return stored;
}

std::optional<Backup> first_real(const store::Repository& repository, const store::Oid& tip) {
  std::optional<Backup> found;
  repository.walk(tip, [&](const store::CommitInfo& info) {
    auto backup = backup_from_commit(info);
    if (backup && backup->kept.empty()) found = std::move(backup);
    return !found;
  });
  return found;
}

Backup backup_at(const Machine& machine, const store::Oid& commit) {
  auto backup = backup_from_commit(machine.repository().info(commit));
  if (!backup)
    throw Error(Exit::store, fmt::format("commit {} is no backup", commit),
                "check the repository with 'git fsck'");
  return std::move(*backup);
}

// `source` is the machine that the donors are backups of.
Composed compose_items(const Machine& machine, const Backup& newest, const Machine& source,
                       const State& target, const std::vector<Backup>& donors,
                       const std::vector<Address>& asked) {
  const ReadContext context{machine.facts().serial, machine.facts().units};
  const Stored base = stored_originals(machine, newest);
  std::vector<Stored> given;
  given.reserve(donors.size());
  for (const Backup& donor : donors) given.push_back(stored_originals(source, donor));
  std::vector<Donor> views;
  views.reserve(given.size());
  for (const Stored& donor : given) views.push_back({donor.set, donor.layout});
  return compose({base.set, base.layout, context, target, views, asked});
}

// A merged state stands beside main's originals, not its own: these are taken, with the items that the
// trial's carry put in; when that cannot be done in place, the trial's, with main's put in.
Composed compose_carried(const Machine& machine, const Backup& target, const State& state, Backup& base) {
  std::vector<Address> asked;
  std::vector<Backup> donors;
  for (const Carried& each : carried_items(machine.repository(), target.commit)) {
    asked.push_back(each.address);
    const auto same = [&](const Backup& donor) { return donor.commit == each.commit; };
    if (std::none_of(donors.begin(), donors.end(), same)) donors.push_back(backup_at(machine, each.commit));
  }
  base = target;
  try {
    return compose_items(machine, base, machine, state, donors, asked);
  } catch (const Error& error) {
    if (error.code() != Exit::refused || donors.size() != 1) throw;
    const State theirs = machine.state(donors.front().commit);
    const Backup ours = base;
    base = donors.front();
    std::vector<Address> back;
    const Changes changes = compare(theirs, state);
    for (const ValueChange& change : changes.values) back.push_back({change.group, change.key});
    for (const ProgramChange& change : changes.programs) {
      back.push_back({Group::programs, change.name});
      if (!change.before_name.empty()) back.push_back({Group::programs, change.before_name});
    }
    try {
      return compose_items(machine, base, machine, state, {ours}, back);
    } catch (const Error&) {
      base = ours;
      throw error;  // NOLINT(misc-throw-by-value-catch-by-reference): the first reason is the one to tell
    }
  }
}

// What is handed out must be the whole merged state, whatever it was put together from.
Composed compose_merged(const Machine& machine, const Backup& target, const State& state, Backup& base) {
  Composed composed = compose_carried(machine, target, state, base);
  const Changes off = compare(state, composed.reading.state);
  if (off.empty()) return composed;
  const std::string item = off.values.empty()
                               ? Address{Group::programs, off.programs.front().name}.text()
                               : Address{off.values.front().group, off.values.front().key}.text();
  throw Error(
      Exit::refused,
      fmt::format(
          "the state kept as #{} cannot be put together from the originals that are stored: {} would differ",
          target.number, escape(item)),
      "restore the trial or a backup before it, and single items from this one with --only ADDRESS");
}

}  // namespace

Backup newest_known(const Machine& machine) {
  const store::Repository& repository = machine.repository();
  std::optional<Backup> newest;
  const auto consider = [&](const store::Oid& tip) {
    auto backup = first_real(repository, tip);
    if (backup &&
        (!newest || backup->at > newest->at || (backup->at == newest->at && backup->taken > newest->taken))) {
      newest = std::move(backup);
    }
  };
  for (const auto& line : repository.lines()) consider(line.tip);
  for (const auto& ref : repository.refs("refs/keepway/archive/trial/")) consider(ref.id);
  if (!newest) {
    throw Error(Exit::usage, fmt::format("{} has no backups yet", machine.facts().name),
                "take one in: keepway intake MACHINE PATH");
  }
  return *newest;
}

RestoreJob prepare_restore(const Machine& machine, const RestoreRequest& request) {
  const ReadContext context{machine.facts().serial, machine.facts().units};
  RestoreJob job;
  job.target = request.at;
  job.known = newest_known(machine);
  job.merged = !request.at.kept.empty();
  job.by_item = std::any_of(request.only.begin(), request.only.end(),
                            [](const Address& each) { return !each.key.empty(); });
  std::vector<Refusal> refused;
  std::vector<std::string> dropped;
  Reading reading;
  std::optional<std::vector<std::string>> load;  // the files to load, when not all

  if (job.by_item || job.merged) {
    const Machine& source = request.from != nullptr ? *request.from : machine;
    const State state = source.state(request.at.commit);
    Composed composed;
    Backup base = job.known;
    if (job.by_item) {
      std::vector<Backup> donors;
      if (job.merged) {
        for (const Carried& each : carried_items(source.repository(), request.at.commit))
          donors.push_back(backup_at(source, each.commit));
      }
      donors.push_back(request.at);
      composed = compose_items(machine, base, source, state, donors, request.only);
      load = composed.touched;
    } else {
      composed = compose_merged(machine, request.at, state, base);
    }
    job.layout = machine.layout_at(base.commit);
    job.set = std::move(composed.set);
    reading = std::move(composed.reading);
    refused = std::move(composed.refused);
    dropped = std::move(composed.dropped);
  } else {
    Stored stored = stored_originals(machine, request.at);
    job.layout = std::move(stored.layout);
    job.set = std::move(stored.set);
  }
  if (!job.by_item && !request.only.empty()) {
    std::vector<Group> groups;
    for (const Address& each : request.only) groups.push_back(each.group);
    job.set = select_groups(job.set, read_set(job.set, job.layout, context), groups);
    if (job.set.files.empty()) {
      throw Error(Exit::usage,
                  fmt::format("backup #{} has no file of the groups asked for", request.at.number),
                  fmt::format("see what it has: keepway show {} --at '#{}'", machine.facts().name,
                              request.at.number));
    }
  }
  for (media::File& file : job.set.files) file.modified = request.at.at;
  reading = read_set(job.set, job.layout, context);
  const State known = machine.state(job.known.commit);
  job.plan = plan({job.set, reading, job.layout, machine.namebook(), known, std::move(load),
                   std::move(dropped), std::move(refused)});
  return job;
}

}  // namespace keepway
