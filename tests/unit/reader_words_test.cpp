// Values are invented, except where NISTIR 6556 is named.
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

constexpr const char* work_layout = R"(
layout = 1
[[source]]
group = "offsets"
files = "*.OFFSETS"
reader = "words"
comment = [";", "("]
comment_field = "comment"
[[source.row]]
match = "G10 L2"
address = "work/{P}"
rename = { P = { 1 = "G54", 2 = "G55" } }
fields = { X = "X", Y = "Y", Z = "Z" }
[[source.row]]
address = "tool/{T}"
fields = { P = { name = "pocket", kind = "whole" }, Z = "length", D = "diameter" }
[[source.row]]
match = "M30"
)";

TEST(Words, HaveDecimalCommasWhereTheLayoutSaysSo) {
  constexpr const char* layout = R"(
layout = 1
[[source]]
group = "offsets"
files = "A"
reader = "words"
decimal = "comma"
[[source.row]]
address = "G{G}"
fields = { X = "X", Y = "Y" }
)";
  const Reading reading = read(layout, {{"A", "G54 X-300,500 Y,25\nG55 X1.5 Y2\nG56 X1,2,3 Y0\n"}});
  EXPECT_EQ(value(reading, "offsets/G54/X"), "-300.5");
  EXPECT_EQ(value(reading, "offsets/G54/Y"), "0.25");
  EXPECT_THAT(unread(reading, Group::offsets), testing::SizeIs(2));
}

TEST(Words, HaveRecordsSideBySide) {
  const std::string layout = R"(
layout = 1
[[source]]
group = "offsets"
files = "A"
reader = "words"
across = 2
address = "tool/{T}"
fields = { L = "L", D = "D" }
)";
  const Reading reading =
      read(layout, {{"A", "T1 L75.2 D12. T2 L80.\nT3L64.D6.5\nT4 L1. T5 L2. T6 L3.\nT7 L1. T8 Q2.\n"}});
  EXPECT_EQ(value(reading, "offsets/tool/1/D"), "12.");
  EXPECT_EQ(value(reading, "offsets/tool/2/L"), "80.");
  EXPECT_EQ(value(reading, "offsets/tool/2/D"), "(none)");
  EXPECT_EQ(value(reading, "offsets/tool/3/D"), "6.5");
  EXPECT_THAT(unread(reading, Group::offsets),
              testing::UnorderedElementsAre("T4 L1. T5 L2. T6 L3.", "T7 L1. T8 Q2."));
}

TEST(Words, AreOfThePartThatALineAboveThemNames) {
  const Reading reading = read(R"(
layout = 1
[[source]]
group = "offsets"
files = "A"
reader = "words"
part = "PALLET {part}"
[[source.row]]
address = "pallet/{part}/G{G}"
fields = { X = "X" }
)",
                               {{"A", "G54 X1.\nPALLET 1\nG54 X2.\nPALLET 2\nG54 X3.\n"}});
  EXPECT_EQ(value(reading, "offsets/pallet/1/G54/X"), "2.");
  EXPECT_EQ(value(reading, "offsets/pallet/2/G54/X"), "3.");
  EXPECT_THAT(unread(reading, Group::offsets), ElementsAre("G54 X1."));
}

TEST(Words, ReadRowsByTheirRule) {
  const Reading reading =
      read(work_layout, {{"A.OFFSETS", "G10 L2 P1 X-4.25 Y0\nT3 P3 Z5.1 D.5 ; 1/2 end mill\n"}});
  EXPECT_EQ(value(reading, "offsets/work/G54/X"), "-4.25");
  EXPECT_EQ(value(reading, "offsets/work/G54/Y"), "0");
  EXPECT_EQ(value(reading, "offsets/tool/3/pocket"), "3");
  EXPECT_EQ(value(reading, "offsets/tool/3/length"), "5.1");
  EXPECT_EQ(value(reading, "offsets/tool/3/diameter"), "0.5");
  EXPECT_EQ(value(reading, "offsets/tool/3/comment"), "1/2 end mill");
  EXPECT_EQ(reading.state.table(Group::offsets)->size(), 6U);
  EXPECT_TRUE(reading.oddities.empty());
}

TEST(Words, TakeAnyCaseOrderAndBlanks) {
  const Reading plain = read(work_layout, {{"A.OFFSETS", "G10 L2 P1 X-4.25 Y0\n"}});
  const Reading spaced = read(work_layout, {{"A.OFFSETS", "  y +0.  x -4.250 p 01 l2.0\tg 10\n"}});
  EXPECT_EQ(plain.state, spaced.state);
}

TEST(Words, RenameOnlyWhatIsListed) {
  EXPECT_EQ(value(read(work_layout, {{"A.OFFSETS", "G10 L2 P7 X1\n"}}), "offsets/work/7/X"), "1");
}

TEST(Words, KeepALeftoverWordAsUnreadAndReadTheRest) {
  const Reading reading = read(work_layout, {{"A.OFFSETS", "G10 L2 P1 X1 Q9\n"}});
  EXPECT_EQ(value(reading, "offsets/work/G54/X"), "1");
  EXPECT_THAT(unread(reading, Group::offsets), ElementsAre("G10 L2 P1 X1 Q9"));
  ASSERT_EQ(count(reading, OddityKind::unread), 1U);
  EXPECT_EQ(test::first(reading, OddityKind::unread)->place.line, 1U);
}

TEST(Words, KeepRowsOfNoRuleAsUnread) {
  const Reading reading = read(work_layout, {{"A.OFFSETS", "G10 L6 P1 X1\nhello there\n\nX-\n%%\n"}});
  EXPECT_THAT(unread(reading, Group::offsets),
              testing::UnorderedElementsAre("G10 L6 P1 X1", "hello there", "X-", "%%"));
  EXPECT_EQ(count(reading, OddityKind::unread), 4U);
}

TEST(Words, PassOverMarksBlankLinesCommentsAndLineNumbers) {
  const Reading reading =
      read(work_layout, {{"A.OFFSETS", "%\n\n(work offsets)\n; more\nN10 G10 L2 P1 X1 (fixture)\nM30\n%\n"}});
  EXPECT_EQ(value(reading, "offsets/work/G54/X"), "1");
  EXPECT_EQ(value(reading, "offsets/work/G54/comment"), "fixture");
  EXPECT_TRUE(unread(reading, Group::offsets).empty());
  EXPECT_TRUE(reading.oddities.empty());
}

TEST(Words, ALineNumberCanBeTheKey) {
  const Reading reading = read(R"(
layout = 1
[[source]]
group = "settings"
files = "*.set"
reader = "words"
address = "{N}"
fields = { V = "" }
)",
                               {{"a.set", "N61 V1\nn 62 v-0.50\n"}});
  EXPECT_EQ(value(reading, "settings/61"), "1");
  EXPECT_EQ(value(reading, "settings/62"), "-0.5");
}

TEST(Words, CountInLeastIncrementsOnlyWithoutAPoint) {
  const std::string layout = R"(
layout = 1
[[source]]
group = "offsets"
files = "*"
reader = "words"
least_increment = { inch = "0.0001", mm = "0.001" }
address = "tool/{T}"
fields = { Z = "length", P = { name = "pocket", kind = "whole" }, Q = { name = "code", kind = "text" } }
)";
  const test::Files files = {{"a", "T1 Z12345 P20 Q0010\nT2 Z-5. P3\n"}};
  const Reading inch = read(layout, files, {"", Units::inch});
  EXPECT_EQ(value(inch, "offsets/tool/1/length"), "1.2345");
  EXPECT_EQ(value(inch, "offsets/tool/1/pocket"), "20");
  EXPECT_EQ(value(inch, "offsets/tool/1/code"), "0010");
  EXPECT_EQ(value(inch, "offsets/tool/2/length"), "-5");
  EXPECT_EQ(value(read(layout, files, {"", Units::mm}), "offsets/tool/1/length"), "12.345");
  EXPECT_EQ(spelled(inch, files, "offsets/tool/1/length"), "12345");
  EXPECT_EQ(inch.origin(Group::offsets, "tool/1/pocket")->kind, FieldKind::whole);
}

TEST(Words, TheLastOfRepeatedRowsCountsAndIsReported) {
  const Reading reading = read(work_layout, {{"A.OFFSETS", "T3 P3 Z5 D1\nT4 P4 Z1\nT3 P3 Z6 D1\n"}});
  EXPECT_EQ(value(reading, "offsets/tool/3/length"), "6");
  ASSERT_EQ(count(reading, OddityKind::repeated_row), 1U);  // one for the row, not one a value
  EXPECT_EQ(test::first(reading, OddityKind::repeated_row)->place.line, 3U);
}

TEST(Words, ALastLineThatBreaksOffIsReported) {
  const Reading reading = read(work_layout, {{"A.OFFSETS", "T3 P3 Z5\nT4 P4 Z"}});
  EXPECT_EQ(count(reading, OddityKind::cut_line), 1U);
  EXPECT_EQ(count(reading, OddityKind::no_final_newline), 1U);
  EXPECT_THAT(unread(reading, Group::offsets), ElementsAre("T4 P4 Z"));
}

TEST(Words, AMarkAloneIsReported) {
  EXPECT_EQ(count(read(work_layout, {{"A.OFFSETS", "%\nT3 P3 Z5\n"}}), OddityKind::mark_unclosed), 1U);
  EXPECT_EQ(count(read(work_layout, {{"A.OFFSETS", "%\nT3 P3 Z5\n%\n"}}), OddityKind::mark_unclosed), 0U);
}

}  // namespace
}  // namespace keepway
