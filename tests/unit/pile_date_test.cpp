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
             (length > 86'400 ? " month" : "");
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
        Case{"mill March 2021", "2021-03-01 month"}, Case{"2021-03", "2021-03-01 month"},
        Case{"2019/03-12", "2019-03-12"}, Case{"2019/2019-04-01/MILL", "2019-04-01"},
        Case{"190312", "weak 2019-03-12 or 2012-03-19 | 2019-03-12"},
        Case{"080115 mill 190312", "weak 2019-03-12 or 2012-03-19 | 2019-03-12"},
        Case{"13-03-19", "weak 2013-03-19 or 2019-03-13 | 2013-03-19"},
        Case{"2019-02-30", "2019-02-01 month"}, Case{"29.02.2023", "none"}, Case{"O1234", "none"},
        Case{"mill-1 good one", "none"}, Case{"backup 7", "none"}, Case{"99999999", "none"}, Case{"", "none"},
        Case{"maybe 12", "none"}, Case{"2019-03-12/2020-04-13/190312", "2020-04-13"},
        Case{"2019-03-12 2", "2019-03-12"}));

TEST(PileDate, LongHostileNamesAreReadInTheirLastPart) {
  std::string name;
  for (int i = 0; i < 50'000; ++i) name += "12-";
  EXPECT_EQ(read(name + " 2019-03-12"), "2019-03-12");
}

}  // namespace
}  // namespace keepway
