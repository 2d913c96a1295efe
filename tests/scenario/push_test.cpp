// A shop's server: a bare clone with keepway's pre-receive hook, pushed to by the real git program. Each
// refusal is repeated with the hook out of the way, where Git takes the same push.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

class PushTest : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
    intake("mill", mill_files(), 0);
    ASSERT_EQ(git(root(), {"clone", "-q", "--bare", mill().string(), server().string()}).exit, 0);
    ASSERT_EQ(keepway({"hooks", "--server", server().string()}, root()).exit, 0);
  }
  [[nodiscard]] fs::path mill() const { return repository("mill"); }
  [[nodiscard]] fs::path server() const { return root() / "our server" / "mill.git"; }
  [[nodiscard]] fs::path hook() const { return server() / "hooks" / "pre-receive"; }

  Ran as_owner(Args words) {
    Args all = {"-c", "user.name=Owner", "-c", "user.email=owner@example.org"};
    all.insert(all.end(), words.begin(), words.end());
    return git(mill(), all);
  }
  Ran push(Args what) {
    what.insert(what.begin(), {"push", "-q", server().string()});
    return git(mill(), what);
  }
  std::string there() { return git(server(), {"for-each-ref"}).out; }

  // Commits what is staged past the hooks of this side.
  void commit_all(const std::string& message) {
    ASSERT_EQ(as_owner({"add", "-A"}).exit, 0);
    ASSERT_EQ(as_owner({"commit", "-q", "--no-verify", "-m", message}).exit, 0);
  }
  void change(const std::string& file, const std::string& was, const std::string& is) {
    write_file(mill() / file, with({{file, read_file(mill() / file)}}, file, was, is).at(file));
  }

  // Commits one blob of zeros, small in a pack, under so many names that all of them are 520 MiB.
  void commit_zeros(const std::string& before, const std::string& after) {
    constexpr std::size_t blob_bytes = 8U << 20U;
    constexpr int names = 65;
    write_file(root() / "zeros", std::string(blob_bytes, '\0'));
    const Ran hashed = git(mill(), {"hash-object", "-w", "--no-filters", (root() / "zeros").string()});
    ASSERT_EQ(hashed.exit, 0) << hashed.err;
    const std::string id = lines_of(hashed.out).at(0);
    Args add = {"update-index", "--add"};
    for (int i = 0; i < names; ++i) {
      add.emplace_back("--cacheinfo");
      add.push_back(fmt::format("100644,{},{}{}{}", id, before, 2000 + i, after));
    }
    const Ran added = git(mill(), add);
    ASSERT_EQ(added.exit, 0) << added.err;
    ASSERT_EQ(as_owner({"commit", "-q", "--no-verify", "-m", "Zeros"}).exit, 0);
  }

  std::string refused(const Args& what) {
    const std::string before = there();
    const Ran ran = push(what);
    EXPECT_NE(ran.exit, 0) << ran.out;
    EXPECT_EQ(there(), before);
    fs::rename(hook(), root() / "hook");
    const Ran without = push(what);
    EXPECT_EQ(without.exit, 0) << without.err;
    EXPECT_NE(there(), before) << "Git itself had nothing to push";
    fs::rename(root() / "hook", hook());
    return ran.err;
  }
  void passes(const Args& what) {
    const std::string before = there();
    const Ran ran = push(what);
    EXPECT_EQ(ran.exit, 0) << ran.err;
    EXPECT_NE(there(), before);
  }
};

TEST_F(PushTest, WhatKeepwayMakesPasses) {
  ASSERT_EQ(kw({"mark", "mill", "known good"}).exit, 0);
  ASSERT_EQ(kw({"trial", "mill", "begin", "warm-up"}).exit, 0);
  intake("mill", with(mill_files(), "mill.ini", "fastest = 200", "fastest = 180"), 0);
  passes({"refs/heads/main", "refs/heads/trial/warm-up", "refs/tags/*"});
  ASSERT_EQ(kw({"trial", "mill", "keep", "warm-up"}).exit, 0);
  ASSERT_TRUE(fs::exists(mill() / "state" / "carried.tsv"));
  write_file(mill() / "namebook.tsv", "address\tname\nvariables/300\tParts made\n");
  ASSERT_EQ(as_owner({"add", "-A"}).exit, 0);
  ASSERT_EQ(as_owner({"commit", "-q", "-m", "Type the namebook"}).exit, 0);
  intake("mill", with(mill_files(), "mill.var", "300\t1.25", "300\t1.5"), 0);
  passes({"refs/heads/main", ":refs/heads/trial/warm-up", "refs/keepway/archive/*:refs/keepway/archive/*"});
}

TEST_F(PushTest, AWholeHistoryPassesIntoAnEmptyServer) {
  ASSERT_EQ(git(root(), {"init", "-q", "--bare", "fresh.git"}).exit, 0);
  ASSERT_EQ(keepway({"hooks", "--server", (root() / "fresh.git").string()}, root()).exit, 0);
  Tree files = mill_files();
  files["new\nline\x1b[31m\xff.txt"] = "a note\n";
  intake("mill", files, 0);
  const Ran ran = git(mill(), {"push", "-q", (root() / "fresh.git").string(), "main"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
}

TEST_F(PushTest, RewrittenHistoryIsRefused) {
  ASSERT_EQ(as_owner({"commit", "--amend", "-q", "-m", "Better words"}).exit, 0);
  EXPECT_THAT(refused({"--force", "main"}), HasSubstr("would rewrite history"));
}

TEST_F(PushTest, AStateThatDoesNotFollowFromItsOriginalsIsRefused) {
  change("state/variables.tsv", "300\t1.25\n", "300\t1.26\n");
  commit_all("By hand");
  const std::string said = refused({"main"});
  EXPECT_THAT(said,
              HasSubstr("(By hand): state/variables.tsv: 300 is '1.26' here, but '1.25' in the originals"));
  EXPECT_THAT(said, HasSubstr("what to do"));
}

TEST_F(PushTest, AnUntrueCommitBelowATrueOneIsRefused) {
  change("state/variables.tsv", "300\t1.25\n", "300\t1.26\n");
  commit_all("By hand");
  intake("mill", mill_files(), 0);
  EXPECT_THAT(refused({"main"}), HasSubstr("(By hand)"));
}

TEST_F(PushTest, AFileOutsideTheFormIsRefused) {
  write_file(mill() / "notes.txt", "tea at ten\n");
  commit_all("Notes");
  EXPECT_THAT(refused({"main"}), HasSubstr("notes.txt: is not a file of a machine's repository"));
}

TEST_F(PushTest, AHostileFileNameIsRefusedWithoutReachingTheTerminal) {
  write_file(mill() / "\x1b[31mred\n\xff", "");
  commit_all("Red");
  const std::string said = refused({"main"});
  EXPECT_THAT(said, HasSubstr("is not a file of a machine's repository"));
  EXPECT_EQ(said.find("\x1b[31m"), std::string::npos);
}

TEST_F(PushTest, ABackupWhoseDigestIsNotThatOfItsOriginalsIsRefused) {
  const std::string message = git(mill(), {"log", "-1", "--format=%B"}).out;
  change("originals/mill.var", "300\t1.25\n", "300\t1.26\n");
  change("state/variables.tsv", "300\t1.25\n", "300\t1.26\n");
  commit_all(message);
  EXPECT_THAT(refused({"main"}), HasSubstr("Keepway-Digest is not that of its originals"));
}

TEST_F(PushTest, OriginalsOverTheBoundsOfMediaAreRefusedUnread) {
  commit_zeros("originals/zeros-", ".bin");
  const std::string said = refused({"main"});
  EXPECT_THAT(said, HasSubstr("(Zeros): originals/zeros-"));
  EXPECT_THAT(said, HasSubstr("over the limit of 256 MiB a file or 512 MiB in all"));
  EXPECT_EQ(git(mill(), {"reset", "-q", "--hard", "HEAD~1"}).exit, 0);
}

TEST_F(PushTest, AStateOverTheBoundsOfMediaIsRefusedUnread) {
  commit_zeros("state/programs/O0", ".nc");
  const std::string said = refused({"main"});
  EXPECT_THAT(said, HasSubstr("(Zeros): state/programs/O0"));
  EXPECT_THAT(said, HasSubstr("over the limit of 256 MiB a file or 512 MiB in all"));
  EXPECT_EQ(git(mill(), {"reset", "-q", "--hard", "HEAD~1"}).exit, 0);
}

TEST_F(PushTest, AttributesThatWouldChangeOriginalsAreRefused) {
  const fs::path file = mill() / ".gitattributes";
  write_file(file, read_file(file) + "/originals/** ident\n");
  commit_all("Attributes");
  const std::string said = refused({"main"});
  EXPECT_THAT(said, HasSubstr("(Attributes): .gitattributes: it is not as keepway writes it"));
  EXPECT_THAT(said, HasSubstr("would make Git change originals on checkout"));
}

TEST_F(PushTest, TheLineAndMarksStay) {
  ASSERT_EQ(kw({"mark", "mill", "good"}).exit, 0);
  passes({"refs/tags/good"});
  intake("mill", with(mill_files(), "mill.var", "300\t1.25", "300\t1.5"), 0);
  passes({"main"});
  ASSERT_EQ(git(mill(), {"tag", "-f", "good", "HEAD"}).exit, 0);
  EXPECT_THAT(refused({"--force", "refs/tags/good"}), HasSubstr("must not be moved"));
  EXPECT_THAT(refused({":refs/tags/good"}), HasSubstr("must not be deleted"));
  EXPECT_THAT(refused({"main:refs/notes/tea"}), HasSubstr("is not a ref of a machine's repository"));
}

TEST_F(PushTest, WithoutTheProgramNothingIsTaken) {
  fs::create_directories(root() / "bin");
  fs::copy_file(KEEPWAY_PROGRAM, root() / "bin" / "keepway");
  ASSERT_EQ(run((root() / "bin" / "keepway").string(), {"hooks", "--server", server().string()}, root()).exit,
            0);
  fs::remove(root() / "bin" / "keepway");
  intake("mill", with(mill_files(), "mill.var", "300\t1.25", "300\t1.5"), 0);
  EXPECT_THAT(refused({"main"}), HasSubstr("the program keepway was not found on this server"));
}

TEST_F(PushTest, AHistoryOfItsOwnIsRefused) {
  const std::string tree = lines_of(git(mill(), {"rev-parse", "HEAD^{tree}"}).out).at(0);
  const std::string root_commit = lines_of(as_owner({"commit-tree", "-m", "A beginning", tree}).out).at(0);
  ASSERT_EQ(git(mill(), {"update-ref", "refs/heads/other", root_commit}).exit, 0);
  EXPECT_THAT(refused({"other"}), HasSubstr("begins a history of its own"));
  // A merge that brings one in is no better.
  ASSERT_EQ(git(server(), {"update-ref", "-d", "refs/heads/other"}).exit, 0);
  ASSERT_EQ(as_owner({"merge", "-q", "--no-verify", "--allow-unrelated-histories", "-s", "ours", "-m", "Join",
                      "other"})
                .exit,
            0);
  EXPECT_THAT(push({"main"}).err, HasSubstr("begins a history of its own"));
}

TEST_F(PushTest, NamesThatGitOrPeopleWouldTakeForAnotherAreRefused) {
  for (const char* name :
       {"refs/heads/HEAD", "refs/heads/refs/heads/main", "refs/tags/HEAD",
        "refs/tags/0123456789012345678901234567890123456789", "refs/heads/trial/ORIG_HEAD"}) {
    EXPECT_THAT(push({"main:" + std::string(name)}).err, HasSubstr("its name could be taken for")) << name;
  }
  passes({"main:refs/heads/trial/warm-up"});
}

TEST_F(PushTest, ABackupThatGitRewroteIsRefused) {
  intake("mill", with(mill_files(), "mill.var", "300\t1.25", "300\t1.5"), 0, {"--at", "2026-03-02"});
  ASSERT_EQ(as_owner({"commit", "--amend", "-q", "--no-edit", "--no-verify"}).exit, 0)
      << "an amended message is no harm";
  const std::string backup = lines_of(git(mill(), {"rev-parse", "HEAD"}).out).at(0);
  ASSERT_EQ(as_owner({"reset", "-q", "--hard", "HEAD~1"}).exit, 0);
  write_file(mill() / "namebook.tsv", "address\tname\nvariables/300\tParts made\n");
  commit_all("Names");
  ASSERT_EQ(as_owner({"cherry-pick", backup}).exit, 0);
  EXPECT_THAT(refused({"main"}), HasSubstr("rewritten by Git"));
}

}  // namespace
}  // namespace scenario
