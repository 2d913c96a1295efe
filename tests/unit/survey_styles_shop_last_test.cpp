// Files of a small shop that were written last: 3 of 8 were read at once. The survey was then corrected.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

std::vector<BackupStyle> former() {
  return {
      style(
          "dutch_pages_with_comma_and_word_values",
          {{"GEREED.LST",
            "GEREEDSCHAPPEN   FREESBANK 3                BLAD 1\r\n\r\nNR    LENGTE     DIAM    "
            "STAND\r\n----------------------------------\r\n 1   120,500   12,000       90\r\n 2    98,020   "
            " 8,500       45\r\n 3     0,000    0,000        0\r\n\fGEREEDSCHAPPEN   FREESBANK 3             "
            "   BLAD 2\r\n\r\nNR    LENGTE     DIAM    STAND\r\n----------------------------------\r\n 4    "
            "75,250   10,000        5\r\n 5    -0,500    0,000        0\r\n"},
           {"INSTEL.LST",
            "INSTELLINGEN   FREESBANK 3                  BLAD 1\r\n\r\nTAAL ................ NL\r\nEENHEID "
            "............. MM\r\nBAUDRATE ............ 2400\r\nKOELING ............. AUTO\r\nPIEPER "
            ".............. 1\r\n"}},
          {"offsets/tool/{1,2,3,4,5}/{lengte,diam,stand}", "settings/{TAAL,EENHEID,BAUDRATE,KOELING,PIEPER}"},
          {{"settings/KOELING", "AUTO"}, {"offsets/tool/5/lengte", "-0.5"}}, {"TAAL", "EENHEID", "KOELING"},
          0, ""),
      style("tape_of_remarks_between_marks",
            {{"ALL.TAP",
              "%\n(ZERO POINTS)\nG54 X-300.500 Y-122.250 Z-410.000\nG55 X-100.000 Y-122.250 "
              "Z-410.000\n%\n(TOOLS)\nT1 L120.500 R6.000\nT2 L98.020 R4.250\nT12 L-0.500 "
              "R0.000\n%\n(VARIABLES)\n#100=12.5\n#101=-0.25\n%\n(JOBS)\nO0010 (PLATE)\nG0 X0. "
              "Y0.\nM30\nO0011\nG1 X5. F100.\nM30\n%\n"}},
            {"offsets/work/{G54,G55}/{X,Y,Z}", "offsets/tool/{1,2,12}/{L,R}", "variables/{100,101}"},
            {{"offsets/tool/12/L", "-0.5"}}, {}, 2, ""),
      style(
          "semicolon_csv_german_per_group",
          {{"Nullpunkte.csv",
            "Nullpunkt;X [mm];Y [mm];Z [mm]\r\nG54;-300,500;-122,250;-410,000\r\nG55;0,000;0,000;0,000\r\n"},
           {"Parameter.csv",
            "Nummer;Wert;Bedeutung\r\n1000;4000;Eilgang X\r\n1001;4000;Eilgang "
            "Y\r\n1002;EIN;K\xfchlung\r\n1003;-0,012;Spiel X\r\n"},
           {"Werkzeuge.csv",
            "Platz;Name;L\xe4nge;Radius\r\n1;Fr\xe4ser;120,500;6,000\r\n2;Bohrer;98,020;4,250\r\n3;;0,000;0,"
            "000\r\n"}},
          {"offsets/tool/{1,2}/{name,laenge,radius}", "offsets/tool/3/{laenge,radius}",
           "offsets/work/{G54,G55}/{x-mm,y-mm,z-mm}", "parameters/{1000,1001,1002,1003}/{wert,bedeutung}"},
          {{"parameters/1002/wert", "EIN"}, {"parameters/1003/wert", "-0.012"}},
          {"name", "bedeutung", "parameters/1002/wert"}, 0, ""),
      style(
          "values_with_units_behind",
          {{"LIMITS.TXT",
            "AXIS LIMITS AND FEEDS\n\nX travel plus    620.5 mm\nX travel minus   -5.25 mm\nX rapid          "
            "12000 mm/min\nY travel plus    400.0 mm\nY rapid          12000 mm/min\nSpindle max      4500 "
            "rpm\n"},
           {"TOOLS.TXT",
            "Tool   Length      Diam       Life\n   1   120.500 mm  12.000 mm  90 min\n   2    98.020 mm   "
            "8.500 mm  45 min\n   3    75.250 mm  10.000 mm   0 min\n"}},
          {"parameters/{X travel plus,X travel minus,X rapid,Y travel plus,Y rapid,Spindle max}/{value,unit}",
           "offsets/tool/{1,2,3}/{length,length-unit,diam,diam-unit,life,life-unit}"},
          {{"parameters/X travel minus/value", "-5.25"}, {"offsets/tool/2/diam", "8.5"}},
          {"unit", "length-unit", "diam-unit", "life-unit"}, 0, "")};
}

std::vector<BackupStyle> latter() {
  return {style("wide_table_with_two_line_heading",
                {{"OFFSETS.PRN",
                  "OFFSET TABLE   LATHE 7\r\n\r\n         GEOMETRY              WEAR\r\n NO      X         Z "
                  "       X       Z     R\r\n  1   -12.500  -120.250  -0.020   0.015  0.8\r\n  2    10.000   "
                  "-98.000   0.000  -0.030  0.4\r\n  3     0.000     0.000   0.000   0.000  0.0\r\n"}},
                {"offsets/tool/{1,2,3}/{geometry-x,geometry-z,wear-x,wear-z,r}"},
                {{"offsets/tool/1/wear-x", "-0.02"}, {"offsets/tool/2/geometry-z", "-98."}}, {}, 0, ""),
          style("data_statements_with_line_numbers",
                {{"VARS.TXT", "N10 R1=12.5\nN20 R2=-0.25\nN30 R10=0\nN40 R11=4000\n"},
                 {"TOOLS.TXT", "N10 T1 L120.5 R6\nN20 T2 L98.02 R4.25\nN30 T12 L-0.5 R0\n"}},
                {"variables/{R1,R2,R10,R11}", "offsets/tool/{1,2,12}/{L,R}"},
                {{"variables/R2", "-0.25"}, {"offsets/tool/12/L", "-0.5"}}, {}, 0, ""),
          style("hand_kept_list_with_dashes",
                {{"NOTES.TXT",
                  "Mill 6 - settings copied from the screen, 3 May\n\nspindle max - 4500\nspindle min - "
                  "60\nbacklash X - 0.012\nbacklash Y - 0.010\nlanguage - English\n"},
                 {"ZERO.TXT",
                  "Mill 6 - zero points\n\nG54: X -300.500, Y -122.250, Z -410.000\nG55: X 0.000, Y 0.000, Z "
                  "0.000\n"}},
                {"settings/{spindle max,spindle min,backlash X,backlash Y,language}",
                 "offsets/work/{G54,G55}/{x,y,z}"},
                {{"settings/language", "English"}, {"offsets/work/G54/z", "-410."}}, {"language"}, 0, "")};
}

std::vector<BackupStyle> styles() {
  return joined({former(), latter()});
}

class SurveyStyleShopLast : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleShopLast, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleShopLast, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
