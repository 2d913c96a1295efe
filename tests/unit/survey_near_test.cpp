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

TEST(SurveyNear, ATextThatAllRowsHaveIsNoLabel) {
  const Reading reading =
      read_as_proposed({{"TOOLS.LST", "1  MILL  120.5  63.0\n2  MILL   98.0  50.0\n3  MILL   75.2  40.0\n"}});
  EXPECT_EQ(value(reading, "offsets/tool/2/c2"), "MILL");
  EXPECT_EQ(value(reading, "offsets/tool/2/c4"), "50.");
}

TEST(SurveyNear, NumbersPaddedWithZerosAreNoBits) {
  const Reading reading = read_as_proposed({{"PARA.TXT", "P1=00000011\nP2=00004000\nP3=00000012\n"}});
  EXPECT_EQ(value(reading, "parameters/P1"), "11");
  EXPECT_EQ(kind_of(reading, "P1"), FieldKind::number);
}

TEST(SurveyNear, ALetterThatComesAgainWithTheSameNumberBeginsNoRecord) {
  const Survey found = survey({{"TOOLS.TXT", "T1 L1. D2. T1 L3. D4.\nT2 L5. D6. T2 L7. D8.\n"}}, "");
  EXPECT_EQ(found.layout.find("across"), std::string::npos) << found.layout;
}

TEST(SurveyNear, ANumberIsCarriedOnlyWhereAllHaveTheSameRows) {
  const std::string whole = "NO    AXIS   VALUE\n1020   X     6000\n       Z     8000\n1021   X       12\n";
  const Survey carried = survey({{"A.LST", whole + "       Z       -8\n"}}, "");
  EXPECT_NE(carried.layout.find("carried"), std::string::npos) << carried.layout;
  const Survey not_so = survey({{"A.LST", whole + "1022   X        1\n"}}, "");
  EXPECT_EQ(not_so.layout.find("carried"), std::string::npos) << not_so.layout;
}

TEST(SurveyNear, ARemarkOfAsManyWordsIsNoHeading) {
  const Reading reading = read_as_proposed({{"A.DAT", "; saved by hand\n1 2.5 3.5\n2 4.5 5.5\n3 6.5 7.5\n"}});
  for (const Origin& origin : reading.origins)
    EXPECT_EQ(origin.key.find("by"), std::string::npos) << origin.key;
  EXPECT_FALSE(reading.origins.empty());
}

TEST(SurveyNear, DatesWithSlashesArePartedByBlanks) {
  const Reading reading = read_as_proposed(
      {{"LIFE.LST", "NO  CHANGED   LIFE\n1  12/03/97  45\n2  14/03/97  60\n3  15/03/97  15\n"}});
  EXPECT_EQ(value(reading, "parameters/2/changed"), "14/03/97");
  EXPECT_EQ(value(reading, "parameters/2/life"), "60");
}

TEST(SurveyNear, AnAssignmentAmongAssignmentsIsNoTotal) {
  const Reading reading = read_as_proposed({{"SET.TXT", "R1=1\nR2=2\nR3=3\nR4=4\nSUM=10\n"}});
  std::size_t items = 0;
  for (const Origin& origin : reading.origins) items += is_unread(origin.key) ? 0U : 1U;
  EXPECT_GE(items, 4U);
}

TEST(SurveyNear, AMarkInFrontOfRowsIsTheSameInAll) {
  const Survey found = survey(
      {{"VARS.PRN", "VARIABLES\n\n* 100    12.500\n+ 101    -0.250\n# 102     0.000\n  103  4000.000\n"}},
      "");
  EXPECT_EQ(found.layout.find("between  = [\"*\"]"), std::string::npos) << found.layout;
}

TEST(SurveyNear, TwoLinesOfCodesAndWordsAreNoTable) {
  const OriginalView table = {"SET.TXT", "1 4000\n2 -12\n3 0\n"};
  EXPECT_THAT(survey({{"A.TXT", "A1 YES\nA2 NO\n"}, table}, "").left_out, testing::ElementsAre("A.TXT"));
  EXPECT_THAT(survey({{"A.TXT", "A1 YES\nA2 NO\nA3 YES\n"}, table}, "").left_out, testing::IsEmpty());
}

TEST(SurveyNear, CodesWithAnEAreNoNumbers) {
  const Survey found = survey({{"P.LST", "NO CODE LIFE\n1 1E5 10\n2 2E6 20\n3 3E7 45\n"}}, "");
  EXPECT_EQ(found.layout.find("exponent"), std::string::npos) << found.layout;
}

TEST(SurveyNear, AQuoteAloneIsAPartOfTheValue) {
  const Survey found = survey({{"S.CFG", "disk = 5.25\"\nname = mill\nbaud = 4800\n"}}, "");
  EXPECT_EQ(found.layout.find("quoted"), std::string::npos) << found.layout;
}

TEST(SurveyNear, StarsBesideWordsAreNoNumberThatOverflowed) {
  const Reading reading = read_as_proposed(
      {{"T.LST", "NO   GRADE   LENGTH\n1    **      120.5\n2    FINE    98.02\n3    ***     75.25\n"}});
  EXPECT_EQ(kind_of(reading, "tool/1/grade"), FieldKind::text);
  EXPECT_EQ(kind_of(reading, "tool/2/length"), FieldKind::number);
}

TEST(SurveyNear, AnAtWithinARowIsNoLabel) {
  const Reading reading = read_as_proposed({{"SET.TXT", "FEED MAX @ 1200\nSPEED MAX @ 4500\nDWELL @ 2\n"}});
  EXPECT_EQ(value(reading, "settings/FEED MAX"), "1200");
}

TEST(SurveyNear, RowsThatBeginWithACodeAreNoLinesOfSettings) {
  const Reading reading =
      read_as_proposed({{"ZERO.TXT", "G54 X=-1.5 Y=2.5\nG55 X=3.5 Y=4.5\nG56 X=5.5 Y=6.5\n"}});
  EXPECT_EQ(value(reading, "offsets/work/G55/x"), "3.5");
}

TEST(SurveyNear, ATitleWithAColonIsNoPartAboveRowsOfItsOwn) {
  const Survey found = survey({{"SET.TXT", "TOOLS:\n1 120.5 6.0\n2 98.02 4.25\nNOTES:\n7 OLD\n8 NEW\n"}}, "");
  EXPECT_EQ(found.layout.find("{part}"), std::string::npos) << found.layout;
}

TEST(SurveyNear, AWordWithASignBehindItNamesTheTextAfterIt) {
  const Reading reading = read_as_proposed(
      {{"TIMERS.LST", "TIMER 1 : 0.50 USE: COOLANT\nTIMER 2 : 2.00 USE: CLAMP\nTIMER 3 : 4.00 USE: LUBE\n"}});
  EXPECT_EQ(value(reading, "parameters/2/use"), "CLAMP");
}

TEST(SurveyNear, ARowWithAWordInFrontAmongNumbersIsNoHeading) {
  const Reading reading = read_as_proposed({{"P.LST", "RATE 9600\n101 -12\n102 7\nMODE 2\n104 9\n"}});
  EXPECT_EQ(value(reading, "parameters/RATE") + value(reading, "settings/RATE"), "9600(no table)");
}

TEST(SurveyNear, AWordThatNamesBeginWithIsAPartOfThemWhereNoOtherIsALabel) {
  const Reading reading =
      read_as_proposed({{"P.LST", "100 : 6000 : MAX FEED\n101 : -12 : MAX SHIFT\n102 : 250 : MAX LOAD\n"}});
  bool any = false;
  for (const Origin& origin : reading.origins) any = any || origin.kind == FieldKind::text;
  EXPECT_TRUE(any);
  EXPECT_EQ(value(reading, "parameters/101/name"), "MAX SHIFT");
}

TEST(SurveyNear, ARemarkBehindANumberAndItsValueIsNoName) {
  const Reading reading = read_as_proposed({{"P.TXT", "12 4800 (BAUD)\n13 2 (STOP)\n14 7 (BITS)\n"}});
  for (const Origin& origin : reading.origins)
    EXPECT_EQ(origin.key.find("name"), std::string::npos) << origin.key;
}

}  // namespace
}  // namespace keepway
