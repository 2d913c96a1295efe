// How much of what goes wrong with backups is seen, and how often a normal backup is doubted. Four invented
// machines live through a year of working days; on random days a fault is made in that day's backup and
// judged beside the normal one, which alone is taken in. Usage:
//   faults_bench FOLDER [ROUNDS [DAYS]]    FOLDER: empty or not there yet, on a quick disk
// For each fault: the share that was caught (doubtful or refused), warned of (good, with a caution that the
// normal backup has not), shown (good, among the changes or worth knowing), the same (shown as spelled
// otherwise, since by the layout the value is what it was) and silent. MISSES=1 prints each one that its bar
// wants and that did not come.
#include <fmt/format.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "faults_kinds.hpp"
#include "keepway/shop.hpp"

namespace {

using namespace faults;
using keepway::Inspection;
using keepway::Worth;

constexpr std::int64_t one_day = 86'400;
constexpr std::int64_t start = 1'704'092'400;  // 2024-01-01

struct Tally {
  std::size_t made = 0, caught = 0, warned = 0, shown = 0, same = 0, silent = 0;
};

// All that a person is shown of one backup beside its verdict.
std::string shown_text(const Inspection& inspection) {
  std::string text = inspection.gist + inspection.beside;
  for (const keepway::ValueChange& change : inspection.changes.values)
    text += fmt::format("\n{} {} {}", change.key, change.before.value_or("-"), change.after.value_or("-"));
  for (const keepway::ProgramChange& change : inspection.changes.programs) {
    text += fmt::format("\n{} {}", change.name, static_cast<int>(change.kind));
    for (const auto& block : change.blocks)
      text += fmt::format(" {} {}", fmt::join(block.before, ";"), fmt::join(block.after, ";"));
  }
  for (const keepway::Reason& reason : inspection.verdict.reasons) text += "\n" + reason.code + reason.what;
  return text;
}

std::size_t caution_count(const Inspection& inspection) {
  std::size_t count = 0;
  for (const keepway::Caution& caution : inspection.verdict.cautions) count += caution.codes.size();
  return count;
}

struct Bench {
  std::vector<Fault> faults = all_faults();
  std::vector<Tally> tallies = std::vector<Tally>(faults.size());
  std::size_t judged = 0;
  std::size_t doubted = 0;
  bool misses = std::getenv("MISSES") != nullptr;

  void judge(std::size_t which, const keepway::Machine& machine, const Day& day, const Inspection& clean,
             keepway::IntakeOptions options, Dice& dice) {
    const Fault& fault = faults[which];
    Faulty faulty = fault.make(day, dice);
    for (int again = 0; !faulty.made && again < 20; ++again) faulty = fault.make(day, dice);
    if (!faulty.made) return;
    options.at = faulty.at;
    const Inspection seen = machine.inspect(faulty.set, options);
    Tally& tally = tallies[which];
    ++tally.made;
    const bool caught = seen.verdict.worth != Worth::good;
    const bool warned = caution_count(seen) > caution_count(clean);
    const bool shown = shown_text(seen) != shown_text(clean);
    const bool same = faulty.same && shown;
    (caught   ? tally.caught
     : warned ? tally.warned
     : same   ? tally.same
     : shown  ? tally.shown
              : tally.silent) += 1;
    const bool missed = (fault.must_be_caught && !caught) ||
                        (fault.must_warn && !caught && !warned && !same) || (!caught && !warned && !shown);
    if (missed && misses) tell(fault, day, faulty, seen);
  }

  static void tell(const Fault& fault, const Day& day, const Faulty& faulty, const Inspection& seen) {
    fmt::print("MISS {} of '{}' on {}: {}\n", fault.name, day.form.name, day.day,
               keepway::gist(seen.changes));
    for (const auto& file : faulty.set.files) {
      for (const auto& was : day.normal.files) {
        if (was.name != file.name || was.bytes == file.bytes) continue;
        std::size_t at = 0;
        while (at < std::min(was.bytes.size(), file.bytes.size()) && was.bytes[at] == file.bytes[at]) ++at;
        const std::size_t from = at < 30 ? 0 : at - 30;
        fmt::print("  {} ({} to {} bytes) at {}: '{}' is '{}'\n", file.name, was.bytes.size(),
                   file.bytes.size(), at, keepway::escape(was.bytes.substr(from, 70)),
                   keepway::escape(file.bytes.substr(from, 70)));
      }
    }
  }

  void live_a_year(const std::filesystem::path& shop, const Form& form, std::size_t number,
                   std::size_t rounds, std::size_t days) {
    Dice dice(7 + number);
    Dice fault_dice(1000 + number);
    Memory memory = new_memory(dice);
    Memory other = new_memory(dice);
    const std::string serial = std::to_string(20417 + number);
    const std::string other_serial = std::to_string(31862 + number);
    const std::filesystem::path layout = shop / fmt::format("layout{}.toml", number);
    if (!form.layout.empty()) std::ofstream(layout) << form.layout;
    const std::string name = fmt::format("machine{}", number);
    {
      keepway::Machine made =
          keepway::Shop::open(shop).enroll({name,
                                            form.layout.empty() ? "rs274ngc" : layout.string(),
                                            serial,
                                            form.name,
                                            keepway::Units::inch,
                                            {},
                                            "bench",
                                            start});
      std::ofstream(made.repository().folder() / "namebook.tsv") << form.namebook;
    }
    keepway::Machine machine = keepway::Shop::open(shop).machine(name);
    std::vector<keepway::media::Set> before;
    for (std::size_t d = 0; d < days; ++d) {
      live(memory, form, dice);
      live(other, form, dice);
      const std::int64_t at = start + static_cast<std::int64_t>(d / 5 * 7 + d % 5) * one_day;
      const std::string today = keepway::format_time(at).substr(0, 10);
      const keepway::media::Set normal = form.write(memory, serial, today);
      keepway::IntakeOptions options;
      options.at = at;
      options.now = at + 3600;
      options.by = "bench";
      Inspection clean = machine.inspect(normal, options);
      if (d > 0) {
        ++normal_seen(clean, form, today);
        const Day day{form, memory, other, serial, other_serial, today, at, start, normal, before};
        for (std::size_t which = 0; which < faults.size(); ++which) {
          // So many rounds over the days, spread evenly by chance.
          std::size_t times = rounds / (days - 1);
          if (fault_dice.below(days - 1) < rounds % (days - 1)) ++times;
          for (; times > 0; --times) judge(which, machine, day, clean, options, fault_dice);
        }
      } else {
        options.accept = true;
      }
      machine.intake(std::move(clean), options);
      before.push_back(normal);
    }
  }

  std::size_t& normal_seen(const Inspection& clean, const Form& form, const std::string& today) {
    if (clean.verdict.worth != Worth::good) {
      ++doubted;
      if (misses) {
        for (const keepway::Reason& reason : clean.verdict.reasons) {
          if (reason.weight != Worth::good)
            fmt::print("DOUBTED '{}' on {}: {}: {}\n", form.name, today, reason.code, reason.what);
        }
      }
    }
    return judged;
  }

  void print() const {
    fmt::print("{:22} {:>6} {:>8} {:>8} {:>8} {:>8} {:>8}\n", "fault", "made", "caught", "warned", "shown",
               "same", "silent");
    const auto share = [](std::size_t part, std::size_t of) {
      return of == 0 ? std::string("-")
                     : fmt::format("{:.1f} %", 100.0 * static_cast<double>(part) / static_cast<double>(of));
    };
    for (std::size_t i = 0; i < faults.size(); ++i) {
      const Tally& tally = tallies[i];
      fmt::print("{:22} {:>6} {:>8} {:>8} {:>8} {:>8} {:>8}  {}\n", faults[i].name, tally.made,
                 share(tally.caught, tally.made), share(tally.warned, tally.made),
                 share(tally.shown, tally.made), share(tally.same, tally.made),
                 share(tally.silent, tally.made), faults[i].why_missed);
    }
    fmt::print("normal backups: {}, doubtful {} ({})\n", judged, doubted, share(doubted, judged));
  }
};

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const std::size_t rounds = argc > 2 ? static_cast<std::size_t>(std::atoi(argv[2])) : 200;
  const std::size_t days = argc > 3 ? static_cast<std::size_t>(std::atoi(argv[3])) : 250;
  keepway::Shop::init(argv[1], "An invented shop");
  Bench bench;
  for (std::size_t i = 0; i < forms().size(); ++i) bench.live_a_year(argv[1], forms()[i], i, rounds, days);
  bench.print();
}
