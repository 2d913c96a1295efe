// How many backups are good on histories like those that people keep in public of RS-274/NGC machines. The
// first backup is accepted by a person, no other is. Usage:
//   histories_bench FOLDER [BACKUPS [SEED]]    FOLDER: empty or not there yet
// MISSES=1 prints each doubt.
#include <fmt/format.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "histories_machines.hpp"
#include "keepway/shop.hpp"

namespace {

using keepway::Worth;

constexpr std::int64_t one_day = 86'400;
constexpr std::int64_t start = 1'704'092'400;  // 2024-01-01

struct Tally {
  std::size_t judged = 0;
  std::size_t good = 0;
  std::size_t cautions = 0;
};

Tally live(const std::filesystem::path& shop, const histories::History& history, std::size_t number,
           std::size_t backups, std::uint64_t seed) {
  const std::filesystem::path layout = shop / fmt::format("layout{}.toml", number);
  if (!history.layout.empty()) std::ofstream(layout) << history.layout;
  const std::string name = fmt::format("machine{}", number);
  const std::string form = history.layout.empty() ? "rs274ngc" : layout.string();
  keepway::Shop::open(shop).enroll({name, form, "", history.name, keepway::Units::inch, {}, "bench", start});
  keepway::Machine machine = keepway::Shop::open(shop).machine(name);
  histories::Dice dice(seed + number);
  Tally tally;
  std::int64_t at = start;
  bool first = true;
  for (const keepway::media::Set& set : history.live(dice, backups)) {
    keepway::IntakeOptions options;
    options.at = at;
    options.now = at + 3600;
    options.by = "bench";
    options.accept = first;
    keepway::Inspection inspection = machine.inspect(set, options);
    if (!first) {
      ++tally.judged;
      tally.good += inspection.verdict.worth == Worth::good ? 1U : 0U;
      tally.cautions += inspection.verdict.cautions.size();
    }
    for (const keepway::Reason& reason : inspection.verdict.reasons) {
      if (!first && reason.weight != Worth::good && std::getenv("MISSES") != nullptr)
        fmt::print("DOUBTED '{}' #{}: {}: {}\n", history.name, tally.judged + 1, reason.code, reason.what);
    }
    machine.intake(std::move(inspection), options);
    first = false;
    at += 3 * one_day;
  }
  return tally;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const std::size_t backups = argc > 2 ? static_cast<std::size_t>(std::atoi(argv[2])) : 30;
  const std::uint64_t seed = argc > 3 ? static_cast<std::uint64_t>(std::atoi(argv[3])) : 1;
  keepway::Shop::init(argv[1], "An invented shop");
  fmt::print("{:22} {:>8} {:>8} {:>9}\n", "history", "judged", "good", "cautions");
  const auto all = histories::histories();
  for (std::size_t i = 0; i < all.size(); ++i) {
    const Tally tally = live(argv[1], all[i], i, backups, seed);
    const double share = 100.0 * static_cast<double>(tally.good) / static_cast<double>(tally.judged);
    fmt::print("{:22} {:>8} {:>6.1f} % {:>9}\n", all[i].name, tally.judged, share, tally.cautions);
  }
}
