// Runs of one byte.
#include <gtest/gtest.h>

#include <random>
#include <string>
#include <utility>
#include <vector>

#include "verdict/runs.hpp"

namespace keepway::verdict {
namespace {

using Found = std::vector<std::pair<std::size_t, std::size_t>>;

TEST(Runs, LongOnesAreFoundWithoutLookingAtEachByte) {
  std::mt19937 random(7);
  for (int round = 0; round < 2000; ++round) {
    std::string bytes;
    while (bytes.size() < random() % 120)
      bytes.append(1 + random() % 12, static_cast<char>('a' + random() % 3));
    for (const std::size_t least : {1U, 2U, 5U, 8U}) {
      Found all;
      each_run(bytes, [&](const verdict::Run& run) {
        if (run.length >= least) all.emplace_back(run.at, run.length);
      });
      Found found;
      each_long_run(bytes, least, [&](const verdict::Run& run) { found.emplace_back(run.at, run.length); });
      EXPECT_EQ(found, all) << bytes << " from " << least;
    }
  }
}

}  // namespace
}  // namespace keepway::verdict
