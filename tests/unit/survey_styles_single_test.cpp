// Single tables and files, each with programs or another group beside it. The first 19 were known not to be
// read, or were written before the code; the others after it, before it had been run on them, and are those
// that were not read at once.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

std::vector<BackupStyle> known() {
  return {
      style("two_words_a_line",
            {{"TOOLS.TXT",
              "TOOLS OF MILL 6\r\nT1 L100.2 D10.0   T2 L98.7 D12.0\r\nT3 L75.25 D6.0    T4 L-0.5 D0.0\r\nT5 "
              "L60.0 D8.0\r\n"}},
            {"offsets/tool/{1,2,3,4,5}/{D,L}"}, {{"offsets/tool/2/L", "98.7"}, {"offsets/tool/4/L", "-0.5"}},
            {}, 0, ""),
      style("set_tool_in_row",
            {{"DUMP.TXT",
              "set tool 1 length 100.2\r\nset tool 2 length 98.7\r\nset tool 3 length -0.5\r\nset zero 1 x "
              "-12.5\r\nset zero 2 x 33.25\r\n"}},
            {"parameters/set/tool/{1,2,3}/length", "parameters/set/zero/{1,2}/x"}, {}, {}, 0, ""),
      style("tool_len_row", {{"TOOLS.TXT", "TOOL 1 LEN 100.2\r\nTOOL 2 LEN 98.7\r\nTOOL 12 LEN -0.5\r\n"}},
            {"offsets/tool/{1,2,12}"}, {{"offsets/tool/12", "-0.5"}}, {}, 0, ""),
      style("tool_len_rad_row",
            {{"TOOLS.TXT",
              "TOOL 1 LEN 100.2 RAD 5.0\r\nTOOL 2 LEN 98.7 RAD 6.0\r\nTOOL 12 LEN -0.5 RAD 0.0\r\n"}},
            {"offsets/tool/{1,2,12}/{len,rad}"}, {{"offsets/tool/12/len", "-0.5"}}, {}, 0, ""),
      style("directory_beside",
            {{"DIR.TXT",
              "PROGRAM DIRECTORY                    MILL 7\r\n NO    SIZE   REMARK\r\nO0100   340   "
              "PLATE\r\nO0101   128   RING\r\n"},
             {"O0100.NC", "%\r\nO0100 (PLATE)\r\nG0 X1.\r\nM30\r\n%\r\n"},
             {"O0101.NC", "%\r\nO0101 (RING)\r\nG0 X2.\r\nM30\r\n%\r\n"}},
            {}, {}, {}, 2, ""),
      style(
          "ends_m00",
          {{"A.TXT",
            "O1 (PLATE)\r\nG90 G0 X0 Y0\r\nG1 X5. F100.\r\nM00\r\nO2 (RING)\r\nG91 G1 Z-2. F50.\r\nM00\r\n"},
           {"V.TXT", "#100=1.5\r\n#101=-2.\r\n#102=0\r\n"}},
          {"variables/{100,101,102}"}, {}, {}, 2, ""),
      style("ends_end",
            {{"A.TXT", "O1\r\nG90 G0 X0 Y0\r\nG1 X5. F100.\r\nEND\r\nO2\r\nG91 G1 Z-2. F50.\r\nEND\r\n"},
             {"V.TXT", "#100=1.5\r\n#101=-2.\r\n#102=0\r\n"}},
            {"variables/{100,101,102}"}, {}, {}, 2, ""),
      style("ends_ret",
            {{"A.MAIN", "; PLATE\r\nG90 G0 X0 Y0\r\nG1 X5. F100.\r\nL1\r\nM30\r\n"},
             {"L1.SUB", "; RING\r\nG91 G1 Z-2. F50.\r\nRETURN\r\n"},
             {"V.TXT", "R100=1.5\r\nR101=-2.\r\nR102=0\r\n"}},
            {"variables/{R100,R101,R102}"}, {}, {}, 2, ""),
      style("ends_nothing",
            {{"A.TXT", "O1\r\nG90 G0 X0 Y0\r\nG1 X5. F100.\r\nO2\r\nG91 G1 Z-2. F50.\r\n"},
             {"V.TXT", "#100=1.5\r\n#101=-2.\r\n#102=0\r\n"}},
            {"variables/{100,101,102}"}, {}, {}, 2, ""),
      style("one_bit_number",
            {{"PARA.TXT",
              "PARAMETERS\r\n0001  4000\r\n0002  00010110\r\n0003  -12\r\n0004  0\r\n0010  9600\r\n"}},
            {"parameters/{1,2,3,4,10}"}, {{"parameters/2", "00010110"}, {"parameters/1", "4000"}},
            {"parameters/2"}, 0, ""),
      style("one_bit_assign", {{"PARA.TXT", "P1=4000\r\nP2=-12\r\nP3=00010110\r\nP20=0\r\n"}},
            {"parameters/{P1,P2,P3,P20}"}, {{"parameters/P3", "00010110"}, {"parameters/P2", "-12"}},
            {"parameters/P3"}, 0, "")};
}

std::vector<BackupStyle> before() {
  return {
      style("square",
            {{"CELLS.PRN",
              "COMMON CELLS                LATHE 4\r\n\r\n         +0        +1        +2        +3        "
              "+4\r\n 100    0.000    12.500    -0.250     0.000     7.000\r\n 105    1.000     0.000     "
              "0.000    99.999     0.000\r\n 110    0.000     0.000     3.125     0.000    -1.000\r\n"},
             {"O5.NC", "O5\r\nG90 G0 X0\r\nM30\r\n"}},
            {"variables/{100,105,110}/{0,1,2,3,4}"}, {{"variables/105/3", "99.999"}}, {}, 1, ""),
      style("menu",
            {{"SETUP.PRN",
              "SETUP MENU OF MILL 12\r\n\r\nA. LANGUAGE ............ DEUTSCH\r\nB. UNITS ............... "
              "MM\r\nC. BAUD RATE ........... 4800\r\nD. STOP BITS ........... 2\r\nE. BEEPER .............. "
              "ON\r\nF. AUTO OFF ............ 30\r\n"},
             {"TOOLS.PRN",
              "TOOLS OF MILL 12\r\n\r\nNO    LENGTH    RADIUS\r\n 1   120.500     6.000\r\n 2    98.020     "
              "4.250\r\n"}},
            {"settings/{A,B,C,D,E,F}/{name,value}", "offsets/tool/{1,2}/{length,radius}"},
            {{"settings/C/value", "4800"}, {"settings/B/value", "MM"}, {"offsets/tool/2/radius", "4.25"}},
            {"name", "settings/A/value", "settings/B/value", "settings/E/value"}, 0, ""),
      style("slashes",
            {{"TOOLS.OUT",
              "TOOLS/MILL 5/1997-02-11\r\n01/120.500/6.000/FACE "
              "MILL\r\n02/98.020/4.250/DRILL\r\n12/-0.500/0.000/PROBE\r\n"},
             {"ZERO.OUT",
              "ZEROS/MILL 5/1997-02-11\r\nG54/-300.500/-122.250/-410.000\r\nG55/0.000/0.000/0.000\r\n"}},
            {"offsets/tool/{1,2,12}/{c2,c3,note}", "offsets/work/{G54,G55}/{c2,c3,c4}"},
            {{"offsets/work/G54/c3", "-122.25"}}, {"note"}, 0, ""),
      style("star_rows",
            {{"VARS.PRN",
              "VARIABLES (* = CHANGED)\r\n\r\n  NO      VALUE\r\n  100    12.500\r\n* 101    -0.250\r\n  102 "
              "    0.000\r\n* 103  4000.000\r\n  104     1.125\r\n"},
             {"O1.NC", "O1\r\nG0X1.\r\nM30\r\n"}},
            {"variables/{100,101,102,103,104}"}, {{"variables/101", "-0.25"}, {"variables/104", "1.125"}}, {},
            1, ""),
      style("italian",
            {{"UTENSILI.TXT",
              "TABELLA UTENSILI - FRESATRICE 2\r\n\r\nUTENSILE N. 1 - LUNGHEZZA 120,500 - DIAMETRO "
              "12,000\r\nUTENSILE N. 2 - LUNGHEZZA 98,020 - DIAMETRO 8,500\r\nUTENSILE N. 12 - LUNGHEZZA "
              "-0,500 - DIAMETRO 0,000\r\n"},
             {"ORIGINI.TXT",
              "TABELLA ORIGINI - FRESATRICE 2\r\n\r\nORIGINE G54 - X -300,500 - Y -122,250 - Z "
              "-410,000\r\nORIGINE G55 - X 0,000 - Y 0,000 - Z 0,000\r\n"}},
            {"offsets/tool/{1,2,12}/{diametro,lunghezza}", "offsets/work/{G54,G55}/{x,y,z}"},
            {{"offsets/tool/12/lunghezza", "-0.5"}, {"offsets/work/G54/z", "-410."}}, {}, 0, ""),
      style(
          "axis_rows",
          {{"AXPAR.LST",
            "AXIS PARAMETERS     GRINDER 2     PAGE 1\r\n\r\n1020   X     6000\r\n       Z     8000\r\n1021  "
            " X       12\r\n       Z       -8\r\n1022   X        1\r\n       Z        0\r\n"},
           {"PAR.LST",
            "PARAMETERS          GRINDER 2     PAGE 1\r\n\r\n0001   4000\r\n0002     12\r\n0003    -12\r\n"}},
          {"parameters/{1,2,3}", "parameters/{1020,1021,1022}/{X,Z}"}, {{"parameters/1021/Z", "-8"}}, {}, 0,
          ""),
      style("tape_words",
            {{"T.TAP", "%\r\nT1H120.5D6.T2H98.02D4.25\r\nT3H75.25D10.T4H-.5D0.\r\n%\r\n"},
             {"Z.TAP", "%\r\nG54X-300.5Y-122.25Z-410.\r\nG55X0.Y0.Z0.\r\n%\r\n"},
             {"P.TAP", "%\r\nO1\r\nG90\r\nM30\r\n%\r\n"}},
            {"offsets/tool/{1,2,3,4}/{D,H}", "offsets/work/{G54,G55}/{X,Y,Z}"},
            {{"offsets/tool/4/H", "-0.5"}}, {}, 1, ""),
      style("portuguese",
            {{"FERRAM.LST",
              "TABELA DE FERRAMENTAS                      FOLHA 01\r\nMAQUINA: FRESADORA 4    N. SERIE: "
              "FR-40881\r\n\r\nFERR.  COMPRIM.   RAIO      "
              "DESCRI\207\306O\r\n-------------------------------------------\r\n   1   120,500    6,000     "
              "FRESA DE TOPO\r\n   2    98,020    4,250     BROCA 8,5\r\n  12    -0,500    0,000     "
              "APALPADOR\r\n-------------------------------------------\r\nTOTAL DE FERRAMENTAS: 3\r\n"},
             {"PARAM.LST",
              "TABELA DE PAR\265METROS                       FOLHA 01\r\nMAQUINA: FRESADORA 4    N. SERIE: "
              "FR-40881\r\n\r\nNUM.   VALOR\r\n-------------------------------------------\r\n 100    "
              "4000\r\n 101     -12\r\n 102       0\r\n-------------------------------------------\r\nTOTAL "
              "DE PAR\265METROS: 3\r\n"}},
            {"parameters/{100,101,102}", "offsets/tool/{1,2,12}/{comprim,descricao,raio}"},
            {{"offsets/tool/1/descricao", "FRESA DE TOPO"},
             {"offsets/tool/12/comprim", "-0.5"},
             {"parameters/101", "-12"}},
            {"descricao"}, 0, "FR-40881")};
}

std::vector<BackupStyle> after() {
  return {
      style("arrow",
            {{"CONFIG.LST",
              "CONFIGURATION OF MILL 8\r\nRAPID X => 6000\r\nRAPID Y => 6000\r\nBACKLASH X => "
              "0.012\r\nCOOLANT => ON\r\nLANGUAGE => EN\r\n"},
             {"O100.NC", "%\r\nO100 (PLATE)\r\nG90 G0 X0 Y0\r\nG1 X5. F100.\r\nM30\r\n%\r\n"},
             {"O101.NC", "%\r\nO101\r\nG91 G28 Z0\r\nM99\r\n%\r\n"}},
            {"settings/{BACKLASH X,COOLANT,LANGUAGE,RAPID X,RAPID Y}"},
            {{"settings/BACKLASH X", "0.012"}, {"settings/COOLANT", "ON"}},
            {"settings/COOLANT", "settings/LANGUAGE"}, 2, ""),
      style("hash_head",
            {{"TOOLS.TXT",
              "# tools, mill 4\r\n# T  LENGTH   RADIUS  NAME\r\n1    120.500  31.500  face mill\r\n2     "
              "98.020   4.250  drill 8.5\r\n12    -0.500   0.000  probe\r\n"},
             {"ZERO.TXT",
              "# zero points, mill 4\r\n# NO X Y Z\r\n54 -300.500 -122.250 -410.000\r\n55    0.000    0.000  "
              "  0.000\r\n"}},
            {"offsets/tool/{1,2,12}/{length,name,radius}", "offsets/work/{54,55}/{x,y,z}"},
            {{"offsets/tool/2/name", "drill 8.5"}}, {"name"}, 0, ""),
      style("tags",
            {{"SAVE.DAT",
              "<TOOLS>\r\n1,120.500,6.000\r\n2,98.020,4.250\r\n12,-0.500,0.000\r\n</"
              "TOOLS>\r\n<SETTINGS>\r\n1,0\r\n2,1\r\n7,9600\r\n</SETTINGS>\r\n"}},
            {"settings/{1,2,7}", "offsets/tool/{1,2,12}/{c3,value}"}, {{"settings/7", "9600"}}, {}, 0, ""),
      style("yes_no",
            {{"INST.TXT",
              "INST\304LLNINGAR SVARV 4\r\n\r\n1  Kylv\344tska p\345        JA\r\n2  Sp\345nmatare          "
              "NEJ\r\n3  Varvtal max         3500\r\n4  Spr\345k               SV\r\n"},
             {"PAR.TXT", "PARAMETRAR SVARV 4\r\n\r\n100  6000\r\n101  -12\r\n102  0,012\r\n"}},
            {"settings/{1,2,3,4}/{name,value}", "parameters/{100,101,102}"},
            {{"settings/3/value", "3500"}, {"settings/2/value", "NEJ"}, {"parameters/102", "0.012"}},
            {"name", "settings/1/value", "settings/2/value", "settings/4/value"}, 0, ""),
      style("sum_trailer",
            {{"PARAM.DAT",
              "PARAMETERS OF PRESS 2\r\n0001 4000\r\n0002 -12\r\n0003 0\r\n0010 9600\r\nSUM=13588\r\n"},
             {"OFFS.DAT", "OFFSETS OF PRESS 2\r\n01 120.500\r\n02 98.020\r\n03 -0.500\r\nSUM=218.020\r\n"}},
            {"parameters/{1,2,3,10}", "offsets/{1,2,3}"}, {{"parameters/2", "-12"}, {"offsets/3", "-0.5"}},
            {}, 0, ""),
      style("pairs_comma",
            {{"PARAMS.OUT", "P1:4000,P2:-12,P3:0\r\nP10:9600,P11:255,P12:1\r\n"},
             {"O100.NC", "%\r\nO100 (PLATE)\r\nG90 G0 X0 Y0\r\nG1 X5. F100.\r\nM30\r\n%\r\n"},
             {"O101.NC", "%\r\nO101\r\nG91 G28 Z0\r\nM99\r\n%\r\n"}},
            {"parameters/{P1,P2,P3,P10,P11,P12}"}, {{"parameters/P2", "-12"}}, {}, 2, ""),
      style("finnish",
            {{"TYOKALUT.LST",
              "JYRSINKONE 3   TY\326KALUT                 Sivu 1\r\n\r\nNro   Pituus     S\344de   Nimi\r\n  "
              "1   120,500   31,500  Tasojyrsin\r\n  2    98,020    4,250  Pora 8,5\r\n  3    -0,500    "
              "0,000  Mittap\344\344\r\n"},
             {"NOLLAPISTEET.LST",
              "JYRSINKONE 3   NOLLAPISTEET             Sivu 1\r\n\r\n          X          Y          "
              "Z\r\nG54  -300,500   -122,250   -410,000\r\nG55     0,000      0,000      0,000\r\n"}},
            {"offsets/tool/{1,2,3}/{nimi,pituus,saede}", "offsets/work/{G54,G55}/{x,y,z}"},
            {{"offsets/tool/2/nimi", "Pora 8,5"}, {"offsets/work/G54/z", "-410."}}, {"nimi"}, 0, ""),
      style("dots_number_name",
            {{"PARAM.LST",
              "MACHINE CONSTANTS                            SHEET 1 OF 1\r\n\r\nC01  RAPID X "
              ".................... 6000\r\nC02  RAPID Y .................... 6000\r\nC10  BACKLASH X "
              "................. 0.012\r\nC11  BACKLASH Y ................. -0.008\r\nC20  COOLANT "
              ".................... FLOOD\r\n"},
             {"TOOLS.LST",
              "TOOLS                                        SHEET 1 OF 1\r\n\r\nT01  LENGTH 120.500   RADIUS "
              "31.500\r\nT02  LENGTH  98.020   RADIUS  4.250\r\nT12  LENGTH  -0.500   RADIUS  0.000\r\n"}},
            {"parameters/{C01,C02,C10,C11,C20}/{name,value}", "offsets/tool/{T01,T02,T12}/{length,radius}"},
            {{"parameters/C10/value", "0.012"},
             {"parameters/C20/value", "FLOOD"},
             {"offsets/tool/T02/radius", "4.25"}},
            {"name", "parameters/C20/value"}, 0, "")};
}

std::vector<BackupStyle> last() {
  return {
      style("zero_shift_lines",
            {{"SHIFT.LST",
              "ZERO SHIFTS\r\n-----------\r\n1  X   -300.500   Y   -122.250   Z   -410.000\r\n2  X      "
              "0.000   Y      0.000   Z      0.000\r\n3  X     12.500   Y     -7.250   Z      "
              "0.000\r\n-----------\r\n"},
             {"O100.NC", "%\r\nO100 (PLATE)\r\nG90 G0 X0 Y0\r\nG1 X5. F100.\r\nM30\r\n%\r\n"},
             {"O101.NC", "%\r\nO101\r\nG91 G28 Z0\r\nM99\r\n%\r\n"}},
            {"offsets/work/{1,2,3}/{x,y,z}"}, {{"offsets/work/1/z", "-410."}}, {}, 2, ""),
      style("axis_words",
            {{"BACKLASH.TXT",
              "BACKLASH AND PITCH\r\nAXIS X  BACKLASH 0.012  PITCH 10.000\r\nAXIS Y  BACKLASH 0.010  PITCH "
              "10.000\r\nAXIS Z  BACKLASH 0.008  PITCH 5.000\r\n"},
             {"O100.NC", "%\r\nO100 (PLATE)\r\nG90 G0 X0 Y0\r\nG1 X5. F100.\r\nM30\r\n%\r\n"},
             {"O101.NC", "%\r\nO101\r\nG91 G28 Z0\r\nM99\r\n%\r\n"}},
            {"parameters/{X,Y,Z}/{backlash,pitch}"}, {{"parameters/Z/pitch", "5."}}, {}, 2, ""),
      style("dash_ranges",
            {{"SETS.TXT",
              "Settings of the saw, 5 March 2003\r\n1 - Blade speed: 45\r\n2 - Feed: 120\r\n3 - Coolant: "
              "on\r\n4 - Length unit: mm\r\n"},
             {"O100.NC", "%\r\nO100 (PLATE)\r\nG90 G0 X0 Y0\r\nG1 X5. F100.\r\nM30\r\n%\r\n"},
             {"O101.NC", "%\r\nO101\r\nG91 G28 Z0\r\nM99\r\n%\r\n"}},
            {"settings/{1,2,3,4}/{name,value}"}, {{"settings/3/value", "on"}, {"settings/2/value", "120"}},
            {"name", "settings/3/value", "settings/4/value"}, 2, ""),
      style("settings_one_line",
            {{"COM.DAT", "BAUD=4800 PARITY=E BITS=7 STOP=2\r\n"},
             {"O100.NC", "%\r\nO100 (PLATE)\r\nG90 G0 X0 Y0\r\nG1 X5. F100.\r\nM30\r\n%\r\n"},
             {"O101.NC", "%\r\nO101\r\nG91 G28 Z0\r\nM99\r\n%\r\n"}},
            {"settings/{BAUD,BITS,PARITY,STOP}"}, {{"settings/BAUD", "4800"}, {"settings/PARITY", "E"}},
            {"settings/PARITY"}, 2, ""),
      style("dutch_zero",
            {{"NULPUNT.LST",
              "NULPUNTEN  KOTTERBANK 2\r\n\r\nNR  X           Y           Z\r\n1   -300,500    -122,250    "
              "-410,000\r\n2   0,000       0,000       0,000\r\n3   12,500      -7,250      0,000\r\n"}},
            {"offsets/work/{1,2,3}/{x,y,z}"}, {{"offsets/work/1/y", "-122.25"}}),
      style("codes_and_words",
            {{"OPT.TXT",
              "OPT01 YES   TAPPING\r\nOPT02 NO    HELIX\r\nOPT03 YES   MIRROR\r\nOPT10 NO    PROBE\r\n"}},
            {"settings/{OPT01,OPT02,OPT03,OPT10}/{note,value}"}, {{"settings/OPT02/value", "NO"}},
            {"note", "value"})};
}

std::vector<BackupStyle> styles() {
  return joined({known(), before(), after(), last()});
}

class SurveyStyleSingle : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleSingle, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleSingle, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
