// Git's hooks, called by the real git program. Each refusal is repeated with the hooks out of the way, where
// Git takes the same commit: so it is the hook that refuses.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;
using testing::Not;

const Args someone = {"-c", "user.name=Owner", "-c", "user.email=owner@example.org"};

class HooksTest : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
    intake("mill", mill_files(), 0);
  }

  Ran as_owner(Args words, const Env& env = {}) {
    Args all = someone;
    all.insert(all.end(), words.begin(), words.end());
    return run("git", all, mill(), env);
  }
  std::string head() { return git(mill(), {"rev-parse", "HEAD"}).out; }
  [[nodiscard]] fs::path mill() const { return repository("mill"); }

  void change(const std::string& file, const std::string& was, const std::string& is) {
    write_file(mill() / file, with({{file, read_file(mill() / file)}}, file, was, is).at(file));
  }

  // Stages everything and commits: the hook refuses, and the commit would have gone through without it.
  std::string refused(const Args& commit = {"commit", "-q", "-m", "By hand"}, const Env& env = {}) {
    EXPECT_EQ(as_owner({"add", "-A"}).exit, 0);
    const std::string before = head();
    const Ran ran = as_owner(commit, env);
    EXPECT_NE(ran.exit, 0) << ran.out;
    EXPECT_EQ(head(), before);
    Args free = {"-c", "core.hooksPath=/nonexistent"};
    free.insert(free.end(), commit.begin(), commit.end());
    const Ran without = as_owner(free, env);
    EXPECT_EQ(without.exit, 0) << without.err;
    EXPECT_NE(head(), before) << "Git itself had nothing to commit";
    EXPECT_EQ(as_owner({"reset", "-q", "--hard", before.substr(0, 40)}).exit, 0);
    return ran.err;
  }
};

TEST_F(HooksTest, EnrollPutsThemInPlaceAndTheCommandMakesThemAgain) {
  for (const char* name : {"pre-commit", "commit-msg"}) {
    const fs::path hook = mill() / ".git" / "hooks" / name;
    ASSERT_TRUE(fs::exists(hook)) << name;
    EXPECT_NE(fs::status(hook).permissions() & fs::perms::owner_exec, fs::perms::none) << name;
    const std::string text = read_file(hook);
    fs::remove(hook);
    EXPECT_EQ(kw({"hooks", "mill"}).exit, 0);
    EXPECT_EQ(read_file(hook), text);
  }
  const Json answer = json({"hooks", "mill"}, 0);
  EXPECT_EQ(answer.at("command"), "hooks");
}

TEST_F(HooksTest, AHookOfSomebodyElseIsLeftAlone) {
  const fs::path hook = mill() / ".git" / "hooks" / "pre-commit";
  write_file(hook, "#!/bin/sh\nexit 0\n");
  const Ran ran = kw({"hooks", "mill"});
  EXPECT_EQ(ran.exit, 5);
  EXPECT_THAT(ran.err, HasSubstr("not keepway's"));
  EXPECT_EQ(read_file(hook), "#!/bin/sh\nexit 0\n");
}

TEST_F(HooksTest, HooksThatGitWouldNotFindAreRefused) {
  EXPECT_EQ(git(mill(), {"config", "core.hooksPath", "/elsewhere"}).exit, 0);
  const Ran ran = kw({"hooks", "mill"});
  EXPECT_EQ(ran.exit, 5);
  EXPECT_THAT(ran.err, HasSubstr("core.hooksPath"));
}

TEST_F(HooksTest, AnEditedNamebookAndLayoutPass) {
  write_file(mill() / "namebook.tsv", "address\tname\nvariables/300\tParts made\n");
  change("layout.toml", "title", "# Ours\ntitle");
  EXPECT_EQ(as_owner({"add", "-A"}).exit, 0);
  const Ran ran = as_owner({"commit", "-q", "-m", "Type the namebook"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_EQ(ran.err, "");
}

TEST_F(HooksTest, ANamebookOrLayoutThatCannotBeReadIsRefusedWithItsLine) {
  write_file(mill() / "namebook.tsv", "address\tname\nnowhere/300\tParts made\n");
  EXPECT_THAT(refused(), HasSubstr("namebook.tsv:2"));
  change("layout.toml", "layout = 1", "layout = 1\nunknown = 2");
  EXPECT_THAT(refused(), HasSubstr("layout.toml"));
}

TEST_F(HooksTest, AHandEditOfStateIsRefusedWithBothValues) {
  change("state/variables.tsv", "300\t1.25\n", "300\t1.26\n");
  const std::string said = refused();
  EXPECT_THAT(said, HasSubstr("state/variables.tsv: 300 is '1.26' here, but '1.25' in the originals"));
  EXPECT_THAT(said, HasSubstr("what to do"));
}

TEST_F(HooksTest, StateOutOfItsNormalFormIsRefused) {
  change("state/variables.tsv", "300\t1.25\n301\t-3.5\n", "301\t-3.5\n300\t1.25\n");
  EXPECT_THAT(refused(), HasSubstr("state/variables.tsv:2"));
}

TEST_F(HooksTest, AHandEditOfAProgramIsRefused) {
  const std::string program = "state/programs/O01000.nc";
  ASSERT_TRUE(fs::exists(mill() / program));
  write_file(mill() / program, read_file(mill() / program) + "M0\n");
  EXPECT_THAT(refused(), HasSubstr(program + ": differs from what the originals give"));
  fs::remove(mill() / program);
  EXPECT_THAT(refused(), HasSubstr(program + ": is missing, but the originals give it"));
}

TEST_F(HooksTest, AHandEditOfOriginalsIsRefusedUnlessTheStateFollows) {
  change("originals/mill.var", "300\t1.25\n", "300\t1.26\n");
  EXPECT_THAT(refused(), HasSubstr("300 is '1.25' here, but '1.26' in the originals"));
  change("originals/mill.var", "300\t1.25\n", "300\t1.26\n");
  change("state/variables.tsv", "300\t1.25\n", "300\t1.26\n");
  const Ran ran = as_owner({"commit", "-q", "-a", "-m", "Both by hand"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
}

TEST_F(HooksTest, OnlyFilesOfTheFormAreTaken) {
  write_file(mill() / "notes.txt", "tea at ten\n");
  EXPECT_THAT(refused(), HasSubstr("notes.txt: is not a file of a machine's repository"));
  fs::create_symlink("/etc/hosts", mill() / "originals" / "hosts");
  EXPECT_THAT(refused(), HasSubstr("originals/hosts: must be a plain file"));
  fs::permissions(mill() / "state" / "variables.tsv", fs::perms::owner_exec, fs::perm_options::add);
  EXPECT_THAT(refused(), HasSubstr("state/variables.tsv: must be a plain file"));
  fs::remove(mill() / "machine.toml");
  EXPECT_THAT(refused(), HasSubstr("machine.toml: is missing"));
}

TEST_F(HooksTest, OnlyAttributesOfOursAreTaken) {
  const fs::path file = mill() / ".gitattributes";
  const std::string ours = read_file(file);
  for (const std::string& text : Args{ours + "/originals/** ident\n", "/originals/** filter=other\n"}) {
    write_file(file, text);
    const std::string said = refused();
    EXPECT_THAT(said, HasSubstr(".gitattributes: is not as keepway writes it"));
    EXPECT_THAT(said, HasSubstr("would make Git change originals on checkout"));
  }
  const auto passes = [&] {
    EXPECT_EQ(as_owner({"add", "-A"}).exit, 0);
    const Ran ran = as_owner({"commit", "-q", "-m", "By hand"});
    EXPECT_EQ(ran.exit, 0) << ran.err;
  };
  write_file(file, "* -text\n");  // as it was before there were drivers
  passes();
  fs::remove(file);
  passes();
  write_file(file, ours);
  passes();
}

TEST_F(HooksTest, HostileNamesAreRefusedWithoutReachingTheTerminal) {
  const std::string name = "state/\x1b[31mred\n\xff.tsv";
  write_file(mill() / name, "1\t2\n");
  const std::string said = refused();
  EXPECT_THAT(said, HasSubstr("is not a file of a machine's repository"));
  EXPECT_THAT(said, Not(HasSubstr("\x1b")));
  EXPECT_THAT(said, Not(HasSubstr("\xff")));
}

TEST_F(HooksTest, HostileNamesOffAControlAreNotInTheWay) {
  Tree files = mill_files();
  files["-rf \"$(touch hit)\" `touch hit`.txt"] = "a note\n";
  files["new\nline\x1b[31m\xff.txt"] = "a note\n";
  intake("mill", files, 0);
  write_file(mill() / "namebook.tsv", "address\tname\nvariables/300\tParts made\n");
  EXPECT_EQ(as_owner({"add", "-A"}).exit, 0);
  const Ran ran = as_owner({"commit", "-q", "-m", "Type the namebook"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_FALSE(fs::exists(mill() / "hit"));
  change("state/variables.tsv", "300\t1.25\n", "300\t1.26\n");
  EXPECT_THAT(refused(), HasSubstr("300 is '1.26' here"));
}

TEST_F(HooksTest, AnAmendedMessageKeepsTheTrailersOfItsBackup) {
  const auto trailers = [&] { return git(mill(), {"log", "-1", "--format=%(trailers:only,unfold)"}).out; };
  const std::string before = trailers();
  ASSERT_THAT(before, HasSubstr("Keepway-Digest"));
  const std::string was = head();
  // Without the hook the trailers go: so it is the hook that keeps them.
  EXPECT_EQ(as_owner({"-c", "core.hooksPath=/nonexistent", "commit", "--amend", "-q", "-m", "Better"}).exit,
            0);
  EXPECT_EQ(trailers().find("Keepway-"), std::string::npos);
  EXPECT_EQ(as_owner({"reset", "-q", "--hard", was.substr(0, 40)}).exit, 0);

  const Ran ran =
      as_owner({"commit", "--amend", "-q", "-m", "Better words", "-m", "Signed-off-by: Ana <a@b>"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_EQ(git(mill(), {"log", "-1", "--format=%s"}).out, "Better words\n");
  EXPECT_THAT(trailers(), HasSubstr("Signed-off-by: Ana <a@b>"));
  for (const std::string& line : lines_of(before)) {
    EXPECT_THAT(trailers(), HasSubstr(line));
  }
  EXPECT_EQ(json({"history", "mill"}, 0).at("backups").size(), 1U);
}

TEST_F(HooksTest, AnAmendThatChangesABackupsOriginalsIsRefused) {
  change("originals/mill.var", "300\t1.25\n", "300\t1.26\n");
  change("state/variables.tsv", "300\t1.25\n", "300\t1.26\n");
  EXPECT_THAT(refused({"commit", "--amend", "-q", "-m", "Slip it in"}),
              HasSubstr("what came off the machine"));
}

TEST_F(HooksTest, ALawfulCommitAfterAKeptTrialPasses) {
  ASSERT_EQ(kw({"trial", "mill", "begin", "warm-up"}).exit, 0);
  intake("mill", with(mill_files(), "mill.ini", "fastest = 200", "fastest = 180"), 0);
  ASSERT_EQ(kw({"trial", "mill", "keep", "warm-up"}).exit, 0);
  ASSERT_TRUE(fs::exists(mill() / "state" / "carried.tsv"));
  write_file(mill() / "namebook.tsv", "address\tname\nvariables/300\tParts made\n");
  EXPECT_EQ(as_owner({"add", "-A"}).exit, 0);
  const Ran ran = as_owner({"commit", "-q", "-m", "Type the namebook"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  // What is carried must be as its carrier has it.
  const std::string carried = read_file(mill() / "state" / "carried.tsv");
  write_file(mill() / "state" / "carried.tsv",
             carried.substr(0, carried.find('\t') + 1) + std::string(40, '1') + "\n");
  EXPECT_THAT(refused(), HasSubstr("state/carried.tsv: names 1111"));
  fs::remove(mill() / "state" / "carried.tsv");
  EXPECT_THAT(refused(), HasSubstr("in the originals"));
}

// A shop in a folder, and a program, with blanks and quotes in their names.
// Git makes a repository with the branch that its configuration says.
TEST_F(HooksTest, HeadOfAServerNamesTheLineThatIsPushed) {
  const fs::path hub = root() / "hub.git";
  ASSERT_EQ(git(root(), {"init", "-q", "--bare", "--initial-branch=trunk", hub.string()}).exit, 0);
  ASSERT_EQ(kw({"hooks", "--server", hub.string()}).exit, 0);
  EXPECT_EQ(git(hub, {"symbolic-ref", "HEAD"}).out, "refs/heads/main\n");
  ASSERT_EQ(git(mill(), {"push", "-q", hub.string(), "main"}).exit, 0);
  ASSERT_EQ(git(root(), {"clone", "-q", hub.string(), (root() / "copy").string()}).exit, 0);
  EXPECT_TRUE(fs::exists(root() / "copy" / "machine.toml"));
  // A branch that is there is somebody's choice.
  ASSERT_EQ(git(hub, {"branch", "trunk", "main"}).exit, 0);
  ASSERT_EQ(git(hub, {"symbolic-ref", "HEAD", "refs/heads/trunk"}).exit, 0);
  ASSERT_EQ(kw({"hooks", "--server", hub.string()}).exit, 0);
  EXPECT_EQ(git(hub, {"symbolic-ref", "HEAD"}).out, "refs/heads/trunk\n");
}

class HookProgramTest : public HooksTest {
 protected:
  void SetUp() override {
    HooksTest::SetUp();
    fs::create_directories(root() / "bin of Ana's");
    fs::copy_file(KEEPWAY_PROGRAM, program());
    const fs::path there = root() / "Ana's \"shop\" $HOME";
    EXPECT_EQ(run(program().string(), {"init", there.string()}, root()).exit, 0);
    EXPECT_EQ(
        run(program().string(), {"enroll", "mill", "--layout", "rs274ngc", "--units", "inch"}, there).exit,
        0);
    write_tree(root() / "a backup", mill_files());
    EXPECT_EQ(run(program().string(), {"intake", "mill", (root() / "a backup").string()}, there).exit, 0);
    mill_ = there / "mill";
  }
  [[nodiscard]] fs::path program() const { return root() / "bin of Ana's" / "keepway"; }
  Ran commit(const Env& env = {}) {
    Args all = someone;
    for (const char* word : {"commit", "-q", "-a", "-m", "By hand"}) all.emplace_back(word);
    return run("git", all, mill_, env);
  }
  void edit_state() {
    const std::string file = "state/variables.tsv";
    write_file(mill_ / file,
               with({{file, read_file(mill_ / file)}}, file, "300\t1.25\n", "300\t1.26\n").at(file));
  }
  fs::path mill_;
};

TEST_F(HookProgramTest, BlanksAndQuotesInPathsDoNotMatter) {
  edit_state();
  const Ran ran = commit();
  EXPECT_EQ(ran.exit, 1);
  EXPECT_THAT(ran.err, HasSubstr("300 is '1.26' here, but '1.25' in the originals"));
}

TEST_F(HookProgramTest, TheProgramOnThePathComesFirst) {
  fs::create_directories(root() / "path first");
  fs::rename(program(), root() / "path first" / "keepway");
  edit_state();
  const Ran ran = commit({{"PATH", (root() / "path first").string() + ":" + std::getenv("PATH")}});
  EXPECT_EQ(ran.exit, 1);
  EXPECT_THAT(ran.err, HasSubstr("300 is '1.26' here"));
}

TEST_F(HookProgramTest, WithoutTheProgramAnEditOfStateIsRefusedAndAnyOtherPassesWithAWord) {
  fs::remove(program());
  edit_state();
  const Ran refused = commit();
  EXPECT_EQ(refused.exit, 1);
  EXPECT_THAT(refused.err, HasSubstr("keepway: the program keepway was not found"));
  EXPECT_THAT(refused.err, HasSubstr("what to do: put keepway on the PATH"));
  EXPECT_EQ(git(mill_, {"restore", "state"}).exit, 0);
  write_file(mill_ / "layout.toml", read_file(mill_ / "layout.toml") + "# ours\n");
  const Ran passed = commit();
  EXPECT_EQ(passed.exit, 0) << passed.err;
  EXPECT_THAT(passed.err, HasSubstr("this commit is not checked"));
}

TEST_F(HooksTest, AnIntakeWaitsForWhatGitHasHalfDone) {
  const auto edit = [&](const std::string& text) {
    write_file(mill() / "namebook.tsv", "address\tname\nvariables/300\t" + text + "\n");
    ASSERT_EQ(as_owner({"commit", "-q", "-a", "-m", text}).exit, 0);
  };
  edit("Parts");
  ASSERT_EQ(as_owner({"branch", "other"}).exit, 0);
  edit("Parts made");
  ASSERT_EQ(as_owner({"checkout", "-q", "other"}).exit, 0);
  edit("Parts counted");
  ASSERT_EQ(as_owner({"checkout", "-q", "main"}).exit, 0);
  const Tree files = with(mill_files(), "mill.var", "300\t1.25", "300\t1.5");
  const auto waits = [&](const std::string& way_out) {
    const std::string before = refs(mill());
    const Ran ran = kw({"intake", "mill", put(files).string()});
    EXPECT_EQ(ran.exit, 5) << ran.out << ran.err;
    EXPECT_THAT(ran.err, HasSubstr(way_out));
    EXPECT_EQ(refs(mill()), before);
  };
  EXPECT_NE(as_owner({"merge", "-q", "other"}).exit, 0);
  waits("git merge --abort");
  ASSERT_EQ(as_owner({"merge", "--abort"}).exit, 0);
  EXPECT_NE(as_owner({"rebase", "-q", "other"}).exit, 0);
  waits("git rebase --abort");
  ASSERT_EQ(as_owner({"rebase", "--abort"}).exit, 0);
  EXPECT_NE(as_owner({"cherry-pick", "other"}).exit, 0);
  waits("git cherry-pick --abort");
  ASSERT_EQ(as_owner({"cherry-pick", "--abort"}).exit, 0);
  intake("mill", files, 0);
}

}  // namespace
}  // namespace scenario
