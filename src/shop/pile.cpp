// Taking a drawer in.
#include "keepway/pile.hpp"

#include <chrono>
#include <condition_variable>
#include <deque>
#include <exception>
#include <map>
#include <mutex>
#include <set>
#include <stop_token>
#include <system_error>
#include <thread>

namespace keepway {
namespace {

using Fate = PileStep::Fate;

// One backup off its medium and read, or why it could not be.
struct Loaded {
  std::optional<Inspection> inspection;
  std::string why;
};

Loaded load(const Machine& machine, const PileEntry& entry, const PileOptions& options,
            const std::set<std::string>& stored, ReadingMemory& memory) {
  Loaded loaded;
  try {
    media::ReadOptions read;
    read.slot = entry.slot;
    media::Set set = media::read(entry.path, read);
    IntakeOptions intake;
    intake.at = entry.at;
    intake.digest = set_digest(set);
    if (options.dry_run || stored.contains(intake.digest)) {  // so that nothing of it will be asked for
      loaded.inspection.emplace();
      loaded.inspection->digest = intake.digest;
      loaded.inspection->set = std::move(set);
    } else {
      loaded.inspection = machine.read(std::move(set), intake, &memory);
    }
  } catch (const Error& error) {
    loaded.inspection.reset();
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
  [[nodiscard]] std::set<std::string> digests() const {
    std::set<std::string> out;
    for (const auto& [digest, backups] : by_digest_) out.insert(digest);
    return out;
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
  if (!loaded.inspection) {
    step.fate = Fate::unreadable;
    step.why = loaded.why;
    return step;
  }
  Inspection& inspection = *loaded.inspection;
  if (const Backup* there = known.find(inspection.digest, entry)) {
    step.fate = Fate::there_already;
    step.backup = *there;
    return step;
  }
  if (options.dry_run) {
    Backup would;
    would.digest = inspection.digest;
    would.at = entry.at;
    known.add(would);
    return step;
  }
  IntakeOptions intake;
  intake.at = entry.at;
  intake.by = options.by;
  intake.note = options.note;
  intake.accept = options.accept;
  intake.now = options.now;
  intake.digest = inspection.digest;
  // The files of one that is stored, but at another time: it was not read yet.
  if (inspection.state_files.empty()) inspection = machine.read(std::move(inspection.set), intake);
  machine.judge(inspection, intake);
  if (inspection.verdict.worth == Worth::refused && !options.accept) {
    step.fate = Fate::refused;
    for (const Reason& reason : inspection.verdict.reasons) {
      if (reason.weight != Worth::refused) continue;
      step.why += (step.why.empty() ? "" : "; ") + reason.what;
    }
    return step;
  }
  step.backup = machine.intake(std::move(inspection), intake);
  known.add(*step.backup);
  return step;
}

// Reads what comes next on a thread of its own while what came before is judged and stored. One thread for
// all: one a backup is done before the system has moved it to another core. Where there is no thread to be
// had, each is read when it is asked for.
class ReadAhead {
 public:
  using Load = std::function<Loaded(std::size_t)>;
  ReadAhead(std::size_t count, Load load) : load_(std::move(load)) {
    try {
      thread_ = std::jthread([this, count](const std::stop_token& stop) { run(count, stop); });
    } catch (const std::system_error&) {
      alone_ = true;
    }
  }

  // The next one, in order. Rethrows what stopped the reading.
  Loaded next() {
    if (alone_) return load_(given_++);
    std::unique_lock lock(guard_);
    changed_.wait(lock, [&] { return !ready_.empty() || failure_; });
    if (ready_.empty()) std::rethrow_exception(failure_);
    Loaded loaded = std::move(ready_.front());
    ready_.pop_front();
    bytes_ -= bytes_of(loaded);
    changed_.notify_all();
    return loaded;
  }

 private:
  // Of the files of those that are ready: enough to go on with while a series lands.
  static constexpr std::size_t most_bytes = std::size_t{16} << 20U;

  static std::size_t bytes_of(const Loaded& loaded) {
    std::size_t bytes = 0;
    if (!loaded.inspection) return bytes;
    for (const media::File& file : loaded.inspection->set.files) bytes += file.bytes.size();
    return bytes;
  }
  void run(std::size_t count, const std::stop_token& stop) {
    try {
      for (std::size_t i = 0; i < count; ++i) {
        Loaded loaded = load_(i);
        std::unique_lock lock(guard_);
        if (!changed_.wait(lock, stop, [&] { return ready_.empty() || bytes_ < most_bytes; })) return;
        bytes_ += bytes_of(loaded);
        ready_.push_back(std::move(loaded));
        changed_.notify_all();
      }
    } catch (...) {  // out of memory: told on the caller's thread
      const std::scoped_lock lock(guard_);
      failure_ = std::current_exception();
      changed_.notify_all();
    }
  }

  Load load_;
  std::mutex guard_;
  std::condition_variable_any changed_;
  std::deque<Loaded> ready_;
  std::size_t bytes_ = 0;
  std::exception_ptr failure_;
  bool alone_ = false;
  std::size_t given_ = 0;
  std::jthread thread_;  // the last: it uses all the others
};

// Lands what came in every so often: what a kill may cost, and the memory it takes, stay small.
class Landing {
 public:
  explicit Landing(Machine& machine, bool dry_run) : repository_(machine.repository()), idle_(dry_run) {}
  Landing(const Landing&) = delete;
  Landing& operator=(const Landing&) = delete;
  Landing(Landing&&) = delete;
  Landing& operator=(Landing&&) = delete;
  ~Landing() { repository_.drop_series(); }

  void before_one() {
    if (idle_ || begun_) return;
    repository_.begin_series();
    begun_ = true;
    since_ = std::chrono::steady_clock::now();
  }
  void after_one() {
    constexpr auto long_enough = std::chrono::seconds(2);
    constexpr std::size_t large_enough = std::size_t{48} << 20U;
    if (begun_ && (repository_.series_bytes() > large_enough ||
                   std::chrono::steady_clock::now() - since_ > long_enough)) {
      land();
    }
  }
  void land() {
    if (!begun_) return;
    begun_ = false;
    repository_.land_series();
    repository_.tidy_when_due();
  }

 private:
  store::Repository& repository_;
  bool idle_;
  bool begun_ = false;
  std::chrono::steady_clock::time_point since_;
};

}  // namespace

void take_pile(Machine& machine, const Pile& pile, const PileOptions& options,
               const std::function<bool(const PileStep&)>& tell) {
  if (pile.entries.empty()) return;
  Known known(machine);
  const std::set<std::string> stored = known.digests();
  ReadingMemory memory;
  ReadAhead loader(pile.entries.size(),
                   [&](std::size_t i) { return load(machine, pile.entries[i], options, stored, memory); });
  Landing landing(machine, options.dry_run);
  for (const PileEntry& entry : pile.entries) {
    Loaded loaded = loader.next();
    landing.before_one();
    const bool go_on = tell(take(machine, entry, std::move(loaded), options, known));
    landing.after_one();
    if (!go_on) break;
  }
  landing.land();
}

}  // namespace keepway
