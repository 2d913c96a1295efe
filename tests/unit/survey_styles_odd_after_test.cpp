// Styles that were written after shapes, parts and records side by side, before the survey had been run on
// them. 10 of the 16 were read at once; four of the others had poor names alone. The survey was then
// corrected. them.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

std::vector<BackupStyle> rows() {
  return {
      style("names_with_units_in_brackets_and_tabs",
            {{"travel.par", "X_MAX [mm]\t620.5\nX_MIN [mm]\t-5.25\nRAPID_X [mm/min]\t12000\nLUBE [s]\t30\n"}},
            {"parameters/{X_MAX,X_MIN,RAPID_X,LUBE}/{unit,value}"},
            {{"parameters/X_MIN/value", "-5.25"}, {"parameters/RAPID_X/unit", "mm/min"}}, {"unit"}),
      style("one_axis_a_line",
            {{"WORKZERO.LST",
              "WORK ZERO POINTS\nG54  X  -120.500\nG54  Y   -33.250\nG54  Z   400.000\n"
              "G55  X     0.000\nG55  Y     0.000\nG55  Z    -1.500\n"}},
            {"offsets/work/{G54,G55}/{X,Y,Z}"},
            {{"offsets/work/G54/X", "-120.5"}, {"offsets/work/G55/Z", "-1.5"}}),
      style("label_number_equals_value_and_remark",
            {{"PARAM.TXT",
              "PARAM 0100 = 12     (BACKLASH X)\nPARAM 0101 = -3     (BACKLASH Y)\nPARAM 0204 = 9600   "
              "(SPEED OF "
              "LINE)\n"}},
            {"parameters/{100,101,204}"}, {{"parameters/101", "-3"}, {"parameters/204", "9600"}}),
      style("pages_with_a_sign_before_each_row",
            {{"P0417.LST",
              "PARAMETER LIST    MACHINE NO 0417    01.02.2024    PAGE 01\r\n\r\n> 0001 : +00012.500\r\n"
              "> 0002 : -00000.004\r\n\f"
              "PARAMETER LIST    MACHINE NO 0417    01.02.2024    PAGE 02\r\n\r\n> 0150 : +01500.000\r\n"}},
            {"parameters/{1,2,150}"}, {{"parameters/2", "-0.004"}, {"parameters/150", "1500."}}, {}, 0,
            "0417"),
      style("assignments_with_commas_between",
            {{"REGS.TXT", "R1 = 0.5, R2 = -1.5, R3 = 2.25\nR10 = 100, R11 = 0, R12 = 7.125\n"}},
            {"variables/{R1,R2,R3,R10,R11,R12}"},
            {{"variables/R2", "-1.5"}, {"variables/R12", "7.125"}, {"variables/R3", "2.25"}}),
      style("states_as_words",
            {{"SWITCHES.PRN",
              "SWITCHES\n 1  ON   Coolant\n 2  OFF  Mist\n 3  ON   Door lock\n 12 OFF  Beep at end\n"}},
            {"settings/{1,2,3,12}/{value,note}"},
            {{"settings/2/value", "OFF"}, {"settings/12/note", "Beep at end"}}, {"value", "note"}),
      style(
          "flags_of_eight_bits_with_names",
          {{"BITS.PAR",
            "NO   BITS       NAME\n0001 00000110   LINE\n0002 10000000   SPINDLE\n0003 00000000   SPARE\n"}},
          {"parameters/{1,2,3}/{bits,name}"},
          {{"parameters/2/name", "SPINDLE"}, {"parameters/1/bits", "00000110"}}, {"bits", "name"}),
      style("semicolons_units_and_quotes",
            {{"Korrekturen.csv",
              "Platz;Name;L\xE4nge [mm];Radius [mm]\r\n1;\"Bohrer 8,5\";98,02;4,25\r\n2;\"Fr\xE4ser; "
              "grob\";112,5;31,5\r\n14;\"Taster\";-0,5;0\r\n"}},
            {"offsets/tool/{1,2,14}/{name,laenge-mm,radius-mm}"},
            {{"offsets/tool/2/name", "Fr\u00e4ser; grob"}, {"offsets/tool/14/laenge-mm", "-0.5"}}, {"name"}),
  };
}

std::vector<BackupStyle> records() {
  return {
      style("records_parted_by_blank_lines",
            {{"TOOLLIB.TXT",
              "NUMBER: 1\nLENGTH: 120.5\nRADIUS: 6.0\nNAME: FACE MILL\n\nNUMBER: 2\nLENGTH: 98.02\nRADIUS: "
              "4.25\nNAME: DRILL 8.5\n\nNUMBER: 31\nLENGTH: 75.0\nRADIUS: 0.4\nNAME: SPOT\n"}},
            {"offsets/tool/{1,2,31}/{LENGTH,RADIUS,NAME}"},
            {{"offsets/tool/2/LENGTH", "98.02"}, {"offsets/tool/31/NAME", "SPOT"}},
            {"offsets/tool/1/NAME", "offsets/tool/2/NAME", "offsets/tool/31/NAME"}),
      style("rulers_around_each_record",
            {{"AXES.DOC",
              "--- AXIS X ---\nmax speed    12000\nmin limit    -5.25\nmax limit    620.5\n"
              "--- AXIS Y ---\nmax speed    9000\nmin limit    -2\nmax limit    400\n"}},
            {"parameters/axis/{X,Y}/{max speed,min limit,max limit}"},
            {{"parameters/axis/X/max limit", "620.5"}, {"parameters/axis/Y/min limit", "-2"}}),
      style("four_records_side_by_side_under_a_heading",
            {{"MACROVAR.LST",
              "MACRO VARIABLES\n\n NO   VALUE    NO   VALUE    NO   VALUE    NO   VALUE\n"
              "  1   0.000     2  -1.250     3   0.000     4   7.500\n"
              "  5  10.000     6   2.500     7  99.999     8   0.000\n"}},
            {"variables/{1,2,3,4,5,6,7,8}"}, {{"variables/4", "7.5"}, {"variables/7", "99.999"}}),
      style("shapes_under_headings_in_one_stream",
            {{"FULL.TAP",
              "*** OFFSETS ***\nTOOL 1: LEN=120.5 RAD=6.0\nTOOL 2: LEN=98.02 RAD=4.25\n"
              "*** PARAMETERS ***\nLIMIT X PLUS ..... 620.5\nLIMIT X MINUS .... -5.25\nRAPID X .......... "
              "12000\n"
              "*** VARIABLES ***\nV1 = 0.5\nV2 = -3\n"}},
            {"offsets/tool/{1,2}/{len,rad}", "parameters/{LIMIT X PLUS,LIMIT X MINUS,RAPID X}",
             "variables/{V1,V2}"},
            {{"offsets/tool/2/rad", "4.25"}, {"parameters/RAPID X", "12000"}, {"variables/V2", "-3"}}),
      style("words_with_blanks_and_a_number_before",
            {{"TOOLS.PUN",
              "%\nN1 T1 X 12.500 Z -40.125 R 0.4\nN2 T2 X 10.000 Z -38.000 R 0.8\nN3 T12 X -0.250 Z 0.000 R "
              "0.2\n%\n"}},
            {"offsets/tool/{1,2,12}/{X,Z,R}"},
            {{"offsets/tool/1/Z", "-40.125"}, {"offsets/tool/12/X", "-0.25"}}),
      style("quoted_keys_and_values",
            {{"panel.set", "\"Feed override\",\"120\"\n\"Chip conveyor\",\"1\"\n\"Beep time\",\"2.5\"\n"}},
            {"settings/{Feed override,Chip conveyor,Beep time}"},
            {{"settings/Beep time", "2.5"}, {"settings/Feed override", "120"}}),
      style("german_in_the_first_dos_code_page",
            {{"NULLPKT.TXT",
              "Nullpunkte der Fr\x84smaschine\r\n Nr          X          Y          Z\r\n"
              "G54   -120,500    -33,250    400,000\r\nG55      0,000      0,000     -1,500\r\n"}},
            {"offsets/work/{G54,G55}/{x,y,z}"},
            {{"offsets/work/G54/x", "-120.5"}, {"offsets/work/G55/z", "-1.5"}}),
      style("a_checksum_and_an_end",
            {{"SETUP.OUT",
              "BEGIN SETUP\nset 1 = 0\nset 2 = 25\nset 10 = 9600\nset 11 = -1\nCHECKSUM 9624\nEND SETUP\n"}},
            {"settings/{1,2,10,11}"}, {{"settings/10", "9600"}, {"settings/11", "-1"}}),
  };
}

std::vector<BackupStyle> styles() {
  return joined({rows(), records()});
}

class SurveyStyleOddAfter : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleOddAfter, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleOddAfter, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
