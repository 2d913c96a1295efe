// Block numbers that a program names: GOTO, M99 P, P and Q, M98 with N (common practice, no source). Programs
// are invented.
#include <gmock/gmock.h>

#include "keepway/compare.hpp"
#include "keepway/confirm.hpp"

namespace keepway {
namespace {

using testing::Contains;
using testing::HasSubstr;

ProgramChangeKind kind(const std::string& before, const std::string& after) {
  const auto change = compare_programs(before, after);
  EXPECT_TRUE(change);
  return change ? change->kind : ProgramChangeKind::added;
}

State with(std::vector<Program> programs) {
  State state;
  state.programs = std::move(programs);
  return state;
}

const std::string jump = "O1\nN10 G0 X1\nN20 G0 X2\nGOTO 20\nM30\n";

TEST(References, NumbersThatNobodyNamesMayChange) {
  EXPECT_EQ(kind("O1\nN10 X1\nN20 X2\nM30\n", "O1\nN20 X1\nN10 X2\nM30\n"), ProgramChangeKind::renumbered);
}

TEST(References, ANumberThatCameToAnotherBlockIsAChange) {
  const std::string swapped = "O1\nN20 G0 X1\nN10 G0 X2\nGOTO 20\nM30\n";
  const auto change = compare_programs(jump, swapped);
  ASSERT_TRUE(change);
  EXPECT_EQ(change->kind, ProgramChangeKind::changed);
  ASSERT_EQ(change->blocks.size(), 1U);
  EXPECT_EQ(change->blocks[0].after, std::vector<std::string>{"GOTO 20"});
  EXPECT_THAT(change->blocks[0].meaning, Contains(HasSubstr("N20 is another block now")));
  EXPECT_FALSE(confirm(with({{"O1", jump}}), with({{"O1", swapped}}), Namebook()).full_match);
}

TEST(References, ANumberThatItsJumpFollowsIsRenumbered) {
  const std::string after = "O1\nN100 G0 X1\nN200 G0 X2\nGOTO 200\nM30\n";
  EXPECT_EQ(kind(jump, after), ProgramChangeKind::renumbered);
  EXPECT_TRUE(confirm(with({{"O1", jump}}), with({{"O1", after}}), Namebook()).full_match);
}

TEST(References, AJumpLeftBehindIsAChange) {
  EXPECT_EQ(kind(jump, "O1\nN100 G0 X1\nN200 G0 X2\nGOTO 20\nM30\n"), ProgramChangeKind::changed);
  EXPECT_EQ(kind(jump, "O1\nN10 G0 X1\nN20 G0 X2\nGOTO 10\nM30\n"), ProgramChangeKind::changed);
}

TEST(References, ANumberAloneNamesTheNextBlock) {
  EXPECT_EQ(kind("N10 X1\nN20\nX2\nGOTO 20\n", "N10 X1\nN30\nX2\nGOTO 30\n"), ProgramChangeKind::renumbered);
  EXPECT_EQ(kind("N10 X1\nN20\nX2\nGOTO 20\n", "N20 X1\nN10\nX2\nGOTO 20\n"), ProgramChangeKind::changed);
}

TEST(References, AContourAndAReturnAreFollowed) {
  const std::string contour = "G171 P20 Q30\nN20 X1\nX2\nN30 X3\nM30\n";
  EXPECT_EQ(kind(contour, "G171 P40 Q50\nN40 X1\nX2\nN50 X3\nM30\n"), ProgramChangeKind::renumbered);
  EXPECT_EQ(kind(contour, "G171 P20 Q30\nN20 X1\nN30 X2\nX3\nM30\n"), ProgramChangeKind::changed);
  EXPECT_EQ(kind("N10 X1\nN20 X2\nP20 M99\n", "N20 X1\nN10 X2\nP20 M99\n"), ProgramChangeKind::changed);
  EXPECT_EQ(kind("N10 X1\nN20 X2\nG4 P20\n", "N20 X1\nN10 X2\nG4 P20\n"),
            ProgramChangeKind::renumbered);  // a dwell
}

TEST(References, AJumpThatIsWorkedOutMayLeadAnywhere) {
  EXPECT_EQ(kind("N10 X1\nGOTO #1\n", "N20 X1\nGOTO #1\n"), ProgramChangeKind::changed);
  EXPECT_FALSE(compare_programs("N10 X1\nGOTO #1\n", "N10 X1\nGOTO #1\n"));
}

TEST(References, AChangeOfTheBlockNamedIsShownOnce) {
  const auto change = compare_programs(jump, "O1\nN10 G0 X1\nN20 G0 X3\nGOTO 20\nM30\n");
  ASSERT_TRUE(change);
  ASSERT_EQ(change->blocks.size(), 1U);
  EXPECT_EQ(change->blocks[0].after, std::vector<std::string>{"N20 G0 X3"});
}

TEST(References, OtherProgramsNameBlocksToo) {
  const std::string called = "O7\nN10 X1\nN30 X2\nM99\n";
  const std::string moved = "O7\nN30 X1\nN10 X2\nM99\n";
  const std::string call = "O1\nP7 M98 N30\nM30\n";
  const auto one =
      compare(with({{"O1", call}, {"O7", called}}), with({{"O1", call}, {"O7", moved}})).programs;
  ASSERT_EQ(one.size(), 1U);
  EXPECT_EQ(one[0].kind, ProgramChangeKind::changed);
  ASSERT_EQ(one[0].blocks.size(), 1U);
  EXPECT_EQ(one[0].blocks[0].meaning.size(), 1U);
  const std::string renumbered = "O7\nN15 X1\nN30 X2\nM99\n";
  EXPECT_EQ(compare(with({{"O1", call}, {"O7", called}}), with({{"O1", call}, {"O7", renumbered}}))
                .programs[0]
                .kind,
            ProgramChangeKind::renumbered);
  const std::string back = "O9\nX5\nP30 M99\n";  // to the block N30 of whichever program called
  EXPECT_EQ(
      compare(with({{"O7", called}, {"O9", back}}), with({{"O7", moved}, {"O9", back}})).programs[0].kind,
      ProgramChangeKind::changed);
}

}  // namespace
}  // namespace keepway
