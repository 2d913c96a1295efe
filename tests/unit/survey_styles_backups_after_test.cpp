// Whole backups of invented controls, more of them: each form beside others that it could be taken for.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

using namespace std::string_literals;

std::vector<BackupStyle> styles() {
  return {
      style("swedish_all_in_one",
            {{"UTSKRIFT.LST",
              "SVARV 4   MINNESUTSKRIFT   1996-05-14 "
              "08:12\r\n\r\nVERKTYGSKORRIGERING\r\n-------------------\r\n        GEOMETRI                "
              "SLITAGE\r\nNR      X          Z          X          Z        R\r\n 1    -12,500   -120,250    "
              " -0,020     0,015    0,8\r\n 2     10,000    -98,000      0,000    -0,030    0,4\r\n 3      "
              "0,000      0,000      0,000     0,000    0,0\r\n 4     22,125    -88,750      0,010     0,000 "
              "   1,2\r\n\r\nNOLLPUNKTER\r\n-----------\r\n          X          Z\r\nG54     0,000    "
              "152,350\r\nG55     0,000    -12,500\r\nG56    10,250      "
              "0,000\r\n\r\nMASKINPARAMETRAR\r\n----------------\r\n 101  St\224rsta varvtal        4500\r\n "
              "102  Minsta varvtal           60\r\n 103  Snabbmatning X         6000\r\n 104  Kylv\204tska "
              "fr\206n            1\r\n\r\nSLUT\r\n"}},
            {"parameters/{101,102,103,104}/{name,value}",
             "offsets/tool/{1,2,3,4}/{geometri-x,geometri-z,r,slitage-x,slitage-z}",
             "offsets/work/{G54,G55,G56}/{x,z}"},
            {{"parameters/101/name", "St\303\266rsta varvtal"},
             {"offsets/work/G54/z", "152.35"},
             {"offsets/work/G56/z", "0"}},
            {"name"}, 0, ""),
      style(
          "tape_remarks_hash",
          {{"PUNCH.TXT",
            "\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000%\r\r\n(MACRO VALUES, MILL 5)\r\r\n#1=+000012.5000\r\r\n#2=\r\r\n#3=-000000.2500\r\r\n#100=+000000.0000\r\r\n#101=\r\r\n#500=+004000.0000\r\r\n%\r\r\n(TOOL LENGTHS, MILL 5)\r\r\nH01 Z+0120.500\r\r\nH02 Z+0098.020\r\r\nH03 Z-0000.500\r\r\n%\r\r\n(PROGRAMS, MILL 5)\r\r\nO0010(BORE)\r\r\nN10G90G54\r\r\nN20G81X0Y0Z-5.R2.F80\r\r\nN30G80\r\r\nN40M30\r\r\nO0011(TAP)\r\r\nN10G91\r\r\nN20M99\r\r\n%\r\r\n\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000"s}},
          {"offsets/tool-H/{1,2,3}", "variables/{1,3,100,500}"},
          {{"variables/3", "-0.25"}, {"offsets/tool-H/1", "120.5"}, {"variables/500", "4000."}}, {}, 2, ""),
      style("polish_ini",
            {{"NASTAWY.INI",
              "; Frezarka 6, zapis 12.04.2003\r\n[O\234 X]\r\nZakres=620,5 ; mm\r\nLuz=0,012 ; "
              "mm\r\nPosuw=12000\r\n[O\234 Y]\r\nZakres=400,0 ; mm\r\nLuz=0,010 ; "
              "mm\r\nPosuw=12000\r\n[Wrzeciono]\r\nObroty=4500\r\nCh\263odzenie=TAK\r\n"},
             {"NARZ.CSV",
              "Nr;Nazwa;D\263ugo\234\346;\214rednica;Ostrza\r\n1;G\263owica "
              "63;120,500;63,000;5\r\n2;Wiert\263o 8,5;98,020;8,500;2\r\n3;;0,000;0,000;0\r\n"},
             {"ZERA.CSV", "Baza;X;Y;Z\r\nG54;-300,500;-122,250;-410,000\r\nG55;0,000;0,000;0,000\r\n"},
             {"100.NC", "%\r\nO100 (P\243YTA)\r\nG90\r\nM30\r\n%\r\n"}},
            {"settings/{O\305\233 X,O\305\233 Y}/{Luz,Posuw,Zakres}",
             "settings/Wrzeciono/{Ch\305\202odzenie,Obroty}",
             "offsets/tool/{1,2}/{dlugosc,nazwa,ostrza,srednica}", "offsets/tool/3/{dlugosc,ostrza,srednica}",
             "offsets/work/{G54,G55}/{x,y,z}"},
            {{"offsets/tool/2/nazwa", "Wiert\305\202o 8,5"},
             {"settings/O\305\233 X/Luz", "0.012"},
             {"offsets/work/G55/z", "0"}},
            {"nazwa", "settings/Wrzeciono/Chłodzenie"}, 1, ""),
      style("russian_1251",
            {{"\321\201\321\202\320\260\320\275\320\276\320\272.txt",
              "; \321\362\340\355\356\352 17, "
              "\357\340\360\340\354\345\362\360\373\r\n\361\352\356\360\356\361\362\374_\354\340\352\361 = "
              "4500\r\n\361\352\356\360\356\361\362\374_\354\350\355 = 60\r\n\365\356\344_X = "
              "620,5\r\n\365\356\344_Y = 400,0\r\n\377\347\373\352 = \360\363\361\361\352\350\351\r\n"},
             {"\320\270\320\275\321\201\321\202\321\200\321\203\320\274\320\265\320\275\321\202.txt",
              "| \271 | \304\353\350\355\340   | \320\340\344\350\363\361 | \315\340\347\342\340\355\350\345 "
              "  |\r\n|---|---------|--------|------------|\r\n| 1 | 120,500 |  6,000 | \324\360\345\347\340 "
              "     |\r\n| 2 |  98,020 |  4,250 | \321\342\345\360\353\356 8,5 |\r\n| 3 |  -0,500 |  0,000 | "
              "\331\363\357        |\r\n"}},
            {"parameters/"
             "{\321\201\320\272\320\276\321\200\320\276\321\201\321\202\321\214_"
             "\320\274\320\260\320\272\321\201,"
             "\321\201\320\272\320\276\321\200\320\276\321\201\321\202\321\214_\320\274\320\270\320\275,"
             "\321\205\320\276\320\264_X,\321\205\320\276\320\264_Y,\321\217\320\267\321\213\320\272}",
             "offsets/tool/{1,2,3}/{dlina,nazvanie,radius}"},
            {{"parameters/\321\217\320\267\321\213\320\272",
              "\321\200\321\203\321\201\321\201\320\272\320\270\320\271"},
             {"offsets/tool/2/nazvanie", "\320\241\320\262\320\265\321\200\320\273\320\276 8,5"},
             {"parameters/"
              "\321\201\320\272\320\276\321\200\320\276\321\201\321\202\321\214_"
              "\320\274\320\260\320\272\321\201",
              "4500"},
             {"offsets/tool/3/radius", "0"}},
            {"nazvanie", "parameters/язык"}, 0, ""),
      style("bits_pages",
            {{"PARBIT.PRN",
              "BIT PARAMETERS  GRINDER 12            PAGE 1 OF 2\r\n\r\nNO.    76543210    MEANING\r\n0001   "
              "00010110    punch code\r\n0002   10000000    reader on\r\n0003   00000000    spare\r\n0010   "
              "01010101    axis direction\r\n                    -- continued --\r\n\fBIT PARAMETERS  "
              "GRINDER 12            PAGE 2 OF 2\r\n\r\nNO.    76543210    MEANING\r\n0011   00000001    "
              "lamp test\r\n0012   11111111    all on\r\n0013   00010000    door\r\n                    -- "
              "end --\r\n"},
             {"PARVAL.PRN",
              "VALUE PARAMETERS  GRINDER 12          PAGE 1 OF 1\r\n\r\nNO.         VALUE    MEANING\r\n0100 "
              "        4000    rapid X\r\n0101         3000    rapid Z\r\n0110       -0.012    backlash "
              "X\r\n0111        0.008    backlash Z\r\n                    -- end --\r\n"},
             {"WHEELS.PRN",
              "WHEEL OFFSETS  GRINDER 12             PAGE 1 OF 1\r\n\r\nWHEEL         X           Z       "
              "DIAMETER\r\n  1       -0.0150      0.0200     400.000\r\n  2        0.0000      0.0000     "
              "350.000\r\n                    -- end --\r\n"}},
            {"parameters/{1,2,3,10,11,12,13}/{name,value}", "parameters/{100,101,110,111}/{meaning,value}",
             "offsets/tool/{1,2}/{diameter,x,z}"},
            {{"parameters/110/value", "-0.012"},
             {"parameters/1/name", "punch code"},
             {"offsets/tool/2/z", "0"}},
            {"name", "parameters/1/value", "parameters/2/value", "parameters/3/value", "parameters/10/value",
             "parameters/11/value", "parameters/12/value", "parameters/13/value", "meaning"},
            0, ""),
      style("numbered_files",
            {{"1.TXT",
              "G54 X-300.500 Y-122.250 Z-410.000\nG55 X0.000 Y0.000 Z0.000\nG59 X1.000 Y2.000 Z3.000\n"},
             {"2.TXT", "T1 H120.500 D6.000\nT2 H98.020 D4.250\nT12 H-0.500 D0.000\n"},
             {"3.TXT", "#100 = 12.5\n#101 = \n#102 = -0.25\n"},
             {"4.TXT", "P1 = 4000\nP2 = -12\nP3 = 0\nP100 = 1\n"},
             {"5.TXT", "%\nO1 (A)\nG90\nM30\nO2 (B)\nM99\n%\n"}},
            {"parameters/{P1,P2,P3,P100}", "offsets/tool/{1,2,12}/{D,H}",
             "offsets/work/{G54,G55,G59}/{X,Y,Z}", "variables/{100,102}"},
            {{"parameters/P2", "-12"}, {"parameters/P1", "4000"}, {"variables/102", "-0.25"}}, {}, 2, ""),
      style(
          "csv_magazine",
          {{"magazine.csv",
            "# magazine of cell 4\n# exported "
            "2009-11-02T06:40\npocket,tool_id,tool_name,length_mm,radius_mm,length_wear,radius_wear,life_min,"
            "used_min,locked\n1,1001,\"FACE MILL, 63\",120.500,31.500,0.010,-0.005,90,12,no\n2,1002,\"DRILL "
            "8.5\",98.020,4.250,0.000,0.000,45,44,no\n3,,,,,,,,,no\n4,2040,\"TAP "
            "M8\",110.250,4.000,0.000,0.000,30,31,yes\n"},
           {"zero.csv",
            "# zero points of cell "
            "4\npallet,system,x,y,z,b\n1,G54,-300.500,-122.250,-410.000,0.000\n1,G55,-100.000,-122.250,-410."
            "000,90.000\n2,G54,-299.980,-122.180,-409.950,0.000\n2,G55,-99.500,-122.180,-409.950,90.000\n"},
           {"options.csv",
            "# options of cell 4\noption,state\nrigid tapping,on\ntool life,on\nprobe,off\nhigh "
            "speed,off\n"}},
          {"settings/{high speed,probe,rigid tapping,tool life}",
           "offsets/tool/{1,2,4}/"
           "{length-mm,length-wear,life-min,locked,radius-mm,radius-wear,tool-id,tool-name,used-min}",
           "offsets/tool/3/locked", "offsets/work/1/{G54,G55}/{b,x,y,z}",
           "offsets/work/2/{G54,G55}/{b,x,y,z}"},
          {{"settings/probe", "off"},
           {"offsets/tool/1/tool-name", "FACE MILL, 63"},
           {"settings/high speed", "off"},
           {"offsets/work/2/G55/z", "-409.95"}},
          {"high speed", "probe", "rigid tapping", "tool life", "locked", "tool-name"}, 0, ""),
      style("three_across_signs_behind",
            {{"VARIABLE.LST",
              "VARIABLEN                 FRAESE 9             SEITE 1\r\n\r\n NR      WERT     *  NR      "
              "WERT     *  NR      WERT\r\n 100      12,500  *  110       0,250- *  120       0,000\r\n 101  "
              "     0,000  *  111      99,999  *  121       7,000-\r\n 102       1,125- *  112       0,000  "
              "*  122    4000,000\r\n 103       0,000  *  113       0,500  *  123       0,000\r\n"},
             {"WERKZ.LST",
              "WERKZEUGE                 FRAESE 9             SEITE 1\r\n\r\n NR    LAENGE      RADIUS    "
              "STAND  BEMERKUNG\r\n  1    120,500      6,000       90  FRAESER 12\r\n  2     98,020      "
              "4,250       45  BOHRER\r\n  3      0,500-     0,000        0  TASTER\r\n  4      0,000      "
              "0,000        0\r\n"}},
            {"offsets/tool/{1,2,3}/{bemerkung,laenge,radius,stand}", "offsets/tool/4/{laenge,radius,stand}",
             "variables/{100,101,102,103,110,111,112,113,120,121,122,123}"},
            {{"variables/102", "-1.125"},
             {"offsets/tool/3/laenge", "-0.5"},
             {"offsets/tool/1/bemerkung", "FRAESER 12"},
             {"variables/123", "0"}},
            {"bemerkung"}, 0, ""),
      style(
          "colon_setup_and_named",
          {{"PROGS.TXT",
            "%\r\n<FLANSCH-80>\r\nG90 G54\r\nT1 M6\r\nG0 X0 Y0\r\nCALL "
            "BOHRBILD\r\nM30\r\n<BOHRBILD>\r\nG91\r\nG81 X10. Y0 Z-5. R2. F80\r\nG80\r\nM99\r\n%\r\n"},
           {"EINRICHT.TXT",
            "Einrichteblatt Fr\344se 3, M\374ller, 4.7.2011\r\n\r\nSprache: Deutsch\r\nEinheit: "
            "mm\r\nDrehzahl max: 4500\r\nDrehzahl min: 60\r\nVorschub max: 5000\r\nK\374hlung: EIN\r\nLampe: "
            "AUS\r\n"},
           {"NULLPKT.TXT",
            "Nullpunkte Fr\344se 3, M\374ller, 4.7.2011\r\n\r\nPlatte 1 (G54): X = -300,500  Y = -122,250  Z "
            "= -410,000\r\nPlatte 2 (G55): X = 0,000  Y = 0,000  Z = 0,000\r\n"}},
          {"settings/{Drehzahl max,Drehzahl min,Einheit,K\303\274hlung,Lampe,Sprache,Vorschub max}",
           "offsets/work/{1,2}/{name,x,y,z}"},
          {{"settings/K\303\274hlung", "EIN"}, {"settings/Drehzahl max", "4500"}, {"offsets/work/2/z", "0"}},
          {"Einheit", "K\303\274hlung", "Lampe", "Sprache", "name"}, 2, ""),
      style("hex_and_packed",
            {{"SYS.PAR", ":SYS PARAMETERS PRESS 2\nP00=1F\nP01=00\nP02=A0\nP03=07\nP04=FF\n:CHECKSUM 3C1A\n"},
             {"OFS.PAR", "A01X+0012500Z-0040125\nA02X+0010000Z-0038000\nA12X-0000250Z+0000000\n"}},
            {"parameters/{P0,P1,P2,P3,P4}", "offsets/{A1,A2,A12}/{X,Z}"},
            {{"parameters/P1", "00"}, {"parameters/P0", "1F"}, {"offsets/A12/Z", "0"}},
            {"P0", "P1", "P2", "P3", "P4"}, 0, ""),
      style("axis_files_tabs",
            {{"AXIS_X.TXT",
              "PARAMETER\tVALUE\tUNIT\r\nMAX_FEED\t12000\tmm/"
              "min\r\nMAX_TRAVEL\t620.5\tmm\r\nMIN_TRAVEL\t-5.25\tmm\r\nREFERENCE\tSWITCH\t\r\n"},
             {"AXIS_Y.TXT",
              "PARAMETER\tVALUE\tUNIT\r\nMAX_FEED\t12000\tmm/"
              "min\r\nMAX_TRAVEL\t400.0\tmm\r\nMIN_TRAVEL\t-2.5\tmm\r\nREFERENCE\tMARK\t\r\n"},
             {"SPINDLE.TXT",
              "PARAMETER\tVALUE\tUNIT\r\nMAX_SPEED\t4500\trpm\r\nMIN_SPEED\t60\trpm\r\nCOOLANT\tFLOOD\t\r\n"},
             {"TURRET.TXT",
              "STATION\tTOOL\tX\tZ\tRADIUS\r\n1\tROUGH\t-12.5\t-120.25\t0.8\r\n2\tFINISH\t10\t-98\t0."
              "4\r\n3\t\t0\t0\t0\r\n"}},
            {"parameters/COOLANT/value", "parameters/{MAX_SPEED,MIN_SPEED}/{unit,value}",
             "parameters/axis-x/{MAX_FEED,MAX_TRAVEL,MIN_TRAVEL}/{unit,value}",
             "parameters/axis-x/REFERENCE/value",
             "parameters/axis-y/{MAX_FEED,MAX_TRAVEL,MIN_TRAVEL}/{unit,value}",
             "parameters/axis-y/REFERENCE/value", "offsets/tool/{1,2}/{radius,tool,x,z}",
             "offsets/tool/3/{radius,x,z}"},
            {{"parameters/axis-y/REFERENCE/value", "MARK"},
             {"parameters/COOLANT/value", "FLOOD"},
             {"offsets/tool/3/z", "0"}},
            {"parameters/COOLANT/value", "parameters/axis-x/REFERENCE/value",
             "parameters/axis-y/REFERENCE/value", "unit", "tool"},
            0, ""),
      style("hob_listing",
            {{"HOB6.LST",
              "HOB 6   CONSTANTS   97/06/11 13:05   "
              "P.01\r\n----------------------------------------------------------\r\nK001 TEETH MAX          "
              "  +00250\r\nK002 MODULE MAX           +00008\r\nK003 FEED LIMIT           +01200\r\nK010 "
              "BACKLASH             -00012\r\n\fHOB 6   CONSTANTS   97/06/12 13:05   "
              "P.02\r\n----------------------------------------------------------\r\nK011 HEAD SWIVEL        "
              "  +00030\r\nK012 CLAMP TIME           +00002\r\n                             6 "
              "CONSTANTS\r\n\fHOB 6   POSITIONS   97/06/13 13:05   "
              "P.03\r\n----------------------------------------------------------\r\n        X          Y    "
              "      Z          A\r\n01  +0012.500  -0040.125  +0000.000  +000.000\r\n02  +0010.000  "
              "-0038.000  +0001.500  +090.000\r\n03  -0000.250  +0000.000  +0000.000  +180.000\r\n           "
              "                  3 POSITIONS\r\n"},
             {"P7.HOB", "%\r\nP7\r\nN1 G90\r\nN2 G1 X5. F100.\r\nN3 M30\r\n%\r\n"}},
            {"parameters/{1,2,3}/{a,x,y,z}", "parameters/{K001,K002,K003,K010,K011,K012}/{name,value}"},
            {{"parameters/K010/value", "-12"}, {"parameters/1/a", "0"}, {"parameters/K012/value", "2"}},
            {"name"}, 1, "")};
}

class SurveyStyleBackupsAfter : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleBackupsAfter, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleBackupsAfter, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
