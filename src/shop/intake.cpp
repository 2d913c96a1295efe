#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "keepway/restoring.hpp"
#include "keepway/trial.hpp"
#include "reader/read_set.hpp"
#include "shop/backup_commit.hpp"
#include "shop/known_reasons.hpp"
#include "shop/main_line.hpp"
#include "shop/past.hpp"
#include "shop/readings.hpp"
#include "shop/status_memory.hpp"

namespace keepway {
namespace {

Previous previous(State state, const Backup& backup) {
  return {std::move(state), counts_from(backup), backup.number, backup.reasons};
}

// A backup on top of a line with a hole makes it look whole. Only the newest part is gone through: the rest
// is the audit's.
void require_line(const store::Repository& repository, const store::Oid& tip, bool accept) {
  constexpr int newest = 100;
  if (tip.empty() || accept) return;
  repository.look_through(tip, newest);
  if (repository.holes().empty()) return;
  throw Error(ErrorKind::refused,
              fmt::format("this machine's history has a hole: the commit {} is lost, and nothing was stored",
                          repository.holes().front().lost),
              "see what it touches with 'keepway audit', and repair it from a clone with --from; to store on "
              "top of it "
              "anyway, give --accept");
}

// The files that a new backup would be compared with are lost: those of `from`, or of one before it.
void say_not_compared(const Machine& machine, const Backup& from) {
  constexpr const char* rest = "lost in part: this backup is judged without a look at them, by values alone";
  try {
    (void)machine.originals(from.commit);
    machine.repository().say_lost(fmt::format("the files of a backup before {} are {}", name_of(from), rest));
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::store) throw;
    machine.repository().say_lost(fmt::format("the files of backup {} are {}", name_of(from), rest),
                                  {name_of(from)});
  }
}

// Tells the index what it would else have to read from Git: only when the backup compared with is the
// commit right before, so that both give the same.
void note_changes(const store::Repository& repository, const Inspection& inspection, const Backup& backup) {
  const store::CommitInfo commit = repository.info(backup.commit);
  const bool next = inspection.last && !commit.parents.empty() &&
                    commit.parents.front() == inspection.last->commit &&
                    inspection.last->reader == reader_version;  // its state is as it was compared with
  if (!next) return;
  std::vector<store::Change> changes;
  for (const ValueChange& change : inspection.changes.values) {
    changes.push_back({store::row_name(table_path(change.group), escape(change.key)),
                       change.after ? std::optional(escape(*change.after)) : std::nullopt});
  }
  const auto note_program = [&](const std::string& name) {
    const std::string path = program_path(name);
    changes.push_back({store::file_name(path), repository.id_at(backup.commit, path)});
  };
  for (const ProgramChange& change : inspection.changes.programs) {
    note_program(change.name);
    if (change.kind == ProgramChangeKind::renamed) note_program(change.before_name);
  }
  store::Index::note(repository, commit, number_on_main(backup), std::move(changes));
}

}  // namespace

media::Set Machine::without_outer_folder(media::Set set) const {
  if (!has_folders(layout_)) media::take_inside(set);
  return set;
}

Inspection Machine::inspect(media::Set set, const IntakeOptions& options) const {
  auto memory = std::make_shared<ReadingMemory>(readings().get());
  memory->came_before([this](const Sha256& sum) { return repository_.was_added_last(sum); });
  Inspection inspection = read(without_outer_folder(std::move(set)), options, memory.get());
  inspection.memory = std::move(memory);
  try {
    judge(inspection, options);
    set_beside(inspection);
  } catch (const Error& error) {
    if (error.kind() == ErrorKind::store && !inspection.tip.empty())
      repository_.require_folders(inspection.tip);
    throw;
  }
  return inspection;
}

Inspection Machine::read(media::Set set, const IntakeOptions& options, ReadingMemory* memory,
                         std::optional<SetSums> sums) const {
  Inspection inspection;
  inspection.set = std::move(set);
  inspection.sums = sums ? std::move(*sums) : sums_of(inspection.set);
  inspection.at = options.at.value_or(inspection.set.newest().value_or(options.now));
  inspection.reading =
      read_set(inspection.set, layout_, read_context(), memory, inspection.sums.files, options.on_progress);
  inspection.state_files = write_state(inspection.reading.state);
  return inspection;
}

std::shared_ptr<const Previous> Machine::previous_of(const Backup& backup, const Held& held,
                                                     Inspection& now) const {
  if (held.commit == backup.commit) return held.state;
  Previous made = previous(state_before(backup.commit, now), backup);
  // A merge came off no machine: the day on which it was made does not make a backup old.
  if (const auto by_date = backup.kept.empty() ? std::nullopt : newest()) made.at = counts_from(*by_date);
  return std::make_shared<const Previous>(std::move(made));
}

Backup Machine::by_date(const Backup& stored_last) const {
  const bool came_late = counts_on_main(stored_last) || stored_last.withdrawn;
  if (!came_late || repository_.line() != main_line(repository_)) return stored_last;
  return newest().value_or(stored_last);
}

void Machine::judge(Inspection& inspection, const IntakeOptions& options) const {
  inspection.state_sums.clear();
  inspection.tip = repository_.tip().value_or("");
  inspection.late = is_late(inspection.at, options);
  const auto stored_last = latest();
  const JudgedBy by = inspection.late ? before_time(inspection.at)
                      : stored_last   ? JudgedBy{by_date(*stored_last), last_good()}
                                      : JudgedBy{};
  inspection.last = by.last;
  inspection.repeat = by.last && by.last->kept.empty() && by.last->digest == inspection.sums.digest;
  const auto last = by.last ? previous_of(*by.last, newest_, inspection) : nullptr;
  const State none;
  inspection.changes = compare(last ? last->state : none, inspection.reading.state);
  std::shared_ptr<const Previous> good;
  if (by.good && by.good->commit != by.last->commit) good = previous_of(*by.good, good_, inspection);
  // Nothing is judged by a backup that was withdrawn.
  const bool by_last = by.last && !by.last->withdrawn;
  const Previous* judged_by = by_last ? last.get() : good.get();
  JudgeInput input{layout_,       namebook_,     inspection.set, inspection.reading,
                   facts_.serial, inspection.at, judged_by,      good ? good.get() : judged_by};
  if (by_last) input.changes = &inspection.changes;
  input.units = facts_.units;
  input.sound = by.good.has_value();
  input.now = options.now;
  input.dated = options.at.has_value();
  input.from_drawer = options.from_drawer;
  input.repeat = inspection.repeat;
  input.by_restore = are_put_together(inspection.set, composed_dates(*this));
  if (inspection.late) input.newest = counts_from(*newest());
  inspection.known = stored_reasons();
  input.known = without_withdrawn(inspection.known);
  OldFiles old_files;
  const Backup* from = by.good ? &*by.good : by_last ? &*by.last : nullptr;
  try {
    if (from != nullptr) {
      old_files = old_files_of(repository_, inspection, from->commit);
      input.old_files = &old_files;
      input.past = past_of(repository_, inspection, from->commit);
    }
    if (inspection.late && from == nullptr)
      input.past.first = past_of(repository_, inspection, inspection.tip).first;
    inspection.verdict = keepway::judge(input);
  } catch (const Error& lost) {
    if (lost.kind() != ErrorKind::store || from == nullptr) throw;
    say_not_compared(*this, *from);
    input.old_files = nullptr;
    input.past = {};
    inspection.verdict = keepway::judge(input);
  }
  set_gist(inspection);
}

std::optional<Backup> Machine::stored_already(const Inspection& inspection) const {
  // What is dated after the newest backup is new: nothing need be looked for.
  if (!inspection.last && !inspection.late) return std::nullopt;
  const auto said_of = main().amendments.dates();  // of backups whose date may be a correction
  if (inspection.last && !inspection.late && inspection.at > inspection.last->at &&
      !said_of.contains(inspection.at))
    return std::nullopt;
  // People edit these in place, and an intake takes them along.
  const auto kept = [&](const char* path, const std::optional<std::string>& text) {
    return repository_.read_at(inspection.tip, path) == text;
  };
  if (!kept("machine.toml", owner_files_.machine) || !kept("layout.toml", owner_files_.layout) ||
      !kept("namebook.tsv", owner_files_.namebook))
    return std::nullopt;
  const auto is_date = [&](std::int64_t at) {
    return at == inspection.at || at == wall_as_utc(inspection.at);
  };
  const auto same = [&](const Backup& backup) {
    return (is_date(backup.at) || (backup.as_stored && is_date(backup.as_stored->at))) &&
           backup.kept.empty() && backup.digest == inspection.sums.digest;
  };
  if (inspection.last && same(*inspection.last)) return inspection.last;
  const store::Index& all = index();
  std::vector<std::size_t> places;
  for (std::size_t place = 0; place < all.size(); ++place) {
    if (all.at(place) == inspection.at || said_of.contains(all.at(place))) places.push_back(place);
  }
  for (Backup& backup : backups_at(places)) {
    if (same(backup)) return std::move(backup);
  }
  return std::nullopt;
}

Backup Machine::intake(Inspection&& inspection, const IntakeOptions& options) {
  Backup backup = intake(std::as_const(inspection), options);
  newest_ = {backup.commit,
             std::make_shared<const Previous>(previous(std::move(inspection.reading.state), backup))};
  if (is_stood_by(backup) && counts_on_main(backup)) good_ = newest_;
  return backup;
}

Backup Machine::intake(const Inspection& inspection, const IntakeOptions& options) {
  if (inspection.verdict.worth == Worth::refused && !options.accept) {
    throw Error(ErrorKind::refused, "this backup is refused, and nothing was stored",
                "read the reasons; if you are sure, take it in with --accept");
  }
  repository_.require_settled();  // before the line: a rebase has none
  if (repository_.line().empty()) {
    throw Error(ErrorKind::refused,
                fmt::format("no branch is checked out in {}: a backup stored now would be on no branch",
                            escape(repository_.folder().string())),
                "go back to the machine's own branch first: 'git checkout main' in that folder");
  }
  // What was stored last by this very object was put on a line that had been looked through.
  if (newest_.commit.empty() || newest_.commit != inspection.tip)
    require_line(repository_, inspection.tip, options.accept);
  Backup backup;
  backup.trial = trial_of_line(repository_.line()).value_or("");
  backup.number = next_number(repository_, repository_.tip(), backup.trial);
  backup.at = inspection.at;
  backup.taken = options.now;
  backup.who = options.by;
  backup.note = options.note;
  backup.gist = !inspection.last    ? "first backup"
                : inspection.repeat ? same_files_as(*inspection.last)
                                    : inspection.gist;
  backup.source = inspection.set.source;
  backup.digest = inspection.sums.digest;
  backup.worth = inspection.verdict.worth;
  backup.accepted = options.accept && backup.worth != Worth::good;
  backup.counts = inspection.verdict.counts;
  backup.reader = reader_version;
  backup.confirms = options.confirms;
  backup.confirmed = options.confirmed;
  for (const Reason& reason : inspection.verdict.reasons) {
    if (reason.weight == Worth::good) continue;
    if (backup.reasons.empty()) backup.remedy = reason.remedy;
    backup.reasons.push_back(reason.code + ": " + reason.what);
  }

  const auto originals = original_files(inspection.set, inspection.sums.files);
  std::vector<store::TreeFile> files;  // in the order of their paths
  files.reserve(originals.size() + inspection.state_files.size() + 4);
  // People edit these in place; the backup is beside the layout and the names that it was read with, not
  // beside what may have been saved since.
  files.push_back({"layout.toml", owner_files_.layout});
  files.push_back({"machine.toml", owner_files_.machine});
  if (owner_files_.namebook) files.push_back({"namebook.tsv", *owner_files_.namebook});
  for (const auto& file : originals) files.push_back({file.path, file.bytes, file.sum});
  store::NewCommit commit = commit_for_backup(backup);
  commit.onto = inspection.tip;
  commit.on_progress = options.on_progress;
  const auto known = known_after(inspection.known, inspection.verdict.present,
                                 {backup.worth == Worth::good, backup.accepted, backup.number, backup.taken,
                                  backup.who, inspection.late});
  const std::string reasons = write_known_reasons(known);
  std::vector<std::string> replace = {"state/", "originals/"};
  if (known.empty() && !inspection.known.empty()) replace.emplace_back(reasons_path);
  if (!known.empty() && reasons != write_known_reasons(inspection.known))
    files.push_back({std::string(reasons_path), reasons});
  for (std::size_t i = 0; i < inspection.state_files.size(); ++i) {
    const StateFile& file = inspection.state_files[i];
    files.push_back({file.path, file.content,
                     i < inspection.state_sums.size() ? inspection.state_sums[i] : std::nullopt});
  }
  // A trial may be dropped; when the battery was changed is true all the same.
  if (!backup.trial.empty()) (void)record_edits(options.by, options.now);
  backup.commit = repository_.add(repository_.line(), replace, files, commit);
  note_dated(backup, inspection.tip);
  note_changes(repository_, inspection, backup);
  if (inspection.memory) readings().put(*inspection.memory);
  repository_.tidy_when_due();
  return backup;
}

}  // namespace keepway
