// Values are invented.
#include <gmock/gmock.h>

#include "unit/reader_support.hpp"

namespace keepway {
namespace {

using test::read;
using test::spelled;
using test::unread;
using test::value;
using testing::ElementsAre;

const std::string layout = R"(
layout = 1
[[source]]
group = "parameters"
files = "*.ini"
reader = "sections"
point = "free"
)";

TEST(Sections, ReadPartsAndKeys) {
  const test::Files files = {{"a.ini",
                              "version = 2\n; the head\n[ head ]\ntop speed = 8000.0 # hot\nlabel=a # "
                              "b\nspare =\n[cross slide]\nsplit= \"1;2\"\n"}};
  const Reading reading = read(layout, files);
  EXPECT_EQ(value(reading, "parameters/version"), "2");
  EXPECT_EQ(value(reading, "parameters/head/top speed"), "8000");
  EXPECT_EQ(value(reading, "parameters/head/label"), "a");
  EXPECT_EQ(value(reading, "parameters/head/spare"), "");
  EXPECT_EQ(value(reading, "parameters/cross slide/split"), "\"1;2\"");
  EXPECT_EQ(spelled(reading, files, "parameters/head/top speed"), "8000.0");
  EXPECT_TRUE(reading.oddities.empty());
}

TEST(Sections, AnOpenerInsideAWordIsNoComment) {
  EXPECT_EQ(value(read(layout, {{"a.ini", "[A]\nCOLOR = a;b#c\n"}}), "parameters/A/COLOR"), "a;b#c");
}

TEST(Sections, LinesWithoutAnEqualsSignAreUnread) {
  const Reading reading = read(layout, {{"a.ini", "[A]\nhello\n= 3\n[broken\nX = 1\n"}});
  EXPECT_THAT(unread(reading, Group::parameters), testing::UnorderedElementsAre("hello", "= 3", "[broken"));
  EXPECT_EQ(value(reading, "parameters/A/X"), "1");
}

TEST(Sections, APartCannotPassForUnreadRows) {
  const Reading reading = read(layout, {{"a.ini", "unread = 1\n[unread]\nX = 1\n"}});
  EXPECT_EQ(unread(reading, Group::parameters).size(), 2U);
  EXPECT_EQ(reading.state.table(Group::parameters)->size(), 2U);
}

TEST(Sections, RepeatsAreNumberedWhenAskedFor) {
  const test::Files files = {{"a.ini", "[A]\nFILE = x\nFILE = y\n"}};
  const Reading last = read(layout, files);
  EXPECT_EQ(value(last, "parameters/A/FILE"), "y");
  EXPECT_EQ(test::count(last, OddityKind::clashing_rows), 1U);
  EXPECT_EQ(test::first(last, OddityKind::clashing_rows)->detail, "A/FILE is y here, and x in line 2");
  EXPECT_EQ(test::count(read(layout, {{"a.ini", "[A]\nFILE = x\nFILE = x\n"}}), OddityKind::repeated_row),
            1U);
  const Reading meant = read(layout + "repeats = \"last\"\n", files);
  EXPECT_EQ(test::count(meant, OddityKind::clashing_rows), 0U) << "the control takes the last, too";
  const Reading numbered = read(layout + "repeats = \"number\"\n", files);
  EXPECT_EQ(value(numbered, "parameters/A/FILE"), "x");
  EXPECT_EQ(value(numbered, "parameters/A/FILE.2"), "y");
}

}  // namespace
}  // namespace keepway
