// What the survey makes of programs of a whole backup: their ends, and lists of them. All are invented.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "keepway/survey.hpp"
#include "reader_support.hpp"

namespace keepway {
namespace {

using test::count;
using test::value;

Reading read_as_proposed(const test::Files& files) {
  std::vector<OriginalView> views;
  for (const auto& [name, bytes] : files) views.push_back({name, bytes});
  const Survey found = survey(views, "");
  return test::read(parse_layout(found.layout, "proposed"), files, {found.serial, Units::mm});
}

std::size_t without_end(const test::Files& files) {
  return count(read_as_proposed(files), OddityKind::no_end);
}

TEST(SurveyPrograms, FindsWhatEndsThem) {
  EXPECT_EQ(without_end({{"A.TXT", "O1\nG0 X1.\nM00\nO2\nG0 X2.\nN20 M0\n"}}), 0U);
  EXPECT_EQ(without_end({{"A.MAIN", "G0 X1.\nM30\n"}, {"L1.SUB", "G0 X2.\nRETURN\n"}}), 0U);
  EXPECT_EQ(without_end({{"A.TXT", "O1\nG0 X1.\nO2\nG0 X2.\nO3\nG0 X3.\n"}}), 0U);
}

TEST(SurveyPrograms, DoubtsOneThatIsCutOffAmongWholeOnes) {
  EXPECT_EQ(without_end({{"A.NC", "O1\nG0 X1.\nM30\n"}, {"B.NC", "O2\nG0 X2.\nG1 Y3.\n"}}), 1U);
  EXPECT_EQ(without_end({{"A.NC", "O1\nG0 X1.\nM30\nO2\nG0 X2.\nM8\n"}}), 1U);
  EXPECT_EQ(without_end({{"A.NC", "O1\nG0 X1.\nG1 Y3.\n"}}), 1U) << "nothing tells that one is whole";
}

TEST(SurveyPrograms, TakesTheRemarksOfAllFilesOfOneKind) {
  const Reading reading = read_as_proposed({{"A.NC", "O1\nG0 X1.\nM30\n"},
                                            {"B.NC", "O2\n; rough\nG0 X2. ; slow\nM30\n"},
                                            {"C.NC", "O3\n! x\nM30\n"}});
  EXPECT_EQ(reading.state.programs.size(), 3U);
  for (const ProgramFacts& program : reading.programs) EXPECT_EQ(program.unread, 0U) << program.name;
}

TEST(SurveyPrograms, LeavesOutALoneListOfThem) {
  const test::Files programs = {{"O1.NC", "O1\nG0 X1.\nM30\n"}, {"O2.NC", "O2\nG0 X2.\nM30\n"}};
  test::Files files = programs;
  files.push_back({"DIR.TXT", "NO   SIZE   REMARK\nO0001  18  PLATE\nO0002  18  RING\n"});
  EXPECT_FALSE(read_as_proposed(files).state.table(Group::parameters).has_value());
  // Rows of the same numbers that nothing calls a list are data, and so are those of other numbers.
  files.back() = {"DATA.TXT", "NO   SPEED   NAME\n1  18  PLATE\n2  18  RING\n"};
  EXPECT_EQ(value(read_as_proposed(files), "parameters/1/speed"), "18");
  files.back() = {"LIB.TXT", "TOOL LIBRARY\nNO   LENGTH   NAME\n1  18  MILL\n2  19  DRILL\n"};
  EXPECT_EQ(value(read_as_proposed(files), "offsets/tool/2/length"), "19");
  files.back() = {"DIR.TXT", "NO   SIZE   REMARK\n1  18  PLATE\n7  18  RING\n"};
  EXPECT_EQ(value(read_as_proposed(files), "parameters/7/size"), "18");
}

}  // namespace
}  // namespace keepway
