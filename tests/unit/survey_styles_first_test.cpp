// Twenty styles that were written with the survey. 15 were read when it was first run on them; it was
// corrected by the others.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

std::vector<BackupStyle> styles() {
  std::vector<BackupStyle> all;
  all.push_back({"printed_tools_on_pages",
                 {{"WERKZEUG.LST",
                   "WERKZEUGE DREHBANK                SEITE 1\r\n"
                   "=========================================\r\n"
                   "  NR      X-MASS     Z-MASS  RADIUS  TEXT\r\n"
                   "-----------------------------------------\r\n"
                   "   1     +12.500    -40.125   0.400  Schlichten\r\n"
                   "   2     +10.000    -38.000   0.800  Bohrer f\x81r M8\r\n"
                   "   3      -0.250      0.000   0.200  Stechen\r\n"
                   "\f\r\n"
                   "WERKZEUGE DREHBANK                SEITE 2\r\n"
                   "=========================================\r\n"
                   "  NR      X-MASS     Z-MASS  RADIUS  TEXT\r\n"
                   "-----------------------------------------\r\n"
                   "  10      +2.500   -140.000   1.200  Gewinde\r\n"
                   "  11      +0.000    -12.000   0.000  Fr\x84ser gro\xE1\r\n"
                   "ENDE DER LISTE\r\n"}},
                 20,
                 0,
                 {{"offsets/tool/1/x-mass", "12.5"},
                  {"offsets/tool/3/x-mass", "-0.25"},
                  {"offsets/tool/10/z-mass", "-140."},
                  {"offsets/tool/11/text", "Fr\u00e4ser gro\u00df"}},
                 {"offsets/tool/2/text"}});
  all.push_back(
      {"letters_before_numbers",
       {{"RECHEN.TXT",
         "RECHENWERTE VOM 12.03.2021\n\nR001=+000.2500\nR002=-012.0000\nR010=+100.0000\nR099=+000.0000\n"}},
       4,
       0,
       {{"variables/R1", "0.25"}, {"variables/R2", "-12."}, {"variables/R10", "100."}},
       {}});
  all.push_back({"all_on_one_tape",
                 {{"TAPE.ALL",
                   "%\nG10 L2 P1 X-14.25 Y-6.125 Z0.\nG10 L2 P2 X-9.8 Y-6.125 Z-1.5\n%\n"
                   "T1 L75.2 D12.\nT2 L80.05 D8.\nT3 L64. D6.5\n%\n"
                   "#30=0.\n#31=1.25\n#32=-.003\n%\n"
                   "O12 (PLATE)\nG21 G90\nG0 X0. Y0.\nM30\nO13\nG1 X5. F100.\nM30\n%\n"}},
                 15,
                 2,
                 {{"offsets/work/G54/X", "-14.25"},
                  {"offsets/tool/2/L", "80.05"},
                  {"variables/31", "1.25"},
                  {"offsets/work/G55/Z", "-1.5"}},
                 {}});
  all.push_back(
      {"three_tables_under_headings",
       {{"MEMORY.PRN",
         "BORING MILL   SERIAL NO 5512   PAGE 1\n\nTOOL OFFSETS\n-----------------\n NO  LENGTH   DIAM\n"
         "  1   75.200  12.000\n  2   80.050   8.000\n  3   64.000   6.500\n\n"
         "BORING MILL   SERIAL NO 5512   PAGE 2\n\nPANEL SETTINGS\n-----------------\n NO  VALUE\n"
         "  1      0\n  2     25\n  3      1\n  4   9600\n\n"
         "BORING MILL   SERIAL NO 5512   PAGE 3\n\nAXIS PARAMETERS\n-----------------\n NO  VALUE\n"
         "  1   4000\n  2   4000\n  7    -12\n"}},
       13,
       0,
       {{"offsets/tool/2/length", "80.05"}, {"settings/4", "9600"}, {"parameters/7", "-12"}},
       {},
       "5512"});
  all.push_back(
      {"dots_to_the_value",
       {{"PANEL.417",
         "=== PANEL, MILL 417 ===\n\n  1 ......     0\n  2 ......     1\n  4 ......    25\n 10 ......  9600\n"
         "=== 4 ROWS, SUM 9626 ===\n"},
        {"AXES.417",
         "=== AXES, MILL 417 ===\n\n> A1    0\n> A2    3\n> A20   12\n> A100  10\n=== 4 ROWS, SUM 25\n"}},
       8,
       0,
       {{"settings/10", "9600"}, {"settings/2", "1"}, {"parameters/A20", "12"}, {"parameters/A100", "10"}},
       {},
       "417"});
  all.push_back({"plain_tool_file_with_a_heading",
                 {{"TOOLS.TXT", "TOOL DATA 2024-05-17\nT1 L75.2 D12\nT2 L80.05 D8\nT14 L64 D6.5\n"}},
                 6,
                 0,
                 {{"offsets/tool/1/L", "75.2"}, {"offsets/tool/14/D", "6.5"}},
                 {}});
  all.push_back(
      {"semicolons",
       {{"tools.csv",
         "Nr;Laenge;Radius;Bemerkung\n1;75.2;6.0;Schaftfraeser, lang\n2;80.05;4.0;\n7;64.0;3.25;Bohrer\n"}},
       8,
       0,
       {{"offsets/tool/7/laenge", "64."}, {"offsets/tool/1/bemerkung", "Schaftfraeser, lang"}},
       {"offsets/tool/7/bemerkung"}});
  all.push_back(
      {"bars",
       {{"OFFSETS.TAB",
         "+-----+----------+---------+\n| NO  | LENGTH   | RADIUS  |\n+-----+----------+---------+\n"
         "|   1 |   75.200 |   6.000 |\n|   2 |  -80.050 |   4.000 |\n|  11 |   64.000 |   3.250 |\n"
         "+-----+----------+---------+\n"}},
       6,
       0,
       {{"offsets/tool/2/length", "-80.05"}, {"offsets/tool/11/radius", "3.25"}},
       {}});
  all.push_back({"number_and_value_with_signs_between",
                 {{"CELLS.DAT",
                   "CELLS, PAGE 1\n\nR   1 =  -0.250\nR   2 =  12.000\nR  10 =   1.000\n\f\nCELLS, PAGE 2\n\n"
                   "R 100 =   4.500\nR 101 =  -4.500\n"}},
                 5,
                 0,
                 {{"variables/R1", "-0.25"}, {"variables/R100", "4.5"}},
                 {}});
  all.push_back(
      {"a_folder_of_everything",
       {{"M5512/PARAM.5512", "; axis parameters\nK1 V0\nK2 V15\nK104 V250000\n"},
        {"M5512/ZERO.5512", "G54 X-4.25 Y-3.1 Z-10.\nG55 X0. Y0. Z-9.5\n"},
        {"M5512/O0100.NC", "%\nO0100\nG21 G0 X1.\nM30\n%\n"},
        {"M5512/O0101.NC", "%\nO0101\nG21 G1 Y1. F100.\nM30\n%\n"},
        {"M5512/PANEL.INI", "[screen]\nlight = 3\n[beep]\non = 1\n"}},
       11,
       2,
       {{"parameters/K104", "250000"}, {"offsets/work/G54/X", "-4.25"}, {"settings/screen/light", "3"}},
       {}});
  all.push_back({"names_and_values_with_equals",
                 {{"MACHINE.CFG",
                   "# saved 2023-11-02\nspindle max   = 4500\nspindle min   = 50\ncoolant pump  = 1\nname = "
                   "\"BM 2\"\n"}},
                 4,
                 0,
                 {{"settings/spindle max", "4500"}, {"settings/coolant pump", "1"}}});
  all.push_back({"zeros_in_front_and_signs_always",
                 {{"NULLP.PRN",
                   "NULLPUNKTE\r\n\r\n      X           Y           Z\r\n"
                   "G54   +0014.2500  -0006.1250  +0000.0000\r\nG55   -0009.8000  -0006.1250  -0001.5000\r\n"
                   "G56   +0000.0000  +0000.0000  +0000.0000\r\n"}},
                 9,
                 0,
                 {{"offsets/work/G54/x", "14.25"}, {"offsets/work/G55/z", "-1.5"}}});
  all.push_back(
      {"no_heading_at_all",
       {{"PARAM.OUT", "    1        0\n    2       15\n    3       -4\n   20   250000\n  104        7\n"}},
       5,
       0,
       {{"parameters/3", "-4"}, {"parameters/20", "250000"}}});
  all.push_back(
      {"title_page_and_totals",
       {{"PARAMS.LST",
         "********************************\n*  BED MILL  PARAMETER LISTING *\n"
         "********************************\nDATE 03.02.2020   TIME 14:05\n\n"
         "NUMBER      VALUE   MEANING\n------   --------   ----------------\n"
         "   101       4000   rapid X\n   102       4000   rapid Y\n   110         12   backlash X\n"
         "   111         -3   backlash Y\n------   --------   ----------------\n4 PARAMETERS LISTED\n"}},
       8,
       0,
       {{"parameters/101/value", "4000"},
        {"parameters/111/value", "-3"},
        {"parameters/110/meaning", "backlash X"}},
       {"parameters/110/meaning"}});
  all.push_back({"latin_1_in_a_tab_table",
                 {{"werkzeuge.tab",
                   "Nr\tL\xE4nge\tRadius\tName\n1\t75.20\t6.0\tFr\xE4ser\n2\t80.05\t4.0\tBohrer "
                   "8\xB0\n3\t64.00\t3.0\tSenker\n"}},
                 9,
                 0,
                 {{"offsets/tool/2/name", "Bohrer 8\u00b0"}, {"offsets/tool/1/radius", "6."}},
                 {"offsets/tool/1/name"}});
  all.push_back({"cells_in_brackets",
                 {{"VARS.SAV", "V[1] := 0.25;\nV[2] := -12.;\nV[30] := 100;\n"}},
                 3,
                 0,
                 {{"variables/1", "0.25"}, {"variables/30", "100"}}});
  all.push_back({"two_tables_and_programs_under_headings",
                 {{"ALLES.TXT",
                   "*** WERKZEUGE ***\n 1   75.200  12.000\n 2   80.050   8.000\n 3  -64.000   6.500\n\n"
                   "*** VARIABLEN ***\nQ1 = 0.5\nQ2 = -3\nQ12 = 7.25\n\n"
                   "*** PROGRAMME ***\nO1\nG21 G90\nG0 X0. Y0.\nM30\nO2\nG1 X5. F100.\nM30\n"}},
                 9,
                 2,
                 {{"variables/Q12", "7.25"}, {"variables/Q2", "-3"}}});
  all.push_back({"two_letters_in_one_file",
                 {{"CELLS.TXT", "R001 = 1.5\nR002 = -2.\nH001 = 4\nH002 = 0\n"}},
                 4,
                 0,
                 {{"variables/R1", "1.5"}, {"variables/H1", "4"}, {"variables/H2", "0"}}});
  all.push_back(
      {"empty_places_in_a_table",
       {{"TOOLTAB.PRN",
         "TOOL   LENGTH   RADIUS  PLACE\n   1   75.200    6.000      3\n   2              4.000      4\n"
         "   3   64.000                5\n   4\n  12    9.125    0.500      1\n"}},
       10,
       0,
       {{"offsets/tool/1/length", "75.2"}, {"offsets/tool/2/radius", "4."}, {"offsets/tool/12/place", "1"}}});
  all.push_back({"serial_in_a_heading_and_dates_in_names",
                 {{"SET_20230115.TXT", "LATHE 2   S/N: L-20417   SETTINGS\n  1  0\n  2  1\n 61  250\n"},
                  {"PRG_20230115.TXT", "%\nO7 (RING)\nG21 G0 X40.\nG1 Z-2. F0.2\nM30\n%\n"}},
                 3,
                 1,
                 {{"settings/61", "250"}, {"settings/2", "1"}}});
  return all;
}

class SurveyStyleFirst : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleFirst, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleFirst, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
