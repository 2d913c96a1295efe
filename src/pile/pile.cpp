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

// One backup off its medium, or why it could not be.
struct Fetched {
  std::optional<media::Set> set;
  std::string why;
};

Fetched fetch(const PileEntry& entry) {
  try {
    media::ReadOptions read;
    read.slot = entry.slot;
    return {media::read(entry.path, read), ""};
  } catch (const Error& error) {
    return {std::nullopt, error.what()};
  }
}

// The same read, or why it could not be.
struct Loaded {
  std::optional<Inspection> inspection;
  std::string why;
};

// What the next one is likely to share with it, so that it is neither summed up nor read again.
struct LoadedBefore {
  SumMemory sums;
  ReadingMemory readings;
};

Loaded load(const Machine& machine, Fetched fetched, const PileEntry& entry, const PileOptions& options,
            const std::set<std::string>& stored, LoadedBefore& before) {
  Loaded loaded;
  loaded.why = std::move(fetched.why);
  if (!fetched.set) return loaded;
  try {
    media::Set set = machine.without_outer_folder(std::move(*fetched.set));
    IntakeOptions intake;
    intake.at = entry.at;
    SetSums sums = before.sums.sums_of(set);
    if (options.dry_run || stored.contains(sums.digest)) {  // so that nothing of it will be asked for
      loaded.inspection.emplace();
      loaded.inspection->sums = std::move(sums);
      loaded.inspection->set = std::move(set);
    } else {
      loaded.inspection = machine.read(std::move(set), intake, &before.readings, std::move(sums));
      std::vector<std::string_view> contents;
      for (const media::File& file : loaded.inspection->set.files) contents.emplace_back(file.bytes);
      machine.repository().hash_ahead(contents, loaded.inspection->sums.files);
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
      if (backup.at == entry.at || backup.at == wall_as_utc(entry.at)) return &backup;
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
  if (const Backup* there = known.find(inspection.sums.digest, entry)) {
    step.fate = Fate::there_already;
    step.backup = *there;
    return step;
  }
  if (options.dry_run) {
    Backup would;
    would.digest = inspection.sums.digest;
    would.at = entry.at;
    known.add(would);
    return step;
  }
  IntakeOptions intake;
  intake.at = entry.at;
  intake.by = options.by;
  intake.note = options.note;
  intake.accept = options.accept;
  intake.from_drawer = true;
  intake.now = options.now;
  // The files of one that is stored, but at another time: it was not read yet.
  if (inspection.reading.files.empty())
    inspection = machine.read(std::move(inspection.set), intake, nullptr, std::move(inspection.sums));
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
  using Fetch = std::function<Fetched(std::size_t)>;
  using Load = std::function<Loaded(std::size_t, Fetched)>;
  ReadAhead(std::size_t count, Fetch fetch, Load load)
      : count_(count), fetch_(std::move(fetch)), load_(std::move(load)) {
    try {
      thread_ = std::jthread([this](const std::stop_token& stop) { run(stop); });
    } catch (const std::system_error&) {
      alone_ = true;
    }
  }

  // The next one, in order. Rethrows what stopped the reading. Rather than wait for it, gets one that follows
  // off its medium.
  Loaded next() {
    if (alone_) {
      const std::size_t one = given_++;
      return load_(one, fetch_(one));
    }
    std::unique_lock lock(guard_);
    while (ready_.empty() && !failure_) {
      if (next_fetch_ < count_ && fetched_.size() < most_fetched) {
        const std::size_t one = next_fetch_++;
        lock.unlock();
        Fetched fetched = fetch_(one);
        lock.lock();
        fetched_.emplace(one, std::move(fetched));
        changed_.notify_all();
      } else {
        changed_.wait(lock);
      }
    }
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
  static constexpr std::size_t most_fetched = 2;

  static std::size_t bytes_of(const Loaded& loaded) {
    std::size_t bytes = 0;
    if (!loaded.inspection) return bytes;
    for (const media::File& file : loaded.inspection->set.files) bytes += file.bytes.size();
    return bytes;
  }
  // nullopt when it is to stop.
  std::optional<Fetched> fetched(std::size_t one, const std::stop_token& stop) {
    std::unique_lock lock(guard_);
    if (next_fetch_ == one) {
      ++next_fetch_;
      lock.unlock();
      return fetch_(one);
    }
    if (!changed_.wait(lock, stop, [&] { return fetched_.contains(one); })) return std::nullopt;
    return std::move(fetched_.extract(one).mapped());
  }
  void run(const std::stop_token& stop) {
    try {
      for (std::size_t i = 0; i < count_; ++i) {
        auto set = fetched(i, stop);
        if (!set) return;
        Loaded loaded = load_(i, std::move(*set));
        std::unique_lock lock(guard_);
        if (!changed_.wait(lock, stop, [&] { return ready_.empty() || bytes_ < most_bytes; })) return;
        bytes_ += bytes_of(loaded);
        ready_.push_back(std::move(loaded));
        changed_.notify_all();
      }
    } catch (...) {  // out of memory: reported on the caller's thread
      const std::scoped_lock lock(guard_);
      failure_ = std::current_exception();
      changed_.notify_all();
    }
  }

  std::size_t count_;
  Fetch fetch_;
  Load load_;
  std::mutex guard_;
  std::condition_variable_any changed_;
  std::size_t next_fetch_ = 0;
  std::map<std::size_t, Fetched> fetched_;  // by the other thread than what loads them
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
  LoadedBefore before;
  ReadAhead loader(
      pile.entries.size(), [&](std::size_t i) { return fetch(pile.entries[i]); },
      [&](std::size_t i, Fetched fetched) {
        return load(machine, std::move(fetched), pile.entries[i], options, stored, before);
      });
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
