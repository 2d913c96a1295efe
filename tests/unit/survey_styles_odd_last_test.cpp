// Styles that were written last, before the survey had been run on them: 8 of the 12 were read at once, and
// one of the others differed in its group alone. The survey was then corrected.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

std::vector<BackupStyle> styles() {
  return {
      style("parameters_with_axes_in_columns",
            {{"AXPAR.LST",
              "AXIS PARAMETERS              DRILL 7   S/N D7-0193\r\n"
              "NO     X          Y          Z          NAME\r\n"
              "----   --------   --------   --------   --------------\r\n"
              "1000   12000      12000      8000       max feed\r\n"
              "1001   0.012      0.010      -0.004     reversal error\r\n"
              "1010   620.5      400.0      350.0      limit plus\r\n"
              "----   --------   --------   --------   --------------\r\n"}},
            {"parameters/{1000,1001,1010}/{x,y,z,name}"},
            {{"parameters/1001/z", "-0.004"}, {"parameters/1010/name", "limit plus"}}, {"name"}, 0,
            "D7-0193"),
      style(
          "tool_and_edge_as_two_numbers",
          {{"EDGES.TXT",
            "TOOL EDGE      LENGTH     RADIUS\n   1    1     120.500      6.000\n   1    2     118.250      "
            "6.000\n   2    1      98.020      4.250\n  12    1      75.000      0.400\n"}},
          {"offsets/tool/{1/1,1/2,2/1,12/1}/{length,radius}"},
          {{"offsets/tool/1/2/length", "118.25"}, {"offsets/tool/12/1/radius", "0.4"}}),
      style("settings_with_yes_and_no",
            {{"setup.ini",
              "[display]\nlanguage = EN\nbacklight = yes\ntimeout = 300\n\n[door]\ninterlock = no\ndelay = "
              "2.5\n"}},
            {"settings/display/{language,backlight,timeout}", "settings/door/{interlock,delay}"},
            {{"settings/door/interlock", "no"}, {"settings/display/timeout", "300"}},
            {"settings/display/backlight", "settings/display/language", "settings/door/interlock"}),
      style("arrows_to_the_value", {{"VARIABLES.OUT", "VAR 1 -> 0.5\nVAR 2 -> -12.25\nVAR 100 -> 7.\n"}},
            {"variables/{1,2,100}"}, {{"variables/2", "-12.25"}, {"variables/100", "7."}}),
      style("colons_between_all_cells",
            {{"tooltab.dat", "1:120.500:6.000:FACE MILL\n2:98.020:4.250:DRILL\n12:-0.500:0.000:PROBE\n"}},
            {"offsets/tool/{1,2,12}/{c2,c3,name}"},
            {{"offsets/tool/1/c2", "120.5"}, {"offsets/tool/12/name", "PROBE"}}, {"name"}),
      style("letters_with_colons",
            {{"ZEROPTS.TXT",
              "G54: X:-120.5 Y:-33.25 Z:400.0\nG55: X:0.0 Y:0.0 Z:-1.5\nG59: X:1.0 Y:2.0 Z:3.0\n"}},
            {"offsets/work/{G54,G55,G59}/{x,y,z}"},
            {{"offsets/work/G54/y", "-33.25"}, {"offsets/work/G59/z", "3."}}),
      style("a_group_a_file_and_a_file_a_program",
            {{"M88/PARAM.LST", "PARAMETERS OF 88-104\n\n 1 = 4000\n 2 = -12\n 30 = 0.25\n"},
             {"M88/TOOLS.LST",
              "TOOLS OF 88-104\n\n T   LENGTH   DIAM\n 1   120.5    12.0\n 2    98.0     8.5\n"},
             {"M88/CELLS.LST", "CELLS OF 88-104\n\nC1 = 0.5\nC2 = 7\n"},
             {"M88/P100.NC", "%\nO100 (PLATE)\nG21 G90\nG0 X0. Y0.\nM30\n%\n"},
             {"M88/P101.NC", "%\nO101 (RING)\nG21\nG1 X5. F100.\nM30\n%\n"}},
            {"parameters/{1,2,30}", "offsets/tool/{1,2}/{length,diam}", "variables/{C1,C2}"},
            {{"parameters/30", "0.25"}, {"offsets/tool/2/diam", "8.5"}, {"variables/C2", "7"}}, {}, 2),
      style("polish_in_the_second_iso_set",
            {{"KOREKCJE.TXT",
              "Korekcje narz\xEA"
              "dzi, tokarka\r\n\r\n Nr   D\xB3ugo\xB6\xE6   Promie\xF1   Opis\r\n"
              "  1    120,500     6,000   Frez g\xB3owicowy\r\n  2     98,020     4,250   Wiert\xB3o\r\n"}},
            {"offsets/tool/{1,2}/{dlugosc,promien,opis}"},
            {{"offsets/tool/2/opis", "Wiert\u0142o"}, {"offsets/tool/1/dlugosc", "120.5"}}, {"opis"}),
      style("keys_with_dots_and_equals",
            {{"machine.cfg",
              "axis.x.max=620.5\naxis.x.min=-5.25\naxis.y.max=400\nspindle.max=4500\nspindle.name=HSK 63\n"}},
            {"settings/{axis.x.max,axis.x.min,axis.y.max,spindle.max,spindle.name}"},
            {{"settings/axis.x.min", "-5.25"}, {"settings/spindle.name", "HSK 63"}},
            {"settings/spindle.name"}),
      style("offsets_and_programs_on_one_tape_with_titles",
            {{"TAPE.CAP",
              "%\n(TOOL OFFSETS)\nT01 L+120.500 R+006.000\nT02 L+098.020 R+004.250\n%\n(PROGRAMS)\nO0012 "
              "(FACE)\n"
              "N10 G21 G90\nN20 G0 X0. Y0.\nN30 M30\nO0013\nN10 G1 X5. F100.\nN20 M30\n%\n"}},
            {"offsets/tool/{1,2}/{L,R}"}, {{"offsets/tool/2/R", "4.25"}, {"offsets/tool/1/L", "120.5"}}, {},
            2),
      style("values_under_their_names",
            {{"HEADS.LST",
              "SPINDLE HEADS\n\nHEAD 1\nNO  VALUE\n 1   45.5\n 2   -3\n\nHEAD 2\nNO  VALUE\n 1   44.0\n 2   "
              "0\n"}},
            {"parameters/head/{1,2}/{1,2}"}, {{"parameters/head/2/1", "44."}, {"parameters/head/1/2", "-3"}}),
      style("words_under_a_name_in_brackets",
            {{"ORIGIN.LST",
              "[ORIGIN]\r\nG54 X-300.500 Y-122.250 Z-410.000 B0.000\r\nG55 X-100.000 Y-122.250 "
              "Z-410.000 B90.000\r\n"}},
            {"offsets/work/{G54,G55}/{X,Y,Z,B}"},
            {{"offsets/work/G54/X", "-300.5"}, {"offsets/work/G55/B", "90."}}),
      style("a_table_under_a_name_in_brackets",
            {{"TOOLS.LST",
              "[TOOLS]\n NO   LENGTH    RADIUS\n  1   120.500    12.500\n  2    98.125     6.000\n"}},
            {"offsets/tool/{1,2}/{length,radius}"}, {{"offsets/tool/2/length", "98.125"}}),
      style("names_and_values_that_ascend", {{"SETUP.TXT", "MAXSPEED 3500\nMAXFEED 5000\nRATE 9600\n"}},
            {"settings/{MAXSPEED,MAXFEED,RATE}"}, {{"settings/RATE", "9600"}}),
      style("underscores_to_the_value",
            {{"SETTINGS.LST", "Block skip______0\nOptional stop___1\nRapid override__25\n"}},
            {"settings/{Block skip,Optional stop,Rapid override}"}, {{"settings/Rapid override", "25"}}),
  };
}

class SurveyStyleOddLast : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleOddLast, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleOddLast, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
