#include "keepway/trial.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <set>
#include <unordered_set>

#include "shop/amendments.hpp"
#include "shop/backup_commit.hpp"
#include "shop/journal.hpp"

namespace keepway {
namespace {

constexpr const char* main_name = "main";
constexpr std::string_view prefix = "trial/";
const std::string archive_prefix = "refs/keepway/archive/trial/";
constexpr const char* trailer = "Keepway-Trial";

std::string line_of(const std::string& name) {
  return std::string(prefix) + name;
}

bool is_name(const std::string& name) {
  const auto plain = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
           c == '_' || c == '.';
  };
  return !name.empty() && name.size() <= 64 && name.front() != '.' && name.front() != '-' &&
         name.back() != '.' && name.find("..") == std::string::npos && !name.ends_with(".lock") &&
         std::all_of(name.begin(), name.end(), plain);
}

void check_name(const std::string& name) {
  if (is_name(name)) return;
  throw Error(ErrorKind::usage, fmt::format("'{}' cannot be a trial's name", escape(name)),
              "use up to 64 letters, digits, '-', '_' and '.', as in warm-up; --note takes any text");
}

std::optional<store::Oid> tip_of(const store::Repository& repository, const std::string& line) {
  return repository.resolve("refs/heads/" + line);
}

// refs/keepway/archive/trial/NAME-20260301T063000Z: two PCs may each end a trial of one name. Where one ended
// in that second, the next one that is free.
std::string archive_ref(const store::Repository& repository, const std::string& name, const store::Oid& tip,
                        std::int64_t ended) {
  for (;; ++ended) {
    std::string time = format_time_rfc3339(ended);
    std::erase_if(time, [](char c) { return c == '-' || c == ':'; });
    std::string ref = fmt::format("{}{}-{}", archive_prefix, name, time);
    const auto there = repository.resolve(ref);
    if (!there || *there == tip) return ref;
  }
}

bool is_merged(const store::Repository& repository, const store::Oid& trial_tip) {
  const auto tip = tip_of(repository, main_name);
  if (!tip) return false;
  bool found = false;
  repository.walk(*tip, [&](const store::CommitInfo& info) {
    found = std::find(info.parents.begin(), info.parents.end(), trial_tip) != info.parents.end();
    return !found;
  });
  return found;
}

// Error{refused} where neither main nor a trial is checked out.
void require_own_line(const Machine& machine, const std::string& line) {
  if (line == main_name || trial_of_line(line)) return;
  throw Error(ErrorKind::refused,
              fmt::format("{} in {}, and trials are begun from main",
                          line.empty() ? "no branch, but a commit of its own, is checked out"
                                       : fmt::format("the branch {} is checked out", escape(line)),
                          escape(machine.repository().folder().string())),
              "go back to the machine's own line first: 'git checkout main' in that folder");
}

// Error{refused} for a name that something else is asked for by: 'warm-up #1' would be of one of two trials.
void require_own_name(const Machine& machine, const std::string& name) {
  const auto ended = ended_trials(machine);
  const bool used =
      std::any_of(ended.begin(), ended.end(), [&](const Trial& each) { return each.name == name; });
  const auto marks = machine.repository().marks();
  const bool marked =
      std::any_of(marks.begin(), marks.end(), [&](const auto& each) { return each.name == name; });
  if (!used && !marked) return;
  throw Error(ErrorKind::refused,
              fmt::format("{} {} {} '{}' already", machine.facts().name, used ? "has put away" : "has",
                          used ? "a trial" : "a mark", name),
              fmt::format("choose another name, such as {}-2", name));
}

// The steps themselves; each may be run again from wherever it was cut off.
void run_begin(store::Repository& repository, const Step& step) {
  const std::string line = line_of(step.name);
  if (!tip_of(repository, line)) repository.begin_line(line, step.commit);
  if (tip_of(repository, line) == step.commit) {
    store::NewCommit begun;
    begun.summary = fmt::format("Begin trial {}", step.name);
    begun.body = step.note;
    begun.author = step.by;
    begun.at = begun.taken = step.now;
    begun.trailers = {{trailer, step.name}};
    begun.onto = step.commit;
    repository.add(line, {}, {}, begun);
  }
  if (repository.line() != line) repository.switch_line(line);
}

void run_close(store::Repository& repository, const Step& step) {
  const std::string line = line_of(step.name);
  if (repository.line() == line) repository.switch_line(main_name);
  if (const auto tip = tip_of(repository, line)) {
    // Where it is now: nothing is lost.
    repository.set_ref(archive_ref(repository, step.name, *tip, step.now), *tip);
    repository.drop_line(line);
  }
}

void run_step(store::Repository& repository, const Step& step) {
  if (step.kind == "begin") run_begin(repository, step);
  if (step.kind == "drop") run_close(repository, step);
  // The merge on main is what makes a keep: without it nothing has happened yet.
  if (step.kind == "keep" && is_merged(repository, step.commit)) run_close(repository, step);
  clear_step(repository);
}

std::optional<Trial> read_trial(const Machine& machine, const std::string& name, const store::Oid& tip) {
  const store::Repository& repository = machine.repository();
  Trial trial;
  trial.name = name;
  trial.in_progress = repository.line() == line_of(name);
  bool begun = false;
  repository.walk(tip, [&](const store::CommitInfo& info) {
    if (!begun && info.trailer(trailer) == name) {
      begun = true;
      trial.who = info.author;
      trial.note = info.body;
      trial.begun = info.at;
      return true;
    }
    auto backup = backup_from_commit(info);
    if (!backup) return true;
    if (begun) {
      trial.base = std::move(*backup);
      return false;
    }
    if (!trial.newest) {
      std::vector<Backup> one = {std::move(*backup)};
      machine.amend(one);
      if (!one.front().withdrawn) trial.newest = std::move(one.front());
    }
    ++trial.backups;
    return true;
  });
  return begun && !trial.base.commit.empty() ? std::optional(trial) : std::nullopt;
}

}  // namespace

std::optional<std::string> trial_of_line(const std::string& line) {
  if (!line.starts_with(prefix)) return std::nullopt;
  std::string name = line.substr(prefix.size());
  return is_name(name) ? std::optional(std::move(name)) : std::nullopt;
}

std::string line_title(const std::string& line) {
  const auto trial = trial_of_line(line);
  if (line.empty()) return "a commit that is checked out by itself";
  return trial ? "trial " + *trial : line;
}

std::optional<Error> finish_steps(store::Repository& repository) {
  repository.hold_writes(std::nullopt);
  if (!read_step(repository)) return std::nullopt;
  const StepClaim claim(repository);
  // Another program is in the middle of it, or nothing can be written here.
  if (!claim.held()) return std::nullopt;
  // Read again: the one who was at it may have finished meanwhile.
  const auto step = read_step(repository);
  if (!step) return std::nullopt;
  try {
    run_step(repository, *step);
  } catch (const Error& error) {
    repository.hold_writes(
        Error(error.kind(),
              fmt::format("an earlier '{} trial {}' was interrupted and cannot be finished: {}",
                          escape(step->kind), escape(step->name), error.what()),
              error.remedy(), error.place()));
  }
  return repository.writes_held();
}

Trial begin_trial(Machine& machine, const Backup& from, const TrialStep& step) {
  check_name(step.name);
  store::Repository& repository = machine.repository();
  const std::string now_on = repository.line();
  require_own_line(machine, now_on);
  if (now_on != main_name) {
    throw Error(ErrorKind::refused,
                fmt::format("{} is in progress on {}", line_title(now_on), machine.facts().name),
                fmt::format("keep it, drop it, or pause it first: keepway trial {} pause {}",
                            machine.facts().name, trial_of_line(now_on).value_or(now_on)));
  }
  if (tip_of(repository, line_of(step.name))) {
    throw Error(ErrorKind::refused,
                fmt::format("{} already has a trial '{}'", machine.facts().name, step.name),
                fmt::format("continue it, or choose another name: keepway trial {} resume {}",
                            machine.facts().name, step.name));
  }
  require_own_name(machine, step.name);
  const StepClaim claim(repository);
  claim.require();
  const Step written{"begin", step.name, from.commit, step.by, step.note, step.now};
  write_step(repository, written);
  try {
    run_step(repository, written);
  } catch (const Error& error) {
    // Nothing of worth is in it yet: taken back, unless it has come as far as being checked out.
    const std::string line = line_of(step.name);
    if (repository.line() != line) {
      try {
        if (tip_of(repository, line)) repository.drop_line(line);
      } catch (const Error&) {
        throw Error(error.kind(), error.what(), "check the disk; the next command then begins the trial",
                    error.place());
      }
      clear_step(repository);
      throw;
    }
  }
  return find_trial(machine, step.name);
}

namespace {

// A sync that puts two PCs' backups on one line gives a backup another number; the trial began from what bore
// the old one, and people go by the number that main has.
void number_as_on_main(const Machine& machine, Trial& trial) {
  const auto tip = tip_of(machine.repository(), main_name);
  if (!tip) return;
  const std::string name = lasting_name(trial.base);
  machine.repository().walk(*tip, [&](const store::CommitInfo& info) {
    if (info.id == trial.base.commit) return false;
    if (info.at != trial.base.at) return true;
    const auto backup = backup_from_commit(info);
    const bool same = backup && counts_on_main(*backup) && lasting_name(*backup) == name;
    if (same) trial.base.number = backup->number;
    return !same;
  });
}

}  // namespace

std::vector<Trial> trials(const Machine& machine) {
  std::vector<Trial> found;
  for (const auto& line : machine.repository().lines()) {
    const auto name = trial_of_line(line.name);
    if (!name) continue;
    if (auto trial = read_trial(machine, *name, line.tip)) {
      number_as_on_main(machine, *trial);
      found.push_back(std::move(*trial));
    }
  }
  return found;
}

std::vector<Trial> ended_trials(const Machine& machine) {
  const store::Repository& repository = machine.repository();
  std::vector<Trial> found;
  std::set<store::Oid> seen;
  // Of main: its commits, and what they grew from. One walk serves all trials that ever were.
  std::unordered_set<store::Oid> on_main;
  std::unordered_set<store::Oid> parents;
  if (const auto tip = tip_of(repository, main_name)) {
    repository.walk(*tip, [&](const store::CommitInfo& info) {
      on_main.insert(info.id);
      parents.insert(info.parents.begin(), info.parents.end());
      return true;
    });
  }
  for (const auto& ref : repository.refs(archive_prefix)) {
    // Its time or its commit is behind the name.
    const std::string name =
        ref.name.substr(archive_prefix.size(), ref.name.rfind('-') - archive_prefix.size());
    if (!is_name(name) || !seen.insert(ref.id).second) continue;
    auto trial = read_trial(machine, name, ref.id);
    if (!trial) continue;
    if (!on_main.contains(trial->base.commit)) number_as_on_main(machine, *trial);
    trial->in_progress = false;
    trial->ended = parents.contains(ref.id) ? "kept" : "dropped";
    found.push_back(std::move(*trial));
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const Trial& a, const Trial& b) { return a.begun > b.begun; });
  return found;
}

Trial find_trial(const Machine& machine, const std::string& name) {
  const auto tip = tip_of(machine.repository(), line_of(name));
  auto trial = tip ? read_trial(machine, name, *tip) : std::nullopt;
  if (trial) {
    number_as_on_main(machine, *trial);
    return std::move(*trial);
  }
  std::vector<std::string> known;
  for (const Trial& each : trials(machine)) known.push_back(each.name);
  throw Error(ErrorKind::usage, fmt::format("{} has no trial '{}'", machine.facts().name, escape(name)),
              known.empty() ? fmt::format("begin one: keepway trial {} begin NAME", machine.facts().name)
                            : fmt::format("it has: {}", fmt::join(known, ", ")));
}

void pause_trial(Machine& machine, const std::string& name) {
  if (!find_trial(machine, name).in_progress) {
    throw Error(ErrorKind::refused, fmt::format("trial '{}' is not in progress", name),
                fmt::format("see which one is: keepway trial {} list", machine.facts().name));
  }
  machine.repository().switch_line(main_name);
}

void resume_trial(Machine& machine, const std::string& name) {
  const Trial trial = find_trial(machine, name);
  const std::string now_on = machine.repository().line();
  require_own_line(machine, now_on);
  if (now_on != main_name && !trial.in_progress) {
    throw Error(ErrorKind::refused,
                fmt::format("{} is in progress on {}", line_title(now_on), machine.facts().name),
                fmt::format("pause it first: keepway trial {} pause {}", machine.facts().name,
                            trial_of_line(now_on).value_or(now_on)));
  }
  machine.repository().switch_line(line_of(name));
}

Dropped drop_trial(Machine& machine, const Trial& trial, const TrialStep& step) {
  const StepClaim claim(machine.repository());
  claim.require();
  const auto tip = tip_of(machine.repository(), line_of(trial.name));
  const Step written{"drop", trial.name, tip.value_or(""), step.by, step.note, step.now};
  write_step(machine.repository(), written);
  Dropped dropped{archive_ref(machine.repository(), trial.name, written.commit, step.now), {}};
  try {
    run_step(machine.repository(), written);
  } catch (const Error& error) {
    dropped.unfinished = error.what();
  }
  return dropped;
}

}  // namespace keepway
