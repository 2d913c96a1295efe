// Files that look nearly like a form that the survey knows, and are not of it. All are invented.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "keepway/survey.hpp"
#include "reader_support.hpp"

namespace keepway {
namespace {

using test::value;

Reading read_as_proposed(const std::vector<OriginalView>& files) {
  const Survey found = survey(files, "");
  return read_backup(parse_layout(found.layout, "proposed"), {found.serial, Units::mm}, files);
}

FieldKind kind_of(const Reading& reading, const std::string& key) {
  const auto at = std::find_if(reading.origins.begin(), reading.origins.end(),
                               [&](const Origin& origin) { return origin.key == key; });
  return at == reading.origins.end() ? FieldKind::any : at->kind;
}

TEST(SurveyNear, ThousandsAreNoBits) {
  const Reading reading = read_as_proposed(
      {{"PARAM.LST", "NO   LIFE   PAUSE\n1    1000   1100\n2    1100   1000\n3    1000   1001\n"}});
  EXPECT_EQ(kind_of(reading, "1/life"), FieldKind::number);
  EXPECT_EQ(kind_of(reading, "3/pause"), FieldKind::number);
}

TEST(SurveyNear, NumbersBesideCodesAreNotHexadecimal) {
  const Reading reading =
      read_as_proposed({{"PARAM.LST", "NO   CODE   LIFE\n1    A1     10\n2    B2     20\n3    C3     45\n"}});
  EXPECT_EQ(kind_of(reading, "1/code"), FieldKind::text);
  EXPECT_NE(kind_of(reading, "1/life"), FieldKind::text);
}

TEST(SurveyNear, SectionsOfOneThingEachAreNoGroups) {
  const Reading reading = read_as_proposed(
      {{"setup.ini", "[PANEL]\nLIGHT=3\nBEEP=1\n[TOOL 1]\nLENGTH=120.5\n[TOOL 2]\nLENGTH=98.02\n"}});
  EXPECT_EQ(value(reading, "settings/PANEL/LIGHT"), "3");
  EXPECT_EQ(value(reading, "settings/TOOL 2/LENGTH"), "98.02");
}

TEST(SurveyNear, AWordThatHoldsTheNameOfAGroupSaysNone) {
  const Survey found = survey({{"A.TXT", "SVARV 4\n\n 1  120.500\n 2   98.020\n 3   75.250\n"}}, "");
  EXPECT_NE(found.files.front().group, Group::variables);
}

TEST(SurveyNear, LettersWithMarksAreNotCyrillic) {
  for (const char* const text : {"Gr\xF6\xDF"
                                 "e = 12\nL\xE4nge = 7\n",
                                 "D\xB3ugo\xB6\xE6 = 12\nPromie\xF1 = 7\n"}) {
    const Survey found = survey({{"A.TXT", text}}, "");
    EXPECT_NE(found.layout.find("encoding = \"ISO-8859-"), std::string::npos) << found.layout;
  }
}

TEST(SurveyNear, ATableOfTwoTextsUnderTheirTitlesIsNotOne) {
  const Reading reading = read_as_proposed(
      {{"TOOLS.LST", "NO   NAME    STATE  LENGTH\n1    DRILL   OLD    120.5\n2    MILL    NEW    98.02\n"}});
  EXPECT_EQ(value(reading, "offsets/tool/1/name"), "DRILL");
  EXPECT_EQ(value(reading, "offsets/tool/2/state"), "NEW");
}

TEST(SurveyNear, ASetTableWithALineNumberIsNoProgram) {
  const Reading reading =
      read_as_proposed({{"OFFSETS.TXT", "N10 G54 X-1. Y2.\nN20 G55 X3. Y4.\nN30 G56 X5. Y6.\n"}});
  EXPECT_TRUE(reading.state.programs.empty());
  EXPECT_EQ(value(reading, "offsets/work/G55/X"), "3.");
}

TEST(SurveyNear, ABarePointBesideANameIsADecimalPoint) {
  const Reading reading = read_as_proposed({{"TOOL.LST",
                                             "NO   LENGTH   NAME\n"
                                             "1    120.     BOHRER 8,5\n"
                                             "2    98.      BOHRER 6,8\n"
                                             "3    75.      FRAESER 12\n"
                                             "4    80.      FRAESER 16\n"}});
  EXPECT_EQ(value(reading, "offsets/tool/1/length"), "120.");
  EXPECT_EQ(value(reading, "offsets/tool/4/length"), "80.");
}

TEST(SurveyNear, ALineOfSignsWithoutEndIsReadQuickly) {
  std::string line = "1";
  for (int i = 0; i < 40'000; ++i) line += fmt::format(" {}", std::string(1 + i % 300, "|:-/"[i % 4]));
  const Survey found = survey({{"A.TXT", "1 2\n" + line + "\n" + line + "\n" + line + "\n"}}, "");
  EXPECT_EQ(found.files.size() + found.left_out.size(), 1U);
}

TEST(SurveyNear, ARemarkOfMegabytesInAnotherAlphabetIsReadQuickly) {
  std::string remark;
  for (int i = 0; i < 1'000'000; ++i) remark += "\u00e9";
  const Survey found = survey({{"A.TXT", "; " + remark + "\nNO X Y\n1 1.5 2.5\n2 3.5 4.5\n3 5.5 6.5\n"}}, "");
  EXPECT_EQ(found.files.size() + found.left_out.size(), 1U);
}

TEST(SurveyNear, TheWordBeforeNamesIsInTheFilesOwnCharacters) {
  const std::string stueck =
      "ST\x9a"
      "CK ";  // IBM code page 850
  const Reading reading = read_as_proposed(
      {{"PROG.TXT", stueck + "PLATTE\nG0 X1.5\nG1 X2.5 F100\nM30\n" + stueck +
                        "RING\nG0 X3.5\nG1 X4.5 F100\nM30\n" + stueck + "KEIL\nG0 X5.5\nM30\n"}});
  EXPECT_EQ(reading.state.programs.size(), 3U);
}

TEST(SurveyNear, NamedVariablesMayBeEmpty) {
  const Reading reading =
      read_as_proposed({{"VAR.TXT", "#<width>=12.5\n#<depth>=\n#<speed>=800\n#<feed>=120\n"}});
  EXPECT_EQ(reading.origins.size(), 3U);
  for (const Origin& origin : reading.origins) EXPECT_FALSE(is_unread(origin.key)) << origin.key;
}

}  // namespace
}  // namespace keepway
