// Values are invented, except where NISTIR 6556 is named.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "unit/reader_support.hpp"

namespace keepway {
namespace {

using test::count;
using test::read;
using test::spelled;
using test::unread;
using test::value;
using testing::ElementsAre;

std::string settings(const std::string& more) {
  return "layout = 1\n[[source]]\ngroup = \"settings\"\nfiles = \"*\"\nreader = \"columns\"\npoint = "
         "\"free\"\naddress = "
         "\"{number}\"\n" +
         more;
}
const std::string plain = settings("columns = [\"number\", \"value\"]\nfields = { value = \"\" }\n");

TEST(Columns, ReadBlanksAndTabs) {
  const Reading reading = read(plain, {{"a", "1 5\n \t2\t\t+7.50  \n003 -0\n"}});
  EXPECT_EQ(value(reading, "settings/1"), "5");
  EXPECT_EQ(value(reading, "settings/2"), "7.5");
  EXPECT_EQ(value(reading, "settings/3"), "0");
}

TEST(Columns, ArePartedByASignThatTheLayoutNames) {
  const Reading reading =
      read(settings("split = \"/\"\ncolumns = [\"number\", \"value\"]\nfields = { value = \"\" }\n"),
           {{"a", "1/5\n 2 / -7.50\n3/4/5\n"}});
  EXPECT_EQ(value(reading, "settings/2"), "-7.5");
  EXPECT_THAT(unread(reading, Group::settings), ElementsAre("3/4/5"));
}

TEST(Columns, CarryTheKeyOfTheRowAboveWhereTheLayoutSaysSo) {
  const std::string fixed =
      "split = \"fixed\"\ncolumns = [{ name = \"number\", at = 0, width = 4 }, { name = \"axis\", at = 4, "
      "width = 2 }, "
      "{ name = \"value\", at = 6, width = 6 }]\nfields = { value = \"\" }\n";
  const std::string head =
      "layout = 1\n[[source]]\ngroup = \"settings\"\nfiles = \"*\"\nreader = \"columns\"\n"
      "address = \"{number}/{axis}\"\n" +
      fixed;
  const test::Files files = {{"a", "    Y      1\n1020X   6000\n    Z   8000\n1021X     12\n"}};
  const Reading reading = read(head + "carried = true\n", files);
  EXPECT_EQ(value(reading, "settings/1020/Z"), "8000");
  EXPECT_EQ(value(reading, "settings/1021/X"), "12");
  EXPECT_THAT(unread(reading, Group::settings), ElementsAre("Y      1")) << "no number is above it";
  EXPECT_EQ(value(read(head, files), "settings/1020/Z"), "(none)");
}

TEST(Columns, KeepTheZerosOfBitsAmongNumbers) {
  const Reading reading = read(
      settings("columns = [\"number\", \"value\"]\nfields = { value = { name = \"\", kind = \"any\" } }\n"),
      {{"a", "1 00010110\n2 007\n3 0001011\n4 10000001\n"}});
  EXPECT_EQ(value(reading, "settings/1"), "00010110");
  EXPECT_EQ(value(reading, "settings/2"), "7");
  EXPECT_EQ(value(reading, "settings/3"), "1011");
  EXPECT_EQ(value(reading, "settings/4"), "10000001");
}

TEST(Columns, KeepWhatIsBehindTheLastColumnAsUnread) {
  const Reading reading = read(plain, {{"a", "1 5 extra\n"}});
  EXPECT_EQ(value(reading, "settings/1"), "5");
  EXPECT_THAT(unread(reading, Group::settings), ElementsAre("1 5 extra"));
}

TEST(Columns, ARowWithoutItsNumberIsUnread) {
  const Reading reading = read(plain, {{"a", "1\n2 abc\n3 4\n"}});
  EXPECT_THAT(unread(reading, Group::settings), testing::UnorderedElementsAre("1", "2 abc"));
  EXPECT_EQ(value(reading, "settings/3"), "4");
}

TEST(Columns, ReadCommasWithQuotesAndEmptyCells) {
  const std::string layout = settings(
      "split = \"comma\"\ncolumns = [\"number\", \"name\", \"value\"]\nfields = { value = \"\", name = { "
      "name = "
      "\"name\", kind = \"text\" } }\n");
  const test::Files files = {{"a", "1,\"door, left\",5\n2,,6\n3, plain ,\n"}};
  const Reading reading = read(layout, files);
  EXPECT_EQ(value(reading, "settings/1/name"), "door, left");
  EXPECT_EQ(value(reading, "settings/1"), "5");
  EXPECT_EQ(value(reading, "settings/2"), "6");
  EXPECT_EQ(value(reading, "settings/2/name"), "(none)");
  EXPECT_EQ(value(reading, "settings/3/name"), "plain");
  EXPECT_EQ(spelled(reading, files, "settings/1/name"), "door, left");
  EXPECT_TRUE(unread(reading, Group::settings).empty());
}

TEST(Columns, ReadALastTextInItsQuotes) {
  const std::string layout = settings(
      "split = \"comma\"\ncolumns = [\"number\", \"name\"]\nfields = { name = { name = \"\", kind = "
      "\"text\" } }\n");
  const test::Files files = {{"a", "1,\"door, left\"\n2,\"a\" b\n3,\"\"\n4,door, right\n"}};
  const Reading reading = read(layout, files);
  EXPECT_EQ(value(reading, "settings/1"), "door, left");
  EXPECT_EQ(spelled(reading, files, "settings/1"), "door, left");
  EXPECT_EQ(value(reading, "settings/2"), "\"a\" b");
  EXPECT_EQ(value(reading, "settings/3"), "(none)");
  EXPECT_EQ(value(reading, "settings/4"), "door, right");
}

TEST(Columns, OfAnyKindHoldNumbersAndWords) {
  std::string layout = settings(
      "columns = [\"number\", \"value\"]\nleast_increment = \"0.001\"\nfields = { value = { name = \"\", "
      "kind = "
      "\"any\" } }\n");
  layout.replace(layout.find("\"free\""), 6, "\"counts\"");
  const Reading reading = read(layout, {{"a", "1 4000\n2 AUTO\n3 +007.50\n4 1O5\n5 -\n"}});
  EXPECT_EQ(value(reading, "settings/1"), "4");
  EXPECT_EQ(value(reading, "settings/2"), "AUTO");
  EXPECT_EQ(value(reading, "settings/3"), "7.5");
  EXPECT_EQ(reading.origin(Group::settings, "1")->kind, FieldKind::number);
  EXPECT_EQ(reading.origin(Group::settings, "2")->kind, FieldKind::text);
  // What begins as a number and is none is no word.
  EXPECT_THAT(unread(reading, Group::settings), testing::UnorderedElementsAre("4 1O5", "5 -"));
}

// A row that breaks off with the file has fewer cells than it was meant to have; with a line end, cells may
// be empty.
TEST(Columns, ALastRowOfACommaTableThatBreaksOffIsUnread) {
  const std::string layout = settings(
      "split = \"comma\"\ncolumns = [\"number\", \"value\", \"wear\"]\nfields = { value = \"\", wear = "
      "\"wear\" }\n");
  for (const char* cut : {"2,48", "2,48,", "2,"}) {
    const Reading reading = read(layout, {{"a", std::string("1,51,5\n") + cut}});
    EXPECT_EQ(value(reading, "settings/1"), "51");
    EXPECT_EQ(value(reading, "settings/2"), "(none)") << cut;
    EXPECT_THAT(unread(reading, Group::settings), ElementsAre(cut));
    EXPECT_EQ(count(reading, OddityKind::cut_line), 1U) << cut;
  }
  EXPECT_EQ(value(read(layout, {{"a", "1,51,5\n2,48\n"}}), "settings/2"), "48");
}

TEST(Columns, AnUnreadRowsPlaceIsThatOfItsText) {
  const test::Files files = {{"a", "1 5\n \t nothing at all  \n"}};
  const Reading reading = read(plain, files);
  std::size_t found = 0;
  for (const Item& item : *reading.state.table(Group::settings)) {
    if (!is_unread(item.key)) continue;
    ++found;
    EXPECT_EQ(spelled(reading, files, "settings/" + item.key), "nothing at all");
  }
  EXPECT_EQ(found, 1U);
}

TEST(Columns, ReadTabsWithBlanksInsideCells) {
  const std::string layout = settings(
      "split = \"tab\"\ncolumns = [\"number\", \"value\", \"note\"]\nfields = { value = \"\", note = { name "
      "= "
      "\"note\", kind = \"text\" } }\n");
  const Reading reading = read(layout, {{"a", "1\t5\tleft door\n2\t\tno value\n"}});
  EXPECT_EQ(value(reading, "settings/1/note"), "left door");
  EXPECT_EQ(value(reading, "settings/2/note"), "no value");
  EXPECT_EQ(value(reading, "settings/2"), "(none)");
}

TEST(Columns, ReadFixedWidths) {
  const std::string layout = settings(
      "split = \"fixed\"\ncolumns = [{ name = \"number\", at = 0, width = 4 }, { name = \"value\", at = 5, "
      "width = 6 }]\nfields = { value = \"\" }\n");
  const test::Files files = {{"a", "0001 001.50\n   2  -3.00\n0003 4     x\n"}};
  const Reading reading = read(layout, files);
  EXPECT_EQ(value(reading, "settings/1"), "1.5");
  EXPECT_EQ(spelled(reading, files, "settings/1"), "001.50");
  EXPECT_EQ(value(reading, "settings/2"), "-3");
  EXPECT_EQ(value(reading, "settings/3"), "4");
  EXPECT_THAT(unread(reading, Group::settings), ElementsAre("0003 4     x"));
}

TEST(Columns, SkipACountedHeader) {
  const std::string layout =
      settings("header = 2\ncolumns = [\"number\", \"value\"]\nfields = { value = \"\" }\n");
  const Reading reading = read(layout, {{"a", "1 2\nSettings\n3 4\n"}});
  EXPECT_EQ(reading.state.table(Group::settings)->size(), 1U);
  EXPECT_EQ(value(reading, "settings/3"), "4");
}

const std::string headed = settings(
    "header = \"blank\"\ncolumns = [{ name = \"number\", kind = \"whole\" }, \"value\"]\nfields = { value = "
    "\"\" "
    "}\n");

TEST(Columns, AHeaderEndsAtTheFirstBlankLine) {  // NISTIR 6556, 2.3 and 3.2.1
  const Reading reading = read(headed, {{"a", "1999 12\nSettings of the mill\n\n1 5\n\n2 6\n"}});
  EXPECT_EQ(reading.state.table(Group::settings)->size(), 2U);
  EXPECT_TRUE(reading.oddities.empty());
}

TEST(Columns, AHeaderWithoutItsBlankLineIsReportedAndLosesNoRow) {
  const Reading reading = read(headed, {{"a", "Settings of the mill\n1 5\n2 6\n\n3 7\n"}});
  EXPECT_EQ(reading.state.table(Group::settings)->size(), 3U);
  ASSERT_EQ(count(reading, OddityKind::no_header_blank), 1U);
  EXPECT_EQ(test::first(reading, OddityKind::no_header_blank)->place.line, 2U);
  EXPECT_TRUE(unread(reading, Group::settings).empty());
}

TEST(Columns, ABrokenRowRightBehindTheHeadersBlankLineIsNoHeader) {
  const Reading reading = read(headed, {{"a", "Settings of the mill\n\n300\tx\n301 6\n302 7\n"}});
  EXPECT_EQ(reading.state.table(Group::settings)->size(), 3U);  // the unread one among them
  EXPECT_THAT(unread(reading, Group::settings), ElementsAre("300\tx"));
  EXPECT_EQ(test::first(reading, OddityKind::unread)->place.line, 3U);
  EXPECT_EQ(count(reading, OddityKind::no_header_blank), 0U);
}

TEST(Columns, AHeaderMayGoOnBehindItsFirstBlankLine) {
  for (const char* more : {"NO VALUE\n", "of 3 May\n", "2024-05-03 10:20\n", "----\n"}) {
    const Reading reading =
        read(headed, {{"a", "Settings of the mill\n\n" + std::string(more) + "1 5\n2 6\n"}});
    EXPECT_EQ(reading.state.table(Group::settings)->size(), 2U) << more;
    EXPECT_TRUE(unread(reading, Group::settings).empty()) << more;
  }
}

TEST(Columns, WithoutAHeaderABlankLineBetweenRowsLosesNone) {
  const Reading reading = read(headed, {{"a", "1 5\n\n3 7\n4 8\n"}});
  EXPECT_EQ(reading.state.table(Group::settings)->size(), 3U);
  EXPECT_TRUE(reading.oddities.empty());
}

TEST(Columns, TextThatHoldsNoRowIsNotTakenForAHeader) {
  const Reading reading = read(headed, {{"a", "some letter\n\nto nobody\n"}});
  EXPECT_EQ(unread(reading, Group::settings).size(), 2U);
}

TEST(Columns, ARowGivenAgainReplacesTheFirstWhole) {  // NISTIR 6556, 2.3: the last row stands
  const std::string layout = settings(
      "columns = [\"number\", \"value\", \"note\"]\nfields = { value = \"\", note = { name = \"note\", kind "
      "= "
      "\"text\" } }\n");
  const Reading reading = read(layout, {{"a", "2 1\n1 5 first\n3 4 kept\n1 6\n"}});
  EXPECT_EQ(value(reading, "settings/1"), "6");
  EXPECT_EQ(value(reading, "settings/1/note"), "(none)");
  EXPECT_EQ(value(reading, "settings/3/note"), "kept");
  ASSERT_EQ(count(reading, OddityKind::clashing_rows), 1U);
  EXPECT_EQ(test::first(reading, OddityKind::clashing_rows)->place.line, 4U);
  EXPECT_EQ(count(read(layout, {{"a", "2 1\n1 6\n3 4 kept\n1 6\n"}}), OddityKind::repeated_row), 1U);
  ASSERT_EQ(reading.overruled.size(), 2U) << "what the first said is kept beside";
  EXPECT_EQ(reading.overruled[0].key, "1");
  EXPECT_EQ(reading.overruled[0].value, "5");
  EXPECT_EQ(reading.overruled[0].by.line, 4U);
  EXPECT_EQ(reading.overruled[1].value, "first") << "which no row gives any more";
}

TEST(Columns, RepeatsCanBeNumbered) {
  const std::string layout =
      settings("repeats = \"number\"\ncolumns = [\"number\", \"value\"]\nfields = { value = \"\" }\n");
  const Reading reading = read(layout, {{"a", "1 5\n1 6\n1.2 9\n1 7\n"}});
  EXPECT_EQ(value(reading, "settings/1"), "5");
  EXPECT_EQ(value(reading, "settings/1.2"), "6");
  EXPECT_EQ(value(reading, "settings/1.2.2"), "9");
  EXPECT_EQ(value(reading, "settings/1.3"), "7");
  EXPECT_EQ(count(reading, OddityKind::repeated_row), 0U);
}

TEST(Columns, PlacesSendNumberedRowsToOtherGroups) {
  const std::string layout =
      plain +
      "places = { \"10-12\" = \"offsets/work/G54/{X,Y,Z}\", \"20-22\" = \"variables/spindle/{1-3}\" }\n";
  const Reading reading = read(layout, {{"a", "9 1\n10 2\n11 3\n12 4\n13 5\n21 6\n"}});
  EXPECT_EQ(value(reading, "settings/9"), "1");
  EXPECT_EQ(value(reading, "offsets/work/G54/X"), "2");
  EXPECT_EQ(value(reading, "offsets/work/G54/Z"), "4");
  EXPECT_EQ(value(reading, "settings/13"), "5");
  EXPECT_EQ(value(reading, "variables/spindle/2"), "6");
  EXPECT_FALSE(reading.state.table(Group::parameters));
}

TEST(Columns, OrderMustAndLimitsAreReportedWithTheirLine) {
  const std::string layout =
      plain +
      "ascending = true\nmust = [\"1-3\", \"8\"]\nlimits = { \"1-2\" = { min = \"0\", max = \"1.5\" } }\n";
  const Reading reading = read(layout, {{"a", "2 2\n1 1\n7 -9\n"}});
  EXPECT_EQ(test::first(reading, OddityKind::descending_row)->place.line, 2U);
  EXPECT_EQ(test::first(reading, OddityKind::descending_row)->detail, "1 comes after 2");
  EXPECT_EQ(count(reading, OddityKind::missing_required), 2U);
  EXPECT_EQ(test::first(reading, OddityKind::missing_required)->detail, "3 is required and missing");
  ASSERT_EQ(count(reading, OddityKind::bad_value), 1U);
  EXPECT_EQ(test::first(reading, OddityKind::bad_value)->place.line, 1U);
  EXPECT_EQ(test::first(reading, OddityKind::bad_value)->place.byte, 2U);
}

TEST(Columns, OrderMustAndLimitsAreOfTheNumberInATemplate) {
  std::string tools = plain;
  const std::string_view bare = "address = \"{number}\"";
  ASSERT_NE(tools.find(bare), std::string::npos);
  tools.replace(tools.find(bare), bare.size(), "address = \"tool/{number}\"");
  const Reading reading = read(tools +
                                   "ascending = true\nmust = [\"1-3\"]\n"
                                   "limits = { \"1-2\" = { max = \"1.5\" } }\n",
                               {{"a", "2 2\n1 1\n"}});
  EXPECT_EQ(count(reading, OddityKind::descending_row), 1U);
  ASSERT_EQ(count(reading, OddityKind::missing_required), 1U);
  EXPECT_EQ(test::first(reading, OddityKind::missing_required)->detail, "3 is required and missing");
  EXPECT_EQ(count(reading, OddityKind::bad_value), 1U);
}

TEST(Columns, WhatALimitAllowsIsSaid) {
  const Reading reading = read(plain +
                                   "limits = { \"1\" = { min = \"2\" }, \"2\" = { max = \"2\" }, "
                                   "\"3\" = { whole = true }, \"4\" = { whole = true, min = \"1\" } }\n",
                               {{"a", "1 1.9\n2 2.1\n3 2.5\n4 0\n"}});
  std::vector<std::string> reported;
  for (const Oddity& oddity : reading.oddities) {
    if (oddity.kind == OddityKind::bad_value) reported.push_back(oddity.detail);
  }
  ASSERT_EQ(reported.size(), 4U);
  EXPECT_NE(reported[0].find("a number of 2 or more"), std::string::npos) << reported[0];
  EXPECT_NE(reported[1].find("a number of 2 or less"), std::string::npos) << reported[1];
  EXPECT_NE(reported[2].find("a whole number"), std::string::npos) << reported[2];
  EXPECT_NE(reported[3].find("a whole number of 1 or more"), std::string::npos) << reported[3];
  EXPECT_EQ(count(read(plain + "limits = { \"1\" = { min = \"2\" } }\n", {{"a", "1 2.0\n"}}),
                  OddityKind::bad_value),
            0U);
}

TEST(Columns, OddRowsAreNamedUpToABoundAndThenCounted) {
  std::string text;
  for (int i = 2000; i > 0; --i) text += fmt::format("{} 1\n", i);
  const Reading reading = read(plain + "ascending = true\n", {{"a", text}});
  EXPECT_EQ(count(reading, OddityKind::descending_row), 101U);
  EXPECT_EQ(reading.oddities.back().detail, "and 1899 more like these");
}

TEST(Columns, ATextInTheLastColumnHasAllBehindAndNothingInFront) {
  const std::string layout = settings(
      "split = \"fixed\"\ncolumns = [{ name = \"number\", at = 0, width = 4 }, { name = \"value\", at = 6, "
      "width = 4 }]\nfields = { value = { name = \"\", kind = \"text\" } }\n");
  const Reading reading = read(layout, {{"a", "0001  left door of two\n0002 xright\n"}});
  EXPECT_EQ(value(reading, "settings/1"), "left door of two");
  EXPECT_THAT(unread(reading, Group::settings), ElementsAre("0002 xright"));
}

}  // namespace
}  // namespace keepway
