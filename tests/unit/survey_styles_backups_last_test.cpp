// Whole backups of invented controls, the most mixed ones.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

using namespace std::string_literals;

std::vector<BackupStyle> styles() {
  return {
      style("norwegian_tree",
            {{"fres3/verkt\303\270y.lst",
              "VERKT\235YLISTE   FRES 3   02.11.1999\r\n\r\nPlass  Navn            Lengde    "
              "Radius\r\n-----------------------------------------\r\n   1   Planfres       120,500     "
              "6,000\r\n   2   Bor 8,5         98,020     4,250\r\n   3   (tom)            0,000     "
              "0,000\r\n  12   M\206leprobe       -0,500     0,000\r\n"},
             {"fres3/nullpunkt.lst",
              "NULLPUNKTER   FRES 3   02.11.1999\r\n\r\nNr.         X          Y          "
              "Z\r\n-----------------------------------\r\nG54   -300,500   -122,250   -410,000\r\nG55      "
              "0,000      0,000      0,000\r\n"},
             {"fres3/oppsett.lst",
              "OPPSETT   FRES 3   02.11.1999\r\n\r\nSpr\206k ................. norsk\r\nEnhet "
              "................. mm\r\nHastighet maks ........ 4500\r\nKj\233ling ............... "
              "p\206\r\nLyd ................... av\r\n"},
             {"fres3/PLATE.NC", "(PLATE)\r\nG90 G54\r\nG0 X0 Y0\r\nM30\r\n"},
             {"fres3/RING.NC", "(RING)\r\nG91\r\nG1 X5. F100\r\nM30\r\n"}},
            {"settings/{Enhet,Hastighet maks,Kj\303\270ling,Lyd,Spr\303\245k}",
             "offsets/tool/{1,2,3,12}/{lengde,navn,radius}", "offsets/work/{G54,G55}/{x,y,z}"},
            {{"offsets/tool/12/navn", "M\303\245leprobe"},
             {"settings/Kj\303\270ling", "p\303\245"},
             {"settings/Enhet", "mm"},
             {"offsets/work/G55/z", "0"}},
            {"Enhet", "Kj\303\270ling", "Lyd", "Spr\303\245k", "navn"}, 2, ""),
      style("hand_remarks_units",
            {{"LIMITS.TXT",
              "! Axis limits, planer 2, written by Otto on 1999-03-04\r\n! checked twice\r\n\r\nX plus      "
              "+3000.0 mm\r\nX minus        -5.0 mm\r\nY plus      +1200.0 mm\r\nY minus        -2.5 mm\r\nW "
              "plus       +400.0 mm\r\nRapid       +9000.0 mm/min\r\nWarm up       +10.0 min\r\n"},
             {"HEADS.TXT",
              "! Heads, planer 2\r\n! number, offset X, offset Y, spindle\r\n\r\n1  +0.000   +0.000  "
              "yes\r\n2  +350.125 -0.250  yes\r\n3  +700.500 +0.125  no\r\n"},
             {"JOB1.TXT", "! bed plate\r\nN10 G90 G0 X0\r\nN20 G1 X500. F200\r\nN30 M30\r\n"},
             {"JOB2.TXT", "! column\r\nN10 G91\r\nN20 G1 X5. F200\r\nN30 M30\r\n"}},
            {"parameters/{Rapid,W plus,Warm up,X minus,X plus,Y minus,Y plus}/{unit,value}",
             "offsets/tool/{1,2,3}/{c2,c3,note}"},
            {{"parameters/X minus/value", "-5."},
             {"parameters/Rapid/unit", "mm/min"},
             {"offsets/tool/3/note", "no"}},
            {"unit", "note"}, 2, ""),
      style(
          "axes_in_columns_names_behind",
          {{"MP.LST",
            "MACHINE PARAMETERS          LATHE 8          Date: 97-02-28\r\n\r\n No     X         Z         "
            "C        Name\r\n 20   6000      8000        40       rapid traverse\r\n 21     12        10    "
            "     0       backlash\r\n 22     1         1          0       mirror\r\n 30  -120.5    -340.25  "
            "     0       soft limit minus\r\n 31   250.0     10.0       360       soft limit plus\r\n"},
           {"TOOL.LST",
            "TOOL TABLE                  LATHE 8          Date: 97-02-28\r\n\r\n            Geometry         "
            "      Wear\r\n No     X         Z         X         Z     Tip\r\n  1  -12.500  -120.250   "
            "-0.020     0.015    3\r\n  2   10.000   -98.000    0.000    -0.030    2\r\n  3    0.000     "
            "0.000    0.000     0.000    0\r\n"},
           {"VAR.LST",
            "VARIABLES                   LATHE 8          Date: 97-02-28\r\n\r\n V1  =      12.500    V2  =  "
            "    -0.250    V3  =       0.000\r\n V4  =    4000.000    V5  =       0.000    V6  =       "
            "1.125\r\n"}},
          {"parameters/{20,21,22,30,31}/{c,name,x,z}",
           "offsets/tool/{1,2,3}/{geometry-x,geometry-z,tip,wear-x,wear-z}", "variables/{V1,V2,V3,V4,V5,V6}"},
          {{"parameters/30/z", "-340.25"},
           {"offsets/tool/2/wear-z", "-0.03"},
           {"parameters/22/name", "mirror"},
           {"parameters/20/c", "40"},
           {"variables/V6", "1.125"}},
          {"name"}, 0, ""),
      style("angle_heads_one_file",
            {{"SAVE.ALL",
              "<<SETTINGS>>\nLANG=EN\nUNIT=INCH\nSCREEN=300\n<<OFFSETS>>\n1 4.7450 .5000\n2 3.8590 .3346\n3 "
              "-.0200 .0000\n<<MACROS>>\n#100=12.5\n#101=-.25\n#500=0\n<<PROGRAMS>>\nO100 (PLATE)\nG20 "
              "G90\nG0 X0 Y0\nM30\nO101 (RING)\nM99\n<<END>>\n"}},
            {"settings/{LANG,SCREEN,UNIT}", "offsets/tool/{1,2,3}/{c3,value}", "variables/{100,101,500}"},
            {{"variables/101", "-0.25"},
             {"offsets/tool/3/value", "-0.02"},
             {"settings/LANG", "EN"},
             {"variables/500", "0"}},
            {"settings/LANG", "settings/UNIT"}, 2, ""),
      style("hungarian_pages",
            {{"SZERSZAM.LST",
              "ESZTERGA 2 - SZERSZ\265MKORREKCI\340K                1. "
              "oldal\r\n----------------------------------------------------------\r\nSz.   Hossz (mm)   "
              "Sug\240r (mm)   \220lettartam (perc)\r\n  1     120,500        0,800          90\r\n  2      "
              "98,020        0,400          45\r\n  3      -0,500        0,000           "
              "0\r\n----------------------------------------------------------\r\n                           "
              "                    folytat\242dik\r\n\fESZTERGA 2 - SZERSZ\265MKORREKCI\340K                "
              "2. oldal\r\n----------------------------------------------------------\r\nSz.   Hossz (mm)   "
              "Sug\240r (mm)   \220lettartam (perc)\r\n  4       0,000        0,000           0\r\n  5      "
              "75,250        1,200          "
              "60\r\n----------------------------------------------------------\r\n                          "
              "                     v\202ge\r\n"},
             {"PARAM.LST",
              "ESZTERGA 2 - G\220PPARAM\220TEREK                    1. "
              "oldal\r\n----------------------------------------------------------\r\n100  Gyorsmenet X      "
              "     6000\r\n101  Gyorsmenet Z           8000\r\n110  F\213ors\242 maximum         "
              "3500\r\n111  Holtj\240t\202k X           0,012\r\n112  Holtj\240t\202k Z          "
              "-0,008\r\n----------------------------------------------------------\r\n                      "
              "                         v\202ge\r\n"}},
            {"parameters/{100,101,110,111,112}/{name,value}",
             "offsets/tool/{1,2,3,4,5}/{elettartam-perc,hossz-mm,sugar-mm}"},
            {{"parameters/112/value", "-0.008"},
             {"parameters/110/name", "F\305\221ors\303\263 maximum"},
             {"parameters/100/name", "Gyorsmenet X"},
             {"offsets/tool/5/sugar-mm", "1.2"}},
            {"name"}, 0, ""),
      style("turret_sections",
            {{"OFFSETS.DAT",
              "* OFFSETS OF LATHE 15, 3 MAY 2004\r\n[TURRET A]\r\n1; -12.500; -120.250; 0.8; 3; ROUGH\r\n2; "
              "10.000; -98.000; 0.4; 2; FINISH\r\n3; 0.000; 0.000; 0.0; 0;\r\n[TURRET B]\r\n1; -11.250; "
              "-119.000; 0.8; 3; ROUGH\r\n2; 9.500; -97.125; 0.4; 2; FINISH\r\n3; 0.000; 0.000; 0.0; 0;\r\n"},
             {"CELLS.DAT",
              "* CELLS OF LATHE 15, 3 MAY 2004\r\nR1; 12.5\r\nR2; -0.25\r\nR10; 0\r\nR99; 4000\r\n"},
             {"SHAFT.MAIN", "; shaft 30\r\nG90 G54\r\nT1 M6\r\nG0 X32 Z2\r\nM30\r\n"},
             {"FLANGE.MAIN", "; flange\r\nG90\r\nM30\r\n"}},
            {"offsets/TURRET A/tool/{1,2}/{c2,c3,c4,c5,note}", "offsets/TURRET A/tool/3/{c2,c3,c4,c5}",
             "offsets/TURRET B/tool/{1,2}/{c2,c3,c4,c5,note}", "offsets/TURRET B/tool/3/{c2,c3,c4,c5}",
             "variables/{R1,R2,R10,R99}"},
            {{"variables/R2", "-0.25"}, {"offsets/TURRET A/tool/1/c2", "-12.5"}, {"variables/R99", "4000"}},
            {"note"}, 2, ""),
      style("bits_and_values_one_file",
            {{"P.TAP", "%\nN0001 P00010110\nN0002 P10000000\nN0003 P00000000\nN0010 P11111111\n%\n"},
             {"Q.TAP", "%\nN0100 Q4000\nN0101 Q-12\nN0102 Q0\nN0200 Q9600\n%\n"},
             {"W.TAP", "%\nW1 X-300.5 Y-122.25 Z-410.\nW2 X0. Y0. Z0.\nW3 X12.5 Y-7.25 Z0.\n%\n"},
             {"O.TAP", "%\nO1\nG90\nM30\nO2\nM99\n%\n"}},
            {"parameters/{1,2,3,10,100,101,102,200}", "offsets/work/{W1,W2,W3}/{X,Y,Z}"},
            {{"parameters/1", "00010110"}, {"parameters/101", "-12"}, {"offsets/work/W3/Z", "0"}},
            {"parameters/1", "parameters/2", "parameters/3", "parameters/10"}, 2, ""),
      style("koi8_one_listing",
            {{"PECHAT.TXT",
              "\362\341\363\364\357\376\356\357\352 \363\364\341\356\357\353 3          "
              "\362\341\363\360\345\376\341\364\353\341 \360\341\355\361\364\351          "
              "15.06.1998\r\n\r\n\353\357\362\362\345\353\364\357\362\371\r\n\r\n N     \344\354\351\356\341 "
              "     \362\341\344\351\365\363\r\n 1   180.250       6.000\r\n 2   202.500       4.250\r\n 3   "
              "  0.000       0.000\r\n\r\n\360\341\362\341\355\345\364\362\371\r\n\r\n N     "
              "\372\356\341\376\345\356\351\345\r\n 1         4000\r\n 2          -12\r\n 3            "
              "0\r\n\r\n\360\345\362\345\355\345\356\356\371\345\r\n\r\n R1 = 12.5\r\n R2 = -0.25\r\n R3 = "
              "0\r\n\r\n\353\357\356\345\343\r\n"}},
            {"parameters/{1,2,3}", "offsets/tool/{1,2,3}/{dlina,radius}", "variables/{R1,R2,R3}"},
            {{"variables/R2", "-0.25"},
             {"parameters/2", "-12"},
             {"parameters/1", "4000"},
             {"variables/R3", "0"}},
            {}, 0, ""),
      style("semicolon_quoted",
            {{"GRUND.CSV",
              "\"Nr\";\"Bezeichnung\";\"Wert\";\"Einheit\";\"Stand\"\r\n\"100\";\"Eilgang "
              "X\";\"6000\";\"mm/min\";\"12.03.2005\"\r\n\"101\";\"Eilgang "
              "Z\";\"8000\";\"mm/min\";\"12.03.2005\"\r\n\"110\";\"Umkehrspiel "
              "X\";\"0,008\";\"mm\";\"14.07.2005\"\r\n\"111\";\"Umkehrspiel "
              "Z\";\"-0,004\";\"mm\";\"14.07.2005\"\r\n\"120\";\"K\374hlung\";\"EIN\";\"\";\"12.03."
              "2005\"\r\n\032"},
             {"WKZ.CSV",
              "\"Platz\";\"Name\";\"L (mm)\";\"R (mm)\";\"aktiv\"\r\n\"1\";\"Fr\344ser "
              "12\";\"120,500\";\"6,000\";\"ja\"\r\n\"2\";\"Bohrer "
              "8,5\";\"98,020\";\"4,250\";\"ja\"\r\n\"3\";\"\";\"0,000\";\"0,000\";\"nein\"\r\n\032"}},
            {"parameters/{100,101,110,111}/{bezeichnung,einheit,stand,wert}",
             "parameters/120/{bezeichnung,stand,wert}", "offsets/tool/{1,2}/{aktiv,l-mm,name,r-mm}",
             "offsets/tool/3/{aktiv,l-mm,r-mm}"},
            {{"parameters/111/wert", "-0.004"},
             {"parameters/120/wert", "EIN"},
             {"parameters/100/bezeichnung", "Eilgang X"},
             {"offsets/tool/3/r-mm", "0"}},
            {"bezeichnung", "einheit", "stand", "parameters/120/wert", "aktiv", "name"}, 0, "")};
}

class SurveyStyleBackupsLast : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleBackupsLast, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleBackupsLast, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
