// What a value was without doubtful backups, and how much it creeps. Invented values and dates.
#include <gtest/gtest.h>

#include <random>

#include "show/pages/drift.hpp"

namespace keepway::show::pages {
namespace {

constexpr std::int64_t day = 86'400;

std::vector<Point> by_day(const std::vector<double>& values) {
  std::vector<Point> points;
  for (const double value : values) points.push_back({static_cast<std::int64_t>(points.size()) * day, value});
  return points;
}

TEST(RobustSlope, IsTheLineOfALine) {
  const auto slope = robust_slope(by_day({1, 3, 5, 7, 9, 11}));
  ASSERT_TRUE(slope);
  EXPECT_DOUBLE_EQ(slope->per_second * day, 2);
  EXPECT_DOUBLE_EQ(slope->least * day, 2);
  EXPECT_DOUBLE_EQ(slope->most * day, 2);
  EXPECT_DOUBLE_EQ(slope->level, 1);
}

// By hand: slopes 1, 1, 1, 3, 4, 7, so the median is 2; of four points the bounds are the outermost slopes.
TEST(RobustSlope, IsTheMedianOfAllPairs) {
  const auto slope = robust_slope(by_day({0, 1, 2, 9}));
  ASSERT_TRUE(slope);
  EXPECT_DOUBLE_EQ(slope->per_second * day, 2);
  EXPECT_DOUBLE_EQ(slope->least * day, 1);
  EXPECT_DOUBLE_EQ(slope->most * day, 7);
}

TEST(RobustSlope, AWrongValueMovesItLittle) {
  std::vector<double> values;
  for (int i = 0; i < 30; ++i) values.push_back(0.01 * i);
  values[20] = -500;
  EXPECT_NEAR(robust_slope(by_day(values))->per_second * day, 0.01, 0.0005);
}

TEST(RobustSlope, NeedsTwoTimes) {
  EXPECT_FALSE(robust_slope({}));
  EXPECT_FALSE(robust_slope({{5, 1}, {5, 2}}));
}

// The bounds are right about as often as they say.
TEST(RobustSlope, BoundsHoldTheTrueSlopeInNineteenOfTwenty) {
  std::mt19937 random(20260301);
  std::normal_distribution<double> noise(0, 1);
  int inside = 0;
  constexpr int rounds = 600;
  for (int round = 0; round < rounds; ++round) {
    std::vector<double> values;
    for (int i = 0; i < 25; ++i) values.push_back(0.1 * i + noise(random));
    const auto slope = robust_slope(by_day(values));
    if (slope->least * day <= 0.1 && slope->most * day >= 0.1) ++inside;
  }
  EXPECT_GT(inside, rounds * 92 / 100);
  EXPECT_LT(inside, rounds * 98 / 100);
}

// "g": good, "d": doubtful, "D": doubtful and accepted; one backup a letter, ten days apart.
Report with(const std::string& worths, const std::vector<Version>& versions, const std::string& book = "") {
  Report report;
  for (const char worth : worths) {
    Backup backup;
    backup.at = static_cast<std::int64_t>(report.backups.size()) * 10 * day;
    backup.worth = worth == 'g' ? Worth::good : Worth::doubtful;
    backup.accepted = worth == 'D';
    report.backups.push_back(backup);
  }
  report.items.push_back({{Group::parameters, "20"}, versions});
  if (!book.empty()) report.namebook = Namebook::parse(book, "namebook.tsv");
  return report;
}

std::string held(const std::string& worths, const std::vector<Version>& versions) {
  const Report report = with(worths, versions);
  const GoodBackups goods(report.backups);
  const History& history = report.items[0];
  std::string out;
  for (auto each = held_at(history, history.versions.size() - 1, goods); each;
       each = held_before(history, *each, goods)) {
    out += history.versions[each->version].value.value_or("gone") + "@" + std::to_string(each->since) + " ";
  }
  return out;
}

TEST(HeldValues, LeaveOutWhatOnlyDoubtfulBackupsShowed) {
  EXPECT_EQ(held("gggg", {{0, "5"}, {2, "6"}}), "6@2 5@0 ");
  EXPECT_EQ(held("ggdg", {{0, "5"}, {2, "0"}, {3, "5"}}), "5@0 ") << "put back as before";
  EXPECT_EQ(held("gddg", {{0, "5"}, {1, "0"}, {2, std::nullopt}, {3, "7"}}), "7@3 5@0 ");
  EXPECT_EQ(held("ggd", {{0, "5"}, {2, "0"}}), "5@0 ") << "the last good one, where the newest is none";
  EXPECT_EQ(held("ggdg", {{0, "5"}, {2, "6"}}), "6@2 5@0 ") << "a later good backup has it too";
  EXPECT_EQ(held("ggDg", {{0, "5"}, {2, "0"}, {3, "5"}}), "5@3 0@2 5@0 ") << "a person stood by it";
  EXPECT_EQ(held("dd", {{0, "5"}, {1, "6"}}), "");
}

std::vector<Version> creeping(std::size_t count, double step) {
  std::vector<Version> versions;
  for (std::size_t i = 0; i < count; ++i)
    versions.push_back({i, std::to_string(1 + step * static_cast<double>(i))});
  return versions;
}

std::optional<Drift> drift(const Report& report) {
  return drift_of(report.items[0], report, GoodBackups(report.backups));
}

constexpr const char* book =
    "address\tname\tunit\tkind\tmin\tmax\nparameters/20\tBacklash\tlength\tnumber\t0\t2\n";

TEST(Drifts, AreOfAYearWithTheLimitTheyRunTo) {
  const auto found = drift(with("gggggggggg", creeping(10, 0.01), book));
  ASSERT_TRUE(found);
  EXPECT_TRUE(found->is_sure);
  EXPECT_NEAR(found->per_year, 0.365'25, 1e-9);  // 0.01 in ten days
  EXPECT_EQ(found->limit, "2");
  // From 1.09 after 90 days, 0.91 on at 0.001 a day.
  EXPECT_NEAR(static_cast<double>(found->meets) / day, 90 + 910, 1);
}

TEST(Drifts, ForetellNothingFromFewerThanEightGoodBackups) {
  EXPECT_EQ(drift(with("gggggggg", creeping(8, 0.01), book))->limit, "2");
  EXPECT_EQ(drift(with("ggggggg", creeping(7, 0.01), book))->limit, "");
  EXPECT_EQ(drift(with("gggdgggg", creeping(8, 0.01), book))->limit, "") << "of eight one is doubtful";
}

TEST(Drifts, AreNoneOfWhatStoodStillOrIsNoNumber) {
  EXPECT_FALSE(drift(with("gggggggg", {{0, "5"}})));
  EXPECT_FALSE(drift(with("ggdg", {{0, "5"}, {2, "0"}, {3, "5"}})));
  EXPECT_FALSE(drift(with("gggg", {{0, "A"}, {2, "B"}})));
}

TEST(Drifts, LookBackOneYear) {
  // 50 backups ten days apart: the first twelve and more lie over a year back.
  std::vector<Version> versions = {{0, "9"}, {5, "3"}, {30, "4"}};
  const auto found = drift(with(std::string(50, 'g'), versions));
  ASSERT_TRUE(found);
  EXPECT_EQ(found->points, 37U);
  EXPECT_FALSE(drift(with(std::string(80, 'g'), versions))) << "nothing changed within the year";
}

}  // namespace
}  // namespace keepway::show::pages
