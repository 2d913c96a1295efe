// Lost memory in a machine's first backup, where nothing before can be compared with. All values are
// invented.
#include <gmock/gmock.h>

#include "verdict_support.hpp"

namespace keepway {
namespace {

using namespace testing_verdict;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

// Rows of a table, each with the same value but for the first `others` of them.
Files tables(int rows, const std::string& value, int others = 0) {
  Files files;
  for (int i = 1; i <= rows; ++i) {
    const std::string is = i <= others ? std::to_string(i * 7) + ".5" : value;
    files["M.VAR"] += "#" + std::to_string(300 + i) + "=" + is + "\n";
    files["M.PAR"] += "A" + std::to_string(i) + " V" + is + "\n";
  }
  return files;
}

TEST(MemoryAlone, NothingButZeroesIsDoubtful) {
  const Verdict verdict = Judging{}.alone(tables(20, "0"));
  ASSERT_THAT(heavy(verdict), ElementsAre("memory-lost"));
  EXPECT_THAT(verdict.reasons[0].what, HasSubstr("40 of 40 values are zero"));
  EXPECT_THAT(verdict.reasons[0].remedy, HasSubstr("--accept"));
  Files with_shells = tables(20, "0.000");
  with_shells["ALL.PRG"] = "%\nO1\n%\n";
  EXPECT_THAT(heavy(Judging{}.alone(with_shells)), testing::Contains("memory-lost"));
}

TEST(MemoryAlone, SoIsOneValueEverywhereOrNearlySo) {
  const Verdict same = Judging{}.alone(tables(20, "-9999"));
  ASSERT_THAT(heavy(same), ElementsAre("memory-lost"));
  EXPECT_THAT(same.reasons[0].what, HasSubstr("are -9999"));
  EXPECT_THAT(heavy(Judging{}.alone(tables(20, "0", 1))), ElementsAre("memory-lost")) << "the clock goes on";
}

TEST(MemoryAlone, ANewMachineWithSomeOfItZeroIsGood) {
  EXPECT_THAT(heavy(Judging{}.alone(tables(20, "0", 2))), IsEmpty());
  EXPECT_THAT(heavy(Judging{}.alone(tables(5, "0"))), IsEmpty()) << "too few to tell";
  Files files = tables(20, "0");
  files["M.PAR"] = tables(20, "0", 20)["M.PAR"];
  EXPECT_THAT(heavy(Judging{}.alone(files)), IsEmpty()) << "its parameters are set";
  files.erase("M.PAR");
  files["ALL.PRG"] = "%\nO1\nG1 X1. F5.\nM30\n%\n";
  EXPECT_THAT(heavy(Judging{}.alone(files)), IsEmpty()) << "it has programs, and no parameters to tell";
}

TEST(MemoryAlone, ProgramsBesideParametersOfZeroDoNotHelp) {
  Files files = tables(20, "0");
  files["ALL.PRG"] = "%\nO1\nG1 X1. F5.\nM30\n%\n";
  EXPECT_THAT(heavy(Judging{}.alone(files)), ElementsAre("memory-lost"));
}

TEST(MemoryAlone, ALossThatSomebodyAcceptedIsNothingToJudgeTheNextBy) {
  Judging judging;
  const Verdict again = judging.of(tables(20, "0"), tables(20, "0"));
  EXPECT_THAT(heavy(again), ElementsAre("memory-lost"));
  // A new machine that holds nothing yet is accepted as such.
  ASSERT_EQ(again.present.size(), 1U);
  judging.known = {{"memory-lost", again.present[0].spot, 1, 1, "Ana", again.present[0].what}};
  EXPECT_THAT(heavy(judging.of(tables(20, "0"), tables(20, "0"))), IsEmpty());
  EXPECT_THAT(heavy(judging.of(tables(20, "7"), tables(20, "0"))), IsEmpty());
}

}  // namespace
}  // namespace keepway
