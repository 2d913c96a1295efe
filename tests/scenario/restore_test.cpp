// restore beyond the bytes: when it refuses, what it says, what it leaves alone.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

class Restore : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_lathe();
    intake("lathe", lathe_files(), 0, {"--at", "2026-03-01"});
  }
  [[nodiscard]] fs::path target() const { return root() / "target"; }
  Ran restore(Args more) {
    Args args = {"restore", "lathe", "--to", target().string()};
    args.insert(args.end(), more.begin(), more.end());
    return kw(args);
  }
};

TEST_F(Restore, WritesTheControlsFilesAndNothingElse) {
  const Ran ran = restore({"--at", "#1"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_EQ(read_tree(target()), lathe_files());
}

TEST_F(Restore, TakesAnEmptyFolder) {
  fs::create_directories(target());
  EXPECT_EQ(restore({"--at", "#1"}).exit, 0);
  EXPECT_EQ(read_tree(target()), lathe_files());
}

TEST_F(Restore, PrintsCautionsAndAChecklist) {
  const Ran ran = restore({"--at", "#1"});
  for (const char* said : {"SHA-256", "Back the machine up once more", "overrides low", "qualified", "3107",
                           "[ ] load PARAM.TXT", "parameter lock", "power off and on"}) {
    EXPECT_THAT(ran.out, HasSubstr(said));
  }
  EXPECT_LT(ran.out.find("load PARAM.TXT"), ran.out.find("load ALL.PRG")) << "parameters before programs";
  fs::remove_all(target());
  const Json answer = json({"restore", "lathe", "--at", "#1", "--to", target().string()}, 0);
  EXPECT_GE(answer.at("cautions").size(), 4U);
  EXPECT_EQ(answer.at("steps").size(), lathe_files().size());
}

TEST_F(Restore, RefusesAFolderThatHoldsSomething) {
  fs::create_directories(target());
  write_file(target() / "mine.txt", "keep me");
  const Ran ran = restore({"--at", "#1"});
  EXPECT_EQ(ran.exit, 5);
  EXPECT_EQ(read_tree(target()), (Tree{{"mine.txt", "keep me"}}));
}

TEST_F(Restore, RefusesAFile) {
  write_file(target(), "keep me");
  EXPECT_EQ(restore({"--at", "#1"}).exit, 5);
  EXPECT_EQ(read_file(target()), "keep me");
}

TEST_F(Restore, RefusesALinkToAFullFolder) {
  fs::create_directories(root() / "full");
  write_file(root() / "full" / "mine.txt", "keep me");
  fs::create_symlink(root() / "full", target());
  EXPECT_EQ(restore({"--at", "#1"}).exit, 5);
  EXPECT_EQ(read_tree(root() / "full"), (Tree{{"mine.txt", "keep me"}}));
}

TEST_F(Restore, ADoubtfulBackupNeedsAccept) {
  intake("lathe", with(lathe_files(), "PARAM.TXT", "22,7\n", "22,7\nwhat is this\n"), 1,
         {"--at", "2026-03-02"});
  const Ran refused = restore({"--at", "#2"});
  EXPECT_EQ(refused.exit, 5);
  EXPECT_THAT(refused.err, HasSubstr("text-unread"));
  EXPECT_THAT(refused.err, HasSubstr("--accept"));
  EXPECT_FALSE(fs::exists(target()));
  const Ran ran = restore({"--at", "#2", "--accept"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("text-unread")) << "its reasons are shown";
}

TEST_F(Restore, ADoubtfulBackupThatSomebodyAcceptedCountsAsGood) {
  intake("lathe", with(lathe_files(), "PARAM.TXT", "22,7\n", "22,7\nwhat is this\n"), 1,
         {"--at", "2026-03-02", "--accept", "--by", "Ana"});
  const Ran ran = restore({"--at", "#2"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("doubtful, accepted"));
  EXPECT_THAT(ran.out, HasSubstr("text-unread")) << "its reasons are shown";
}

TEST_F(Restore, OnlyTheGroupsAskedFor) {
  EXPECT_EQ(restore({"--at", "#1", "--only", "parameters"}).exit, 0);
  EXPECT_EQ(read_tree(target()), (Tree{{"CONTROL.CFG", lathe_files().at("CONTROL.CFG")},
                                       {"PARAM.TXT", lathe_files().at("PARAM.TXT")}}));
  fs::remove_all(target());
  EXPECT_EQ(restore({"--at", "#1", "--only", "offsets", "settings"}).exit, 0);
  EXPECT_EQ(read_tree(target()).size(), 2U);
  fs::remove_all(target());
  EXPECT_EQ(restore({"--only", "programs", "--only", "variables", "--at", "#1"}).exit, 0);
  EXPECT_EQ(read_tree(target()).size(), 2U);
  fs::remove_all(target());
  EXPECT_EQ(restore({"--at", "#1", "--only", "no-such-group"}).exit, 2);
  EXPECT_FALSE(fs::exists(target()));
}

TEST_F(Restore, OnlyAGroupThatTheBackupDoesNotHave) {
  Tree files = lathe_files();
  files.erase("VARIABLE.TXT");
  intake("lathe", files, 1, {"--at", "2026-03-02"});
  EXPECT_EQ(restore({"--at", "#2", "--accept", "--only", "variables"}).exit, 2);
  EXPECT_FALSE(fs::exists(target()));
}

TEST_F(Restore, WrongWhenWritesNothing) {
  for (const char* wrong : {"#9", "2020-01-01", "nothing", "", "HEAD^{tree}"}) {
    const Ran ran = restore({"--at", wrong});
    EXPECT_EQ(ran.exit, 2) << wrong << ran.out << ran.err;
    EXPECT_FALSE(fs::exists(target()));
  }
}

// As from `--to "$UNSET"`.
TEST_F(Restore, AnEmptyNameIsNotTheCurrentFolder) {
  const Tree before = kept_tree(shop());
  EXPECT_EQ(kw({"restore", "lathe", "--at", "#1", "--to", ""}).exit, 2);
  EXPECT_EQ(kept_tree(shop()), before);
}

TEST_F(Restore, EachOfManyPastStatesComesBack) {
  std::vector<Tree> all = {lathe_files()};
  for (int i = 0; i < 12; ++i) {
    Tree files = lathe_files();
    files["VARIABLE.TXT"] = fmt::format("%\n#300={}\n#301=0.25\n#302=-1.5\n%\n", i);
    files[fmt::format("EXTRA{}.BIN", i)] = Random(static_cast<std::uint64_t>(i)).bytes(500);
    intake("lathe", files, 0, {"--at", fmt::format("2026-04-{:02}", i + 1)});
    all.push_back(std::move(files));
  }
  for (std::size_t i = 0; i < all.size(); ++i) {
    fs::remove_all(target());
    EXPECT_EQ(restore({"--at", fmt::format("#{}", i + 1)}).exit, 0);
    EXPECT_EQ(read_tree(target()), all[i]);
  }
}

TEST_F(Restore, OriginalsThatWereTamperedWithAreNotHandedOut) {
  // A hand-made commit over the backup's originals, amended with the same message.
  write_file(repository("lathe") / "originals" / "PARAM.TXT", "number,value\n20,0.3\n");
  ASSERT_EQ(git(repository("lathe"), {"add", "-A"}).exit, 0);
  ASSERT_EQ(git(repository("lathe"), {"-c", "user.name=x", "-c", "user.email=x@example.org", "commit",
                                      "--amend", "--no-edit", "--no-verify"})
                .exit,
            0);
  const Ran ran = restore({"--at", "HEAD"});
  EXPECT_EQ(ran.exit, 4) << ran.out << ran.err;
  EXPECT_FALSE(fs::exists(target()));
}

TEST_F(Restore, AFolderThatCannotBeMadeIsAFailureOfTheDisk) {
  const Ran ran = kw({"restore", "lathe", "--at", "#1", "--to", "/proc/no/such"});
  EXPECT_EQ(ran.exit, 4) << ran.out << ran.err;
}

TEST_F(Restore, LeavesTheRepositoryAlone) {
  const auto all_but_derived = [&] {
    Tree files = read_tree(repository("lathe") / ".git");
    std::erase_if(files, [](const auto& file) { return file.first.starts_with("keepway/"); });
    return files;
  };
  const Tree before = all_but_derived();
  EXPECT_EQ(restore({"--at", "#1"}).exit, 0);
  EXPECT_TRUE(all_but_derived() == before);
}

}  // namespace
}  // namespace scenario
