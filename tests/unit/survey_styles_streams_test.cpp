// Streams and lists whose parts, ends and names are written in ways of their own: read otherwise before the
// code was written for them.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

const std::string two_programs =
    "N10 G90 G21\r\nN20 T01 M06\r\nN30 G00 X12.5 Y-4.25\r\nN40 G01 Z-2. F120\r\nN50 M30\r\n";

std::vector<BackupStyle> styles() {
  return {
      style("a_letter_twice_in_a_row",
            {{"ORIGINS.LST",
              "ZERO OFFSETS\r\nZ1 X+0430.023 Y-0424.056 Z-0251.236\r\nZ2 X-0776.499 Y+0475.580 Z+0098.063\r\n"
              "Z3 X+0456.251 Y+0620.319 Z-0318.018\r\n"}},
            {"offsets/work/{Z1,Z2,Z3}/{x,y,z}"},
            {{"offsets/work/Z1/x", "430.023"}, {"offsets/work/Z3/z", "-318.018"}}),
      style("a_machine_called_like_a_group",
            {{"PARAM.771",
              "SAW PANEL-9   SERIAL 771   1989-09-27 11:05\r\n\r\nBIT PARAMETERS\r\nNO.   76543210\r\n"
              "000   01110110\r\n001   10101001\r\n002   00101101\r\n\r\nNUMERIC PARAMETERS\r\n"
              "NO.      VALUE\r\n100     40.819\r\n101    429.824\r\n104        240\r\n"}},
            {"parameters/{0,1,2,100,101,104}"}, {{"parameters/0", "01110110"}, {"parameters/101", "429.824"}},
            {"parameters/0", "parameters/1", "parameters/2"}, 0, "771"),
      style("numbered_programs_under_their_heading",
            {{"PUNCH.DMP",
              "*** MACHINE DATA ***\r\nR000=+869.80 R001=+052.00\r\nR002=-112.01 R003=+665.66\r\n"
              "*** PROGRAMS ***\r\nPROGRAM 1\r\n" +
                  two_programs + "PROGRAM 2\r\n" + two_programs + "PROGRAM 35\r\n" + two_programs +
                  "*** END ***\r\n\x03"}},
            {"parameters/{R0,R1,R2,R3}"}, {{"parameters/R2", "-112.01"}}, {}, 3),
      style("a_rule_above_programs",
            {{"TODO.DAT",
              "PARAMETROS DE MAQUINA\r\n=========\r\nNUM   VALOR\r\n001     12500\r\n"
              "002   563.334\r\n\r\nDECALAJES DE ORIGEN\r\n=========\r\nNUM         X          Y\r\n"
              "001    287.626   -207.276\r\n002    296.111   -255.932\r\n\r\nPROGRAMAS\r\n=========\r\n"
              "%1\r\n" +
                  two_programs + "%2\r\n" + two_programs}},
            {"parameters/{1,2}", "offsets/work/{1,2}/{x,y}"},
            {{"parameters/2", "563.334"}, {"offsets/work/2/y", "-255.932"}}, {}, 2),
      style("lines_that_end_with_a_star",
            {{"ALL.OUT",
              "$PARAMETERS*\r\nP0001:114*\r\nP0002:6.9585*\r\nP0008:-1600*\r\n$TOOLS*\r\n"
              "T01:L2.4943:R0.5307*\r\nT02:L1.2754:R0.4458*\r\n$WORK OFFSETS*\r\n"
              "W1:X0.5022:Y-11.9783*\r\nW2:X-5.3172:Y5.9833*\r\n$PROGRAMS*\r\nO0015*\r\n"
              "N005G90G20*\r\nN010T08M06*\r\nN015G00X-6.5Y7.25*\r\nN020M30*\r\nO0016*\r\n"
              "N005G90*\r\nN010G01Z-0.5F9.*\r\nN015M30*\r\n$END*\r\n"}},
            {"parameters/{P0001,P0002,P0008}", "offsets/tool/{T01,T02}/{l,r}", "offsets/work/{W1,W2}/{x,y}"},
            {{"parameters/P0008", "-1600"},
             {"offsets/tool/T02/l", "1.2754"},
             {"offsets/work/W1/y", "-11.9783"}},
            {}, 2),
      style(
          "programs_between_begin_and_end",
          {{"PROG.LST", "BEGIN 005 GUIDE BLOCK\r\n" + two_programs + "END 005\r\nBEGIN 006 CLAMP JAW\r\n" +
                            two_programs + "END 006\r\nBEGIN 050 FLANGE\r\n" + two_programs + "END 050\r\n"}},
          {}, {}, {}, 3),
      style("numbers_in_brackets_and_names_with_blanks",
            {{"TOOLS.LST",
              "PLANER TOOLS\r\n\r\n[01]  L=   5.6936  D=  3.2383\r\n[02]  L=  16.6248  D=  3.2438\r\n"
              "[12]  L=   4.6532  D=  0.6360\r\n"}},
            {"offsets/tool/{1,2,12}/{l,d}"},
            {{"offsets/tool/2/l", "16.6248"}, {"offsets/tool/12/d", "0.636"}}),
      style("keys_of_two_letters",
            {{"PARAM.DAT", "PM001  =           1\r\nPM002  =      71.617\r\nPM017  =       21200\r\n"}},
            {"parameters/{PM1,PM2,PM17}"}, {{"parameters/PM2", "71.617"}}),
      style("labels_behind_names_of_words",
            {{"DRIVES.PAR",
              "SPINDLE DRIVE MAX 4500 MIN 50 GAIN 1.25\r\nFEED DRIVE X MAX 6000 MIN 1 GAIN 30\r\n"
              "COOLANT PUMP MAX 1 MIN 0 GAIN 0\r\n"}},
            {"parameters/{SPINDLE DRIVE,FEED DRIVE X,COOLANT PUMP}/{max,min,gain}"},
            {{"parameters/FEED DRIVE X/max", "6000"}, {"parameters/SPINDLE DRIVE/gain", "1.25"}}),
      style("labels_behind_an_axis",
            {{"AXES.PAR",
              "AXIS X GAIN 30 BACKLASH 0.012\r\nAXIS Y GAIN 28 BACKLASH 0.010\r\n"
              "AXIS Z GAIN 32 BACKLASH 0.015\r\n"}},
            {"parameters/{X,Y,Z}/{gain,backlash}"}, {{"parameters/Y/backlash", "0.01"}}),
      style(
          "a_heading_without_a_part_between_parts",
          {{"PARAM.LST",
            "PLANER PARAMETERS\r\n\r\nAXIS X\r\n  101     7.2867\r\n  102          1\r\n  103     48.5\r\n"
            "\r\nAXIS W\r\n  101     6.5608\r\n  102          3\r\n  103         12\r\n\r\nSPINDLE\r\n"
            "  301     14100\r\n  302    3.9825\r\n  303         0\r\n"}},
          {"parameters/axis-x/{101,102,103}", "parameters/axis-w/{101,102,103}", "parameters/{301,302,303}"},
          {{"parameters/axis-w/101", "6.5608"}, {"parameters/302", "3.9825"}}),
      style("a_time_above_codes_and_colons", {{"PAR.TXT", "TIME 09:42\r\nP1:4000\r\nP2:-12\r\nP3:7\r\n"}},
            {"parameters/{P1,P2,P3}"}, {{"parameters/P2", "-12"}}),
      style("a_time_above_codes_and_flags",
            {{"PAR.TXT", "SHIFT2 06:10\r\nA001 1F\r\nA002 07\r\nA003 2C\r\n"}},
            {"parameters/{A001,A002,A003}"}, {{"parameters/A002", "07"}}, {"A001", "A002", "A003"}),
  };
}

class SurveyStyleStreams : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleStreams, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleStreams, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
