// Dates in names. The spellings are those that people use; common practice, no source.
#include <gmock/gmock.h>

#include "keepway/pile.hpp"

namespace keepway {
namespace {

// "day", "month" or "time" with the beginning of the span; two when the order is open.
std::string read(std::string_view name) {
  const auto date = date_in_name(name);
  if (!date) return "none";
  const auto text = [](const std::vector<DateSpan>& spans) {
    std::string all;
    for (const DateSpan& span : spans) {
      const std::int64_t length = span.until - span.from;
      all += (all.empty() ? "" : " or ") +
             format_time_rfc3339(span.from).substr(0, length >= 86'400 ? 10 : 19) +
             (length > 40 * 86'400 ? " year"
              : length > 86'400    ? " month"
                                   : "");
    }
    return all;
  };
  std::string all = text(date->day_first);
  if (text(date->month_first) != all) all += " | " + text(date->month_first);
  return (date->weak ? "weak " : "") + all;
}

struct Case {
  const char* name;
  const char* meant;
};
void PrintTo(const Case& given, std::ostream* out) {  // as ctest lists it
  *out << given.name;
}
class PileDate : public testing::TestWithParam<Case> {};

TEST_P(PileDate, IsReadFromTheName) {
  EXPECT_EQ(read(GetParam().name), GetParam().meant) << GetParam().name;
}

INSTANTIATE_TEST_SUITE_P(
    Names, PileDate,
    testing::Values(
        Case{"2019-03-12", "2019-03-12"}, Case{"2019_03_12 before screw", "2019-03-12"},
        Case{"2019.3.2", "2019-03-02"}, Case{"20190312", "2019-03-12"},
        Case{"MILL1_20190312_0730", "2019-03-12T07:30:00"}, Case{"20190312T073015", "2019-03-12T07:30:15"},
        Case{"201903120730", "2019-03-12T07:30:00"}, Case{"2019-03-12 07-30", "2019-03-12T07:30:00"},
        Case{"2019-03-12 7h30", "2019-03-12T07:30:00"}, Case{"2019-03-12_07.30.05", "2019-03-12T07:30:05"},
        Case{"13.3.2019", "2019-03-13"}, Case{"3-13-2019", "2019-03-13"},
        Case{"04-03-2019", "2019-03-04 | 2019-04-03"}, Case{"12 Mar 2019", "2019-03-12"},
        Case{"12mar2019", "2019-03-12"}, Case{"March 12, 2019", "2019-03-12"},
        Case{"12-Sept-19", "2019-09-12"}, Case{"2019/March/12", "2019-03-12"},
        Case{"STYCZE\xC5\x83 2021", "2021-01-01 month"}, Case{"sierpie\xC5\x84 2021", "2021-08-01 month"},
        Case{"mill March 2021", "2021-03-01 month"}, Case{"2021-03", "2021-03-01 month"},
        Case{"2019/03-12", "2019-03-12"}, Case{"2019/2019-04-01/MILL", "2019-04-01"},
        Case{"190312", "weak 2019-03-12 or 2012-03-19 | 2019-03-12"},
        Case{"080115 mill 190312", "weak 2019-03-12 or 2012-03-19 | 2019-03-12"},
        Case{"13-03-19", "weak 2013-03-19 or 2019-03-13 | 2013-03-19"},
        Case{"2019-02-30", "2019-02-01 month"}, Case{"29.02.2023", "none"}, Case{"O1234", "none"},
        Case{"mill-1 good one", "none"}, Case{"backup 7", "none"}, Case{"99999999", "none"}, Case{"", "none"},
        Case{"maybe 12", "none"}, Case{"2019-03-12/2020-04-13/190312", "2020-04-13"},
        Case{"2019-03-12 2", "2019-03-12"}));

// Months in the languages that drawers of this continent are written in, with and without their marks.
INSTANTIATE_TEST_SUITE_P(
    Months, PileDate,
    testing::Values(Case{"12. M\xC3\xA4rz 2019", "2019-03-12"}, Case{"12. M\xE4rz 2019", "2019-03-12"},
                    Case{"12 MAERZ 2019", "2019-03-12"}, Case{"3 f\xC3\xA9vrier 2019", "2019-02-03"},
                    Case{"1 ao\xC3\xBBt 2020", "2020-08-01"}, Case{"Dezember 2020", "2020-12-01 month"},
                    Case{"5 pa\xC5\xBA"
                         "dziernik 2020",
                         "2020-10-05"},
                    Case{"7 giugno 2018", "2018-06-07"}, Case{"9 enero 2018", "2018-01-09"},
                    Case{"4 mei 2018", "2018-05-04"}, Case{"1 setembro 2018", "2018-09-01"},
                    Case{"Maike 12 2018", "none"}));

INSTANTIATE_TEST_SUITE_P(
    Folders, PileDate,
    testing::Values(
        Case{"2021/25.06", "2021-06-25"}, Case{"2021/25.06./MILL", "2021-06-25"},
        Case{"2021/05.06", "2021-06-05 | 2021-05-06"}, Case{"2021/25 Juni", "2021-06-25"},
        Case{"2021/25. Juni/MILL", "2021-06-25"}, Case{"06.2021", "2021-06-01 month"},
        Case{"mill 06.2021", "2021-06-01 month"}, Case{"25.06.2021", "2021-06-25"}, Case{"13.2021", "none"},
        Case{"2021", "weak 2021-01-01 year"}, Case{"2021/MILL", "weak 2021-01-01 year"},
        Case{"MILL2021", "none"}, Case{"2021a", "none"}, Case{"O2021", "none"},
        Case{"2021/mill 210625", "weak 2021-06-25 or 2025-06-21 | 2021-06-25"},
        Case{"210625/order 2021", "weak 2021-06-25 or 2025-06-21 | 2021-06-25"},
        Case{"2021/25-06", "2021-06-25"}, Case{"mill 06-2021", "2021-06-01 month"},
        Case{"v1.06.2021", "2021-06-01 | 2021-01-06"}, Case{"10/2026-04-13", "2026-04-13"},
        Case{"0001-2026-05-04-0639fe9c", "2026-05-04"}, Case{"2026-05-04-0639", "2026-05-04T06:39:00"},
        Case{"2026-05-04_0639h", "2026-05-04T06:39:00"}, Case{"20260504T063900Z", "2026-05-04T06:39:00"},
        Case{"25.06.21", "weak 2025-06-21 or 2021-06-25 | 2025-06-21"}));

TEST(PileDate, LongHostileNamesAreReadInTheirLastPart) {
  std::string name;
  for (int i = 0; i < 50'000; ++i) name += "12-";
  EXPECT_EQ(read(name + " 2019-03-12"), "2019-03-12");
}

TEST(PileDate, AFileOfThatDayOrOfThreeDaysAroundIsOfThatTime) {
  const auto date = date_in_name("2019-03-12");
  ASSERT_TRUE(date);
  const std::int64_t from = date->day_first.front().from;
  const std::int64_t until = date->day_first.front().until;
  constexpr std::int64_t three_days = std::int64_t{3} * 86'400;
  EXPECT_FALSE(is_of_another_time(*date, from));
  EXPECT_FALSE(is_of_another_time(*date, from - three_days));
  EXPECT_FALSE(is_of_another_time(*date, until + three_days - 1));
  EXPECT_TRUE(is_of_another_time(*date, from - three_days - 1));
  EXPECT_TRUE(is_of_another_time(*date, until + three_days));
}

}  // namespace
}  // namespace keepway
