// The built-in layout against T. R. Kramer, F. M. Proctor, E. R. Messina, "The NIST RS274NGC Interpreter -
// Version 3", NISTIR 6556, August 2000. Section numbers are that report's; other values are invented.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>

#include "keepway/namebook.hpp"
#include "unit/reader_support.hpp"

namespace keepway {
namespace {

using test::count;
using test::first;
using test::read;
using test::rs274ngc;
using test::unread;
using test::value;

// Table 2: required parameters and their default values.
std::vector<std::pair<int, std::string>> table2() {
  std::vector<std::pair<int, std::string>> rows;
  const auto six = [&](int from) {
    for (int i = 0; i < 6; ++i) rows.emplace_back(from + i, "0.0");
  };
  for (const int from : {5161, 5181, 5211}) six(from);
  rows.emplace_back(5220, "1.0");
  for (const int from : {5221, 5241, 5261, 5281, 5301, 5321, 5341, 5361, 5381}) six(from);
  return rows;
}

std::string text(const std::vector<std::pair<int, std::string>>& rows) {
  std::string out = "Parameter file\n\n";
  for (const auto& [number, value] : rows) out += fmt::format("{}\t{}\n", number, value);
  return out;
}

TEST(Rs274ngc, ReadsTable2) {  // 3.2.1, table 2
  const auto rows = table2();
  ASSERT_EQ(rows.size(), 73U);
  const Reading reading = read(rs274ngc(), {{"mill.var", text(rows)}});
  EXPECT_TRUE(reading.oddities.empty());
  EXPECT_EQ(reading.state.table(Group::offsets)->size(), 73U);
  EXPECT_TRUE(reading.state.table(Group::variables)->empty());
  EXPECT_EQ(value(reading, "offsets/work/in-force"), "1");
  for (const char* address : {"offsets/home/G28/X", "offsets/home/G28/C", "offsets/home/G30/X",
                              "offsets/shift/G92/A", "offsets/work/G54/X", "offsets/work/G55/Y",
                              "offsets/work/G59/Z", "offsets/work/G59.1/X", "offsets/work/G59.3/C"}) {
    EXPECT_EQ(value(reading, address), "0") << address;
  }
}

TEST(Rs274ngc, EachRequiredParameterIsMissedByItself) {  // 3.2.1: an error when a required one is missing
  for (std::size_t gone = 0; gone < 73; ++gone) {
    auto rows = table2();
    const int number = rows[gone].first;
    rows.erase(rows.begin() + static_cast<std::ptrdiff_t>(gone));
    const Reading reading = read(rs274ngc(), {{"mill.var", text(rows)}});
    ASSERT_EQ(reading.oddities.size(), 1U) << number;
    EXPECT_EQ(reading.oddities[0].kind, OddityKind::missing_required);
    EXPECT_EQ(reading.oddities[0].detail, fmt::format("{} is required and missing", number));
  }
}

TEST(Rs274ngc, OtherParametersAreVariables) {
  auto rows = table2();
  rows.insert(rows.begin(), {{31, "7"}, {5061, "1.5"}});
  rows.emplace_back(5399, "-2");
  const Reading reading = read(rs274ngc(), {{"mill.var", text(rows)}});
  EXPECT_EQ(value(reading, "variables/31"), "7");
  EXPECT_EQ(value(reading, "variables/5061"), "1.5");
  EXPECT_EQ(value(reading, "variables/5399"), "-2");
}

TEST(Rs274ngc, DescendingParametersAreReported) {  // 3.2.1: an error when not in ascending order
  auto rows = table2();
  std::swap(rows[3], rows[4]);
  const Reading reading = read(rs274ngc(), {{"mill.var", text(rows)}});
  ASSERT_EQ(reading.oddities.size(), 1U);
  EXPECT_EQ(reading.oddities[0].kind, OddityKind::descending_row);
  EXPECT_EQ(reading.oddities[0].place.line, 7U);  // two header lines, then the fifth row
  EXPECT_EQ(reading.state, read(rs274ngc(), {{"mill.var", text(table2())}}).state);
}

TEST(Rs274ngc, TheSystemInForceIsAWholeNumberFrom1To9) {  // 3.2.1
  for (const auto& [spelling, good] : std::vector<std::pair<std::string, bool>>{
           {"1", true}, {"9.0", true}, {"0", false}, {"10", false}, {"1.5", false}, {"-1", false}}) {
    auto rows = table2();
    rows[18].second = spelling;
    const Reading reading = read(rs274ngc(), {{"mill.var", text(rows)}});
    EXPECT_EQ(count(reading, OddityKind::bad_value), good ? 0U : 1U) << spelling;
    if (!good) {
      EXPECT_EQ(first(reading, OddityKind::bad_value)->place.line, 21U);
    }
  }
}

TEST(Rs274ngc, ReadsTheToolFileInColumns) {  // 2.3, table 1
  const Reading reading = read(rs274ngc(), {{"mill.tbl",
                                             "POC  FMS  LEN  DIAM  COMMENT\n"
                                             "\n"
                                             "1    101  2.0  1.0   face mill, new inserts\n"
                                             "2    102  1.0  -0.2\n"}});
  EXPECT_TRUE(reading.oddities.empty());
  EXPECT_EQ(value(reading, "offsets/tool/1/code"), "101");
  EXPECT_EQ(value(reading, "offsets/tool/1/length"), "2");
  EXPECT_EQ(value(reading, "offsets/tool/1/diameter"), "1");
  EXPECT_EQ(value(reading, "offsets/tool/1/comment"), "face mill, new inserts");
  EXPECT_EQ(value(reading, "offsets/tool/2/diameter"), "-0.2");
  EXPECT_EQ(reading.state.table(Group::offsets)->size(), 7U);
}

TEST(Rs274ngc, APocketGivenTwiceIsItsLastRow) {  // 2.3
  const Reading reading = read(rs274ngc(), {{"mill.tbl", "tools\n\n1 101 2.0 1.0 old\n1 102 3.0 1.0\n"}});
  EXPECT_EQ(value(reading, "offsets/tool/1/code"), "102");
  EXPECT_EQ(value(reading, "offsets/tool/1/comment"), "(none)");
  ASSERT_EQ(reading.oddities.size(), 1U);
  EXPECT_EQ(reading.oddities[0].kind, OddityKind::repeated_row);
  EXPECT_EQ(reading.oddities[0].place.line, 4U);
}

TEST(Rs274ngc, ReadsTheToolFileInWords) {
  for (const char* header : {"", "; tools of the mill\n", "Tools of the mill\n\n"}) {
    const Reading reading =
        read(rs274ngc(), {{"mill.tbl", std::string(header) + "T3 P3 Z5.1 D.5 ; 1/2 end mill\nt4p1z-2q6\n"}});
    EXPECT_TRUE(reading.oddities.empty()) << header;
    EXPECT_EQ(reading.files[0].source, 1U);
    EXPECT_EQ(value(reading, "offsets/tool/3/pocket"), "3");
    EXPECT_EQ(value(reading, "offsets/tool/3/length"), "5.1");
    EXPECT_EQ(value(reading, "offsets/tool/3/diameter"), "0.5");
    EXPECT_EQ(value(reading, "offsets/tool/3/comment"), "1/2 end mill");
    EXPECT_EQ(value(reading, "offsets/tool/4/Q"), "6");
    EXPECT_EQ(reading.state.table(Group::offsets)->size(), 7U);
  }
}

TEST(Rs274ngc, AHeadingThatBeginsWithTIsNoToolWord) {
  const Reading reading =
      read(rs274ngc(), {{"mill.tbl", "TOOL CODE LENGTH DIAM\n\n1 101 2.0 1.0 ; drill\n"}});
  EXPECT_TRUE(reading.oddities.empty());
  EXPECT_EQ(reading.files[0].source, 2U);
  EXPECT_EQ(value(reading, "offsets/tool/1/code"), "101");
  EXPECT_EQ(value(reading, "offsets/tool/1/comment"), "drill");
}

TEST(Rs274ngc, ReadsSetUpAsParameters) {
  EXPECT_EQ(value(read(rs274ngc(), {{"MILL.INI", "[slide-x]\r\nfastest = 10.50\r\n"}}),
                  "parameters/slide-x/fastest"),
            "10.5");
}

TEST(Rs274ngc, ItsNamebookNamesTable2AndTheTools) {
  const Namebook book = Namebook::parse(*builtin_namebook("rs274ngc"), "rs274ngc.tsv");
  const Reading reading =
      read(rs274ngc(), {{"mill.var", text(table2())}, {"a.tbl", "1 1 2 3 x\n"}, {"b.tbl", "T2 P1 Z1\n"}});
  for (const Item& item : *reading.state.table(Group::offsets)) {
    EXPECT_TRUE(book.find(Group::offsets, item.key)) << item.key;
  }
  EXPECT_EQ(book.name(Group::offsets, "work/G54/X"), "Coordinate system 1 (G54) X");
  EXPECT_EQ(book.find(Group::offsets, "work/G54/X")->unit, "length");
  EXPECT_EQ(book.find(Group::offsets, "work/G59.3/C")->unit, "deg");
  EXPECT_TRUE(book.find(Group::variables, "5066")->living);  // table 2: last probe result
  EXPECT_FALSE(book.find(Group::offsets, "home/G28/X")->living);
}

}  // namespace
}  // namespace keepway
