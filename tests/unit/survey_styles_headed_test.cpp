// Streams of several tables and programs, whose headings say what is under them: read otherwise before the
// code was written for them.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

const std::string percent_parts =
    "%PARAMETERS\r\nM0010,4.25\r\nM0011,-310.5\r\nM0012,7\r\n%END\r\n%TOOLS\r\nNO,LENGTH,RADIUS\r\n"
    "1,66.125,8\r\n2,90.5,3.25\r\n%END\r\n";

std::vector<BackupStyle> styles() {
  return {
      style("programs_between_percent_and_end",
            {{"ALL.SER",
              percent_parts +
                  "%PROGRAMS\r\nO7\r\nN1 G90 G21\r\nN2 T2 M06\r\nN3 G00 X12.5 Y-8.25\r\nN4 G01 Z-2.5 "
                  "F90\r\nN5 M30\r\nO31\r\nN1 G90\r\nN2 G00 X4.75\r\nN3 M30\r\n%END\r\n"}},
            {"parameters/{M0010,M0011,M0012}", "offsets/tool/{1,2}/{length,radius}"},
            {{"parameters/M0011", "-310.5"}, {"offsets/tool/2/length", "90.5"}}, {}, 2),
  };
}

class SurveyStyleHeaded : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleHeaded, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleHeaded, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
