// Streams that look nearly as if their headings said what is under them, or parted it. All are invented.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "keepway/survey.hpp"
#include "reader_support.hpp"

namespace keepway {
namespace {

using test::value;

struct ReadAsProposed {
  Survey survey;
  Reading reading;
};

ReadAsProposed read_as_proposed(const std::string& name, const std::string& text) {
  const std::vector<OriginalView> files = {{name, text}};
  ReadAsProposed made;
  made.survey = survey(files, "");
  made.reading = read_backup(parse_layout(made.survey.layout, "proposed"), {"", Units::mm}, files);
  return made;
}

const std::string parameters = "%PARAMETERS\r\nM0010,4.25\r\nM0011,-310.5\r\nM0012,7\r\n%END\r\n";

TEST(SurveyNearHeaded, RowsOfTwoKindsOfKeyBesideEachOtherAreOfOneTable) {
  const auto made = read_as_proposed(
      "ALL.LST",
      "WORK OFFSETS\r\n--------\r\n           X           Y\r\n G54   -00311.500  +00042.250\r\n"
      " G55   -00120.125  +00077.000\r\n G56   -00088.000  +00019.750\r\n  P1   -00001.500  +00004.250\r\n"
      "  P2   -00010.125  +00007.000\r\n  P3   -00008.000  +00001.750\r\n");
  EXPECT_EQ(value(made.reading, "offsets/work/G55/x"), "-120.125") << made.survey.layout;
  EXPECT_EQ(value(made.reading, "offsets/work/P2/y"), "7.") << made.survey.layout;
  EXPECT_EQ(made.survey.files.size(), 1U) << made.survey.layout;
}

TEST(SurveyNearHeaded, ABlankLineBetweenKindsOfKeyPartsNothing) {
  const auto made = read_as_proposed(
      "ALL.LST",
      "WORK OFFSETS\r\n--------\r\n           X           Y\r\n G54   -00311.500  +00042.250\r\n"
      " G55   -00120.125  +00077.000\r\n G56   -00088.000  +00019.750\r\n\r\n   1   -00001.500  "
      "+00004.250\r\n"
      "   2   -00010.125  +00007.000\r\n   3   -00008.000  +00001.750\r\n");
  EXPECT_EQ(value(made.reading, "offsets/work/G55/x"), "-120.125") << made.survey.layout;
  EXPECT_EQ(value(made.reading, "offsets/work/2/x"), "-10.125") << made.survey.layout;
}

TEST(SurveyNearHeaded, TheHeadingOfTheNextPagePartsNoKindsOfKey) {
  const auto made =
      read_as_proposed("PARAM.LST",
                       "MACHINE PARAMETERS      PAGE 1\nNO    VALUE\nP1    12.5\nP2    3\nP3    -4.25\n\n"
                       "MACHINE PARAMETERS      PAGE 2\nNO    VALUE\n100   5000\n101   7000\n102   0.012\n");
  EXPECT_EQ(value(made.reading, "parameters/P3"), "-4.25") << made.survey.layout;
  EXPECT_EQ(value(made.reading, "parameters/102"), "0.012") << made.survey.layout;
}

TEST(SurveyNearHeaded, ATableUnderAHeadingOfProgramsIsNoProgram) {
  const auto made = read_as_proposed(
      "ALL.SER", parameters +
                     "%PROGRAM ZERO\r\nG54 X-120.5 Y-80.25 Z-310.\r\nG55 X1.5 Y0. Z-12.25\r\n"
                     "G56 X0. Y4.5 Z0.\r\n%END\r\n");
  EXPECT_EQ(value(made.reading, "offsets/work/G54/Y"), "-80.25") << made.survey.layout;
  EXPECT_TRUE(made.reading.state.programs.empty());
}

TEST(SurveyNearHeaded, CountersOfProgramsAreNoPrograms) {
  const auto made = read_as_proposed(
      "ALL.SER", parameters + "%PROGRAM COUNTERS\r\nO5,120,3\r\nO21,4,0\r\nO28,16,1\r\n%END\r\n");
  EXPECT_EQ(value(made.reading, "parameters/M0011"), "-310.5") << made.survey.layout;
  EXPECT_TRUE(made.reading.state.programs.empty()) << made.survey.layout;
}

// What ends the part is not known to the survey: a line that nobody understands, rather than parameters.
TEST(SurveyNearHeaded, BlocksUnderAHeadingOfProgramsAreNoTableForOneLine) {
  const auto made = read_as_proposed(
      "ALL.SER", parameters +
                     "%PROGRAMS\r\nO7\r\nN1 G90 G21\r\nN2 T2 M06\r\nN3 G00 X12.5 Y-8.25\r\nN4 G01 Z-2.5 "
                     "F90\r\nN5 M30\r\nO31\r\nN1 G90\r\nN2 G00 X4.75\r\nN3 M30\r\n%CLOSE\r\n");
  EXPECT_EQ(made.reading.state.programs.size(), 2U) << made.survey.layout;
  EXPECT_EQ(made.reading.state.table(Group::parameters)->size(), 3U) << made.survey.layout;
}

// A remark in a program names no group of the rows above it.
TEST(SurveyNearHeaded, ARemarkWithinProgramsPartsNothing) {
  const auto made = read_as_proposed("ALL.TAP",
                                     "%\r\nP1 12.5\r\nP2 -4\r\nP3 100\r\n%\r\nO1 (RING)\r\n(TOOL OFFSETS ARE "
                                     "SET BY HAND)\r\nG90\r\nG0 X1.5\r\n"
                                     "M30\r\n(WORK OFFSETS TOO)\r\nO2\r\nG0 X4.5\r\nM30\r\n%\r\n");
  EXPECT_EQ(value(made.reading, "parameters/P2"), "-4") << made.survey.layout;
  EXPECT_EQ(made.reading.state.programs.size(), 2U) << made.survey.layout;
  EXPECT_EQ(made.survey.layout.find("under "), std::string::npos) << made.survey.layout;
}

}  // namespace
}  // namespace keepway
