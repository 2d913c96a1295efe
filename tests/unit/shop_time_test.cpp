// Times as people and RFC 3339 write them.
#include <gtest/gtest.h>

#include <cstdint>
#include <cstdlib>
#include <ctime>
#include <string>

#include "keepway/error.hpp"
#include "keepway/time.hpp"

namespace keepway {
namespace {

constexpr std::int64_t day = 86'400;

TEST(Time, ReadsRfc3339) {
  EXPECT_EQ(parse_time("1970-01-01T00:00:00Z", false), 0);
  // RFC 3339, 5.8: the examples, by their own text.
  EXPECT_EQ(parse_time("1985-04-12T23:20:50.52Z", false), 482'196'050);
  EXPECT_EQ(parse_time("1996-12-19T16:39:57-08:00", false), parse_time("1996-12-20T00:39:57Z", false));
  EXPECT_EQ(parse_time("1990-12-31T23:59:60Z", false), parse_time("1990-12-31T15:59:60-08:00", false));
  EXPECT_EQ(parse_time("2026-03-01t06:30:00z", false), parse_time("2026-03-01T06:30:00Z", false));
}

TEST(Time, ADateIsNoonOrTheDaysLastSecond) {
  const std::int64_t begin = *parse_time("2026-03-01T00:00:00Z", false);
  EXPECT_EQ(parse_time("2026-03-01", false), begin + day / 2);
  EXPECT_EQ(parse_time("2026-03-01", true), begin + day - 1);
}

TEST(Time, ReadsADayAsPeopleWriteIt) {
  const std::int64_t noon = *parse_time("2026-03-01", false);
  EXPECT_EQ(parse_time("1.3.2026", false), noon);
  EXPECT_EQ(parse_time("01.03.2026", false), noon);
  EXPECT_EQ(parse_time("1.3.2026", true), parse_time("2026-03-01", true));
  EXPECT_EQ(parse_time("1.3.2026 06:30", false), parse_time("2026-03-01T06:30Z", false));
  EXPECT_EQ(parse_time("25/3/2026", false), parse_time("2026-03-25", false));
  EXPECT_EQ(parse_time("3/25/2026", false), parse_time("2026-03-25", false));
  EXPECT_EQ(parse_time("3/3/2026", false), parse_time("2026-03-03", false));
  EXPECT_NO_THROW(refuse_ambiguous_date("3/3/2026"));
  for (const char* text :
       {"1.3.", "1.3.20261", "32.1.2026", "1.13.2026", "1.3/2026", "1-3-2026", "1.3.2026x", "1..2026"})
    EXPECT_FALSE(parse_time(text, false)) << text;
}

TEST(Time, RefusesADayThatMayBeAnotherWithEachReading) {
  const auto reported = [](const char* text) {
    EXPECT_FALSE(parse_time(text, false)) << text;
    try {
      refuse_ambiguous_date(text);
    } catch (const Error& error) {
      EXPECT_EQ(error.kind(), ErrorKind::usage);
      return std::string(error.what());
    }
    return std::string("not refused");
  };
  EXPECT_EQ(reported("1/3/2026"), "'1/3/2026' may be 2026-03-01 or 2026-01-03");
  EXPECT_EQ(reported("25.06.21"), "'25.06.21' may be 2021-06-25 or 2025-06-21");
  EXPECT_EQ(reported("1.3.99"), "'1.3.99' may be 1999-03-01");
  EXPECT_EQ(reported("99.99.99"), "not refused");
}

TEST(Time, KnowsLeapYears) {
  EXPECT_TRUE(parse_time("2024-02-29", false));
  EXPECT_TRUE(parse_time("2000-02-29", false));
  EXPECT_FALSE(parse_time("2026-02-29", false));
  EXPECT_FALSE(parse_time("2100-02-29", false));
}

TEST(Time, RefusesWhatIsNone) {
  for (const char* text : {"",
                           " ",
                           "2026",
                           "2026-03",
                           "2026-3-1",
                           "2026-00-01",
                           "2026-13-01",
                           "2026-01-32",
                           "2026-03-01T",
                           "2026-03-01T24:00:00Z",
                           "2026-03-01T06:60:00Z",
                           "2026-03-01T06:30:61Z",
                           "2026-03-01T06:30:00+24:00",
                           "2026-03-01T06:30:00+0500",
                           "2026-03-01T06:30:00.Z",
                           "2026-03-01T06:30:00Zx",
                           "2026-03-01 x",
                           "1969-12-31",
                           "1970-01-01T00:00:00+01:00",
                           "yesterday",
                           "#1",
                           "20260301"}) {
    EXPECT_FALSE(parse_time(text, false)) << text;
  }
}

TEST(Time, WhatIsWrittenReadsBack) {
  for (std::int64_t at = 1; at < 253'402'300'800; at = at * 3 + 86'399) {
    EXPECT_EQ(parse_time(format_time_rfc3339(at), false), at) << format_time_rfc3339(at);
    EXPECT_EQ(format_time(at), format_time_rfc3339(at).replace(10, 1, " ").substr(0, 16));
  }
  EXPECT_EQ(format_time(0), "1970-01-01 00:00");
}

// A zone an hour ahead of UTC, two in summer, changed on the last Sundays of March and October, as POSIX
// writes one (IEEE Std 1003.1, 8.3, TZ).
class InZone : public testing::Test {
 protected:
  void SetUp() override { zone("CET-1CEST,M3.5.0,M10.5.0/3"); }
  void TearDown() override { zone("UTC"); }
  static void zone(const char* name) {
    ::setenv("TZ", name, 1);
    ::tzset();
  }
  static std::int64_t utc(const char* text) { return parse_time(text, false).value_or(-1); }
};

TEST_F(InZone, PeopleWriteAndReadTheWallsTime) {
  EXPECT_EQ(parse_time("2026-03-01 06:30", false), utc("2026-03-01T05:30:00Z"));
  EXPECT_EQ(parse_time("2026-07-01 06:30", false), utc("2026-07-01T04:30:00Z"));
  EXPECT_EQ(parse_time("2026-07-01T06:30:00-05:00", false), utc("2026-07-01T11:30:00Z"))
      << "a zone that is given";
  EXPECT_EQ(parse_time("2026-07-01", false), utc("2026-07-01T10:00:00Z")) << "noon";
  EXPECT_EQ(format_time(utc("2026-07-01T23:30:00Z")), "2026-07-02 01:30");
  EXPECT_EQ(format_time_rfc3339(*parse_time("1.7.2026", false)), "2026-07-01T10:00:00Z");
  EXPECT_EQ(zone_names(), "CET/CEST");
  zone("IST-5:30");
  EXPECT_EQ(zone_names(), "IST");
  EXPECT_EQ(format_time(0), "1970-01-01 05:30");
  zone("UTC");
  EXPECT_EQ(zone_names(), "");
}

TEST_F(InZone, ADayIsAsLongAsItIs) {
  for (const auto& [date, hours] : {std::pair("2026-03-29", 23), {"2026-10-25", 25}, {"2026-06-01", 24}}) {
    const std::int64_t last = parse_time(date, true).value();
    EXPECT_EQ(format_time(last), std::string(date) + " 23:59");
    EXPECT_EQ(format_time(last + 1).substr(11), "00:00");
    EXPECT_EQ(last + 1 - day_start_of(last), hours * 3600) << date;
    EXPECT_EQ(next_day(day_start_of(last)), last + 1);
    EXPECT_EQ(format_time(parse_time(date, false).value()).substr(11), "12:00");
  }
}

TEST_F(InZone, WhatIsWrittenReadsBackButForTheHourThatComesTwice) {
  for (std::int64_t at = day_seconds; at < 253'402'300'800 - day_seconds; at = at * 3 + 86'399) {
    const std::int64_t minute = at - at % 60;
    const auto read = parse_time(format_time(minute), false);
    ASSERT_TRUE(read) << format_time(minute);
    EXPECT_TRUE(*read == minute || std::abs(*read - minute) == 3600) << format_time(minute);
    EXPECT_EQ(format_time(*read), format_time(minute));
  }
  // Clocks were set back at 03:00 summer time, which is 01:00 UTC.
  const auto twice = parse_time("2026-10-25 02:30", false);
  EXPECT_TRUE(twice == utc("2026-10-25T00:30:00Z") || twice == utc("2026-10-25T01:30:00Z"));
  EXPECT_TRUE(parse_time("2026-03-29 02:30", false)) << "skipped: an hour off, and no error";
}

TEST_F(InZone, AWallTimeTakenForUtcIsWhatTheWallShows) {
  EXPECT_EQ(wall_as_utc(utc("2026-03-01T05:30:07Z")), utc("2026-03-01T06:30:07Z"));
}

}  // namespace
}  // namespace keepway
