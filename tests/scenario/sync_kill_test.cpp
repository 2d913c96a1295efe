// sync and hooks, killed before changes that they make to the disk: whatever lock files of Git's that leaves,
// the same command goes through afterwards, with nothing lost and nothing left behind on either side.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <functional>

#include "killed.hpp"
#include "two_pcs.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

class SyncKill : public TwoShops {
 protected:
  void SetUp() override {
    if (!can_trace()) GTEST_SKIP() << "this system does not let a program be traced";
    ASSERT_NO_FATAL_FAILURE(TwoShops::SetUp());
    intake("mill", mill_files(), 0);
    ASSERT_EQ(kw({"sync", "mill", "--to", hub().string()}).exit, 0);
  }
  void TearDown() override {
    if (fs::exists(shop())) ShopTest::TearDown();
  }

  // Lock files of Git's in the repositories that the command writes to, but for a pack's that was not done:
  // its name is never used again.
  std::vector<std::string> lock_files() {
    std::vector<std::string> out;
    for (const fs::path& folder : {second() / "mill" / ".git", hub()}) {
      if (!fs::exists(folder)) continue;
      for (const auto& entry : fs::recursive_directory_iterator(folder)) {
        const std::string name = entry.path().filename().string();
        if (name.ends_with(".lock") && name != "keepway.lock" && !name.starts_with("pack_git2_"))
          out.push_back(entry.path().string());
      }
    }
    return out;
  }

  // Kills `args`, in the second shop, before every change, and runs it again where lock files of Git's were
  // left and at every `step`th change. `check` says whether all is as it should be afterwards.
  void survives_kills(const Args& args, std::size_t step, const std::function<void()>& check) {
    const fs::path kept = root() / "kept";
    fs::create_directories(kept);
    const std::vector<std::string> folders = {"second", "srv"};
    for (const std::string& folder : folders) {
      fs::copy(root() / folder, kept / folder, fs::copy_options::recursive);
    }
    std::size_t with_locks = 0;
    std::size_t at = 0;
    for (; at < 3000; ++at) {
      SCOPED_TRACE(fmt::format("killed before change {}", at));
      for (const std::string& folder : folders) {
        fs::remove_all(root() / folder);
        fs::copy(kept / folder, root() / folder, fs::copy_options::recursive);
      }
      const Killed killed = keepway_killed(args, second(), at);
      if (killed.finished) {
        EXPECT_LE(killed.ran.exit, 1) << killed.ran.err;
        EXPECT_EQ(killed.changes, at) << "every change was tried";
        check();
        break;
      }
      const auto locks = lock_files();
      if (locks.empty() && at % step != 0) continue;
      if (!locks.empty()) ++with_locks;
      const Ran again = keepway(args, second());
      EXPECT_LE(again.exit, 1) << again.out << again.err << testing::PrintToString(locks);
      EXPECT_THAT(lock_files(), testing::IsEmpty());
      check();
      if (HasFailure()) return;
    }
    EXPECT_GT(with_locks, 0U) << "no lock file was ever left, so nothing was tried";
    RecordProperty("kills", static_cast<int>(at));
    RecordProperty("kills_with_lock_files", static_cast<int>(with_locks));
  }
  void expect_whole() {
    for (const fs::path& repo : {second() / "mill", hub()}) {
      EXPECT_EQ(git(repo, {"fsck", "--strict", "--no-dangling"}).exit, 0) << repo;
      EXPECT_EQ(git(repo, {"for-each-ref", "refs/keepway/sync"}).out, "");
    }
    EXPECT_TRUE(fsck_clean(second() / "mill"));
    EXPECT_EQ(git(hub(), {"rev-parse", "main"}).out, git(second() / "mill", {"rev-parse", "main"}).out);
    const Ran audit = keepway({"audit", "mill"}, second());
    EXPECT_EQ(audit.exit, 0) << audit.out << audit.err;
  }
};

TEST_F(SyncKill, AMachineComesAllTheSame) {
  survives_kills({"sync", "mill", "--to", hub().string()}, 23, [&] {
    expect_whole();
    EXPECT_TRUE(fs::exists(second() / "mill" / ".git" / "hooks" / "pre-commit"));
    EXPECT_EQ(read_tree(second() / "mill" / "originals"), read_tree(repository("mill") / "originals"));
  });
}

TEST_F(SyncKill, TwoLinesAreRebasedAllTheSame) {
  ASSERT_EQ(keepway({"sync", "mill", "--to", hub().string()}, second()).exit, 0);
  intake("mill", with(mill_files(), "mill.var", "300\t1.25", "300\t2.5"), 0);
  ASSERT_EQ(kw({"mark", "mill", "known good"}).exit, 0);
  ASSERT_EQ(kw({"sync", "mill"}).exit, 0);
  const fs::path theirs = put(with(mill_files(), "mill.var", "300\t1.25", "300\t3.5"));
  ASSERT_EQ(keepway({"intake", "mill", theirs.string(), "--at", "2020-02-02"}, second()).exit, 0);
  ASSERT_EQ(keepway({"mark", "mill", "after the crash"}, second()).exit, 0);
  survives_kills({"sync", "mill"}, 23, [&] {
    expect_whole();
    EXPECT_EQ(git(hub(), {"rev-list", "--count", "main"}).out, "4\n");
    EXPECT_EQ(git(hub(), {"tag"}).out, "after_the_crash\nknown_good\n");
    EXPECT_EQ(git(second() / "mill", {"tag"}).out, "after_the_crash\nknown_good\n");
  });
}

TEST_F(SyncKill, HooksArePutInPlaceAllTheSame) {
  ASSERT_EQ(keepway({"sync", "mill", "--to", hub().string()}, second()).exit, 0);
  fs::remove_all(second() / "mill/.git/hooks");
  for (const char* name : {"diff.keepway.command", "diff.keepway.textconv", "merge.keepway.driver"}) {
    ASSERT_EQ(git(second() / "mill", {"config", "--unset", name}).exit, 0);
  }
  ASSERT_EQ(keepway({"audit", "mill", "--settle"}, second()).exit, 0);
  survives_kills({"hooks", "mill"}, 5, [&] {
    EXPECT_EQ(keepway({"audit", "mill"}, second()).exit, 0);
    EXPECT_EQ(git(second() / "mill", {"hook", "run", "pre-commit"}).exit, 0);
    EXPECT_THAT(git(second() / "mill", {"config", "merge.keepway.driver"}).out, HasSubstr("git-merge"));
  });
}

}  // namespace
}  // namespace scenario
