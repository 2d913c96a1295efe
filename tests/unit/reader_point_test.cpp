// The decimal point where it counts, and numbers that do not end where they should. Values are invented; that
// a number without a point counts in the least increment is common practice (no source), that it does not is
// NISTIR 6556, 3.3.2.1.
#include <gmock/gmock.h>

#include "reader_support.hpp"

namespace keepway {
namespace {

using test::read;
using test::unread;
using test::value;
using testing::ElementsAre;

std::string normal(const std::string& toml, std::string_view line, Units units = Units::inch) {
  const Layout layout = parse_layout(
      "layout = 1\n[[source]]\ngroup = \"programs\"\nfiles = \"*\"\nreader = \"blocks\"\n" + toml, "t");
  std::string text = normal_program(line, layout.sources[0], units);
  if (!text.empty()) text.pop_back();
  return text;
}

std::string table(const std::string& reader, const std::string& more = "") {
  return "layout = 1\n[[source]]\ngroup = \"offsets\"\nfiles = \"*\"\nreader = \"" + reader + "\"\n" + more;
}

TEST(Point, CountsInProgramsByDefault) {
  EXPECT_EQ(normal("", "G01. X7. Y7 Z7.50 F20. N0010"), "N10 G1 X7. Y7 Z7.5 F20.");
  EXPECT_EQ(normal("", "X0. Y-0. Z0"), "X0 Y0 Z0");
  EXPECT_EQ(normal("", "#1. = 7. + [2.0 * 3]"), "#1=7.+[2.*3]");
  EXPECT_EQ(normal("", "UNLESS [#1 EQ 7.] X-7."), "UNLESS [#1EQ7.] X-7.");
  EXPECT_EQ(normal("", "(a 7. b) O0012."), "O12 (a 7. b)");
}

TEST(Point, IsFreeWhereTheLayoutSaysSo) {
  EXPECT_EQ(normal("point = \"free\"\n", "X7. Y7 Z7.50"), "X7 Y7 Z7.5");
}

TEST(Point, ValuesAreExactWhereTheIncrementIsKnown) {
  const std::string toml =
      "least_increment = { inch = \"0.0001\", mm = \"0.001\" }\nincrement_of = { A = \"0.001\", f = \"0.1\" "
      "}\n";
  EXPECT_EQ(normal(toml, "X7. Y7 A7 F7 S7"), "X7. Y0.0007 A0.007 F0.7 S7");
  EXPECT_EQ(normal(toml, "X70000"), normal(toml, "X7.000"));
  EXPECT_EQ(normal(toml, "X7000 G21"), "G21 X7.");
  EXPECT_EQ(normal(toml, "G4 X7"), "G4 X7");
  EXPECT_EQ(normal(toml, normal(toml, "X7 Y70000 A7 F7 S7")), normal(toml, "X7 Y70000 A7 F7 S7"));
}

TEST(Point, CountsInTables) {
  const std::string words = table("words",
                                  "address = \"tool/{T}\"\nfields = { Z = \"length\", A = \"angle\", P = { "
                                  "name = \"pocket\", kind = \"whole\" } }\n");
  const Reading reading = read(words, {{"a", "T1 Z7. A7 P3.\nT2 Z7 A0. P3\nT3. Z7.50\n"}});
  EXPECT_EQ(value(reading, "offsets/tool/1/length"), "7.");
  EXPECT_EQ(value(reading, "offsets/tool/1/angle"), "7");
  EXPECT_EQ(value(reading, "offsets/tool/1/pocket"), "3");
  EXPECT_EQ(value(reading, "offsets/tool/2/length"), "7");
  EXPECT_EQ(value(reading, "offsets/tool/2/angle"), "0");
  EXPECT_EQ(value(reading, "offsets/tool/3/length"), "7.5");
  EXPECT_EQ(value(read(table("assign"), {{"a", "#300=7.\n"}}), "offsets/300"), "7.");
  EXPECT_EQ(value(read(table("assign", "point = \"free\"\n"), {{"a", "#300=7.\n"}}), "offsets/300"), "7");
}

TEST(Point, TheIncrementMayBeSaidByLetterAndByColumn) {
  const std::string words = table("words",
                                  "least_increment = \"0.0001\"\nincrement_of = { a = \"0.001\" }\naddress = "
                                  "\"tool/{T}\"\nfields = { Z = \"length\", A = \"angle\" }\n");
  const Reading by_letter = read(words, {{"a", "T1 Z7 A7\nT2 Z7. A7.\n"}});
  EXPECT_EQ(value(by_letter, "offsets/tool/1/length"), "0.0007");
  EXPECT_EQ(value(by_letter, "offsets/tool/1/angle"), "0.007");
  EXPECT_EQ(value(by_letter, "offsets/tool/2/angle"), "7");
  const std::string columns = table("columns",
                                    "increment_of = { b = { mm = \"0.01\" } }\ncolumns = [\"n\", \"a\", "
                                    "\"b\"]\naddress = \"{n}\"\nfields = { a = \"a\", b = \"b\" }\n");
  const Reading by_column = read(columns, {{"a", "1 7. 7\n2 7 7.\n"}}, {"", Units::mm});
  EXPECT_EQ(value(by_column, "offsets/1/a"), "7.");
  EXPECT_EQ(value(by_column, "offsets/1/b"), "0.07");
  EXPECT_EQ(value(by_column, "offsets/2/a"), "7");
  EXPECT_EQ(value(by_column, "offsets/2/b"), "7");
}

// A value that never was: the number goes on where its word or cell ends.
TEST(Point, ANumberThatDoesNotEndMakesItsRowUnread) {
  const std::string words =
      table("words", "least_increment = \"0.0001\"\naddress = \"{N}\"\nfields = { P = \"\" }\n");
  for (const std::string row :
       {"N6 P1,5", "N6 P1e5", "N6 P1.2.3", "N6 P1 5", "N6 P1?5", "N6P1E5", "N6 P1:"}) {
    const Reading reading = read(words, {{"a", row + "\nN7 P10000\n"}});
    EXPECT_EQ(value(reading, "offsets/6"), "(none)") << row;
    EXPECT_THAT(unread(reading, Group::offsets), ElementsAre(row));
    EXPECT_EQ(value(reading, "offsets/7"), "1");
  }
  const std::string commas = table(
      "columns", "split = \"comma\"\ncolumns = [\"n\", \"v\"]\naddress = \"{n}\"\nfields = { v = \"\" }\n");
  for (const std::string row : {"6,1,5", "6,1e5", "6,1 5", "6,\"1\"5"}) {
    const Reading reading = read(commas, {{"a", row + "\n7,1\n"}});
    EXPECT_EQ(value(reading, "offsets/6"), "(none)") << row;
    EXPECT_THAT(unread(reading, Group::offsets), ElementsAre(row));
  }
  const std::string fixed =
      table("columns",
            "split = \"fixed\"\ncolumns = [{ name = \"n\", at = 0, width = 2 }, { name = \"v\", at = 3, "
            "width = 3 }]\naddress = \"{n}\"\nfields = { v = \"\" }\n");
  EXPECT_EQ(value(read(fixed, {{"a", " 6 1234\n"}}), "offsets/6"), "(none)");
  EXPECT_EQ(value(read(fixed, {{"a", " 6 123\n"}}), "offsets/6"), "123");
  for (const std::string row : {"#6=1,5", "#6=1e5", "#6=1 23"}) {
    EXPECT_EQ(value(read(table("assign"), {{"a", row + "\n"}}), "offsets/6"), "(none)") << row;
  }
}

TEST(Point, BlanksCountInWhatIsTextToItsEnd) {
  const Reading reading =
      read(table("sections"), {{"a", "[p]\na = 1 23\nb = 12 3\nc = 2024 01 05\n4 5 = 1\n"}});
  EXPECT_EQ(value(reading, "offsets/p/a"), "1 23");
  EXPECT_EQ(value(reading, "offsets/p/b"), "12 3");
  EXPECT_EQ(value(reading, "offsets/p/c"), "2024 01 05");
  EXPECT_EQ(value(reading, "offsets/p/4 5"), "1");
}

}  // namespace
}  // namespace keepway
