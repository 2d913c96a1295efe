#include "keepway/restoring.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>
#include <unordered_map>
#include <utility>

#include "keepway/compose.hpp"
#include "keepway/trial.hpp"
#include "reader/read_set.hpp"
#include "shop/backup_commit.hpp"
#include "shop/newest_known.hpp"
#include "shop/read_as.hpp"

namespace keepway {
namespace {

// A backup's originals as they were stored, with the layout and the facts of that time.
struct Stored {
  media::Set set;
  Layout layout;
  ReadContext context;
};

Stored stored_originals(const Machine& machine, const Backup& backup, ReadAs as) {
  Stored stored{machine.originals(backup.commit), parse_layout(as.layout, "layout.toml"),
                std::move(as.context)};
  if (set_digest(stored.set) != backup.digest) {
    throw Error(ErrorKind::store,
                fmt::format("the originals of backup {} do not have the digest that they were stored with",
                            name_of(backup)),
                "the repository is damaged: check it with 'git fsck', and restore from a clone");
  }
  return stored;
}

Stored stored_originals(const Machine& machine, const Backup& backup) {
  return stored_originals(machine, backup, read_as(machine, backup.commit));
}

// nullopt where the layout or the facts of that time are lost.
std::optional<ReadAs> read_as_if_there(const Machine& machine, const Backup& backup) {
  try {
    return read_as(machine, backup.commit);
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::store) throw;
    return std::nullopt;
  }
}

// For handing out all files as they are, which takes no layout: where that of the time is lost, what they
// hold is listed by today's.
Stored all_originals(const Machine& machine, const Backup& backup) {
  if (auto as = read_as_if_there(machine, backup)) return stored_originals(machine, backup, std::move(*as));
  Stored stored = stored_originals(machine, backup, read_as_today(machine));
  machine.repository().say_lost(
      fmt::format(
          "the layout.toml or machine.toml of backup {} is lost: its files are as they were stored, by "
          "their digest, but what they hold is listed as today's layout and units read it, which may "
          "be wrong",
          name_of(backup)),
      {name_of(backup)});
  return stored;
}

Backup backup_at(const Machine& machine, const store::Oid& commit) {
  if (!backup_from_commit(machine.repository().info(commit)))
    throw Error(ErrorKind::store, fmt::format("commit {} is not a backup", commit),
                "check the repository with 'git fsck'");
  return machine.as_amended(commit);
}

// `source` is the machine that the donors are backups of.
Composed compose_items(const Machine& machine, const Backup& newest, const Machine& source,
                       const State& target, const std::vector<Backup>& donors,
                       const std::vector<Address>& asked) {
  const Stored base = stored_originals(machine, newest);
  // Only programs are taken from donors byte for byte; a value is written in the spelling that is there.
  const bool programs = std::any_of(asked.begin(), asked.end(),
                                    [](const Address& each) { return each.group == Group::programs; });
  std::vector<Stored> given;
  if (programs) {
    given.reserve(donors.size());
    for (const Backup& donor : donors) given.push_back(stored_originals(source, donor));
  }
  std::vector<Donor> views;
  views.reserve(given.size());
  for (const Stored& donor : given) views.push_back({donor.set, donor.layout, donor.context});
  return compose({base.set, base.layout, base.context, target, views, asked});
}

// The backups whose originals carry items of a merged state, each once.
std::vector<Backup> carriers(const Machine& machine, const std::vector<Carried>& carried) {
  std::vector<Backup> found;
  for (const Carried& each : carried) {
    const auto same = [&](const Backup& carrier) { return carrier.commit == each.commit; };
    if (std::none_of(found.begin(), found.end(), same)) found.push_back(backup_at(machine, each.commit));
  }
  return found;
}

// A merged state is beside main's originals, not its own: these are taken, with the items that the
// trial's carry put in; when that cannot be done in place, the trial's, with main's put in.
Composed compose_carried(const Machine& machine, const Backup& target, const std::vector<Carried>& carried,
                         const State& state, Backup& base) {
  std::vector<Address> asked;
  asked.reserve(carried.size());
  for (const Carried& each : carried) asked.push_back(each.address);
  const std::vector<Backup> donors = carriers(machine, carried);
  base = target;
  try {
    return compose_items(machine, base, machine, state, donors, asked);
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::refused || donors.size() != 1) throw;
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
Composed compose_merged(const Machine& machine, const Backup& target, const std::vector<Carried>& carried,
                        const State& state, Backup& base) {
  Composed composed = compose_carried(machine, target, carried, state, base);
  const Changes off = compare(state, composed.reading.state);
  if (off.empty()) return composed;
  const std::string item = off.values.empty()
                               ? Address{Group::programs, off.programs.front().name}.text()
                               : Address{off.values.front().group, off.values.front().key}.text();
  throw Error(ErrorKind::refused,
              fmt::format("the state of {} cannot be made from the stored originals: {} would differ",
                          name_of(target), escape(item)),
              "restore the trial or a backup before it, and single items from this one with --only ADDRESS");
}

// Values may go into today's files, read as `here`, only when they mean there what they meant where they come
// from, read as `there`.
void require_same_meaning(const Machine& machine, const RestoreRequest& request, const State& state,
                          const ReadAs& here, const ReadAs& there) {
  const bool values = std::any_of(request.only.begin(), request.only.end(),
                                  [](const Address& each) { return each.group != Group::programs; });
  if (!values) return;
  if (request.from != nullptr) {
    if (there.context.units == here.context.units) return;
    throw Error(ErrorKind::refused,
                fmt::format("{} is in {}, {} in {}: the same value is a different length on each",
                            request.from->facts().name, units_name(there.context.units), machine.facts().name,
                            units_name(here.context.units)),
                "enter the values at the control, converted and checked by hand");
  }
  if (there == here) return;
  const std::string remedy =
      "put the whole file back with --only GROUP, or enter the value at the control, checked by hand";
  if (!request.at.kept.empty()) {
    throw Error(ErrorKind::refused,
                fmt::format("the layout, units or serial were changed since {}: its values cannot be "
                            "put into today's files one by one",
                            name_of(request.at)),
                remedy);
  }
  // The same bytes, read as they are read today.
  const State today = state_of(stored_originals(machine, request.at).set, here);
  const Changes off = compare(overlay({}, state, request.only), overlay({}, today, request.only));
  if (off.values.empty()) return;
  const ValueChange& first = off.values.front();
  throw Error(ErrorKind::refused,
              fmt::format("the layout, units or serial were changed since {}: {} there is {} as it was read "
                          "then, and {} as it would be read today",
                          name_of(request.at), escape(Address{first.group, first.key}.text()),
                          first.before ? escape(*first.before) : "not there",
                          first.after ? escape(*first.after) : "not there"),
              remedy);
}

// What was a value once is not asked for as the row that bears its name.
void require_value_there(const Machine& source, const std::vector<Address>& asked, const State& target,
                         const State& known) {
  for (const Address& each : asked) {
    if (each.key.empty() || has_item(target, each) || has_item(known, each) || source.when(each).empty())
      continue;
    throw Error(
        ErrorKind::usage,
        fmt::format(
            "neither the newest backup nor the one named has a value at {}, which had one at other times",
            escape(each.text())),
        fmt::format("choose a backup that has it ('keepway when' lists them), or name the row: {}/*",
                    escape(each.text())));
  }
}

}  // namespace

std::optional<Error> cannot_be_restored(const Machine& machine, const Keep& keep) {
  try {
    Backup base;
    compose_merged(machine, keep.ours, keep.carriers, keep.merge.state, base);
    return std::nullopt;
  } catch (const Error& error) {
    return error;
  }
}

State state_as_read_today(const Machine& machine, const Backup& backup) {
  const ReadAs today = read_as_today(machine);
  if (!backup.kept.empty() || read_as(machine, backup.commit) == today) return machine.state(backup.commit);
  return state_of(stored_originals(machine, backup).set, today);
}

bool read_the_same_way(const Machine& machine, const Backup& a, const Backup& b) {
  return read_as(machine, a.commit) == read_as(machine, b.commit);
}

namespace {

// What a restore is made of: files, how they are read, and what is said of them.
struct RestoreSet {
  media::Set set;
  Layout layout;
  ReadContext context;
  std::optional<std::vector<std::string>> load;  // the files to load, when not all
  std::vector<Refusal> refused;
  std::vector<std::string> dropped;
};

// Files put together out of items: values asked for, or a trial's state that was merged into the line.
RestoreSet composed_set(const Machine& machine, const RestoreRequest& request, const RestoreJob& job,
                        const State& known) {
  const Machine& source = request.from != nullptr ? *request.from : machine;
  const State state = source.state(request.at.commit);
  const std::vector<Carried> carried = carried_items(source.repository(), request.at.commit);
  RestoreSet out;
  Composed composed;
  Backup base = job.known;
  if (job.by_item) {
    require_value_there(source, request.only, state, known);
    require_same_meaning(machine, request, state, read_as(machine, job.known.commit),
                         read_as(source, request.at.commit));
    std::vector<Backup> donors = job.merged ? carriers(source, carried) : std::vector<Backup>();
    donors.push_back(request.at);
    composed = compose_items(machine, base, source, state, donors, request.only);
    out.load = composed.touched;
  } else {
    composed = compose_merged(machine, request.at, carried, state, base);
  }
  ReadAs as = read_as(machine, base.commit);
  out.layout = parse_layout(as.layout, "layout.toml");
  out.context = std::move(as.context);
  out.set = std::move(composed.set);
  out.refused = std::move(composed.refused);
  out.dropped = std::move(composed.dropped);
  return out;
}

RestoreSet set_of_originals(const Machine& machine, const RestoreRequest& request) {
  Stored stored =
      request.only.empty() ? all_originals(machine, request.at) : stored_originals(machine, request.at);
  RestoreSet out;
  out.set = std::move(stored.set);
  out.layout = std::move(stored.layout);
  out.context = std::move(stored.context);
  return out;
}

media::Set of_groups(const Machine& machine, const RestoreRequest& request, const RestoreSet& all) {
  std::vector<Group> groups;
  for (const Address& each : request.only) groups.push_back(each.group);
  media::Set set = select_groups(all.set, read_set(all.set, all.layout, all.context), groups);
  if (!set.files.empty()) return set;
  throw Error(
      ErrorKind::usage, fmt::format("backup {} has no file of the groups named", name_of(request.at)),
      fmt::format("see what it has: keepway show {} --at '{}'", machine.facts().name, name_of(request.at)));
}

// Files that are put together are of the day on which that was done: on a medium they must not pass for a
// backup. Those that are byte for byte the backup's that they were put together in are of its date.
void date_files(const RestoreRequest& request, const Machine& machine, RestoreJob& job,
                std::vector<media::File>& files) {
  constexpr std::int64_t minute = 60;
  const bool composed = (job.by_item || job.merged) && request.now > 0;
  const Backup& base = composed && job.by_item ? job.known : request.at;
  media::Set stored;
  try {
    if (composed) stored = machine.originals(base.commit);
  } catch (const Error& lost) {
    if (lost.kind() != ErrorKind::store) throw;  // then every file is dated as put together
  }
  std::unordered_map<std::string_view, std::string_view> as_stored;
  for (const media::File& file : stored.files) as_stored.emplace(file.name, file.bytes);
  for (media::File& file : files) {
    const auto found = as_stored.find(file.name);
    file.modified = base.at;
    if (!composed || (found != as_stored.end() && found->second == file.bytes)) continue;
    job.composed_at = request.now - request.now % minute - minute;
    file.modified = job.composed_at;
  }
}

}  // namespace

RestoreJob prepare_restore(const Machine& machine, const RestoreRequest& request) {
  RestoreJob job;
  job.target = request.at;
  const std::vector<Backup> newest = known_by_date(machine);
  job.known = newest.front();
  job.asked = request.only;
  const Machine& source = request.from != nullptr ? *request.from : machine;
  if (request.from != nullptr) job.from = source.facts().name;
  job.merged = !request.at.kept.empty();
  job.by_item = std::any_of(request.only.begin(), request.only.end(),
                            [](const Address& each) { return !each.key.empty(); });

  // What is put together out of single items takes all that it is made by; whole files go around a loss.
  const bool whole = !job.by_item && !job.merged;
  const State known = whole ? newest_state(machine, newest, job.known) : machine.state(job.known.commit);
  const auto here = read_as_if_there(machine, job.known);
  const auto there = read_as_if_there(source, request.at);
  job.read_the_same_way = request.from != nullptr || (here && there && *here == *there);
  RestoreSet made = whole ? set_of_originals(machine, request) : composed_set(machine, request, job, known);
  if (!job.by_item && !request.only.empty()) made.set = of_groups(machine, request, made);
  date_files(request, machine, job, made.set.files);
  job.set = std::move(made.set);
  job.layout = std::move(made.layout);
  const Reading reading = read_set(job.set, job.layout, made.context, nullptr, {}, request.on_progress);
  job.plan = plan({job.set, reading, job.layout, machine.namebook(), known, std::move(made.load),
                   std::move(made.dropped), std::move(made.refused)});
  return job;
}

}  // namespace keepway
