// Times in a zone an hour ahead of UTC, two in summer: typed and shown by the clock on the wall, stored in
// UTC. The zone is written as POSIX does (IEEE Std 1003.1, 8.3, TZ); floppies are cross-checked with mtools.
// All data are invented.
#include <gmock/gmock.h>

#include "media_fixture.hpp"
#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

class Zone : public ShopTest {
 protected:
  const Env there_ = {{"TZ", "CET-1CEST,M3.5.0,M10.5.0/3"}};
  void take(const std::string& at, const Env& env) {
    const Ran ran =
        kw({"intake", "mill", put(mill_files()).string(), "--at", at, "--by", "Ana", "--again"}, env);
    ASSERT_LE(ran.exit, 1) << ran.err;
  }
};

TEST_F(Zone, TimesAreTypedAndShownThereAndStoredInUtc) {
  enroll_mill();
  take("2026-03-01 06:30", there_);
  const Ran shown = kw({"history", "mill"}, there_);
  EXPECT_THAT(shown.out, HasSubstr("2026-03-01 06:30"));
  EXPECT_THAT(shown.out, HasSubstr("date (CET/CEST)"));
  const Ran elsewhere = kw({"history", "mill"});
  EXPECT_THAT(elsewhere.out, HasSubstr("2026-03-01 05:30"));
  EXPECT_THAT(elsewhere.out, testing::Not(HasSubstr("UTC")));
  for (const Env& env : {there_, Env{}}) {
    const Json answer = Json::parse(kw({"history", "mill", "--json"}, env).out);
    EXPECT_EQ(answer.at("backups").at(0).at("at"), "2026-03-01T05:30:00Z");
  }
  EXPECT_EQ(git(repository("mill"), {"log", "-1", "--format=%at"}).out, "1772343000\n");
}

TEST_F(Zone, ADayIsTheDayThere) {
  enroll_mill();
  take("2026-03-01 00:20", there_);  // still February in UTC
  EXPECT_EQ(kw({"show", "mill", "offsets", "--at", "2026-03-01"}, there_).exit, 0);
  EXPECT_NE(kw({"show", "mill", "offsets", "--at", "2026-02-28"}, there_).exit, 0);
  EXPECT_EQ(kw({"show", "mill", "offsets", "--at", "2026-02-28"}).exit, 0);
}

TEST_F(Zone, ABatterysDayStaysThatDay) {
  enroll_mill();
  ASSERT_LE(kw({"battery", "mill", "--changed", "2026-02-01", "--every-months", "5"}, there_).exit, 1);
  EXPECT_THAT(read_file(repository("mill") / "machine.toml"), HasSubstr("changed = 2026-02-01"));
  EXPECT_THAT(kw({"battery", "mill"}, there_).out, HasSubstr("changed 2026-02-01, due 2026-07-01"));
  take("2026-03-01", there_);  // which stores it
}

class ZoneOnMedia : public MediaTest {
 protected:
  const Env there_ = {{"TZ", "CET-1CEST,M3.5.0,M10.5.0/3"}};
};

TEST_F(ZoneOnMedia, AFloppysTimesAreThoseOfTheWall) {
  enroll_mill();
  const std::string image = floppy("mill.img", mill_files()).string();  // its files are dated 09:00
  ASSERT_LE(kw({"intake", "mill", image, "--by", "Ana"}, there_).exit, 1);
  EXPECT_THAT(kw({"history", "mill"}, there_).out, HasSubstr("2026-03-01 09:00"));
  EXPECT_EQ(Json::parse(kw({"history", "mill", "--json"}).out).at("backups").at(0).at("at"),
            "2026-03-01T08:00:00Z");
  // And back: mtools reads the digits that the control wrote.
  const std::string out = (root() / "out.img").string();
  ASSERT_LE(kw({"restore", "mill", "--at", "#1", "--to", out, "--accept"}, there_).exit, 1);
  const Ran listed = run("mdir", {"-i", out, "::"}, root(), there_);
  EXPECT_THAT(listed.out, HasSubstr("2026-03-01   9:00"));
}

TEST_F(ZoneOnMedia, WhatAnEarlierVersionDatedInUtcIsStoredAlready) {
  enroll_mill();
  const std::string image = floppy("mill.img", mill_files()).string();
  ASSERT_LE(kw({"intake", "mill", image, "--by", "Ana"}).exit, 1);  // as that version did, in any zone
  const Ran again = kw({"intake", "mill", image, "--by", "Ana"}, there_);
  EXPECT_THAT(again.out, HasSubstr("#1"));
  fs::create_directories(root() / "drawer");
  fs::copy(image, root() / "drawer" / "mill.img");
  ASSERT_LE(kw({"pile", "mill", (root() / "drawer").string(), "--by", "Ana"}, there_).exit, 1);
  EXPECT_EQ(Json::parse(kw({"history", "mill", "--json"}).out).at("backups").size(), 1U);
}

}  // namespace
}  // namespace scenario
