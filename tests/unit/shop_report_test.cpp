// When a backup counts as missing. Invented dates.
#include <gtest/gtest.h>

#include "keepway/report.hpp"

namespace keepway {
namespace {

constexpr std::int64_t day = 86'400;

std::vector<Backup> on_days(const std::vector<int>& days) {
  std::vector<Backup> backups;
  for (const int each : days) {
    backups.emplace_back();
    backups.back().at = each * day;
  }
  return backups;
}

// "10-30: 2" for two missing between day 10 and day 30.
std::string reported(const std::vector<int>& days, std::optional<int> every_days, int now) {
  std::string out;
  for (const Gap& gap : gaps(on_days(days), every_days, now * day)) {
    out += std::to_string(gap.from / day) + "-" + std::to_string(gap.to / day) + ": " +
           std::to_string(gap.missing) + " ";
  }
  return out;
}

TEST(Gaps, FollowTheOwnersInterval) {
  EXPECT_EQ(reported({0, 7, 17, 24}, 7, 24), "");
  EXPECT_EQ(reported({0, 7, 18, 25}, 7, 25), "7-18: 1 ");
  EXPECT_EQ(reported({0, 7, 28}, 7, 42), "7-28: 2 28-42: 1 ");
  EXPECT_EQ(reported({0}, 7, 21), "0-21: 2 ");
  EXPECT_EQ(reported({}, 7, 21), "");
  EXPECT_EQ(reported({0, 1, 2, 3, 4, 14}, 14, 20), "") << "often taken is not missed sooner";
}

TEST(Gaps, FollowTheMedianWhereNobodySaidOne) {
  EXPECT_EQ(reported({0, 7}, {}, 100), "") << "two backups make no rule";
  EXPECT_EQ(reported({0, 7, 14, 31}, {}, 31), "");
  EXPECT_EQ(reported({0, 7, 14, 32}, {}, 32), "14-32: 2 ");
  EXPECT_EQ(reported({0, 7, 14, 21}, {}, 49), "21-49: 3 ");
}

TEST(Gaps, AreNeverShorterThanADayAndAHalf) {
  EXPECT_EQ(reported({0, 1, 2, 3}, 1, 3), "");
  std::vector<Backup> hourly;
  for (int hour = 0; hour < 20; ++hour) {
    hourly.emplace_back();
    hourly.back().at = hour * 3600;
  }
  EXPECT_TRUE(gaps(hourly, {}, 2 * day).empty());
}

}  // namespace
}  // namespace keepway
