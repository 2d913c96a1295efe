// Times as people and RFC 3339 write them.
#include <gtest/gtest.h>

#include <cstdint>
#include <string>

#include "keepway/shop.hpp"

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

}  // namespace
}  // namespace keepway
