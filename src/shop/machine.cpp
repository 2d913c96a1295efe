// A machine as it is opened, and the backups of its line.
#include "keepway/machine.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>
#include <unordered_map>

#include "keepway/trial.hpp"
#include "shop/backup_commit.hpp"
#include "shop/machine_toml.hpp"
#include "shop/main_line.hpp"
#include "shop/readings.hpp"
#include "shop/status_memory.hpp"
#include "shop/timeline.hpp"

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

// A machine is called as its folder is, which is what people type: a copy may have another name than where it
// came from.
std::string folder_name(const std::filesystem::path& folder) {
  const std::filesystem::path whole = std::filesystem::absolute(folder).lexically_normal();
  return (whole.has_filename() ? whole : whole.parent_path()).filename().string();
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
    facts.name = folder_name(folder);
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
  const store::Oid tip = tip_in_force(repository_);
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
  const store::Oid at = tip ? *tip : tip_in_force(repository_);
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
  auto found = newest_from(repository_, tip_in_force(repository_));
  if (found) main().amendments.apply(*found);
  return found;
}

std::optional<Backup> Machine::before_on_main(const Backup& backup) const {
  std::optional<Backup> found;
  if (repository_.line() != main_line(repository_)) {
    const MainLine& known = main();
    repository_.walk(known.memory.tip, [&](const store::CommitInfo& info) {
      auto each = backup_from_commit(info);
      if (each) known.amendments.apply(*each);
      if (each && counts_on_main(*each) && is_newer(backup, *each)) take_newer(found, *each);
      return true;
    });
    return found ? std::optional(as_amended(found->commit)) : std::nullopt;
  }
  const store::Index& all = index();
  const auto own = all.place_of(backup.commit);
  const auto& entries = timeline().entries();
  auto entry = std::find_if(entries.rbegin(), entries.rend(),
                            [&](const Timeline::Entry& each) { return own == each.place; });
  if (entry == entries.rend()) return std::nullopt;
  for (++entry; entry != entries.rend(); ++entry) {
    if (entry->withdrawn || all.number(entry->place) == 0) continue;
    std::vector<Backup> one = backups_at({entry->place});  // none where its commit is lost
    if (!one.empty()) return std::move(one.front());
  }
  return std::nullopt;
}

std::optional<Backup> Machine::before(const Backup& backup) const {
  if (counts_on_main(backup)) return before_on_main(backup);
  const auto& parents = repository_.info(backup.commit).parents;
  auto found = parents.empty() ? std::nullopt : newest_from(repository_, parents.front());
  if (!found) return std::nullopt;
  std::vector<Backup> one = {std::move(*found)};
  amend(one);
  add_marks(one);
  return std::move(one.front());
}

}  // namespace keepway
