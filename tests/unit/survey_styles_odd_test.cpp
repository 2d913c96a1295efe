// Styles that were written before the survey could read them: of these 20 it read 4.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

std::vector<BackupStyle> rows_with_labels() {
  return {
      style("semicolons_with_remarks_between",
            {{"BASIS.DAT",
              "; BASE DATA OF GEAR HOBBER 3     SERIAL GH-20884\r\n; --- speeds\r\n"
              "KD4010 ; FEED MAX X ; 12000.0\r\nKD4011 ; FEED MAX Y ; 8000.0\r\n; --- travels\r\n"
              "KD4200 ; LIMIT X PLUS ; 620.5\r\nKD4201 ; LIMIT X MINUS ; -5.25\r\n"}},
            {"parameters/{KD4010,KD4011,KD4200,KD4201}/{name,value}"},
            {{"parameters/KD4010/value", "12000."},
             {"parameters/KD4201/value", "-5.25"},
             {"parameters/KD4200/name", "LIMIT X PLUS"}},
            {"name"}, 0, "GH-20884"),
      style("label_number_colon_and_named_fields",
            {{"CUTTERS.TXT",
              "TOOL 1: LEN=123.456 RAD=6.0\nTOOL 2: LEN=98.02 RAD=4.25\nTOOL 12: LEN=-0.5 RAD=0.0\n"}},
            {"offsets/tool/{1,2,12}/{len,rad}"},
            {{"offsets/tool/1/len", "123.456"}, {"offsets/tool/12/len", "-0.5"}}),
      style("dots_from_names_alone",
            {{"SETTINGS.PRN",
              "SETTINGS\n\nCLEARANCE PLANE ........ 50.0\nDWELL AT BOTTOM ........ 0.25\n"
              "SPINDLE WARM UP ........ 1\nRETRACT ................ -2.5\n"}},
            {"settings/{CLEARANCE PLANE,DWELL AT BOTTOM,SPINDLE WARM UP,RETRACT}"},
            {{"settings/CLEARANCE PLANE", "50."}, {"settings/RETRACT", "-2.5"}}),
      style("two_arrays_in_one_file",
            {{"MACROS.SAV",
              "TALLY_A[1]=0.5\nTALLY_A[2]=-12.25\nTALLY_A[10]=100\nKEEP_B[1]=7\nKEEP_B[3]=0.125\n"}},
            {"variables/TALLY_A[{1,2,10}]", "variables/KEEP_B[{1,3}]"},
            {{"variables/TALLY_A[2]", "-12.25"}, {"variables/KEEP_B[3]", "0.125"}}),
      style("a_number_in_brackets_among_numbers",
            {{"POCKETS.LST",
              "TOOL POCKETS\n 1 [12]  120.500  6.000\n 2 [ 3]   98.000  4.250\n 3 [40]   75.250  0.400\n"}},
            {"offsets/tool/{1,2,3}/{c2,c3,c4}"},
            {{"offsets/tool/2/c2", "3"}, {"offsets/tool/3/c3", "75.25"}}),
      style("r_rows_in_a_table",
            {{"SAVE7.TXT", "R01      12.5000\nR02       0.0000\nR03      -7.2500\nR40     100.0000\n"}},
            {"variables/{R01,R02,R03,R40}"}, {{"variables/R03", "-7.25"}}),
      style("number_name_value_unit_with_single_blanks",
            {{"AXISDATA.REP",
              "AXIS DATA REPORT\n1001 MAX FEED X AXIS 12000 MM/MIN\n1002 MAX FEED Y AXIS 9000 MM/MIN\n"
              "1010 SOFT LIMIT 1 X 620.5 MM\n1011 REVERSAL ERROR -0.004 MM\n"}},
            {"parameters/{1001,1002,1010,1011}/{name,value,unit}"},
            {{"parameters/1010/value", "620.5"},
             {"parameters/1010/name", "SOFT LIMIT 1 X"},
             {"parameters/1011/value", "-0.004"}},
            {"name", "unit"}),
  };
}

std::vector<BackupStyle> records() {
  return {
      style("records_of_several_lines",
            {{"CUTTER.REC",
              "TOOL 1\n  LENGTH   120.500\n  RADIUS     6.000\n  LIFE        45\n"
              "TOOL 2\n  LENGTH    98.020\n  RADIUS     4.250\n  LIFE        60\n"
              "TOOL 31\n  LENGTH    75.000\n  RADIUS     0.400\n  LIFE        15\n"}},
            {"offsets/tool/{1,2,31}/{LENGTH,RADIUS,LIFE}"},
            {{"offsets/tool/31/LENGTH", "75."}, {"offsets/tool/2/LIFE", "60"}}),
      style("two_records_side_by_side",
            {{"PARAM.PRN",
              "PARAMETERS                      SHEET 1\n\n  NO      VALUE     NO      VALUE\n"
              "   1          0     51       1500\n   2         15     52        -40\n"
              "   3     250000     53          0\n   4         -7     54         12\n"}},
            {"parameters/{1,2,3,4,51,52,53,54}"},
            {{"parameters/3", "250000"}, {"parameters/52", "-40"}, {"parameters/54", "12"}}),
      style("three_records_side_by_side_and_a_short_line",
            {{"VARIABLES.LST",
              "VARIABLES\n  1   0.500    2  -1.250    3   0.000\n  4  10.000    5   2.500    6  99.999\n"
              "  7   0.125\n"}},
            {"variables/{1,2,3,4,5,6,7}"},
            {{"variables/2", "-1.25"}, {"variables/6", "99.999"}, {"variables/7", "0.125"}}),
      style("the_same_numbers_for_each_axis",
            {{"SERVO.TXT",
              "AXIS X\n 1  4000\n 2  -12\n 3  250\nAXIS Y\n 1  3000\n 2  8\n 3  500\n"
              "AXIS Z\n 1  2000\n 2  0\n 3  125\n"}},
            {"parameters/axis/{X,Y,Z}/{1,2,3}"},
            {{"parameters/axis/X/2", "-12"}, {"parameters/axis/Z/1", "2000"}}),
  };
}

std::vector<BackupStyle> texts_and_streams() {
  return {
      style("values_with_units_behind_equals",
            {{"limits.cfg",
              "# limits of the planer\nfeed.max = 4000 mm/min\nfeed.min = 5 mm/min\ntable.load = 850 kg\n"
              "door.delay = 2.5 s\n"}},
            {"parameters/{feed.max,feed.min,table.load,door.delay}/{value,unit}"},
            {{"parameters/feed.max/value", "4000"}, {"parameters/door.delay/unit", "s"}}, {"unit"}),
      style("quoted_names_and_commas",
            {{"switches.csv",
              "id,name,state\n1,\"Coolant, flood\",1\n2,\"Coolant, mist\",0\n15,\"Door lock\",1\n"}},
            {"settings/{1,2,15}/{name,state}"},
            {{"settings/1/name", "Coolant, flood"}, {"settings/15/state", "1"}}, {"name"}),
      style("hexadecimal_flags",
            {{"PARAMS.HEX", "PARAMETERS\nNO    FLAGS\n001   0x00\n002   0x1F\n003   0xA0\n120   0x07\n"}},
            {"parameters/{1,2,3,120}"}, {{"parameters/2", "0x1F"}}, {"1", "2", "3", "120"}),
      style("sections_with_numbered_keys",
            {{"MACHINE.INI",
              "[AXIS 1]\r\nP1=4000\r\nP2=0.01\r\n\r\n[AXIS 2]\r\nP1=3000\r\nP2=0.012\r\n\r\n[PANEL]\r\n"
              "LANG=\"DE\"\r\n"}},
            {"settings/{AXIS 1,AXIS 2}/{P1,P2}", "settings/PANEL/LANG"}, {{"settings/AXIS 2/P2", "0.012"}},
            {"settings/PANEL/LANG"}),
      style("polish_in_a_windows_code_page",
            {{"NARZEDZIA.TXT",
              "Narz\xEA"
              "dzia frezarki nr 4\r\nNr | D\xB3ugo\x9C\xE6 | Promie\xF1 | Opis\r\n"
              "1 | 120,50 | 6,00 | Frez g\xB3owicowy\r\n2 | 98,02 | 4,25 | Wiert\xB3o\r\n"
              "3 | 75,00 | 0,40 | Pog\xB3\xEA"
              "biacz\r\n"}},
            {"offsets/tool/{1,2,3}/{dlugosc,promien,opis}"},
            {{"offsets/tool/1/dlugosc", "120.5"}, {"offsets/tool/2/opis", "Wiert\u0142o"}}, {"opis"}),
      style("tables_and_programs_in_one_stream",
            {{"DUMP.ALL",
              "MACHINE: JIG BORER 2   SERIAL: JB-4471   2025-11-03\n\nTOOL OFFSETS\n NO   LENGTH    RADIUS\n"
              "  1  120.500     6.000\n  2   98.020     4.250\n\nPANEL SETTINGS\n NO  VALUE\n"
              "  1      0\n  2      1\n  7   9600\n\nPROGRAMS\nO101 (PLATE)\nG21 G90\nG0 X0. Y0.\nM30\n"
              "O102 (RING)\nG1 X5. F100.\nM30\n"}},
            {"offsets/tool/{1,2}/{length,radius}", "settings/{1,2,7}"},
            {{"offsets/tool/2/radius", "4.25"}, {"settings/7", "9600"}}, {}, 2, "JB-4471"),
      style("words_with_equals",
            {{"ZEROS.OUT", "G54 X=-120.5 Y=-33.25 Z=400.\nG55 X=0. Y=0. Z=-1.5\nG56 X=10. Y=20. Z=30.\n"}},
            {"offsets/work/{G54,G55,G56}/{x,y,z}"},
            {{"offsets/work/G54/x", "-120.5"}, {"offsets/work/G55/z", "-1.5"}}),
      style("names_with_a_colon_and_blanks",
            {{"OPTIONS.TXT",
              "Options of the saw\n==================\nFeed override max : 120\nFeed override min : 0\n"
              "Chip conveyor     : 1\nBeep time         : 2.5\n"}},
            {"settings/{Feed override max,Feed override min,Chip conveyor,Beep time}"},
            {{"settings/Beep time", "2.5"}}),
      style("page_feet_and_right_aligned_numbers",
            {{"CORR.LST",
              "                    CORRECTIONS  LATHE 6\n\n   NO          X           Z      R   Q\n"
              "    1    112.500-     12.000   0.40   3\n    2      0.125     140.250-  0.80   2\n"
              "                                 - 1 -\n\f"
              "                    CORRECTIONS  LATHE 6\n\n   NO          X           Z      R   Q\n"
              "   15      7.000       0.000   1.20   8\n                                 - 2 -\n"}},
            {"offsets/tool/{1,2,15}/{x,z,r,q}"},
            {{"offsets/tool/1/x", "-112.5"}, {"offsets/tool/2/z", "-140.25"}, {"offsets/tool/15/q", "8"}}),
  };
}

// Cut down from whole backups that were read wrongly at first.
std::vector<BackupStyle> whole_backups() {
  return {
      style("sections_with_units_and_remarks",
            {{"machine.par",
              "; saved 12.03.2024 by hand\n[AXIS_X]\nmax = 620.5 mm ; soft limit\nfeed = 12000 mm/min\n"
              "[AXIS_Y]\nmax = 400 mm\nfeed = 9000 mm/min\n"}},
            {"parameters/{AXIS_X,AXIS_Y}/{max,feed}/{value,unit}"},
            {{"parameters/AXIS_X/max/value", "620.5"}, {"parameters/AXIS_Y/feed/unit", "mm/min"}}, {"unit"}),
      style("semicolons_under_remarks_of_another_kind",
            {{"toollist.csv",
              "# TOOL LIST\n# machine: GX-1182\n# date: 2025-02-03\nT;NAME;L;R;STATE\n1;\"MILL "
              "1\";84.264;5.295;OK\n"
              "2;\"MILL 2\";101.633;4.104;WORN\n"}},
            {"offsets/tool/{1,2}/{name,l,r,state}"},
            {{"offsets/tool/2/l", "101.633"}, {"offsets/tool/1/name", "MILL 1"}}, {"name", "state"}),
      style("records_side_by_side_on_pages",
            {{"SET.LST",
              "SETTINGS OF SAW 2                       SHEET 1\n=====================================\n"
              "  1  LIGHT     68    3  DOOR     8873\n  2  BEEP      99    4  PUMP        0\n"
              "SETTINGS OF SAW 2                       SHEET 2\n=====================================\n"
              "  5  CHIPS      1    7  MIST        2\n  6  VICE       3    8  LANG       49\n"}},
            {"settings/{1,2,3,4,5,6,7,8}/{name,value}"},
            {{"settings/3/value", "8873"}, {"settings/8/name", "LANG"}}, {"name"}),
      style("czech_with_a_carriage_return",
            {{"NASTROJE.TXT",
              "Seznam n\xA0stroj\x85   v\xEC"
              "r. \x9F\xA1slo 8841\r\n T   Popis          D\x82lka   Polom\xD8r\r\n 1   Fr\x82za \x9F"
              "eln\xA1   117.226     5.062\r\n 2   Vrt\xA0k          45.500     4.250\r\n"}},
            {"offsets/tool/{1,2}/{popis,delka,polomer}"},
            {{"offsets/tool/1/popis", "Fr\u00e9za \u010deln\u00ed"}}, {"popis"}),
      style("commands_with_quoted_names",
            {{"config.txt", "SET \"SPINDLE MAX\" 4500;\nSET \"COOLANT\" 1;\nSET \"BEEP\" 0.5;\n"}},
            {"settings/{SPINDLE MAX,COOLANT,BEEP}"}, {{"settings/BEEP", "0.5"}}),
      style("labels_with_umlauts",
            {{"BESTAND.TXT",
              "WERKZEUG 1: L\xC4NGE=120,500 RADIUS=6,000\r\nWERKZEUG 2: L\xC4NGE=98,020 RADIUS=4,250\r\n"
              "WERKZEUG 12: L\xC4NGE=-0,500 RADIUS=0,000\r\n"}},
            {"offsets/tool/{1,2,12}/{laenge,radius}"},
            {{"offsets/tool/1/laenge", "120.5"}, {"offsets/tool/12/laenge", "-0.5"}}),
      style("parts_with_umlauts",
            {{"MASCHINE.TXT",
              "GER\xC4T 1\r\n  ST\xC4RKE  4000\r\n  ZEIT   2,5\r\nGER\xC4T 2\r\n  ST\xC4RKE  3000\r\n  ZEIT  "
              " 1,25\r\n"}},
            {"parameters/geraet/{1,2}/{ST\u00c4RKE,ZEIT}"}, {{"parameters/geraet/2/ZEIT", "1.25"}}),
      style("letters_and_a_star", {{"KAREA.DAT", "K001 V8391 *\nK002 V3267 *\nK051 V-12 *\n"}},
            {"parameters/{K1,K2,K51}"}, {{"parameters/K51", "-12"}}),
      style("zero_points_of_several_lines",
            {{"WORK.OUT",
              "WORK COORDINATES\nG54\n  X -180.523\n  Y -153.822\n  Z +3.039\nG55\n  X +0.000\n  Y +0.000\n"
              "  Z +12.500\n"}},
            {"offsets/work/{G54,G55}/{X,Y,Z}"},
            {{"offsets/work/G54/X", "-180.523"}, {"offsets/work/G55/Z", "12.5"}}),
      style("five_values_behind_an_index",
            {{"VAR.DMP",
              "VARIABLES\n0000:     1.0000    -2.5000\n0005:   -12.2500     0.0000\n0010:    99.0000     "
              "7.1250\n"}},
            {"variables/{0,5,10}/{value,c3}"}, {{"variables/5/value", "-12.25"}}),
      style("rows_numbered_with_a_point",
            {{"CONST.PRN", "CONSTANTS\n1.1  50\n1.2  60\n1.9  -4\n1.10  70\n1.20  80\n"}},
            {"parameters/{1.1,1.2,1.9,1.10,1.20}"}, {{"parameters/1.1", "50"}, {"parameters/1.10", "70"}}),
  };
}

std::vector<BackupStyle> styles() {
  return joined({rows_with_labels(), records(), texts_and_streams(), whole_backups()});
}

class SurveyStyleOdd : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleOdd, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleOdd, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
