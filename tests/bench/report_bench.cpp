// Makes an invented machine with many backups, to measure what pages of it cost. Usage:
//   report_bench FOLDER [BACKUPS]
// then, each by itself: keepway --shop FOLDER report mill --to OUT; node tests/pages/opening.js
// OUT/index.html
#include <fmt/format.h>

#include <cstdlib>
#include <random>

#include "keepway/shop.hpp"

namespace {

constexpr std::int64_t day = 86'400;
constexpr std::int64_t start = 1'000'000'000;  // 2001-09-09
constexpr int tools = 200;
constexpr int variables = 500;

struct Mill {
  std::mt19937_64 random{20260301};
  std::vector<long> lengths = std::vector<long>(tools, 51000);
  std::vector<long> values = std::vector<long>(variables, 0);
  long feed = 200;

  void live() {
    ++values[0];  // a part counter
    for (int i = 0; i < 3; ++i) lengths[random() % tools] -= static_cast<long>(random() % 5);
    for (int i = 0; i < 5; ++i) values[random() % variables] = static_cast<long>(random() % 100000);
    if (random() % 20 == 0) feed = 150 + static_cast<long>(random() % 100);
  }

  [[nodiscard]] keepway::media::Set files() const {
    std::string table = "POC FMS TLO DIAM COMMENT\n\n";
    for (int t = 0; t < tools; ++t)
      table += fmt::format("{} {} {}.{:04} 0.5 tool {}\n", t + 1, t + 1,
                           lengths[static_cast<std::size_t>(t)] / 10000,
                           lengths[static_cast<std::size_t>(t)] % 10000, t + 1);
    std::string rows = "number\tvalue\n\n";
    for (int v = 0; v < variables; ++v)
      rows += fmt::format("{}\t{}\n", 300 + v, values[static_cast<std::size_t>(v)]);
    keepway::media::Set set;
    set.source = "invented";
    set.files.push_back({"mill.tbl", table});
    set.files.push_back({"mill.var", rows});
    set.files.push_back(
        {"O1000.ngc", fmt::format("%\nO1000 (BRACKET)\nG20 G90 G54\nT1 M6\nG1 X2.5 F{}\nM30\n%\n", feed)});
    return set;
  }
};

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const int backups = argc > 2 ? std::atoi(argv[2]) : 10'000;
  keepway::Shop::init(argv[1], "An invented shop");
  keepway::Machine machine = keepway::Shop::open(argv[1]).enroll(
      {"mill", "rs274ngc", "", "Invented mill", keepway::Units::inch, {}, "bench", start});
  Mill mill;
  for (int i = 0; i < backups; ++i) {
    mill.live();
    keepway::IntakeOptions options;
    options.at = start + i * day / 2 + (i > backups / 2 ? 20 * day : 0);
    options.now = *options.at;
    options.by = i % 3 == 0 ? "Tom" : "Ida";
    options.note = i % 10 == 0 ? "weekly" : "";
    options.accept = true;
    machine.intake(machine.inspect(mill.files(), options), options);
  }
}
