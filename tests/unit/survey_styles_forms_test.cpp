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
      style("units_right_behind_numbers",
            {{"DRUCK.TXT",
              "PARAMETER\r\nP   1 =        160mm\r\nP   2 =     51,545mm\r\nP  13 =         71ms\r\n"
              "P  14 =      13900A\r\nP  15 =         60ms\r\nP  16 =        8,5A\r\n"
              "P  17 =          5mm\r\nP  18 =       2500A\r\n"}},
            {"parameters/{1,2,13,14,15,16,17,18}/{value,unit}"},
            {{"parameters/2/value", "51.545"}, {"parameters/14/unit", "A"}, {"parameters/16/value", "8.5"}},
            {"unit"}),
      style("words_in_the_first_rows_of_codes",
            {{"SETTINGS.OUT",
              "SETTINGS\r\n--------\r\nS01   NO\r\nS02   YES\r\nS03   7.4155\r\nS04   OFF\r\nS05   1.25\r\n"
              "S06   44\r\nS07   NO\r\n"}},
            {"settings/{S01,S02,S03,S04,S05,S06,S07}"},
            {{"settings/S01", "NO"}, {"settings/S02", "YES"}, {"settings/S03", "7.4155"}},
            {"settings/S01", "settings/S02", "settings/S04", "settings/S07"}),
      style("codes_before_names_of_several_words",
            {{"PARAM.TXT",
              "P001 SPINDLE MAX : 160 mm\r\nP002 FEED MAX : 20 mm\r\nP003 RAPID MAX : 30 s\r\n"
              "P004 JOG MAX : 4 s\r\nP005 TAP MAX : 50 mm\r\n"}},
            {"parameters/{P001,P002,P003,P004,P005}/{name,value,unit}"},
            {{"parameters/P003/value", "30"}, {"parameters/P001/unit", "mm"}}, {"name", "unit"}),
      style("datums",
            {{"points.txt",
              "Datum\tX\tY\tZ\tA\n1\t266.664\t18.675\t-14.886\t8.47\n"
              "2\t-110.954\t74.956\t58.988\t126.75\n3\t-71.3\t-273.352\t-46.884\t97.48\n"}},
            {"offsets/work/{1,2,3}/{x,y,z,a}"}, {{"offsets/work/2/x", "-110.954"}}),
  };
}

class SurveyStyleForms : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleForms, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleForms, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
