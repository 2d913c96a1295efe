// Forms of numbers, quotes and labels that single controls have: known not to be read well before the code
// was written for them.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

std::vector<BackupStyle> styles() {
  return {
      style("table_with_exponents",
            {{"PITCH.DAT",
              "PITCH ERRORS OF GRINDER 3\r\nNO   POSITION       ERROR\r\n1    0.0000E+00     0.0000E+00\r\n"
              "2    1.0000E+02    -1.2500E-03\r\n3    2.5000E+02     2.5000E-03\r\n"}},
            {"parameters/{1,2,3}/{position,error}"},
            {{"parameters/2/error", "-0.00125"}, {"parameters/3/position", "250."}}),
      style("assignments_with_exponents",
            {{"VAR.DAT", "R1=1.250000E+01\nR2=-2.500000e-01\nR3=0.000000E+00\nR10=4.000000E+03\n"}},
            {"variables/{R1,R2,R3,R10}"}, {{"variables/R2", "-0.25"}, {"variables/R10", "4000."}}),
      style(
          "some_in_quotes",
          {{"SETUP.CFG", "language = \"english\"\n\"baud rate\" = \"4800\"\nparity = E\nbacklash = 0.012\n"}},
          {"settings/{language,baud rate,parity,backlash}"},
          {{"settings/language", "english"}, {"settings/baud rate", "4800"}},
          {"settings/language", "settings/parity"}),
      style("overflow_in_a_table",
            {{"TOOLS.LST",
              "TOOL TABLE\nNO   LENGTH     RADIUS\n 1   120.500     6.000\n 2   *******     4.250\n"
              " 3    98.020    ******\n 4    75.000     1.000\n"}},
            {"offsets/tool/{1,2,3,4}/{length,radius}"},
            {{"offsets/tool/1/length", "120.5"}, {"offsets/tool/2/length", "*******"}},
            {"offsets/tool/2/length", "offsets/tool/3/radius"}),
      style("overflow_in_assignments", {{"VAR.LST", "#100=12.5\n#101=******\n#102=-0.25\n#103=7.\n"}},
            {"variables/{100,101,102,103}"}, {{"variables/101", "******"}, {"variables/102", "-0.25"}},
            {"variables/101"}),
      style("labels_with_at", {{"SET.DAT", "@BAUD 4800\n@PARITY E\n@STOP 2\n@UNITS MM\n"}},
            {"settings/{BAUD,PARITY,STOP,UNITS}"}, {{"settings/BAUD", "4800"}, {"settings/UNITS", "MM"}},
            {"settings/PARITY", "settings/UNITS"}),
      style("lines_of_settings", {{"SET.DAT", "BAUD=4800 PARITY=E BITS=7\nSTOP=2 ECHO=ON DELAY=0.5\n"}},
            {"settings/{BAUD,PARITY,BITS,STOP,ECHO,DELAY}"}, {{"settings/DELAY", "0.5"}}, {"PARITY", "ECHO"}),
      style("lines_of_settings_with_commas",
            {{"SET.DAT", "MILL 5 SETTINGS\nA=1, B=2, C=3\nD=40, E=-5, F=60\n"}}, {"settings/{A,B,C,D,E,F}"},
            {{"settings/E", "-5"}}),
  };
}

class SurveyStyleForms : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleForms, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleForms, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
