#include <fmt/format.h>

#include <algorithm>
#include <numeric>
#include <unordered_map>

#include "base/digit.hpp"
#include "keepway/trial.hpp"
#include "shop/backup.hpp"
#include "shop/machine_toml.hpp"
#include "shop/main_line.hpp"
#include "shop/read_again.hpp"
#include "shop/readings.hpp"
#include "shop/status_memory.hpp"
#include "shop/stored_set.hpp"

namespace keepway {
namespace {

std::string required_file(const store::Repository& repository, const std::string& path) {
  auto text = repository.working_file(path);
  if (!text) {
    throw Error(ErrorKind::input, fmt::format("{} has no {}", repository.folder().string(), path),
                "bring the file back with 'git checkout " + path + "' in the machine's folder", Place{path});
  }
  return std::move(*text);
}

std::uint32_t highest_number(const store::Index& index) {
  std::uint32_t highest = 0;
  for (std::size_t place = 0; place < index.size(); ++place) highest = std::max(highest, index.number(place));
  return highest;
}

// Where the line in force is: its branch, or the commit itself when one is checked out. There always is
// one, since enrolling commits: what cannot be found is damage, never "no backups".
store::Oid tip_of(const store::Repository& repository) {
  if (const auto tip = repository.tip()) return *tip;
  throw Error(ErrorKind::store,
              fmt::format("the newest backup in {} cannot be found", escape(repository.folder().string())),
              "run 'git fsck' in that folder; if it is damaged, put a clone in its place");
}

// The newest backup at a commit or before it.
std::optional<Backup> newest_from(const store::Repository& repository, const store::Oid& commit) {
  std::optional<Backup> found;
  repository.walk(commit, [&](const store::CommitInfo& info) {
    found = backup_from_commit(info);
    return !found;
  });
  return found;
}

}  // namespace

Machine::Machine(MachineFacts facts, Layout layout, Namebook namebook, OwnerFiles owner_files,
                 store::Repository repository)
    : facts_(std::move(facts)),
      layout_(std::move(layout)),
      namebook_(std::move(namebook)),
      owner_files_(std::move(owner_files)),
      repository_(std::move(repository)) {}

Machine Machine::open(const std::filesystem::path& folder) {
  store::Repository repository = store::Repository::open(folder);
  (void)finish_steps(repository);  // what is in its way is reported by what would write
  const auto shown = [&](const char* file) { return (folder / file).string(); };
  OwnerFiles owner{required_file(repository, "machine.toml"), required_file(repository, "layout.toml"),
                   repository.working_file("namebook.tsv")};
  try {
    MachineFacts facts = parse_machine_toml(owner.machine, shown("machine.toml"));
    Layout layout = parse_layout(owner.layout, shown("layout.toml"));
    Namebook namebook = Namebook::parse(owner.namebook.value_or(""), shown("namebook.tsv"));
    if (facts.name.empty()) facts.name = folder.filename().string();
    return {std::move(facts), std::move(layout), std::move(namebook), std::move(owner),
            std::move(repository)};
  } catch (const Error&) {
    repository.require_settled();  // a merge that is half done leaves its marks in these files
    throw;
  }
}

Readings Machine::readings() const {
  return {repository_, owner_files_.layout, read_context()};
}

const store::Index& Machine::index() const {
  const store::Oid tip = tip_of(repository_);
  if (!index_ || index_tip_ != tip) {
    index_ = store::Index::open(
        repository_, tip,
        [](const store::CommitInfo& info) {
          const auto backup = backup_from_commit(info);
          return backup ? std::optional(number_on_main(*backup)) : std::nullopt;
        },
        [this](const store::Oid& commit) { return write_state(state(commit)); });
    index_tip_ = tip;
  }
  return *index_;
}

std::vector<Backup> Machine::backups_at(const std::vector<std::size_t>& places) const {
  const store::Index& known = index();
  std::vector<Backup> found;
  found.reserve(places.size());
  for (const std::size_t place : places) {
    // The index may know more than there is.
    if (is_lost(repository_, known.commit(place))) continue;
    found.push_back(backup_from_commit(known.info(place)).value_or(Backup{}));
  }
  amend(found);
  add_marks(found);
  return found;
}

const MainLine& Machine::main() const {
  const auto tip = main_tip(repository_);
  const store::Oid at = tip ? *tip : tip_of(repository_);
  if (!main_ || main_->memory.tip != at) {
    main_ = std::make_shared<const MainLine>(read_main_line(repository_, at, main_.get()));
  }
  return *main_;
}

std::optional<Backup> Machine::newest() const {
  return main().newest;
}

std::optional<Backup> Machine::last_good() const {
  return main().good;
}

std::vector<Backup> Machine::passed_over(std::size_t most) const {
  std::vector<Backup> found;
  const MainLine& known = main();
  repository_.walk(known.memory.tip, [&](const store::CommitInfo& info) {
    if (info.id == known.memory.newest || found.size() == most) return false;
    auto backup = backup_from_commit(info);
    if (backup) known.amendments.apply(*backup);
    if (backup) found.push_back(std::move(*backup));
    return true;
  });
  return found;
}

void Machine::amend(std::vector<Backup>& backups) const {
  const MainLine& known = main();
  for (Backup& backup : backups) known.amendments.apply(backup);
}

Backup Machine::as_amended(const store::Oid& commit) const {
  std::vector<Backup> one = {backup_from_commit(repository_.info(commit)).value_or(Backup{})};
  amend(one);
  add_marks(one);
  return std::move(one.front());
}

void Machine::add_marks(std::vector<Backup>& backups) const {
  const auto marks = repository_.marks();
  if (marks.empty()) return;
  std::unordered_multimap<store::Oid, Backup*> by_commit;
  for (Backup& backup : backups) by_commit.emplace(backup.commit, &backup);
  for (const auto& mark : marks) {
    const auto [begin, end] = by_commit.equal_range(mark.commit);
    for (auto it = begin; it != end; ++it) it->second->marks.push_back(mark.name);
  }
}

std::vector<Backup> Machine::backups() const {
  std::vector<std::size_t> places(index().size());
  std::iota(places.begin(), places.end(), std::size_t{0});
  return backups_at(places);
}

std::vector<store::CommitInfo> Machine::rewritten() const {
  std::vector<store::CommitInfo> out;
  for (const store::Oid& commit : index().others()) {
    if (is_lost(repository_, commit)) continue;
    store::CommitInfo info = repository_.info(commit);
    if (info.rewritten) out.push_back(std::move(info));
  }
  return out;
}

Error Machine::no_backup() const {
  const std::size_t lost = rewritten().size();
  if (lost == 0) {
    return {ErrorKind::usage, fmt::format("{} has no backups yet", facts_.name),
            "take one in: keepway intake MACHINE PATH"};
  }
  return {ErrorKind::store,
          fmt::format("{} no longer has a backup: {} of its commits {} rewritten by Git or by hand",
                      facts_.name, lost, lost == 1 ? "was" : "were"),
          fmt::format("put its branch in order: keepway hooks {} --in-order", facts_.name)};
}

std::optional<Backup> Machine::latest() const {
  auto found = newest_from(repository_, tip_of(repository_));
  if (found) main().amendments.apply(*found);
  return found;
}

std::optional<Backup> Machine::before(const Backup& backup) const {
  if (counts_on_main(backup) && repository_.line() == main_line(repository_)) {
    const auto place = place_at(backup.at, backup.commit);
    return place ? std::optional(std::move(backups_at({*place}).front())) : std::nullopt;
  }
  const auto& parents = repository_.info(backup.commit).parents;
  auto found = parents.empty() ? std::nullopt : newest_from(repository_, parents.front());
  if (!found) return std::nullopt;
  std::vector<Backup> one = {std::move(*found)};
  amend(one);
  add_marks(one);
  return std::move(one.front());
}

// The backup of main of that number, when it lies near the tip: a short walk is sooner done than the index of
// ten years is read.
std::optional<Backup> Machine::near_tip(int number) const {
  constexpr int near = 32;
  std::optional<Backup> found;
  int left = near + near / 2;  // commits of edits and merges lie between
  repository_.walk(tip_of(repository_), [&](const store::CommitInfo& info) {
    auto backup = backup_from_commit(info);
    const int here =
        backup ? static_cast<int>(number_on_main(*backup)) : 0;  // a trial's and a merge have none
    const bool within = here == 0 || (here >= number && here - number <= near);
    if (here > 0 && here == number) found = std::move(backup);
    return !found && within && --left > 0;
  });
  return found;
}

// "warm-up #2": the second backup of a trial, one that goes on before those put away, and of these the last.
std::optional<Backup> Machine::on_trial(const std::string& name) const {
  const std::size_t hash = name.rfind('#');
  if (hash == std::string::npos || hash == 0) return std::nullopt;
  const std::string digits = name.substr(hash + 1);
  std::string trial = name.substr(0, hash);
  while (trial.ends_with(' ')) trial.pop_back();
  std::vector<store::Oid> tips;
  if (const auto tip = repository_.resolve("refs/heads/trial/" + trial)) tips.push_back(*tip);
  const auto archived = repository_.refs("refs/keepway/archive/trial/");
  for (auto ref = archived.rbegin(); ref != archived.rend(); ++ref) tips.push_back(ref->id);
  std::optional<Backup> found;
  for (const store::Oid& tip : tips) {
    repository_.walk(tip, [&](const store::CommitInfo& info) {
      auto backup = backup_from_commit(info);
      if (backup && backup->trial.empty()) return false;  // main begins
      if (backup && backup->trial == trial && std::to_string(backup->number) == digits)
        found = std::move(backup);
      return !found;
    });
    if (found) return found;
  }
  return std::nullopt;
}

// "kept warm-up": the last merge of that trial into main.
std::optional<Backup> Machine::kept_merge(const std::string& name) const {
  constexpr std::string_view kept = "kept ";
  if (!name.starts_with(kept)) return std::nullopt;
  std::optional<Backup> found;
  repository_.walk(main().memory.tip, [&](const store::CommitInfo& info) {
    auto backup = backup_from_commit(info);
    if (backup && backup->number == 0 && backup->kept == name.substr(kept.size())) found = std::move(backup);
    return !found;
  });
  return found;
}

// place_at() where another line than main is in force, and so in the index.
std::optional<Backup> Machine::main_at(std::int64_t time) const {
  const MainLine& known = main();
  std::optional<Backup> best;
  repository_.walk(known.memory.tip, [&](const store::CommitInfo& info) {
    auto backup = backup_from_commit(info);
    if (!backup) return true;
    known.amendments.apply(*backup);
    if (counts_on_main(*backup) && backup->at <= time && (!best || backup->at > best->at))
      best = std::move(backup);
    return true;
  });
  return best;
}

// The last backup of main at or before a time, by the date that it reads as, that was not withdrawn.
std::optional<std::size_t> Machine::place_at(std::int64_t time, const store::Oid& but) const {
  const store::Index& all = index();
  const std::vector<std::int64_t> amended = main().amendments.dates();
  std::optional<std::size_t> best;  // newest first: of equal times the later intake wins
  std::int64_t best_at = 0;
  for (std::size_t place = 0; place < all.size(); ++place) {
    std::int64_t at = all.at(place);
    if (all.number(place) == 0 || (!but.empty() && all.commit(place) == but)) continue;
    if (std::find(amended.begin(), amended.end(), at) != amended.end()) {
      const Backup backup = std::move(backups_at({place}).front());
      if (backup.withdrawn) continue;
      at = backup.at;
    }
    if (at > time || (best && at <= best_at) || is_lost(repository_, all.commit(place))) continue;
    best = place;
    best_at = at;
  }
  return best;
}

Backup Machine::resolve(const std::string& when) const {
  const bool hash = when.starts_with('#');
  const std::string digits = hash ? when.substr(1) : when;
  constexpr std::size_t most_digits = 7;
  const bool number = digits.size() <= most_digits && all_digits(digits);
  const int wanted = number ? std::stoi(digits) : 0;
  if (number) {
    if (const auto found = near_tip(wanted)) return as_amended(found->commit);
  }
  if (const auto found = on_trial(when)) return as_amended(found->commit);
  if (const auto found = kept_merge(when)) return as_amended(found->commit);
  if (index().size() == 0) throw no_backup();
  if (number) {
    if (const auto found = numbered(wanted)) return *found;
  }
  if (number || hash) {
    const store::Index& all = index();
    // Numbers have no gaps: its commit is gone from the line.
    if (wanted > 0 && static_cast<std::uint32_t>(wanted) < highest_number(all))
      throw Error(ErrorKind::store, fmt::format("backup #{} of {} is lost", wanted, facts_.name),
                  fmt::format("see what can still be had: keepway audit {}", facts_.name));
    throw Error(ErrorKind::usage, fmt::format("{} has no backup {}", facts_.name, escape(when)),
                fmt::format("backups here are #{} to #{}; 'keepway history {}' lists them",
                            all.number(all.size() - 1), highest_number(all), facts_.name));
  }
  if (const auto time = parse_time(when, true)) return at_or_before(*time, when);
  return named(when);
}

Backup Machine::whole_at(std::size_t place) const {
  std::vector<Backup> one = backups_at({place});
  if (!one.empty()) return std::move(one.front());
  const store::Index& all = index();
  throw Error(ErrorKind::store,
              fmt::format("backup #{} of {} is lost: its commit {} is not whole", all.number(place),
                          format_time(all.at(place)), all.commit(place)),
              fmt::format("'keepway audit {}' says what can still be had; repair it from a clone with --from",
                          facts_.name));
}

std::optional<Backup> Machine::numbered(int number) const {
  if (number <= 0) return std::nullopt;
  const store::Index& all = index();
  for (std::size_t place = 0; place < all.size(); ++place) {
    if (all.number(place) == static_cast<std::uint32_t>(number)) return whole_at(place);
  }
  // On a trial: what came in on main since it was begun.
  std::optional<Backup> found;
  repository_.walk(main().memory.tip, [&](const store::CommitInfo& info) {
    auto backup = backup_from_commit(info);
    if (backup && number_on_main(*backup) == static_cast<std::uint32_t>(number)) found = std::move(backup);
    return !found && !all.place_of(info.id);
  });
  if (found) return as_amended(found->commit);
  return std::nullopt;
}

Backup Machine::at_or_before(std::int64_t time, const std::string& when) const {
  if (repository_.line() != main_line(repository_)) {
    if (const auto best = main_at(time)) return as_amended(best->commit);
  } else if (const auto best = place_at(time)) {
    return whole_at(*best);
  }
  const store::Index& all = index();
  throw Error(ErrorKind::usage, fmt::format("{} has no backup at or before {}", facts_.name, when),
              fmt::format("the oldest is #{} of {}", all.number(all.size() - 1),
                          format_time(all.at(all.size() - 1))));
}

Backup Machine::named(const std::string& name) const {
  std::optional<store::Oid> commit;
  for (const auto& mark : repository_.marks()) {
    if (mark.name == name) commit = mark.commit;
  }
  for (const std::string& ref : {"refs/heads/trial/" + name, name}) {
    if (!commit) commit = repository_.resolve(ref);
  }
  if (!commit) {
    refuse_ambiguous_date(name);
    throw Error(ErrorKind::usage, fmt::format("'{}' is not a backup of {}", escape(name), facts_.name),
                "name it by '#N', a date (2026-03-01), a mark, a trial or a Git revision; 'keepway "
                "history' lists them");
  }
  if (const auto place = index().place_of(*commit)) return whole_at(*place);
  auto found = newest_from(repository_, *commit);  // a commit beside a backup means the backup before it
  if (!found) {
    throw Error(ErrorKind::usage, fmt::format("there is no backup at or before '{}'", escape(name)),
                fmt::format("'keepway history {}' lists the backups", facts_.name));
  }
  main().amendments.apply(*found);
  return *found;
}

const State* Machine::again(const store::Oid& commit) const {
  const auto held = again_.find(commit);
  if (held != again_.end()) return held->second.get();
  auto state = read_again(repository_, commit);
  return state ? &hold_again(commit, std::move(*state)) : nullptr;
}

const State& Machine::hold_again(const store::Oid& commit, State state) const {
  constexpr std::size_t most = 8;  // a comparison needs two
  if (again_.size() >= most) again_.clear();
  auto held = std::make_shared<const State>(std::move(state));
  return *again_.insert_or_assign(commit, std::move(held)).first->second;
}

const State& Machine::despite(const Error& lost, const store::Oid& commit) const {
  return hold_again(commit, state_despite(lost, repository_, commit));
}

State Machine::state(const store::Oid& commit) const {
  if (const State* read = again(commit)) return *read;
  try {
    std::vector<StateFile> files;
    for (const store::Blob& blob : repository_.list(commit, "state/")) {
      files.push_back({blob.path, repository_.read(blob.id)});
    }
    return read_state(std::move(files));
  } catch (const Error& lost) {
    return despite(lost, commit);
  }
}

State Machine::state_before(const store::Oid& commit, Inspection& inspection) const {
  const std::vector<StateFile>& now = inspection.state_files;
  std::vector<std::string_view> contents;
  contents.reserve(now.size());
  const bool summed = !inspection.state_sums.empty();
  for (const StateFile& file : now) {
    contents.push_back(file.content);
    if (!summed) inspection.state_sums.emplace_back(sha256(file.content));
  }
  if (const State* read = again(commit)) return *read;
  const std::vector<store::Oid> ids = repository_.blob_ids(contents, inspection.state_sums);
  std::unordered_map<std::string_view, std::size_t> at_hand;
  for (std::size_t i = 0; i < now.size(); ++i) at_hand.emplace(ids[i], i);
  try {
    std::vector<StateFile> files;
    for (const store::Blob& blob : repository_.list(commit, "state/")) {
      const auto found = at_hand.find(blob.id);
      files.push_back({blob.path, found != at_hand.end() ? now[found->second].content
                                                         : SharedText(repository_.read(blob.id))});
    }
    return read_state(std::move(files));
  } catch (const Error& lost) {
    return despite(lost, commit);
  }
}

std::optional<Table> Machine::table(const store::Oid& commit, Group group) const {
  if (const State* read = again(commit)) return read->table(group);
  try {
    const auto text = repository_.read_at(commit, table_path(group));
    if (!text) return std::nullopt;
    return read_table(*text, table_path(group));
  } catch (const Error& lost) {
    return despite(lost, commit).table(group);
  }
}

media::Set Machine::originals(const store::Oid& commit) const {
  return originals_at(repository_, commit);
}

}  // namespace keepway
