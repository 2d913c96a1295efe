// Rows of columns in a shape, several records in a line, rows under lines that name a part, and how many rows
// there have to be. The forms are invented.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "keepway/error.hpp"
#include "reader_support.hpp"

namespace keepway::test {
namespace {

std::string source(const std::string& keys) {
  return "layout = 1\ntitle = \"Invented\"\n[[source]]\ngroup = \"offsets\"\nfiles = [\"*\"]\nreader = "
         "\"columns\"\n" +
         keys;
}

const std::string& tools() {
  static const std::string keys = source(
      "shape = \"TOOL {tool}: LEN={length} RAD={radius}\"\naddress = \"tool/{tool}\"\n"
      "fields = { length = \"length\", radius = \"radius\" }\n");
  return keys;
}

TEST(RowShape, ReadsNamedValuesInAnyWidth) {
  const Reading reading =
      read(tools(), {{"A", "TOOL 1: LEN=123.456 RAD=6.0\ntool   12 :  len = -.5   rad=+04.25\n"}});
  EXPECT_EQ(value(reading, "offsets/tool/1/length"), "123.456");
  EXPECT_EQ(value(reading, "offsets/tool/1/radius"), "6.");
  EXPECT_EQ(value(reading, "offsets/tool/12/length"), "-0.5");
  EXPECT_EQ(value(reading, "offsets/tool/12/radius"), "4.25");
  EXPECT_THAT(unread(reading, Group::offsets), testing::IsEmpty());
}

TEST(RowShape, LeavesAValueOutWhereItsNameIsNotThere) {
  const Reading reading = read(tools(), {{"A", "TOOL 1: LEN=123.456\nTOOL 2: RAD=4.\n"}});
  EXPECT_EQ(value(reading, "offsets/tool/1/length"), "123.456");
  EXPECT_EQ(value(reading, "offsets/tool/1/radius"), "(none)");
  EXPECT_EQ(value(reading, "offsets/tool/2/radius"), "4.");
  EXPECT_THAT(unread(reading, Group::offsets), testing::IsEmpty());
}

TEST(RowShape, ReadsNothingOfARowThatHasAnotherShape) {
  const Reading reading =
      read(tools(),
           {{"A", "TOOL 1: LEN=1 RAD=2\nTOOL 2: EMPTY\nTOOL 3: LEN=1.2.3 RAD=2\nTOOL 4: LEN=1 RAD=2 X\n"}});
  EXPECT_THAT(unread(reading, Group::offsets), testing::SizeIs(3));
  EXPECT_EQ(value(reading, "offsets/tool/3/radius"), "(none)");
  EXPECT_EQ(value(reading, "offsets/tool/4/length"), "(none)");
  const Oddity* odd = first(reading, OddityKind::unread);
  ASSERT_NE(odd, nullptr);
  EXPECT_THAT(odd->detail, testing::HasSubstr("by shape: say skip or shape"));
}

TEST(RowShape, HasATextBehindASignRatherThanAllOfItInFront) {
  const Reading reading = read(source("shape = \"{name} .. {value}\"\naddress = \"{name}\"\n"
                                      "fields = { value = { name = \"\", kind = \"text\" } }\n"),
                               {{"A", "BLOCK SKIP ...... ON\nDRY RUN .. OFF\nCOOLANT\n"}});
  EXPECT_EQ(value(reading, "offsets/BLOCK SKIP"), "ON");
  EXPECT_EQ(value(reading, "offsets/DRY RUN"), "OFF");
  EXPECT_THAT(unread(reading, Group::offsets), testing::ElementsAre("COOLANT"));
}

TEST(RowShape, TakesRunsOfASignAndTextsOfSeveralWords) {
  const Reading reading =
      read(source("shape = \"{number} {name} .. {value}\"\naddress = \"{number}\"\n"
                  "fields = { name = { name = \"name\", kind = \"text\" }, value = \"value\" }\n"),
           {{"A", "7 RAPID OVERRIDE 2 ........ 25\n8 V.MAX .. -0.5\n"}});
  EXPECT_EQ(value(reading, "offsets/7/name"), "RAPID OVERRIDE 2");
  EXPECT_EQ(value(reading, "offsets/7/value"), "25");
  EXPECT_EQ(value(reading, "offsets/8/name"), "V.MAX");
  EXPECT_EQ(value(reading, "offsets/8/value"), "-0.5");
}

TEST(RowShape, TakesTheLastNumberOfATextAsTheValue) {
  const Reading reading =
      read(source("shape = \"{number} {name} {value} {unit}\"\naddress = \"{number}\"\ndecimal = \"comma\"\n"
                  "fields = { name = { name = \"name\", kind = \"text\" }, value = \"value\", "
                  "unit = { name = \"unit\", kind = \"text\" } }\n"),
           {{"A", "1010 SOFT LIMIT 1 X 620,5 MM\n1011 COUNT 5\n"}});
  EXPECT_EQ(value(reading, "offsets/1010/name"), "SOFT LIMIT 1 X");
  EXPECT_EQ(value(reading, "offsets/1010/value"), "620.5");
  EXPECT_EQ(value(reading, "offsets/1010/unit"), "MM");
  EXPECT_EQ(value(reading, "offsets/1011/value"), "5");
  EXPECT_EQ(value(reading, "offsets/1011/unit"), "(none)");
}

TEST(RowShape, HasATextRightBehindANumber) {
  const std::string keys = source(
      "shape = \"P {number} = {value}{unit}\"\naddress = \"{number}\"\n"
      "fields = { value = \"value\", unit = { name = \"unit\", kind = \"text\" } }\n");
  const Reading reading =
      read(keys, {{"A", "P 1 = 160mm\nP 2 = -0.5 ms\nP 3 = 12\nP 4 = 7 1/min\nP 5 = 1.2.3mm\n"}});
  EXPECT_EQ(value(reading, "offsets/1/value"), "160");
  EXPECT_EQ(value(reading, "offsets/1/unit"), "mm");
  EXPECT_EQ(value(reading, "offsets/2/unit"), "ms");
  EXPECT_EQ(value(reading, "offsets/3/value"), "12");
  EXPECT_EQ(value(reading, "offsets/3/unit"), "(none)");
  EXPECT_EQ(value(reading, "offsets/4/unit"), "1/min");
  EXPECT_THAT(unread(reading, Group::offsets), testing::SizeIs(1)) << "1.2.3 is no number";
}

TEST(RowShape, IsBoundedOnALineThatFitsInManyWays) {
  std::string keys = "shape = \"";
  std::string fields;
  for (char c = 'a'; c <= 'z'; ++c) {
    keys += std::string("{") + c + "}-";
    fields += std::string(c == 'a' ? "" : ", ") + c + " = { name = \"" + c + "\", kind = \"text\" }";
  }
  std::string line;
  while (line.size() < 1000) line += "x-";
  const Reading reading =
      read(source(keys + "!\"\naddress = \"k\"\nfields = { " + fields + " }\n"), {{"A", line + "\n"}});
  EXPECT_THAT(unread(reading, Group::offsets), testing::SizeIs(1));
}

TEST(RowShape, IsRefusedWhereItNamesNoColumnsOrCannotPartThem) {
  for (const std::string shape : {"TOOL", "{a}{b}", "{a} {c}{b}", "{a} {a}", "{a", "a} {b}", "{} {b}"}) {
    EXPECT_THROW(parse_layout(source("shape = \"" + shape + "\"\naddress = \"{a}\"\nfields = { b = \"\" }\n"),
                              "test.toml"),
                 Error)
        << shape;
  }
  EXPECT_THROW(parse_layout(source("shape = \"{a} {b}\"\nsplit = \"tab\"\naddress = \"{a}\"\n"
                                   "fields = { b = \"\" }\n"),
                            "test.toml"),
               Error);
}

TEST(Across, ReadsRecordsSideBySide) {
  const Reading reading = read(source("across = 2\ncolumns = [\"no\", \"value\"]\naddress = \"{no}\"\n"
                                      "fields = { value = \"\" }\n"),
                               {{"A", " 1  0.5   51  1.5\n 2 -3     52  7\n 3  9\n 4 1 5\n 6 1 7 2 8\n"}});
  EXPECT_EQ(value(reading, "offsets/1"), "0.5");
  EXPECT_EQ(value(reading, "offsets/51"), "1.5");
  EXPECT_EQ(value(reading, "offsets/52"), "7");
  EXPECT_EQ(value(reading, "offsets/3"), "9");
  EXPECT_THAT(unread(reading, Group::offsets), testing::SizeIs(2));
}

TEST(Across, ReadsWordsAmongTheValues) {
  const Reading reading = read(source("across = 2\ncolumns = [\"no\", \"value\"]\naddress = \"{no}\"\n"
                                      "fields = { value = { name = \"\", kind = \"any\" } }\n"),
                               {{"A", " 1  AUTO  51  1.5\n 2 -3     52  OFF\n"}});
  EXPECT_EQ(value(reading, "offsets/1"), "AUTO");
  EXPECT_EQ(value(reading, "offsets/51"), "1.5");
  EXPECT_EQ(value(reading, "offsets/2"), "-3");
  EXPECT_EQ(value(reading, "offsets/52"), "OFF");
}

TEST(Across, IsRefusedForFixedColumns) {
  EXPECT_THROW(
      parse_layout(source("across = 2\nsplit = \"fixed\"\ncolumns = [{ name = \"a\", at = 0, width = "
                          "3 }, { name = \"b\", at = 3, width = 3 }]\naddress = \"{a}\"\n"
                          "fields = { b = \"\" }\n"),
                   "test.toml"),
      Error);
}

TEST(Part, NamesWhatTheRowsBelowItAreOf) {
  const Reading reading = read(source("part = \"TOOL {part}\"\ncolumns = [\"name\", \"value\"]\naddress = "
                                      "\"tool/{part}/{name}\"\nfields = { value = \"\" }\n"),
                               {{"A", "LENGTH 9\nTOOL 1\n LENGTH 120.5\n RADIUS 6\nTOOL 31\n LENGTH 75\n"}});
  EXPECT_EQ(value(reading, "offsets/tool/1/LENGTH"), "120.5");
  EXPECT_EQ(value(reading, "offsets/tool/1/RADIUS"), "6");
  EXPECT_EQ(value(reading, "offsets/tool/31/LENGTH"), "75");
  EXPECT_THAT(unread(reading, Group::offsets), testing::ElementsAre("LENGTH 9"));  // of no part
}

TEST(Part, IsRefusedWithoutATextOfItsOwn) {
  for (const std::string part : {"{part}", "TOOL", "TOOL {no}"}) {
    EXPECT_THROW(parse_layout(source("part = \"" + part +
                                     "\"\ncolumns = [\"a\", \"b\"]\naddress = \"{a}\"\n"
                                     "fields = { b = \"\" }\n"),
                              "test.toml"),
                 Error)
        << part;
  }
}

TEST(Size, SaysThatATableWithFewerRowsWasCutOff) {
  const std::string keys = source(
      "size = 3\ncolumns = [\"no\", \"value\"]\naddress = \"{no}\"\n"
      "fields = { value = \"\" }\n");
  EXPECT_EQ(first(read(keys, {{"A", "1 0\n2 0\n3 0\n"}}), OddityKind::missing_required), nullptr);
  const Reading cut = read(keys, {{"A", "1 0\n2 0\n"}});
  const Oddity* odd = first(cut, OddityKind::missing_required);
  ASSERT_NE(odd, nullptr);
  EXPECT_EQ(odd->detail, "2 rows of the 3 that the control always prints: probably cut off");
}

TEST(PartLine, ATextBehindThePartIsAnItem) {
  const std::string layout =
      "layout = 1\n[[source]]\ngroup = \"offsets\"\nfiles = \"*\"\nreader = \"columns\"\n"
      "part = \"TOOL {part} {name}\"\nshape = \"LENGTH {length}\"\naddress = \"tool/{part}\"\n"
      "fields = { length = \"length\" }\n";
  const test::Files files = {
      {"a", "TOOL 1 FACE MILL\nLENGTH 12.5\nTOOL 2\nLENGTH 98.02\nTOOL 1 DRILL\nLENGTH 7\n"}};
  const Reading reading = test::read(layout, files);
  EXPECT_EQ(test::value(reading, "offsets/tool/2/length"), "98.02");
  EXPECT_EQ(test::value(reading, "offsets/tool/2/name"), "(none)");
  EXPECT_EQ(test::value(reading, "offsets/tool/1/name"), "DRILL") << "which comes last, as its length does";
  EXPECT_EQ(test::value(reading, "offsets/tool/1/length"), "7");
  EXPECT_EQ(test::spelled(reading, files, "offsets/tool/1/name"), "DRILL");
  EXPECT_EQ(reading.origin(Group::offsets, "tool/1/name")->kind, FieldKind::text);
  EXPECT_EQ(test::count(reading, OddityKind::clashing_rows), 2U);
  EXPECT_THROW(
      parse_layout("layout = 1\n[[source]]\ngroup = \"offsets\"\nfiles = \"*\"\nreader = \"assign\"\n"
                   "part = \"TOOL {part} {name}\"\n",
                   "l"),
      Error)
      << "no address has the part";
}

TEST(Shape, ANumberEndsAtTheCommaThatTheShapeHas) {
  const std::string layout =
      "layout = 1\n[[source]]\ngroup = \"offsets\"\nfiles = \"*\"\nreader = \"columns\"\n"
      "shape = \"{no}:{length},{radius}\"\naddress = \"{no}\"\nfields = { length = \"l\", radius = \"r\" }\n";
  const Reading reading = test::read(layout, {{"a", "1:12.5,0\n2:98,4.25\n"}});
  EXPECT_EQ(test::value(reading, "offsets/1/l"), "12.5");
  EXPECT_EQ(test::value(reading, "offsets/2/r"), "4.25");
}

}  // namespace
}  // namespace keepway::test
