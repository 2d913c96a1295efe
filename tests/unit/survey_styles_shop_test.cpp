// Whole backups of a small shop, and odd corners of them. 4 of the first 12 were read at once; the survey was
// then corrected.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

std::vector<BackupStyle> former() {
  return {
      style(
          "printed_pages_with_signs_behind",
          {{"OFFSET.LST",
            "TOOL OFFSETS        LATHE 3        PAGE 1\r\n\r\n  NO        X          Z         R    "
            "TIP\r\n----  ---------  ---------  --------  ---\r\n   1     1.250-    10.500      0.400    "
            "1\r\n   2     2.500     21.000      0.800    2\r\n   3     3.750-    31.500-     0.000    3\r\n "
            "  4     5.000     42.000      0.400    4\r\n   5     6.250-    52.500      0.800    5\r\n   6   "
            "  7.500     63.000-     0.000    6\r\n   7     8.750-    73.500      0.400    7\r\n   8    "
            "10.000     84.000      0.800    8\r\n\r\n\fTOOL OFFSETS        LATHE 3        PAGE 2\r\n\r\n  "
            "NO        X          Z         R    TIP\r\n----  ---------  ---------  --------  ---\r\n   9    "
            "11.250-    94.500-     0.000    9\r\n  10    12.500    105.000      0.400    0\r\n  11    "
            "13.750-   115.500      0.800    1\r\n  12    15.000    126.000-     0.000    2\r\n  13    "
            "16.250-   136.500      0.400    3\r\n  14    17.500    147.000      0.800    4\r\n  15    "
            "18.750-   157.500-     0.000    5\r\n  16    20.000    168.000      0.400    6\r\n\r\n\f"},
           {"PARAM.LST",
            "MACHINE PARAMETERS  LATHE 3        PAGE 1\r\n\r\n  NO      VALUE\r\n----  ---------\r\n 100     "
            " 4000 \r\n 101      4500 \r\n 102        12-\r\n 110       0   \r\n 205       255-\r\n*** END "
            "***\r\n"},
           {"PROG.TAP",
            "%\r\nO0010(SHAFT 30 MM)\r\nN10 G90 S2500\r\nN20 T0101\r\nN30 G0 X32. Z2.\r\nN40 G1 Z-50. "
            "F0.2\r\nN50 M30\r\nO0011(FLANGE)\r\nN10 G90 S1800\r\nN20 M30\r\n%\r\n"}},
          {"offsets/tool/{1,2,3,4,5,6,7,8,9,10,11,12,13,14,15,16}/{x,z,r,tip}",
           "parameters/{100,101,102,110,205}"},
          {{"offsets/tool/3/x", "-3.75"},
           {"offsets/tool/6/z", "-63."},
           {"parameters/102", "-12"},
           {"offsets/tool/16/x", "20."}},
          {}, 2, ""),
      style("one_tape_with_letters_for_each_group",
            {{"ALLMEM.TAP",
              "\n\n%\nA0001 V0000004000\nA0002 V-000000012\nA0010 V0000000500\nA0999 V0000000001\n%\nV001 "
              "+0012.500\nV002 -0000.125\nV050 +0000.000\n%\nT01 H+0120.500 D+0006.000\nT02 H+0098.020 "
              "D+0004.250\nT12 H-0000.500 D+0000.000\n%\nO0100\nN1 G21 G90\nN2 G0 X0. Y0.\nN3 M30\nO0101\nN1 "
              "G1 X5. F100.\nN2 M30\n%\n"}},
            {"parameters/{A1,A2,A10,A999}", "variables/{V001,V002,V050}", "offsets/tool/{1,2,12}/{H,D}"},
            {{"parameters/A2", "-12"}, {"variables/V002", "-0.125"}, {"offsets/tool/12/H", "-0.5"}}, {}, 2,
            ""),
      style("german_sections_with_commas",
            {{"MASCHINE.INI",
              "; Maschinendaten Fr\xe4se 2\r\n; gesichert 12.03.2024 M\xfcller\r\n\r\n[Achse "
              "X]\r\nMaxWeg=620,5\r\nMinWeg=-5,25\r\nUmkehrspiel=0,012\r\n\r\n[Achse "
              "Y]\r\nMaxWeg=400\r\nMinWeg=-2,5\r\nUmkehrspiel=0,010\r\n\r\n[Spindel]\r\nMaxDrehzahl="
              "4500\r\nK\xfchlmittel=EIN\r\nName=Spindel gro\xdf\r\n"},
             {"WERKZEUG.TXT",
              "Werkzeugliste Fr\xe4se 2\r\n\r\nNr;L\xe4nge;Radius;Bezeichnung\r\n1;120,500;6,000;Fr\xe4ser "
              "12\r\n2;98,020;4,250;Bohrer 8,5\r\n3;0,000;0,000;\r\n12;75,000;0,400;Taster f\xfcr "
              "H\xf6he\r\n"}},
            {"parameters/{Achse X,Achse Y}/{MaxWeg,MinWeg,Umkehrspiel}",
             "parameters/Spindel/{MaxDrehzahl,K\xc3\xbchlmittel,Name}",
             "offsets/tool/{1,2,12}/{laenge,radius,bezeichnung}", "offsets/tool/3/{laenge,radius}"},
            {{"offsets/tool/2/bezeichnung", "Bohrer 8,5"},
             {"parameters/Achse X/MaxWeg", "620.5"},
             {"parameters/Spindel/K\xc3\xbchlmittel", "EIN"},
             {"offsets/tool/12/laenge", "75."}},
            {"bezeichnung", "parameters/Spindel/Kühlmittel", "parameters/Spindel/Name"}, 0, ""),
      style("digits_side_by_side_in_fixed_columns",
            {{"TOOLDAT",
              "TOOL "
              "DATA\r\n001-0010500+004250\r\n002+0021000+004500\r\n003-0031500+004750\r\n004+0042000+"
              "005000\r\n005-0052500+005250\r\n006+0063000+005500\r\n007-0073500+005750\r\n008+0084000+"
              "006000\r\n009-0094500+006250\r\n010+0105000+006500\r\n\x1a"},
             {"MACHDAT",
              "MACHINE "
              "DATA\r\n0001+00004000\r\n0002-00000012\r\n0003+00000000\r\n0017+00999999\r\n0100+"
              "00000025\r\n\x1a"}},
            {"parameters/{1,2,3,17,100}", "offsets/tool/{1,2,3,4,5,6,7,8,9,10}/{value,c3}"},
            {{"parameters/2", "-12"}, {"parameters/17", "999999"}, {"offsets/tool/10/value", "105000"}}, {},
            0, ""),
      style("units_in_headings_and_remarks_by_hand",
            {{"TOOLS1.TXT",
              "TOOL TABLE, MAGAZINE 1\n; copied by hand 3 May, Ida\n\nPOCKET  LENGTH (MM)  DIA (MM)  LIFE "
              "[MIN]\n     1      120.500    12.000          90\n     2       98.020     8.500          "
              "45\n; 3 is broken, take 13\n     3       75.250    10.000           0\n"},
             {"TOOLS2.TXT",
              "TOOL TABLE, MAGAZINE 2\n\nPOCKET  LENGTH (MM)  DIA (MM)  LIFE [MIN]\n    13       75.250    "
              "10.000          60\n    14      200.000    63.000         120\n"},
             {"ZERO.TXT",
              "WORK ZERO POINTS (MM)\n\n          X         Y         Z\nG54  -300.500  -122.250  "
              "-410.000\nG55  -100.000  -122.250  -410.000\n; G56 to G59 not used\nG56     0.000     0.000   "
              "  0.000\n"}},
            {"offsets/tool/{1,2,3,13,14}/{length-mm,dia-mm,life-min}", "offsets/work/{G54,G55,G56}/{x,y,z}"},
            {{"offsets/tool/14/dia-mm", "63."},
             {"offsets/tool/2/life-min", "45"},
             {"offsets/work/G55/x", "-100."}},
            {}, 0, ""),
      style("parameters_named_with_axis_letters",
            {{"AXES.PRM",
              "AXIS PARAMETERS\n\nMAX FEED         X 12000   Y 12000   Z 8000\nREVERSAL ERROR   X 0.012   Y "
              "0.010   Z -0.004\nLIMIT PLUS       X 620.5   Y 400.0   Z 350.0\n"},
             {"GENERAL.PRM",
              "GENERAL PARAMETERS\n\nP001 SPINDLE MAX RPM       : 4500\nP002 SPINDLE MIN RPM       : "
              "60\nP010 COOLANT DELAY (S)     : 1.5\nP011 LUBE INTERVAL (MIN)   : 20\n"}},
            {"parameters/{MAX FEED,REVERSAL ERROR,LIMIT PLUS}/{x,y,z}",
             "parameters/{P001,P002,P010,P011}/{name,value}"},
            {{"parameters/REVERSAL ERROR/z", "-0.004"},
             {"parameters/P010/value", "1.5"},
             {"parameters/P001/name", "SPINDLE MAX RPM"},
             {"parameters/P010/name", "COOLANT DELAY (S)"}},
            {"name"}, 0, ""),
      style(
          "tables_in_boxes",
          {{"TOOL.PRN",
            "+-----+----------+----------+---------------+\r\n|  T  |  LENGTH  |  RADIUS  |  REMARK       "
            "|\r\n+-----+----------+----------+---------------+\r\n|   1 |  120.500 |    6.000 | FACE MILL "
            "    |\r\n|   2 |   98.020 |    4.250 |               |\r\n|  12 |   -0.500 |    0.000 | PROBE "
            "        |\r\n+-----+----------+----------+---------------+\r\n"},
           {"VAR.PRN",
            "+------+-------------+\r\n| VAR  |    VALUE    |\r\n+------+-------------+\r\n| #100 |      "
            "12.500 |\r\n| #101 |      -0.125 |\r\n| #500 |       0.000 |\r\n+------+-------------+\r\n"}},
          {"offsets/tool/{1,2,12}/{length,radius}", "offsets/tool/{1,12}/remark", "variables/{100,101,500}"},
          {{"offsets/tool/12/length", "-0.5"}, {"variables/101", "-0.125"}}, {"remark"}, 0, ""),
      style("files_without_endings_and_colon_programs",
            {{"PARMS", "BEGIN PARMS 77-0312\n1,4000\n2,-12\n3,0\n20,0.25\n255,1\nEND PARMS\n"},
             {"OFFS", "BEGIN OFFS 77-0312\nH1,120.5\nH2,98.02\nH32,0\nD1,6.0\nD2,4.25\nD32,0\nEND OFFS\n"},
             {"PROGS",
              "BEGIN PROGS 77-0312\n:1 (FACE "
              "PLATE)\nN10G90G21\nN20G0X0Y0\nN30M30\n:2\nN10G1X5.F100\nN20M99\nEND PROGS\n"}},
            {"parameters/{1,2,3,20,255}", "offsets/{H1,H2,H32,D1,D2,D32}"}, {{"parameters/20", "0.25"}}, {},
            2, ""),
      style("comma_tables_with_quotes",
            {{"tools.csv",
              "\xef\xbb\xbf\"No\",\"Length\",\"Radius\",\"Comment\"\r\n1,120.500,6.000,\"Face mill, "
              "80\"\r\n2,98.020,4.250,\"Drill 8.5\"\r\n12,-0.500,0.000,\"\"\r\n"},
             {"params.csv",
              "\xef\xbb\xbf\"Number\",\"Value\",\"Text\"\r\n1000,4000,\"Rapid X\"\r\n1001,4000,\"Rapid "
              "Y\"\r\n1002,-12,\"Backlash, X\"\r\n"}},
            {"offsets/tool/{1,2,12}/{length,radius}", "offsets/tool/{1,2}/comment",
             "parameters/{1000,1001,1002}/{value,text}"},
            {{"offsets/tool/1/comment", "Face mill, 80"}, {"parameters/1002/text", "Backlash, X"}},
            {"comment", "text"}, 0, ""),
      style("french_pages_in_a_dos_code_page",
            {{"CORR.TXT",
              "CORRECTEURS D'OUTILS       N\xf8 SERIE F-4471\r\n\r\nN\xf8    LONGUEUR    RAYON    "
              "D\x90SIGNATION\r\n--   ---------   ------    -----------\r\n 1     120,500    6,000    Fraise "
              "\x85 surfacer\r\n 2      98,020    4,250    Foret\r\n12      -0,500    0,000    Palpeur "
              "c\x93t\x82\r\n\r\nFIN DE LISTE\r\n"},
             {"VARIABLE.TXT",
              "VARIABLES                  N\xf8 SERIE F-4471\r\n\r\nL0 = 12,5\r\nL1 = -0,125\r\nL99 = "
              "0\r\n\r\nFIN DE LISTE\r\n"},
             {"P0010.NC",
              "%\r\nO0010 (PI\xd4"
              "CE \xb7 4 TROUS)\r\nG21 G90\r\nG0 X0 Y0\r\nM30\r\n%\r\n"},
             {"P0011.NC", "%\r\nO0011\r\nG21 G90\r\nM99\r\n%\r\n"}},
            {"offsets/tool/{1,2,12}/{longueur,rayon,designation}", "variables/{L0,L1,L99}"},
            {{"offsets/tool/12/longueur", "-0.5"},
             {"offsets/tool/1/designation", "Fraise \xc3\xa0 surfacer"},
             {"variables/L1", "-0.125"}},
            {"designation"}, 2, "F-4471"),
      style("one_listing_with_headings_underlined",
            {{"MEMORY.LIS",
              "BORING MILL 5   MEMORY LISTING   SERIAL BM5-88\r\n\r\nSETTINGS\r\n========\r\n  1  Inch/mm "
              "............... 1\r\n  2  Beeper ................ 0\r\n 14  Baud rate ............. "
              "2400\r\n\r\nWORK ZEROS\r\n==========\r\n        X          Y          Z          W\r\nG54   "
              "-100.500     50.250   -300.000      0.000\r\nG55      0.000      0.000      0.000      "
              "0.000\r\nG56    120.125    -10.000   -250.500     12.500\r\n\r\nTOOL "
              "LENGTHS\r\n============\r\n  T   LENGTH\r\n  1   180.250\r\n  2   202.500\r\n  3     "
              "0.000\r\n\r\nVARIABLES\r\n=========\r\n#1   = 12.5\r\n#2   = -0.25\r\n#33  = 0\r\n\r\nEND OF "
              "LISTING\r\n"}},
            {"settings/{1,2,14}/{name,value}", "offsets/work/{G54,G55,G56}/{x,y,z,w}", "offsets/tool/{1,2,3}",
             "variables/{1,2,33}"},
            {{"offsets/work/G56/w", "12.5"}, {"settings/14/value", "2400"}, {"settings/1/name", "Inch/mm"}},
            {"name"}, 0, "BM5-88"),
      style(
          "flags_under_their_numbers_with_page_feet",
          {{"FLAGS.TXT",
            "PARAMETERS OF MILL 6\r\n\r\nROW     1 2 3 4 5 6\r\n  4     0 0 1 0 0 1\r\n  5     0 0 "
            "0 0 0 1\r\n  6     1 0 0 0 1 0\r\n  8     0 0 0 0 0 0\r\n                         - 1 "
            "-\r\n\fROW     1 2 3 4 5 6\r\n 11     0 1 0 1 0 0\r\n 12     0 0 0 0 0 1\r\n             "
            "            - 2 -\r\n"},
           {"AMOUNTS.TXT",
            "PARAMETERS OF MILL 6\r\n\r\n NR       DATA\r\n 61      12000\r\n 62      12000\r\n 63       "
            "8000\r\n                         - 1 -\r\n\f NR       DATA\r\n 70        -12\r\n 71          "
            "0\r\n                         - 2 -\r\n"},
           {"PROGRAMS.TXT", "%\r\n:0001(TEST)\r\nG90G0X0Y0;\r\nM30;\r\n:0002\r\nG91G28Z0;\r\nM99;\r\n%\r\n"}},
          {"parameters/{4,5,6,8,11,12}/{1,2,3,4,5,6}", "parameters/{61,62,63,70,71}"},
          {{"parameters/70", "-12"}}, {}, 2, "")};
}

std::vector<BackupStyle> latter() {
  return {
      style("words_among_numbers",
            {{"PARAM.LST",
              "MACHINE PARAMETERS\n\n NO     VALUE\n 100     4000\n 101     4500\n 102     AUTO\n 110     "
              "0\n 205     OFF\n 206     -255\n"}},
            {"parameters/{100,101,102,110,205,206}"},
            {{"parameters/102", "AUTO"}, {"parameters/206", "-255"}}, {"102", "205"}, 0, ""),
      style("words_among_settings",
            {{"SETUP.TXT", "FEED      5000\nRATE      9600\nCOOLANT   AUTO\nBEEPER    1\nPUNCH     ISO\n"}},
            {"settings/{FEED,RATE,COOLANT,BEEPER,PUNCH}"},
            {{"settings/PUNCH", "ISO"}, {"settings/RATE", "9600"}}, {"COOLANT", "PUNCH"}, 0, ""),
      style("letters_behind_a_colon",
            {{"ZERO.LST",
              "WORK ZERO POINTS\nG54 : X    0.000 Z  152.350\nG55 : X    0.000 Z  -12.500\nG56 : X   10.250 "
              "Z    0.000\n"}},
            {"offsets/work/{G54,G55,G56}/{x,z}"}, {{"offsets/work/G54/z", "152.35"}}, {}, 0, ""),
      style("a_word_among_leader_rows",
            {{"SETUP.LST",
              "SPINDLE MAX ...... 8000\nCOOLANT .......... FLOOD\nRAPID OVERRIDE ... 25\nDOOR LOCK ........ "
              "1\nLANGUAGE ......... EN\n"}},
            {"settings/{SPINDLE MAX,COOLANT,RAPID OVERRIDE,DOOR LOCK,LANGUAGE}"},
            {{"settings/COOLANT", "FLOOD"}, {"settings/SPINDLE MAX", "8000"}}, {"COOLANT", "LANGUAGE"}, 0,
            ""),
      style("unnamed_programs_on_a_tape",
            {{"ALL.TAP",
              "(SHOP 5, LATHE 2)\n(PUNCHED 3 MAY)\n%\nN10 G90 G21\nN20 G0 X0 Y0\nN30 M30\n%\nN10 G91\nN20 G1 "
              "X5. F100.\nN30 M30\n%\n"}},
            {}, {}, {}, 1, ""),
      style(
          "programs_named_in_brackets",
          {{"ALL.TAP", "%\n(PLATE 4 HOLES)\nG90 G21\nG0 X0 Y0\nM30\n%\n(RING)\nG91\nG1 X5. F100.\nM30\n%\n"}},
          {}, {}, {}, 2, ""),
      style("programs_named_in_pointed_brackets",
            {{"ALL.TAP", "%\n<PLATE-4>\nG90 G21\nG0 X0 Y0\nM30\n<RING>\nG91\nG1 X5. F100.\nM30\n%\n"}}, {},
            {}, {}, 2, ""),
      style("programs_under_bare_names",
            {{"PROGS.TXT",
              "PLATE\nN10 G90 G21\nN20 G0 X0 Y0\nN30 M30\nRING\nN10 G91\nN20 G1 X5. F100.\nN30 M30\n"}},
            {}, {}, {}, 2, ""),
      style("numbers_of_two_forms_with_line_numbers",
            {{"ALL.TAP",
              "%\nO0100 N1 (PLATE REV 2)\nG90 G21\nG0 X0 Y0\nM30\n:0101\nG91\nM30\nO0102\nM99\n%\n"}},
            {}, {}, {}, 3, ""),
      style("zeros_to_the_end",
            {{"TOOLS.LST",
              " NO  LENGTH  RADIUS\n  1 119.500   6.000\n  2 118.500   6.000\n  3 117.500   6.000\n  4 "
              "116.500   6.000\n  5 115.500   6.000\n  6 114.500   6.000\n  7   0.000   0.000\n  8   0.000   "
              "0.000\n  9   0.000   0.000\n 10   0.000   0.000\n 11   0.000   0.000\n 12   0.000   0.000\n "
              "13   0.000   0.000\n 14   0.000   0.000\n 15   0.000   0.000\n 16   0.000   0.000\n"}},
            {"offsets/tool/{1,2,3,4,5,6,7,8,9,10,11,12,13,14,15,16}/{length,radius}"},
            {{"offsets/tool/16/length", "0"}}, {}, 0, ""),
      style("headings_underlined_without_a_serial",
            {{"MEMORY.LIS",
              "SETTINGS\n========\n  1  Inch/mm ............... 1\n  2  Beeper ................ 0\n\nTOOL "
              "LENGTHS\n============\n  T   LENGTH\n  1   180.250\n  2   202.500\n\nVARIABLES\n=========\n#1 "
              "  = 12.5\n#2   = -0.25\n"}},
            {"settings/{1,2}/{name,value}", "offsets/tool/{1,2}", "variables/{1,2}"},
            {{"variables/2", "-0.25"}}, {"name"}, 0, "")};
}

std::vector<BackupStyle> styles() {
  return joined({former(), latter()});
}

class SurveyStyleShop : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleShop, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleShop, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
