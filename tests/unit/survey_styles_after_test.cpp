// Styles that were written after the code of the survey, before it had been run on any of them. 19 of the 26
// were read at once; the survey was then corrected, in general ways, by the others.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

using namespace std::string_literals;

std::vector<BackupStyle> tables() {
  return {
      style("semicolons_with_decimal_commas_and_umlauts",
            {{"Werkzeugliste.csv",
              "Nr.;Bezeichnung;L\xE4nge;Radius;Standzeit\r\n1;\"Planfr\xE4ser \xD8 63\";112,500;31,5;240\r\n"
              "2;\"Bohrer; lang\";98,02;4,25;60\r\n3;;-0,5;0;0\r\n14;NC-Anbohrer;75,0;6,0;15\r\n"}},
            {"offsets/tool/{1,2,14}/{bezeichnung,laenge,radius,standzeit}",
             "offsets/tool/3/{laenge,radius,standzeit}"},
            {{"offsets/tool/1/laenge", "112.5"},
             {"offsets/tool/2/bezeichnung", "Bohrer; lang"},
             {"offsets/tool/1/bezeichnung", "Planfr\u00e4ser \u00d8 63"},
             {"offsets/tool/3/laenge", "-0.5"},
             {"offsets/tool/2/standzeit", "60"}},
            {"bezeichnung"}),
      style("sign_behind_the_number",
            {{"ACHSPAR.LST",
              "ACHSPARAMETER\n\n  NR        WERT\n 101     12.500-\n 102      0.000\n 103    400.000\n"
              " 104      7.250-\n"}},
            {"parameters/{101,102,103,104}"},
            {{"parameters/101", "-12.5"}, {"parameters/103", "400."}, {"parameters/104", "-7.25"}}),
      style("corrections_in_french_with_a_total",
            {{"OUTILS.IMP",
              "CORRECTEURS D'OUTILS                       Page 1/2\r\n"
              "===================================================\r\n"
              " No    LONGUEUR     RAYON   D\xC9SIGNATION\r\n"
              "  1     125.400     8.000   Fraise deux tailles\r\n"
              "  2      98.150     5.000   For\xEAt\r\n"
              "\f"
              "CORRECTEURS D'OUTILS                       Page 2/2\r\n"
              "===================================================\r\n"
              " No    LONGUEUR     RAYON   D\xC9SIGNATION\r\n"
              " 30      60.000     0.400   Al\xE9soir\r\n"
              "                                       TOTAL: 3\r\n"}},
            {"offsets/tool/{1,2,30}/{longueur,rayon,designation}"},
            {{"offsets/tool/1/longueur", "125.4"},
             {"offsets/tool/30/designation", "Al\u00e9soir"},
             {"offsets/tool/1/designation", "Fraise deux tailles"}},
            {"designation"}),
      style("units_under_the_heading",
            {{"TOOLS.RPT",
              "TOOL  LENGTH  DIAM   LIFE\n         mm     mm    min\n----  ------  -----  ----\n"
              "   1  120.50  63.00   240\n   2   98.00   8.50    60\n  11   75.25  12.00    15\n"}},
            {"offsets/tool/{1,2,11}/{length,diam,life}"},
            {{"offsets/tool/11/diam", "12."}, {"offsets/tool/2/life", "60"}}),
      style("zero_points_with_blank_lines",
            {{"ZEROPT.DOC",
              "ZERO POINTS OF THE TABLE\n\nCODE         X            Y            Z           B\n\n"
              "G54    +0120.5000   -0033.2500   +0400.0000   +000.000\n\n"
              "G55    -0120.5000   -0033.2500   +0400.0000   +090.000\n\n"
              "G56    +0000.0000   +0000.0000   +0000.0000   +180.000\n\n"
              "G59    +0001.0000   +0002.0000   +0003.0000   -090.000\n\n"}},
            {"offsets/work/{G54,G55,G56,G59}/{x,y,z,b}"},
            {{"offsets/work/G54/x", "120.5"},
             {"offsets/work/G59/b", "-90."},
             {"offsets/work/G55/y", "-33.25"}}),
      style("box_with_a_title_inside",
            {{"TOOLS.BOX",
              "+------------------------------+\n|         TOOL MEMORY          "
              "|\n+------+-----------+-----------+\n"
              "| T    | LENGTH    | WEAR      |\n+------+-----------+-----------+\n"
              "| 1    | 110.000   | -0.015    |\n| 2    | 95.500    | 0.000     |\n| 16   | 88.125    | "
              "0.020     |\n"
              "+------+-----------+-----------+\n"}},
            {"offsets/tool/{1,2,16}/{length,wear}"},
            {{"offsets/tool/1/wear", "-0.015"}, {"offsets/tool/16/length", "88.125"}}),
      style("names_of_tools_in_the_middle",
            {{"TOOLDATA.TXT",
              "NO  NAME              LENGTH    RADIUS\n 1  FACE MILL 63     112.500    31.500\n"
              " 2  DRILL 8.5         98.020     4.250\n 3  SPOT             -75.000     6.000\n"
              "12  REAMER 10 H7     140.000     5.000\n"}},
            {"offsets/tool/{1,2,3,12}/{name,length,radius}"},
            {{"offsets/tool/2/name", "DRILL 8.5"},
             {"offsets/tool/12/length", "140."},
             {"offsets/tool/3/length", "-75."}},
            {"name"}),
      style("tabs_with_empty_cells",
            {{"magazine.tsv",
              "pocket\ttool\tlength\tradius\n1\t17\t120.5\t31.5\n2\t\t\t\n3\t4\t98\t\n4\t22\t75.25\t6\n"}},
            {"offsets/tool/{1,4}/{tool,length,radius}", "offsets/tool/3/{tool,length}"},
            {{"offsets/tool/1/tool", "17"}, {"offsets/tool/3/length", "98"}}),
      style("czech_in_a_dos_code_page",
            {{"NASTROJE.TXT",
              "N\xA0stroje stroje 3\r\n\r\n  T     DELKA    POLOMER  POPIS\r\n"
              "  1   112.500     31.500  Fr\x82za \x9F"
              "eln\xA1\r\n  2    98.020      4.250  Vrt\xA0k\r\n"
              "  3    75.000      6.000  Z\xA0vitn\xA1k\r\n"}},
            {"offsets/tool/{1,2,3}/{delka,polomer,popis}"},
            {{"offsets/tool/2/popis", "Vrt\u00e1k"}, {"offsets/tool/1/delka", "112.5"}}, {"popis"}),
  };
}

std::vector<BackupStyle> numbers_and_values() {
  return {
      style("leader_of_nul_and_ends_of_cr",
            {{"TAPE1.PUN",
              "\0\0\0\0\0\0\0\0\0\0\0\0%\r#1=0.\r#2=-1.5\r#33=.025\r#140=100000\r%\r\0\0\0\0\0\0\0\0"s}},
            {"variables/{1,2,33,140}"},
            {{"variables/2", "-1.5"}, {"variables/33", "0.025"}, {"variables/140", "100000"}}),
      style("letters_with_remarks_behind",
            {{"RPAR.SUB",
              "; arithmetic cells of the boring mill\n; saved by hand\nR000 = +000.0000   ; free\n"
              "R001 = -012.5000   ; clearance\nR050 = +000.2500   ; feed in\nR099 = +100.0000\n"}},
            {"variables/{R0,R1,R50,R99}"},
            {{"variables/R1", "-12.5"}, {"variables/R50", "0.25"}, {"variables/R0", "0"}}),
      style("several_on_a_line", {{"VARS.TAP", "%\n#1=1.5 #2=2.5 #3=-3.5\n#4=0 #5=5.125\n#100=7.\n%\n"}},
            {"variables/{1,2,3,4,5,100}"},
            {{"variables/3", "-3.5"}, {"variables/5", "5.125"}, {"variables/100", "7."}}),
      style("dots_up_to_the_value",
            {{"PANEL.PRT",
              "PANEL SWITCHES            SHEET 1\n\n 1 Block skip ............. 0\n 2 Optional stop "
              ".......... 1\n"
              " 3 Dry run ................ 0\n 7 Rapid override .......... 25\n\n-- END --\n"}},
            {"settings/{1,2,3,7}/{name,value}"},
            {{"settings/7/value", "25"}, {"settings/2/name", "Optional stop"}}, {"name"}),
      style("labels_with_a_colon",
            {{"config.out",
              "spindle_max: 4500\nspindle_min: 50\nrapid_x: 24000\ncoolant: 1\nlube_minutes: 12.5\n"}},
            {"settings/{spindle_max,spindle_min,rapid_x,coolant,lube_minutes}"},
            {{"settings/spindle_max", "4500"}, {"settings/lube_minutes", "12.5"}}),
      style("numbers_with_a_colon",
            {{"PARAM.LOG",
              "machine parameters, page 1\n   1:       0\n   2:      15\n  10:  250000\nmachine parameters, "
              "page 2\n"
              " 104:      -7\n 105:       3\n"}},
            {"parameters/{1,2,10,104,105}"}, {{"parameters/104", "-7"}, {"parameters/10", "250000"}}),
      style("settings_in_parts_with_remarks",
            {{"options.ini",
              "; saved 2024-02-03\n[screen]\nlight=3\nlanguage=DE\n\n[door]\nlock=1\ndelay=2.5\n; end\n"}},
            {"settings/screen/{light,language}", "settings/door/{lock,delay}"},
            {{"settings/door/delay", "2.5"}, {"settings/screen/language", "DE"}},
            {"settings/screen/language"}),
      style(
          "bits_beside_a_number",
          {{"PARA.BIT",
            "PARAMETERS\n  NO  BITS      VALUE\n   1  00010110     12\n   2  00000000      0\n"
            "   3  11111111   9600\n  20  00000001     -4\n"}},
          {"parameters/{1,2,3,20}/{bits,value}"},
          {{"parameters/3/value", "9600"}, {"parameters/20/value", "-4"}, {"parameters/1/bits", "00010110"}},
          {"bits"}),
      style("two_axes_with_the_same_numbers",
            {{"AXIS_X.PRM", "AXIS X\n 1  4000\n 2  -12\n 3  250\n"},
             {"AXIS_Z.PRM", "AXIS Z\n 1  3000\n 2  8\n 3  500\n"}},
            {"parameters/{axis-x,axis-z}/{1,2,3}"},
            {{"parameters/axis-x/2", "-12"}, {"parameters/axis-z/1", "3000"}}),
      style(
          "serial_in_names_and_headings",
          {{"OFFS_30714.TXT",
            "GRINDER 30714 / OFFSETS / 12.05.2024\n--------------------\n  1   -0.0150\n  2    0.0000\n"
            "  3    1.2500\n"},
           {"SETT_30714.TXT",
            "GRINDER 30714 / SETTINGS / 12.05.2024\n--------------------\n  1   0\n  2   1\n  9   115200\n"}},
          {"offsets/{1,2,3}", "settings/{1,2,9}"}, {{"offsets/1", "-0.015"}, {"settings/9", "115200"}}, {}, 0,
          "30714"),
  };
}

std::vector<BackupStyle> streams_and_programs() {
  return {
      style("marks_and_a_remark_for_each_group",
            {{"ALL.CAP",
              "%\n(WORK ZERO)\nG54 X-120.5 Y-33.25 Z400.\nG55 X0. Y0. Z0.\n%\n(TOOL DATA)\nT1 H120.5 R4.\nT2 "
              "H98. R8.5\n"
              "T12 H75.25 R0.4\n%\n(VARIABLES)\n#1=0.5\n#2=-7.\n%\n(PROGRAMS)\nO1(FACE)\nG21G90G0X0Y0\nM30\n"
              "O2(BORE)\nG81X1.Y1.Z-5.R2.F80.\nM30\n%\n"}},
            {"offsets/work/{G54,G55}/{X,Y,Z}", "offsets/tool/{1,2,12}/{H,R}", "variables/{1,2}"},
            {{"offsets/work/G54/X", "-120.5"}, {"offsets/tool/12/R", "0.4"}, {"variables/2", "-7."}}, {}, 2),
      style("groups_under_titles_with_pages",
            {{"DUMP.PRN",
              "MACHINE NO 8812    TOOL OFFSETS    PAGE 1\r\n\r\n NO    LENGTH     WEAR\r\n  1   112.500   "
              "-0.015\r\n"
              "  2    98.000    0.000\r\n\f"
              "MACHINE NO 8812    TOOL OFFSETS    PAGE 2\r\n\r\n NO    LENGTH     WEAR\r\n 31    75.250    "
              "0.020\r\n\f"
              "MACHINE NO 8812    SETTINGS        PAGE 3\r\n\r\n NO     VALUE\r\n  1         0\r\n  2        "
              " 1\r\n"
              " 12      9600\r\n"}},
            {"offsets/tool/{1,2,31}/{length,wear}", "settings/{1,2,12}"},
            {{"offsets/tool/31/wear", "0.02"}, {"settings/12", "9600"}}, {}, 0, "8812"),
      style("programs_behind_percent_and_number",
            {{"MILL.PRG", "%P100\nN10 G0 X0. Y0.\nN20 G1 X5. F100.\nN30 M30\n%P101\nN10 G0 Z5.\nN20 M30\n"}},
            {}, {}, {}, 2),
      style("programs_without_numbers",
            {{"FLANGE.NC", "%\nG21 G90\nG0 X1. Y2.\nG1 Z-3. F100.\nM30\n%\n"},
             {"RING.NC", "%\nG21\nG2 X5. Y0. I2.5 J0. F80.\nM30\n%\n"},
             {"OFFSETS.DAT", "T1 L120.5 D63.\nT2 L98. D8.5\nT3 L75. D6.\n"}},
            {"offsets/tool/{1,2,3}/{L,D}"}, {{"offsets/tool/2/D", "8.5"}}, {}, 2),
      style("programs_in_small_letters_and_colons",
            {{"lathe.txt",
              ":0012\ng21g18\ng0x40.z2.\ng1z-20.f.2\nm99\n:0013 (ring)\n/g0 x50.\ng1 z-5. (face)\nm30\n"}},
            {}, {}, {}, 2),
      style("program_word_and_number",
            {{"PARTS.TXT", "PROG 12\nN1 G21 G0 X0.\nN2 G1 X5. F50.\nN3 M30\nPROG 13\nN1 G0 Z1.\nN2 M30\n"}},
            {}, {}, {}, 2),
      style(
          "a_whole_folder_with_dates",
          {{"BK0612/PARA0612.TXT", "PARAMETERS 06-12\n   1   0\n   2  -4\n 900  65535\n"},
           {"BK0612/MAC0612.TXT", "V1 = 0.5\nV2 = -3.25\nV20 = 10\n"},
           {"BK0612/TL0612.TXT", "TOOL OFFSET\nT01 X+012.500 Z-040.125 R0.4\nT02 X+010.000 Z-038.000 R0.8\n"},
           {"BK0612/O0007.TXT", "O0007\nG0 X1.\nM30\n"},
           {"BK0612/O0008.TXT", "O0008\nG0 X2.\nM30\n"}},
          {"parameters/{1,2,900}", "variables/{V1,V2,V20}", "offsets/tool/{1,2}/{X,Z,R}"},
          {{"parameters/900", "65535"}, {"variables/V2", "-3.25"}, {"offsets/tool/2/Z", "-38."}}, {}, 2),
  };
}

std::vector<BackupStyle> styles() {
  return joined({tables(), numbers_and_values(), streams_and_programs()});
}

class SurveyStyleAfter : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleAfter, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleAfter, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
