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

}  // namespace
}  // namespace keepway
