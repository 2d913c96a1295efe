// Whole backups of a small shop, written after the survey had been corrected for others like them. 4 of the
// 12 were read at once; the survey was then corrected.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

std::vector<BackupStyle> former() {
  return {
      style(
          "italian_geometry_and_wear_pages",
          {{"TORNIO.PRN",
            "OFFICINA NORD                   TORNIO T4          MATRICOLA T4-2207\r\n\r\nCORRETTORI "
            "GEOMETRIA                               PAGINA 1\r\n\r\n UT.       X           Z         R\r\n  "
            "1     -12,500    -120,250     0,800\r\n  2      10,000     -98,000     0,400\r\n  3       0,000 "
            "      0,000     0,000\r\n\f\r\nCORRETTORI USURA                                   PAGINA "
            "2\r\n\r\n UT.       X           Z         R\r\n  1      -0,020       0,015     0,000\r\n  2     "
            "  0,000      -0,030     0,000\r\n  3       0,000       0,000     0,000\r\n\f\r\nVARIABILI       "
            "                                   PAGINA 3\r\n\r\n V1 = 12,5\r\n V2 = -0,25\r\n V100 = 0\r\n"}},
          {"offsets/{correttori-geometria,correttori-usura}/tool/{1,2,3}/{x,z,r}", "variables/{V1,V2,V100}"},
          {{"offsets/correttori-geometria/tool/1/x", "-12.5"},
           {"offsets/correttori-usura/tool/2/z", "-0.03"},
           {"variables/V2", "-0.25"}},
          {}, 0, "T4-2207"),
      style("input_rows_on_a_tape_with_a_leader",
            {{"TAPE1", std::string("\x00\x00\x00\x00\x00\x00\x00\x00%\nG10 L2 P1 X-300.5 Y-122.25 "
                                   "Z-410.\nG10 L2 P2 X-100. Y-122.25 Z-410.\nG10 L7 P1 R120.5\nG10 L7 P2 "
                                   "R98.02\nG10 L8 P1 R-0.02\nG10 L8 P2 R0.\n%\n\x00\x00\x00\x00",
                                   148)},
             {"TAPE2",
              std::string("\x00\x00\x00\x00\x00\x00\x00\x00%\nO1000(BRACKET)\nN10G90G54G0X0Y0\nN20M8\nN30G1Z-"
                          "5.F200.\nN40M30\nO1001(COVER)\nN10G91G28Z0\nN20M99\n%\n\x00\x00\x00\x00",
                          107)},
             {"TAPE3", std::string("\x00\x00\x00\x00\x00\x00\x00\x00%\nA1000V4000\nA1001V4500\nA1002V-"
                                   "12\nA1100V0\nA3000V11\n%\n\x00\x00\x00\x00",
                                   65)}},
            {"offsets/work/{G54,G55}/{X,Y,Z}", "offsets/{G10-L7,G10-L8}/{1,2}/R",
             "parameters/{A1000,A1001,A1002,A1100,A3000}"},
            {{"offsets/G10-L8/1/R", "-0.02"}, {"parameters/A1002", "-12"}}, {}, 2, ""),
      style(
          "settings_under_titles_with_colons",
          {{"SETUP.TXT",
            "CONTROL SETUP          printed 02-03-98\n\nGeneral\n-------\nLanguage        : English\nUnits   "
            "        : mm\nBuzzer          : on\nScreen timeout  : 300\n\nSerial port\n-----------\nBaud "
            "rate       : 4800\nData bits       : 7\nParity          : even\nStop bits       : 2\n"},
           {"TOOLS.TXT",
            "TOOL TABLE          printed 02-03-98\n\nT1   L=120.500 R=6.000  ! face mill\nT2   L=98.020  "
            "R=4.250  ! drill\nT12  L=-0.500  R=0.000\n"}},
          {"settings/{Language,Units,Buzzer,Screen timeout,Baud rate,Data bits,Parity,Stop bits}",
           "offsets/tool/{T1,T2,T12}/{l,r}", "offsets/tool/{T1,T2}/name"},
          {{"settings/Language", "English"}, {"settings/Baud rate", "4800"}, {"offsets/tool/T12/l", "-0.5"}},
          {"name", "Language", "Units", "Buzzer", "Parity"}, 0, ""),
      style("swedish_tabs",
            {{"verktyg.txt",
              "Nr\tL\xe4ngd\tRadie\tBen\xe4mning\r\n1\t120,500\t6,000\tPlanfr\xe4s\r\n2\t98,020\t4,250\tBorr "
              "8,5\r\n12\t-0,500\t0,000\tM\xe4tprob\r\n"},
             {"nollpunkter.txt",
              "Nollpunkt\tX\tY\tZ\r\nG54\t-300,500\t-122,250\t-410,000\r\nG55\t0,000\t0,000\t0,000\r\n"},
             {"parametrar.txt",
              "Nr\tV\xe4rde\tText\r\n100\t4000\tMax varvtal\r\n101\t60\tMin varvtal\r\n102\t0,012\tSpel "
              "X\r\n"}},
            {"offsets/tool/{1,2,12}/{laengd,radie,benaemning}", "offsets/work/{G54,G55}/{x,y,z}",
             "parameters/{100,101,102}/{vaerde,text}"},
            {{"offsets/tool/12/laengd", "-0.5"},
             {"parameters/102/vaerde", "0.012"},
             {"offsets/tool/1/benaemning", "Planfr\xc3\xa4s"}},
            {"benaemning", "text"}, 0, ""),
      style("two_tables_side_by_side_printed",
            {{"OFFSETS.LST",
              "TOOL LENGTH OFFSETS\r\n\r\n NO    LENGTH      NO    LENGTH\r\n  1   120.500       9     "
              "0.000\r\n  2    98.020      10     0.000\r\n  3    75.250      11     0.000\r\n  4     0.000  "
              "    12     1.125\r\n\r\nEND OF OFFSETS\r\n"},
             {"MACRO.LST",
              "MACRO VARIABLES\r\n\r\n#100   12.500   #101   -0.250   #102    0.000\r\n#103    0.000   #104  "
              "  1.000   #105   99.999\r\n#500 4000.000   #501    0.000   #502   -1.000\r\n\r\nEND OF "
              "VARIABLES\r\n"}},
            {"offsets/tool/{1,2,3,4,9,10,11,12}", "variables/{100,101,102,103,104,105,500,501,502}"},
            {{"offsets/tool/12", "1.125"}, {"variables/105", "99.999"}}, {}, 0, ""),
      style(
          "key_value_files_in_folders",
          {{"backup/offsets/tool.dat",
            "# tools of mill "
            "7\nT1.length=120.500\nT1.radius=6.000\nT2.length=98.020\nT2.radius=4.250\nT12.length=-0."
            "500\nT12.radius=0.000\n"},
           {"backup/settings/panel.dat",
            "# panel of mill 7\nbeeper=1\nlanguage=en\ntimeout=300\ncoolant=auto\n"},
           {"backup/params/axis.dat", "# axes of mill 7\nX.max=620.5\nX.min=-5.25\nY.max=400\nY.min=-2.5\n"},
           {"backup/programs/1200.nc", "O1200\nG90 G0 X0\nM30\n"},
           {"backup/programs/1201.nc", "O1201\nG91 G28 Z0\nM30\n"}},
          {"offsets/{T1.length,T1.radius,T2.length,T2.radius,T12.length,T12.radius}",
           "settings/{beeper,language,timeout,coolant}", "parameters/{X.max,X.min,Y.max,Y.min}"},
          {{"settings/coolant", "auto"}, {"parameters/Y.min", "-2.5"}},
          {"settings/coolant", "settings/language"}, 2, "")};
}

std::vector<BackupStyle> latter() {
  return {
      style("tool_records_of_several_lines",
            {{"TOOLREC.TXT",
              "MAGAZINE CONTENTS, MILL 9\r\n\r\nTOOL NO. 1\r\n  NAME      FACE_MILL\r\n  LENGTH    "
              "120.500\r\n  RADIUS    6.000\r\n  LIFE      90\r\n\r\nTOOL NO. 2\r\n  NAME      DRILL_8\r\n  "
              "LENGTH    98.020\r\n  RADIUS    4.250\r\n  LIFE      45\r\n\r\nTOOL NO. 14\r\n  NAME      "
              "PROBE\r\n  LENGTH    -0.500\r\n  RADIUS    0.000\r\n  LIFE      0\r\n\r\n"},
             {"PALLETS.TXT",
              "PALLET POSITIONS, MILL 9\r\n\r\n POS      X          Y        B\r\n   1   -300.500   -122.250 "
              "  0.000\r\n   2   -100.000   -122.250  90.000\r\n   3      0.000      0.000 180.000\r\n"}},
            {"offsets/tool/{1,2,14}/{NAME,LENGTH,RADIUS,LIFE}", "parameters/{1,2,3}/{x,y,b}"},
            {{"offsets/tool/2/NAME", "DRILL_8"},
             {"offsets/tool/14/LENGTH", "-0.5"},
             {"parameters/3/b", "180."}},
            {"NAME"}, 0, ""),
      style("cards_with_leading_zeros",
            {{"CARDS.DAT",
              "P0001  V+4000.000  (RAPID X)\nP0002  V+4000.000  (RAPID Y)\nP0017  V-0000.012  (BACKLASH "
              "X)\nP0100  V+0000.000  (SPARE)\n"},
             {"TOOLS.DAT",
              "T01 H01 L+0120.500 D+012.000\nT02 H02 L+0098.020 D+008.500\nT12 H12 L-0000.500 D+000.000\n"},
             {"JOBS.DAT", "%\n:0100\n(PLATE)\nG90\nG0X0Y0\nM02\n:0101\n(RING)\nG91\nG1X5.F100.\nM02\n%\n"}},
            {"parameters/{P1,P2,P17,P100}", "offsets/tool/{1,2,12}/{H,L,D}"},
            {{"parameters/P17", "-0.012"}, {"offsets/tool/12/L", "-0.5"}}, {}, 2, ""),
      style("spanish_listing_signs_behind",
            {{"LISTADO.TXT",
              "LISTADO DE MEMORIA  -  TORNO 2  -  02/05/1996\r\n\r\n* PAR\xc3\x81METROS *\r\n\r\n  NUM      "
              "VALOR\r\n  001      4000\r\n  002      4500\r\n  003        12-\r\n  010         0\r\n\r\n* "
              "CORRECTORES DE HERRAMIENTA *\r\n\r\n  HTA        X           Z        R\r\n   01     12.500-  "
              "  120.250-    0.800\r\n   02     10.000      98.000-    0.400\r\n   03      0.000       0.000 "
              "    0.000\r\n\r\n* VARIABLES *\r\n\r\n  V01 = 12.5\r\n  V02 = 0.25-\r\n\r\n* FIN *\r\n"}},
            {"parameters/{1,2,3,10}", "offsets/tool/{1,2,3}/{x,z,r}", "variables/{V1,V2}"},
            {{"parameters/3", "-12"}, {"offsets/tool/2/z", "-98."}, {"variables/V2", "-0.25"}}, {}, 0, ""),
      style("programs_by_file_name_and_parts",
            {{"PARAM1.LST", "PARAMETERS 1 OF 2\n\n1 4000\n2 4500\n3 -12\n\n*** CONTINUED ***\n"},
             {"PARAM2.LST", "PARAMETERS 2 OF 2\n\n100 0\n101 255\n102 1\n\n*** END ***\n"},
             {"FLANGE.NC", "(FLANGE, 3 MAY)\nG21 G90\nG0 X0. Y0.\nM30\n"},
             {"SHAFT.NC", "G21\nG1 X5. F100.\nM30\n"},
             {"G54.OFS", "G54 X-300.500 Y-122.250 Z-410.000\nG55 X0.000 Y0.000 Z0.000\n"}},
            {"parameters/{1,2,3,100,101,102}", "offsets/work/{G54,G55}/{X,Y,Z}"},
            {{"parameters/101", "255"}, {"offsets/work/G54/Z", "-410."}}, {}, 2, ""),
      style("numbered_settings_on_and_off",
            {{"SETTINGS.PRN",
              "SETTINGS OF MILL 4                              PAGE "
              "1\r\n======================================================\r\n   3 LAMP OFF AFTER "
              ".............. 30 MIN\r\n   5 LAMP OFF AT END ............. OFF\r\n   6 DRAW RAPID MOVES "
              "............ ON\r\n   8 KEYBOARD LOCKED ............. ON\r\n  11 LENGTHS SHOWN IN "
              "............ INCH\r\n  12 STOP BITS ................... 2\r\n                                 "
              "               PAGE 2\r\n  15 LINE PROTOCOL ............... MARKS\r\n  18 SKIP SWITCH LOCKED "
              ".......... OFF\r\n  21 MACHINE ID NUMBER ........... 44177\r\n  33 GO ON MIDWAY "
              "................ OFF\r\n======================================================\r\n"}},
            {"settings/{3,5,6,8,11,12,15,18,21,33}/{name,value}", "settings/3/unit"},
            {{"settings/3/value", "30"},
             {"settings/3/unit", "MIN"},
             {"settings/5/value", "OFF"},
             {"settings/5/name", "LAMP OFF AT END"},
             {"settings/12/value", "2"}},
            {"name", "unit", "settings/5/value", "settings/6/value", "settings/8/value", "settings/11/value",
             "settings/15/value", "settings/18/value", "settings/33/value"},
            0, ""),
      style("sections_with_tables_inside",
            {{"MACHINE.BAK",
              "; memory of drill 3, serial 30-118\r\n; saved 14 Feb 1999 by Tom\r\n\r\n[PARAMETERS]\r\n; "
              "number  value\r\n1    4000\r\n2    -12\r\n30   0.25\r\n\r\n[TOOLS]\r\n; no  length  "
              "radius\r\n1   120.500   6.000\r\n2    98.020   4.250\r\n3     0.000   "
              "0.000\r\n\r\n[VARIABLES]\r\n100   12.5\r\n101   -0.25\r\n102   0\r\n\r\n[PROGRAMS]\r\nO0001 "
              "(CENTRES)\r\nG90 G81 X0 Y0 Z-2.\r\nM30\r\nO0002\r\nG91 G28 Z0\r\nM30\r\n"}},
            {"parameters/{1,2,30}", "offsets/tool/{1,2,3}/{length,radius}", "variables/{100,101,102}"},
            {{"offsets/tool/2/radius", "4.25"}, {"variables/101", "-0.25"}}, {}, 2, "30-118")};
}

std::vector<BackupStyle> styles() {
  return joined({former(), latter()});
}

class SurveyStyleShopAfter : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleShopAfter, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleShopAfter, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
