// The backup that people mean by a number, a date, a mark or a trial's name.
#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "base/digit.hpp"
#include "keepway/machine.hpp"
#include "shop/backup_commit.hpp"
#include "shop/main_line.hpp"
#include "shop/status_memory.hpp"

namespace keepway {
namespace {

std::uint32_t highest_number(const store::Index& index) {
  std::uint32_t highest = 0;
  for (std::size_t place = 0; place < index.size(); ++place) highest = std::max(highest, index.number(place));
  return highest;
}

}  // namespace

// The backup of main of that number, when it lies near the tip: a short walk is sooner done than the index of
// ten years is read.
std::optional<Backup> Machine::near_tip(int number) const {
  constexpr int near = 32;
  std::optional<Backup> found;
  int left = near + near / 2;  // commits of edits and merges lie between
  repository_.walk(tip_in_force(repository_), [&](const store::CommitInfo& info) {
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

// last_at() where another line than main is in force, and so in the index.
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
  } else if (auto best = last_at(time, false)) {
    return std::move(*best);
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
    if (const auto mark = repository_.find_mark(name)) commit = mark->commit;
  }
  if (!commit) {
    refuse_ambiguous_date(name);
    std::vector<std::string> marks;
    for (const auto& mark : repository_.marks()) marks.push_back(mark.name);
    const std::string near = nearest_word(name, marks);
    throw Error(
        ErrorKind::usage, fmt::format("'{}' is not a backup of {}", escape(name), facts_.name),
        fmt::format("{}name it by '#N', a date (2026-03-01), a mark, a trial or a Git revision; 'keepway "
                    "history' lists them",
                    near.empty() ? "" : fmt::format("did you mean '{}'? ", escape(near))));
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

}  // namespace keepway
