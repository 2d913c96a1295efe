// Styles of which one file has keys that come again, under headings, remarks and names of parts. All are
// invented.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

std::vector<BackupStyle> headings() {
  return {
      style("lengths_above_radii",
            {{"OFFSETS.LST",
              "TOOL OFFSETS\n\nLENGTH\n 1  120.5\n 2   98.0\n 3   75.2\nRADIUS\n 1   6.0\n 2"
              "   5.0\n 3   4.0\n"}},
            {"offsets/{length,radius}/{1,2,3}"}, {{"offsets/length/2", "98."}, {"offsets/radius/3", "4."}}),
      style("remarks_above_rows",
            {{"OFFSETS.TXT", "; LENGTH\n1 120.5\n2 98.0\n3 75.2\n; RADIUS\n1 6.0\n2 5.0\n3 4.0\n"}},
            {"offsets/{length,radius}/{1,2,3}"}, {{"offsets/length/1", "120.5"}, {"offsets/radius/1", "6."}}),
      style("starred_remarks", {{"VARS.TXT", "* LOCAL\nV1=1.5\nV2=2.5\n* GLOBAL\nV1=3.5\nV2=4.5\n"}},
            {"variables/{local,global}/{V1,V2}"},
            {{"variables/local/V1", "1.5"}, {"variables/global/V1", "3.5"}}),
      style("numbers_under_words",
            {{"ALL.TXT", "LENGTHS\nH1=120.5\nH2=98.\nH3=0\n\nWEAR\nH1=0.1\nH2=0.05\nH3=0\n"}},
            {"offsets/{lengths,wear}/{H1,H2,H3}"},
            {{"offsets/lengths/H1", "120.5"}, {"offsets/wear/H1", "0.1"}}),
      style("drives_apart",
            {{"PARAM.LST",
              "MACHINE PARAMETERS\n\nFEED DRIVES\n1    4000\n2    -12\n3    10\n\nSPINDLE "
              "DRIVE\n1    5000\n2    -14\n3    12\n\nLUBRICATION\n1    500\n2    7\n"}},
            {"parameters/{feed-drives,spindle-drive}/{1,2,3}", "parameters/lubrication/{1,2}"},
            {{"parameters/feed-drives/2", "-12"}, {"parameters/lubrication/1", "500"}}),
      style("settings_under_words",
            {{"SETUP.TXT", "SPINDLE\nMAX = 4500\nMIN = 20\nFEED\nMAX = 8000\nMIN = 1\n"}},
            {"settings/{spindle,feed}/{MAX,MIN}"},
            {{"settings/spindle/MAX", "4500"}, {"settings/feed/MAX", "8000"}}),
      style("settings_under_remarks",
            {{"SETUP.TXT", "# spindle\nMAX = 4500\nMIN = 20\n# feed\nMAX = 8000\nMIN = 1\n"}},
            {"settings/{spindle,feed}/{MAX,MIN}"},
            {{"settings/spindle/MIN", "20"}, {"settings/feed/MIN", "1"}}),
  };
}

std::vector<BackupStyle> named_parts() {
  return {
      style("tools_with_names",
            {{"TOOLS.TXT",
              "TOOL 1 FACE MILL\nLENGTH 12.5\nRADIUS 31.5\nTOOL 2 DRILL\nLENGTH 98.02\nRADIUS "
              "4.25\nTOOL 3\nLENGTH 75.25\nRADIUS 4\n"}},
            {"offsets/tool/{1,2,3}/{LENGTH,RADIUS}", "offsets/tool/{1,2}/name"},
            {{"offsets/tool/1/name", "FACE MILL"}, {"offsets/tool/2/LENGTH", "98.02"}}, {"name"}),
      style("records_of_two_lines",
            {{"TOOLS.LST",
              "TOOL 1  FACE MILL 63\n  LENGTH  120.500  RADIUS  31.500\nTOOL 2  DRILL\n  "
              "LENGTH   98.020  RADIUS   4.250\nTOOL 3  BORING BAR\n  LENGTH   75.250  "
              "RADIUS  10.000\n"}},
            {"offsets/tool/{1,2,3}/{name,length,radius}"},
            {{"offsets/tool/1/name", "FACE MILL 63"}, {"offsets/tool/3/radius", "10."}}, {"name"}),
      style("names_in_quotes",
            {{"TOOLS.LST",
              "T1 \"FACE MILL\"\n   L=120.5 R=31.5\nT2 \"DRILL\"\n   L=98.02 R=4.25\nT3 "
              "\"TAP\"\n   L=75.25 R=4\n"}},
            {"offsets/tool/{1,2,3}/{name,l,r}"},
            {{"offsets/tool/2/name", "DRILL"}, {"offsets/tool/3/r", "4"}}, {"name"}),
      style("names_in_brackets",
            {{"TOOLS.LST", "TOOL 1 (FACE MILL)\nL 120.5\nR 31.5\nTOOL 2 (DRILL)\nL 98.02\nR 4.25\n"}},
            {"offsets/tool/{1,2}/{name,L,R}"},
            {{"offsets/tool/2/name", "DRILL"}, {"offsets/tool/2/R", "4.25"}}, {"name"}),
  };
}

std::vector<BackupStyle> rows() {
  return {
      style("words_alone",
            {{"SET.LST", "ITEM     STATE\nDOOR     CLOSED\nCOOLANT  OFF\nFEED     5000\nLIGHT    ON\n"}},
            {"settings/{DOOR,COOLANT,FEED,LIGHT}"}, {{"settings/DOOR", "CLOSED"}, {"settings/FEED", "5000"}},
            {"DOOR", "COOLANT", "LIGHT"}),
      style("words_before_numbers",
            {{"SET.LST",
              "OPTION SWITCHES\n\nDOOR     CLOSED\nCOOLANT  OFF\nFEED     5000\nRATE     "
              "4800\nLIGHT    ON\n"}},
            {"settings/{DOOR,COOLANT,FEED,RATE,LIGHT}"}, {{"settings/DOOR", "CLOSED"}},
            {"DOOR", "COOLANT", "LIGHT"}),
      style("axes_before_zero_points",
            {{"ZERO.LST",
              "WORK ZERO\nX G54 .... 120.500\nY G54 .... 80.250\nX G55 .... 20.500\nY "
              "G55 .... 0.250\n"}},
            {"offsets/work/{G54,G55}/{X,Y}"}, {{"offsets/work/G54/Y", "80.25"}}),
      style("basic_data",
            {{"TOOLS.BAS",
              "10 REM TOOL TABLE\n100 DATA 5,\"FACE MILL 63\",12.5,0\n110 DATA 6,\"DRILL\",98.02,1\n120 "
              "DATA 7,\"TAP\",75.25,0\n"}},
            {"offsets/tool/{5,6,7}/{name,c3,c4}"},
            {{"offsets/tool/5/name", "FACE MILL 63"}, {"offsets/tool/6/c3", "98.02"}}, {"name"}),
      style("framed_program_names",
            {{"PROGS.TXT",
              "*** PROGRAM 100 FLANGE ***\nG0 X1.5\nG1 X2.5 F100\nM30\n*** PROGRAM 200 RING "
              "***\nG0 X3.5\nG1 X4.5 F100\nM30\n"}},
            {}, {}, {}, 2),
      style("directory_above_programs",
            {{"PROGS.TXT",
              "PROGRAM DIRECTORY\nO0100  FLANGE   120\nO0200  RING     340\n2 "
              "PROGRAMS\n%\nO0100 (FLANGE)\nG0 X1.5\nM30\nO0200 (RING)\nG0 X3.5\nM30\n%\n"}},
            {}, {}, {}, 2),
  };
}

// Causes found in backups of many tables, in small.
std::vector<BackupStyle> streams() {
  return {
      style("pairs_in_reading_order",
            {{"PARAM.PRN",
              "PARAMETER LIST   PAGE 1\n NO.  VALUE   NO.  VALUE   NO.  VALUE\n======\n  1  "
              "0   2  25.115   13  85\n 14  1.708   15  -68.229   16  70\n 17  0   18  5\n"}},
            {"parameters/{1,2,13,14,15,16,17,18}"}, {{"parameters/13", "85"}, {"parameters/15", "-68.229"}}),
      style("rules_of_stars",
            {{"LIST.PRN",
              "PARAMETERS   SHEET 1\n************\nNO       VALUE\n************\nMP01      12\nMP02     "
              "-3.5\nMP03      7\n************\n\fPARAMETERS   SHEET 2\n************\nNO       "
              "VALUE\n************\nMP04      1\nMP05      0.25\n************\n"}},
            {"parameters/MP0{1,2,3,4,5}"}, {{"parameters/MP05", "0.25"}}),
      style("programs_above_headings",
            {{"CAPTURE.LOG",
              ":0001\nN10G0X1.5\nN20M30\n:0002\nN10G0X2.5\nN20M30\n%\nDATA 1 "
              "PARAMETER\n001/-291.138\n002/54.209\n003/79\nDATA 2 TOOL\n001/57.49/"
              "3.76\n002/89.92/19.91\nDATA 3 ORIGIN\n001/-427.88/-417.21/5.\n002/-574.88/"
              "-406.73/6.5\nDATA END\n%\n"}},
            {"parameters/{1,2,3}", "offsets/tool/{1,2}/{value,c3}", "offsets/work/{1,2}/{c2,c3,c4}"},
            {{"parameters/2", "54.209"}, {"offsets/work/2/c3", "-406.73"}}, {}, 2),
      style(
          "fixtures",
          {{"FIXTURE.FIL", "FIXTURE FILE\nFIXTURE 1 X -5.5806 Y -6.5583\nFIXTURE 2 X -3.8772 Y -11.7441\n"}},
          {"offsets/work/{1,2}/{x,y}"}, {{"offsets/work/2/x", "-3.8772"}}),
      style("letters_in_a_remark",
            {{"TOOLS.TXT",
              "; TOOL TABLE\n; T   L     R    TYPE\n 1  63.837  20.035  3\n 2  150.679  26.339  4\n"}},
            {"offsets/tool/{1,2}/{l,r,type}"}, {{"offsets/tool/2/r", "26.339"}}),
      style("marks_that_nothing_closes",
            {{"O100.PRG", "%\nO100\nG0 X1.5\nM30\n"}, {"O105.PRG", "%\nO105\nG0 X2.5\nM30\n"}}, {}, {}, {},
            2),
  };
}

// More of them: feet, marks and pages.
std::vector<BackupStyle> feet() {
  return {
      style("foot_of_stars",
            {{"SETTINGS.PRT",
              "*** SETTINGS ***     KNEE MILL 4402\n\nCOOLANT MIST ............... ON\nBEEP AT END "
              "................ OFF\nDOOR DELAY ................. 5\nPROBE ...................... OFF\n*** "
              "END ***\n"}},
            {"settings/{COOLANT MIST,BEEP AT END,DOOR DELAY,PROBE}"}, {{"settings/BEEP AT END", "OFF"}},
            {"COOLANT MIST", "BEEP AT END", "PROBE"}),
      style("words_with_commas",
            {{"TOL_970312.DAT", "T01,L178.365,R28.533\nT02,L157.946,R27.872\nT03,L181.190,R11.326\n"},
             {"ORG_970312.DAT", "W01,X-69.821,Y-8.952\nW02,X49.43,Y-192.683\nW03,X-76.721,Y-290.345\n"}},
            {"offsets/tool/{T01,T02,T03}/{l,r}", "offsets/work/{W01,W02,W03}/{x,y}"},
            {{"offsets/tool/T02/r", "27.872"}, {"offsets/work/W03/y", "-290.345"}}),
      style("ends_of_blocks",
            {{"CAPTURE.TXT",
              "%;\n(PARAMETERS, LATHE NO. 611);\nN0001 P0;\nN0002 P5.312;\nN0003 P176;\n%;\n(TOOL OFFSETS, "
              "LATHE NO. 611);\nT01 X21.112 Z11.621 R0.69;\nT02 X-88.804 Z71.339 R0.6;\n%;\nO0001;\nN10 G00 "
              "X42.831;\nN20 M30;\nO0003;\nN10 G00 X4.5;\nN20 M30;\n%;\n"}},
            {"parameters/{1,2,3}", "offsets/tool/{1,2}/{X,Z,R}"}, {{"parameters/2", "5.312"}}, {}, 2),
      style("headings_behind_a_mark",
            {{"TAPE.BIN",
              "% PARAMETERS\nP1 5.5\nP2 100\nP3 0\n%\n% TOOL OFFSETS\nT1 X7.7 Z-7.5\nT2 X-3.8 "
              "Z3.5\n%\n%\nO0001\nN10 G00 X4.5\nN20 M30\n%\n"}},
            {"parameters/{P1,P2,P3}", "offsets/tool/{1,2}/{X,Z}"}, {{"parameters/P1", "5.5"}}, {}, 1),
      style("pages_that_continue",
            {{"REPORT.TXT",
              "CENTRE, CELL 3   2003-04-09 17:31:05   1\n\nPARAMETERS\n----------\n   NO.      VALUE\n     1 "
              "       122\n     2     57.515\n\n\fCENTRE, CELL 3   2003-04-09 17:31:05   2\n\nPARAMETERS "
              "(CONTINUED)\n----------\n   NO.      VALUE\n     3          1\n     4       1000\n\n\fCENTRE, "
              "CELL 3   2003-04-09 17:31:05   3\n\nVARIABLES\n----------\n   NO.        +0        +1        "
              "+2\n   100    -73.10    -47.05      4.45\n   103    -82.79     45.44     -4.72\n"}},
            {"parameters/{1,2,3,4}", "variables/{100,103}/{0,1,2}"},
            {{"parameters/3", "1"}, {"variables/103/1", "45.44"}}),
      style("parts_with_remarks",
            {{"OFFS.LST",
              "G54\n X -120.500\n Y  -88.000\nG55\n X   80.250\n Y   44.500\nG56 (SPARE)\n X    0.000\n Y    "
              "0.000\n"}},
            {"offsets/work/{G54,G55,G56}/{X,Y}"}, {{"offsets/work/G55/Y", "44.5"}}),
      style("labels_of_names",
            {{"TOOLS.LST",
              "NO.  1  NAME FACE MILL\n  LEN 120.5\n  RAD 31.5\nNO.  2  NAME DRILL\n  LEN 98.02\n  RAD "
              "4.25\n"}},
            {"offsets/tool/{1,2}/{name,LEN,RAD}"},
            {{"offsets/tool/2/name", "DRILL"}, {"offsets/tool/1/LEN", "120.5"}}, {"name"}),
      style("places_without_tools",
            {{"MAG.LST",
              "POT TOOL  NAME         STATE\n 1   12   FACE MILL    OK\n 2    -   EMPTY\n 3    7   DRILL 8.5 "
              "   WORN\n"}},
            {"offsets/tool/{1,3}/{tool,name,state}", "offsets/tool/2/name"},
            {{"offsets/tool/3/name", "DRILL 8.5"}}, {"name", "state"}),
      style("framed_headings_and_end",
            {{"ALL.LST",
              "--- PARAMETERS ---\n0001  1\n0002  4000\n--- TOOL OFFSETS ---\n 01  120.500  31.500\n 02   "
              "98.020   4.250\n--- MACRO VARIABLES ---\n#100 = 1.5\n#101 = -3\n--- END ---\n"}},
            {"parameters/{1,2}", "offsets/tool/{1,2}/{value,c3}", "variables/{100,101}"},
            {{"variables/101", "-3"}}),
      style("codes_across_of_two_letters",
            {{"TOOLS.LST",
              "TOOL LENGTH COMPENSATION      PAGE 1\n\n  H01   120.500   H02    98.020   H03    75.250\n  "
              "H04     0.000   H05    10.000   H06    11.000\n\nCUTTER RADIUS COMPENSATION    PAGE 1\n\n  "
              "D01    31.500   D02     4.250   D03     4.000\n"}},
            {"offsets/{H01,H02,H03,H04,H05,H06,D01,D02,D03}"},
            {{"offsets/H05", "10."}, {"offsets/D02", "4.25"}}),
      style("vacant_variables",
            {{"VAR.LST",
              "VARIABLE   DECIMAL      COMMENT\n#500        12.5000     PART COUNT\n#501      <VACANT>\n#502 "
              "       -3.0000     PROBE X\n#503         0.0000\n"}},
            {"variables/{500,501,502,503}/decimal", "variables/{500,502}/comment"},
            {{"variables/500/decimal", "12.5"}, {"variables/501/decimal", "<VACANT>"}},
            {"comment", "variables/501/decimal"}),
      style("numbers_behind_colons",
            {{"MEM.TXT",
              "PARAMETERS:\n1:4000\n2:-12\n\nTOOLS:\n1:120.5,31.5\n2:98.02,4.25\n\nZEROS:\nG54:0,0,152."
              "35\nG55:1,1,100\n"}},
            {"parameters/{1,2}", "offsets/tool/{1,2}/{c2,c3}", "offsets/work/{G54,G55}/{c2,c3,c4}"},
            {{"parameters/1", "4000"}, {"offsets/tool/2/c3", "4.25"}}),
      style("foot_behind_programs",
            {{"ALL.TXT",
              "$PARAMETERS\n1,5\n2,12.5\n3,0\n$PROGRAMS\nO0001\nN10 G00 X4.5\nN20 M30\nO0004\nN10 G00 "
              "X5.5\nN20 M30\n$END\n"}},
            {"parameters/{1,2,3}"}, {{"parameters/2", "12.5"}}, {}, 2),
  };
}

class SurveyStyleParts : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleParts, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleParts,
                         testing::ValuesIn(joined({headings(), named_parts(), rows(), streams(), feet()})),
                         style_name);

}  // namespace
}  // namespace keepway::test
