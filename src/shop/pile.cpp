// Taking a drawer in.
#include "keepway/pile.hpp"

#include <future>
#include <map>
#include <set>

namespace keepway {
namespace {

using Fate = PileStep::Fate;

// One backup off its medium, or why it could not be read.
struct Loaded {
  std::optional<media::Set> set;
  std::string digest;
  std::string why;
};

Loaded load(const PileEntry& entry) {
  Loaded loaded;
  try {
    media::ReadOptions options;
    options.slot = entry.slot;
    loaded.set = media::read(entry.path, options);
    loaded.digest = set_digest(*loaded.set);
  } catch (const Error& error) {
    loaded.set.reset();
    loaded.why = error.what();
  }
  return loaded;
}

// What is stored already, by digest.
class Known {
 public:
  explicit Known(const Machine& machine) {
    for (Backup& backup : machine.backups()) add(std::move(backup));
  }
  void add(Backup backup) { by_digest_[backup.digest].push_back(std::move(backup)); }

  // The same files at the same time are the same backup, stored or copied before. A copy without a date in
  // its name is dated by its files, so any backup with these files is it.
  [[nodiscard]] const Backup* find(const std::string& digest, const PileEntry& entry) const {
    const auto same = by_digest_.find(digest);
    if (same == by_digest_.end()) return nullptr;
    for (const Backup& backup : same->second) {
      if (backup.at == entry.at) return &backup;
    }
    return entry.by == PileEntry::DatedBy::name ? nullptr : &same->second.back();
  }

 private:
  std::map<std::string, std::vector<Backup>> by_digest_;
};

PileStep take(Machine& machine, const PileEntry& entry, Loaded loaded, const PileOptions& options,
              Known& known) {
  PileStep step;
  step.entry = &entry;
  if (!loaded.set) {
    step.fate = Fate::unreadable;
    step.why = loaded.why;
    return step;
  }
  if (const Backup* there = known.find(loaded.digest, entry)) {
    step.fate = Fate::there_already;
    step.backup = *there;
    return step;
  }
  IntakeOptions intake;
  intake.at = entry.at;
  intake.by = options.by;
  intake.note = options.note;
  intake.accept = options.accept;
  intake.now = options.now;
  intake.digest = std::move(loaded.digest);
  if (options.dry_run) {
    Backup would;
    would.digest = loaded.digest;
    would.at = entry.at;
    known.add(would);
    return step;
  }
  const Inspection inspection = machine.inspect(std::move(*loaded.set), intake);
  if (inspection.verdict.worth == Worth::refused && !options.accept) {
    step.fate = Fate::refused;
    for (const Reason& reason : inspection.verdict.reasons) {
      if (reason.weight != Worth::refused) continue;
      step.why += (step.why.empty() ? "" : "; ") + reason.what;
    }
    return step;
  }
  step.backup = machine.intake(inspection, intake);
  known.add(*step.backup);
  return step;
}

}  // namespace

void take_pile(Machine& machine, const Pile& pile, const PileOptions& options,
               const std::function<bool(const PileStep&)>& tell) {
  if (pile.entries.empty()) return;
  Known known(machine);
  // The next one is read while this one is judged and stored: two are in memory at a time.
  const auto begin = [&](std::size_t i) {
    return std::async(std::launch::async, [&entry = pile.entries[i]] { return load(entry); });
  };
  std::future<Loaded> next = begin(0);
  for (std::size_t i = 0; i < pile.entries.size(); ++i) {
    Loaded loaded = next.get();
    if (i + 1 < pile.entries.size()) next = begin(i + 1);
    if (!tell(take(machine, pile.entries[i], std::move(loaded), options, known))) return;
  }
}

}  // namespace keepway
