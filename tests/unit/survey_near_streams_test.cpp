// Streams and lists that look nearly as if they were written in one of those ways. All are invented.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "keepway/survey.hpp"
#include "reader_support.hpp"

namespace keepway {
namespace {

using test::count;
using test::value;

struct NearStream {
  Survey survey;
  Reading reading;
};

NearStream read_as_proposed(const std::string& name, const std::string& text) {
  const std::vector<OriginalView> files = {{name, text}};
  NearStream made;
  made.survey = survey(files, "");
  made.reading = read_backup(parse_layout(made.survey.layout, "proposed"), {"", Units::mm}, files);
  return made;
}

const std::string program = "N10 G90 G21\nN20 G00 X12.5 Y-4.25\nN30 M30\n";

TEST(SurveyNearStreams, CodesOfALetterAndANumberAreTexts) {
  const auto made = read_as_proposed(
      "MAGAZINE.LST", "POCKET  TOOL  WEIGHT\n1       T01   2.5\n2       T07   1.25\n3       T12   4\n");
  EXPECT_EQ(value(made.reading, "offsets/tool/1/tool"), "T01") << made.survey.layout;
  EXPECT_EQ(value(made.reading, "offsets/tool/3/weight"), "4") << made.survey.layout;
}

TEST(SurveyNearStreams, AHeadingWithADateNamesItsGroupWhereNoOtherDoes) {
  const auto made = read_as_proposed(
      "ALL.DAT",
      "TOOL OFFSETS   SAVED 27.09.1989 11:05\nNO   LENGTH\n1    40.819\n2    429.824\n\n"
      "WORK OFFSETS   SAVED 27.09.1989 11:06\nNO    X   Y\n1    4.5   1.25\n2    6.5   -3.5\n");
  EXPECT_EQ(value(made.reading, "offsets/tool/2"), "429.824") << made.survey.layout;
  EXPECT_EQ(value(made.reading, "offsets/work/2/y"), "-3.5") << made.survey.layout;
}

TEST(SurveyNearStreams, ATableOfProgramsBehindThemIsNoProgram) {
  const auto made =
      read_as_proposed("ALL.DAT", "PROGRAMS\nO1\n" + program + "O2\n" + program +
                                      "TOOL OFFSETS\n1  4.5  1.25\n2  6.5  -3.5\n3  7.5  -8.5\n");
  EXPECT_EQ(made.reading.state.programs.size(), 2U) << made.survey.layout;
  EXPECT_EQ(value(made.reading, "offsets/tool/2/value"), "6.5") << made.survey.layout;
}

TEST(SurveyNearStreams, ATableThatIsCalledByProgramsIsNoneOfThem) {
  const auto made = read_as_proposed(
      "ALL.DAT", "PROGRAMS\nO1\n" + program + "O2\n" + program + "PROGRAM COUNTERS\n1 = 4\n2 = 6\n3 = 7\n");
  EXPECT_EQ(made.reading.state.programs.size(), 2U) << made.survey.layout;
  EXPECT_EQ(value(made.reading, "variables/2"), "6") << made.survey.layout;
}

TEST(SurveyNearStreams, SheetsOfAListingAreNoPrograms) {
  const auto made = read_as_proposed("PROG.LST", "SHEET 1\n------\nO1\n" + program + "SHEET 2\n------\nO2\n" +
                                                     program + "SHEET 3\n------\nO3\n" + program);
  EXPECT_EQ(made.reading.state.programs.size(), 3U) << made.survey.layout;
  EXPECT_EQ(made.survey.layout.find("\"SHEET\""), std::string::npos) << made.survey.layout;
}

TEST(SurveyNearStreams, AStarBehindSomeRowsIsNoEndOfLines) {
  const auto made =
      read_as_proposed("PARAM.LST", "1 = 40.5\n2 = 41.5 *\n3 = 429\n4 = 12 *\n5 = 0.25\n6 = 11\n");
  EXPECT_EQ(made.survey.layout.find("\"*\""), std::string::npos) << made.survey.layout;
}

TEST(SurveyNearStreams, AnEndIsNoNumberOfAProgram) {
  const auto made =
      read_as_proposed("PROG.LST", "O5 (RING)\n" + program + "END 5\nO6 (PLATE)\n" + program + "END 6\n");
  EXPECT_EQ(made.reading.state.programs.size(), 2U) << made.survey.layout;
  EXPECT_EQ(made.survey.layout.find("\"END\""), std::string::npos) << made.survey.layout;
}

TEST(SurveyNearStreams, AProgramMayEndInTwoPlaces) {
  const auto made = read_as_proposed(
      "PROG.LST", "O5\nG90 G0 X1.\nIF [#1 EQ 0] GOTO 90\nG1 X2. F100.\nM30\nN90 G1 X3.\nM30\n");
  EXPECT_EQ(made.reading.state.programs.size(), 1U) << made.survey.layout;
}

TEST(SurveyNearStreams, LettersThatAreAWordAreNoPartOfTheNumber) {
  const auto made = read_as_proposed("PARAM.LST", "PARAM 12 = 4000\nPARAM 13 = -12\nPARAM 14 = 0.5\n");
  EXPECT_EQ(value(made.reading, "parameters/13"), "-12") << made.survey.layout;
}

TEST(SurveyNearStreams, RowsOfTwoLettersWithOneNumberAreTwo) {
  const auto made = read_as_proposed("DATA.LST", "K1 V5\nK2 V15\nK3 V-4\nL1 V6\nL2 V16\nL3 V7\n");
  EXPECT_EQ(value(made.reading, "parameters/K2"), "15") << made.survey.layout;
  EXPECT_EQ(value(made.reading, "parameters/L2"), "16") << made.survey.layout;
  EXPECT_EQ(count(made.reading, OddityKind::clashing_rows), 0U);
}

TEST(SurveyNearStreams, TheLastWordOfNamesWithOneValueIsNoLabel) {
  const auto made = read_as_proposed("DRIVES.PAR", "SPINDLE MAX 4500\nFEED X MAX 6000\nCOOLANT MAX 1\n");
  EXPECT_EQ(value(made.reading, "parameters/FEED X MAX"), "6000") << made.survey.layout;
}

TEST(SurveyNearStreams, TimesAreValuesOfTheirNames) {
  const auto made = read_as_proposed("TIMES.PAR", "SHIFT START = 06:10\nSHIFT END = 14:05\nBREAK = 09:30\n");
  EXPECT_EQ(value(made.reading, "parameters/SHIFT END"), "14:05") << made.survey.layout;
}

TEST(SurveyNearStreams, TitlesBetweenBarsAreNoRow) {
  const std::string heading = "+------+-------+\n|  PAR | CONTENT |\n+------+-------+\n";
  const auto made = read_as_proposed(
      "MEMORY.PRN", "PARAMETERS   PAGE 1\n" + heading +
                        "|    1 |    84 |\n|    2 | 4.125 |\n|    3 |    -2 |\n" + "\nPARAMETERS   PAGE 2\n" +
                        heading + "|    4 |     9 |\n|    5 |  0.25 |\n" + "\nSETTINGS   PAGE 1\n" + heading +
                        "|    1 |     4 |\n|    2 |  4800 |\n");
  EXPECT_EQ(value(made.reading, "parameters/2"), "4.125") << made.survey.layout;
  EXPECT_EQ(value(made.reading, "settings/2"), "4800") << made.survey.layout;
  EXPECT_EQ(made.reading.origins.size(), 7U) << made.survey.layout;
  const auto named = read_as_proposed(
      "SETUP.PRN",
      "| NAME     | VALUE   |\n| LANGUAGE | ENGLISH |\n| PARITY   | EVEN    |\n| RATE     | 9600    |\n");
  EXPECT_EQ(named.reading.origins.size(), 3U) << named.survey.layout;
}

TEST(SurveyNearStreams, AWordAmongNumbersIsNoPlaceWithoutAValue) {
  const auto made = read_as_proposed(
      "PARAM.LST", "  101     7.2867\n  102          1\nSPINDLE\n  301      14100\n  302    3.9825\n");
  EXPECT_EQ(made.survey.layout.find("empty_rows"), std::string::npos) << made.survey.layout;
}

TEST(SurveyNearStreams, SeveralEndsOfOneProgramAreSaid) {
  const auto said = [](const std::string& text) {
    const auto made = read_as_proposed("PROG.LST", text);
    for (const Guess& guess : made.survey.files.at(0).guesses) {
      if (guess.what.find("M2 or M30") != std::string::npos) return guess.what;
    }
    return std::string();
  };
  const std::string twice = "G90 G0 X1.\nIF [#1 EQ 0] GOTO 90\nG1 X2. F100.\nM30\nN90 G1 X3.\nM30\n";
  EXPECT_EQ(said("O5\n" + twice), "that O5 is one program: it has 2 ends, M2 or M30");
  EXPECT_EQ(said("O5\n" + twice + "O6\n" + twice),
            "that O5 and 1 more are one program each: they have several ends, M2 or M30");
  EXPECT_EQ(said("O5\n" + program + "O6\n" + program), "");
}

}  // namespace
}  // namespace keepway
