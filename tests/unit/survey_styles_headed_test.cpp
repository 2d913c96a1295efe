// Streams of several tables and programs, whose headings say what is under them: read otherwise before the
// code was written for them.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

const std::string rule = "----------------------------------------\r\n";
const std::string tools =
    " NO    LENGTH       RADIUS       LIFE\r\n 01    +141.250     +008.000       60\r\n"
    " 02    +098.500     +006.250       45\r\n 03    +203.125     +031.500      120\r\n"
    " 04    +077.000     +002.400        9\r\n";
const std::string places =
    "            X            Y            Z\r\n G54   -00311.500   +00042.250   -00190.000\r\n"
    " G55   -00120.125   +00077.000   -00201.500\r\n G56   -00088.000   +00019.750   -00244.625\r\n";
const std::string programs =
    "PART PROGRAMS\r\n" + rule +
    "%\r\n:0012 (RING)\r\nN0010 G90 G21\r\nN0020 T01 M06\r\nN0030 G00 X10. Y-4.5\r\nN0040 G01 Z-3.25 F120\r\n"
    "N0050 M30\r\n:0040 (PLATE)\r\nN0010 G90\r\nN0020 G54 G00 X1.5\r\nN0030 M30\r\n%\r\n";

// A row for each unit, with its columns where those of the tools are, too.
std::string parameters(const std::string& front) {
  std::string rows = rule;
  const std::vector<std::string> units = {"MS", "MM", "",   "MM", "DEG", "MS",
                                          "MM", "",   "MM", "MM", "MS",  "MM"};
  for (std::size_t i = 0; i < units.size(); ++i) {
    rows += front + std::to_string(100 + i * 3) + "   +00" + std::to_string(1204 + i * 37) + "." +
            (i % 2 == 0 ? "000" : "125") + (units[i].empty() ? "" : "  " + units[i]) + "\r\n";
  }
  return rows + "\r\n";
}

const std::string numbers = "{100,103,106,109,112,115,118,121,124,127,130,133}";
const std::string noted = "{100,103,109,112,115,118,124,127,130,133}";

const std::string percent_parts =
    "%PARAMETERS\r\nM0010,4.25\r\nM0011,-310.5\r\nM0012,7\r\n%END\r\n%TOOLS\r\nNO,LENGTH,RADIUS\r\n"
    "1,66.125,8\r\n2,90.5,3.25\r\n%END\r\n";

std::vector<BackupStyle> styles() {
  return {
      style("three_tables_above_programs",
            {{"ALL.CAP", std::string(40, '\0') + "MACHINE DATA LIST   BENCH MILL 4\r\n" + parameters("B0") +
                             "TOOL STORE\r\n" + rule + tools + "\r\nWORK OFFSETS\r\n" + rule + places +
                             "\r\n" + programs}},
            {"parameters/B0" + numbers, "parameters/B0" + noted + "/note",
             "offsets/tool/{1,2,3,4}/{length,radius,life}", "offsets/work/{G54,G55,G56}/{x,y,z}"},
            {{"parameters/B0103", "1241.125"},
             {"parameters/B0112/note", "DEG"},
             {"offsets/tool/3/radius", "31.5"},
             {"offsets/work/G55/z", "-201.5"}},
            {"note"}, 2),
      style("a_heading_over_numbers_as_above",
            {{"ALL.CAP", "BENCH MILL 4    03.05.96  10:41\r\n" + parameters("2") + "TOOL STORE\r\n" + rule +
                             tools + "\r\n" + programs}},
            {"parameters/2" + numbers, "parameters/2" + noted + "/note",
             "offsets/tool/{1,2,3,4}/{length,radius,life}"},
            {{"parameters/2103", "1241.125"}, {"offsets/tool/3/radius", "31.5"}}, {"note"}, 2),
      style("a_heading_that_names_no_group",
            {{"ALL.CAP", "BENCH MILL 4    03.05.96  10:41\r\n" + parameters("B0") + "MAGAZINE\r\n" + rule +
                             tools + "\r\n" + programs}},
            {"parameters/B0" + numbers, "parameters/B0" + noted + "/note",
             "offsets/tool/{1,2,3,4}/{length,radius,life}"},
            {{"parameters/B0103", "1241.125"}, {"offsets/tool/3/radius", "31.5"}}, {"note"}, 2),
      style("programs_between_percent_and_end",
            {{"ALL.SER",
              percent_parts +
                  "%PROGRAMS\r\nO7\r\nN1 G90 G21\r\nN2 T2 M06\r\nN3 G00 X12.5 Y-8.25\r\nN4 G01 Z-2.5 "
                  "F90\r\nN5 M30\r\nO31\r\nN1 G90\r\nN2 G00 X4.75\r\nN3 M30\r\n%END\r\n"}},
            {"parameters/{M0010,M0011,M0012}", "offsets/tool/{1,2}/{length,radius}"},
            {{"parameters/M0011", "-310.5"}, {"offsets/tool/2/length", "90.5"}}, {}, 2),
  };
}

class SurveyStyleHeaded : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleHeaded, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleHeaded, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
