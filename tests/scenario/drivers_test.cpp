// Git's own tools with keepway's drivers: names in diff and log, merges by item. The same merge without the
// drivers is what Git alone makes of it.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;
using testing::Not;

class DriversTest : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_lathe();
    intake("lathe", lathe_files(), 0);
  }
  [[nodiscard]] fs::path lathe() const { return repository("lathe"); }
  Ran as_owner(Args words, const Env& env = {}) {
    Args all = {"-c", "user.name=Owner", "-c", "user.email=owner@example.org"};
    all.insert(all.end(), words.begin(), words.end());
    return run("git", all, lathe(), env);
  }
  // Two branches, each with a backup of its own.
  // `ours_exit`: 1 where the change of ours is one to look at before cutting.
  void branches(const Tree& ours, const Tree& theirs, int ours_exit = 0) {
    ASSERT_EQ(as_owner({"checkout", "-q", "-b", "theirs"}).exit, 0);
    intake("lathe", theirs, 0);
    ASSERT_EQ(as_owner({"checkout", "-q", "-b", "ours", "theirs~1"}).exit, 0);
    intake("lathe", ours, ours_exit);
  }
  std::string file(const std::string& path) { return read_file(lathe() / path); }
};

const char* const work_a = "G10 L2 P1 X-4.25 Z0.5";

TEST_F(DriversTest, DiffSpeaksInNames) {
  intake("lathe", with(lathe_files(), "OFFSETS.TXT", work_a, "G10 L2 P1 X-4.26 Z0.5"), 0);
  const Ran ran = git(lathe(), {"diff", "HEAD~1", "HEAD", "--", "state"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("offsets/work/G54/X"));
  EXPECT_THAT(ran.out, HasSubstr("Work G54 X"));
  EXPECT_THAT(ran.out, HasSubstr("-0.01 in"));
  EXPECT_THAT(ran.out, Not(HasSubstr("@@"))) << "a table is explained, not shown as text";
}

TEST_F(DriversTest, LogSpeaksInNames) {
  intake("lathe", with(lathe_files(), "PARAM.TXT", "12,5", "12,1"), 1);
  const Ran ran = git(lathe(), {"log", "-p", "-1", "--", "state/parameters.tsv"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("\n-parameters/12\tSafety switches\t"));
  EXPECT_THAT(ran.out, HasSubstr("\n+parameters/12\tSafety switches\t"));
}

TEST_F(DriversTest, NeighbouringRowsMergeWhereGitAloneConflicts) {
  branches(with(lathe_files(), "VARIABLE.TXT", "#300=12", "#300=13"),
           with(lathe_files(), "VARIABLE.TXT", "#301=0.25", "#301=0.5"));
  // Without keepway's driver the tables clash: rows next to each other are one hunk.
  const fs::path copy = root() / "plain";
  ASSERT_EQ(git(root(), {"clone", "-q", lathe().string(), copy.string()}).exit, 0);
  const Ran alone = run("git", {"-c", "user.name=o", "-c", "user.email=o@o", "merge", "origin/theirs"}, copy);
  EXPECT_EQ(alone.exit, 1);
  EXPECT_THAT(alone.out, HasSubstr("Merge conflict in state/variables.tsv"));

  const Ran ran = as_owner({"merge", "-q", "-m", "Both", "theirs"});
  EXPECT_EQ(ran.exit, 0) << ran.out << ran.err;
  EXPECT_EQ(file("state/variables.tsv"), "300\t13\n301\t0.5\n302\t-1.5\n");
  EXPECT_THAT(file("originals/VARIABLE.TXT"), HasSubstr("#301=0.25")) << "originals are never put together";
  EXPECT_THAT(file("originals/VARIABLE.TXT"), HasSubstr("#300=13"));
}

TEST_F(DriversTest, AClashIsAConflictThatGitReports) {
  branches(with(lathe_files(), "VARIABLE.TXT", "#300=12", "#300=13"),
           with(with(lathe_files(), "VARIABLE.TXT", "#300=12", "#300=14"), "VARIABLE.TXT", "#302=-1.5",
                "#302=-2.5"));
  const Ran ran = as_owner({"merge", "-m", "Both", "theirs"});
  EXPECT_EQ(ran.exit, 1);
  EXPECT_THAT(ran.out, HasSubstr("Merge conflict in state/variables.tsv"));
  EXPECT_EQ(file("state/variables.tsv"),
            "<<<<<<< ours\n300\t13\n||||||| base\n300\t12\n=======\n300\t14\n>>>>>>> "
            "theirs\n301\t0.25\n302\t-2.5\n");
  EXPECT_THAT(git(lathe(), {"status", "--porcelain"}).out, HasSubstr("UU state/variables.tsv"));

  // What is no side of the clash is refused by the hook; either side is taken.
  write_file(lathe() / "state/variables.tsv", "300\t15\n301\t0.25\n302\t-2.5\n");
  ASSERT_EQ(as_owner({"add", "-A"}).exit, 0);
  const Ran refused = as_owner({"commit", "-q", "-m", "Both"});
  EXPECT_EQ(refused.exit, 1);
  EXPECT_THAT(refused.err, HasSubstr("300 is '15' here"));
  write_file(lathe() / "state/variables.tsv", "300\t14\n301\t0.25\n302\t-2.5\n");
  ASSERT_EQ(as_owner({"add", "-A"}).exit, 0);
  const Ran taken = as_owner({"commit", "-q", "-m", "Both"});
  EXPECT_EQ(taken.exit, 0) << taken.err;
}

TEST_F(DriversTest, ProgramsMergeWholeOrNotAtAll) {
  branches(with(lathe_files(), "ALL.PRG", "G1 X.8 F.004", "G1 X.9 F.004"),
           with(lathe_files(), "ALL.PRG", "M99\nO701", "M9\nM99\nO701"));
  const Ran ran = as_owner({"merge", "-m", "Both", "theirs"});
  EXPECT_EQ(ran.exit, 1) << "lines of two programs put together would be a program that nobody ran";
  EXPECT_THAT(ran.out, HasSubstr("Merge conflict in state/programs/O00200.nc"));
  EXPECT_EQ(as_owner({"merge", "--abort"}).exit, 0);
}

TEST_F(DriversTest, AHandEditThatNoReaderTakesIsShownAsGitWould) {
  write_file(lathe() / "state/variables.tsv", "no row at all\n");
  const Ran ran = git(lathe(), {"diff"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("+no row at all"));
  EXPECT_EQ(git(lathe(), {"checkout", "-q", "."}).exit, 0);
}

TEST_F(DriversTest, WithoutTheProgramGitShowsAndMergesByItself) {
  fs::create_directories(root() / "a bin");
  fs::copy_file(KEEPWAY_PROGRAM, root() / "a bin" / "keepway");
  ASSERT_EQ(run((root() / "a bin" / "keepway").string(), {"hooks", "lathe"}, shop()).exit, 0);
  fs::remove(root() / "a bin" / "keepway");
  branches(with(lathe_files(), "PARAM.TXT", "12,5", "12,1"), with(lathe_files(), "PARAM.TXT", "22,7", "22,9"),
           1);
  const Ran diff = git(lathe(), {"diff", "HEAD~1", "HEAD", "--", "state"});
  EXPECT_EQ(diff.exit, 0) << diff.err;
  EXPECT_THAT(diff.out, HasSubstr("+12\t1"));
  const Ran log = git(lathe(), {"log", "-p", "-1", "--", "state"});
  EXPECT_THAT(log.out, HasSubstr("+12\t1"));
  const Ran merge = as_owner({"merge", "-m", "Both", "theirs"});
  EXPECT_EQ(merge.exit, 1) << "originals are never put together";
  EXPECT_THAT(merge.out, HasSubstr("Merge conflict in originals/PARAM.TXT"));
  EXPECT_THAT(merge.out, Not(HasSubstr("Merge conflict in state")));
  EXPECT_THAT(file("state/parameters.tsv"), HasSubstr("12\t1\n"));
  EXPECT_THAT(file("state/parameters.tsv"), HasSubstr("22\t9\n"));
  EXPECT_EQ(as_owner({"merge", "--abort"}).exit, 0);
}

TEST_F(DriversTest, HostileTextReachesNoTerminal) {
  Tree files = lathe_files();
  files["CONTROL.CFG"] = "[PORT]\nspeed = \x1b[31m9600\n";
  const Ran taken = kw({"intake", "lathe", put(files).string(), "--at", "2020-06-01"});
  ASSERT_LE(taken.exit, 1) << taken.err;  // good or doubtful, but stored
  for (const Args& args :
       {Args{"diff", "HEAD~1", "HEAD", "--", "state"}, Args{"log", "-p", "-1", "--", "state"}}) {
    const Ran ran = git(lathe(), args);
    EXPECT_EQ(ran.exit, 0) << ran.err;
    EXPECT_THAT(ran.out, Not(HasSubstr("\x1b[31m")));
  }
}

}  // namespace
}  // namespace scenario
