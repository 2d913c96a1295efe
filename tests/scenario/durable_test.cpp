// What cut-off programs leave: lock files of Git's, and a machine that was being made.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <chrono>
#include <cstdlib>
#include <thread>

#include "killed.hpp"
#include "shop_fixture.hpp"

namespace scenario {
namespace {

class Durable : public ShopTest {
 protected:
  [[nodiscard]] fs::path git_folder() const { return repository("mill") / ".git"; }
  Tree varied(int n) { return with(mill_files(), "O1001.ngc", "Z-.5", fmt::format("Z-.{}", 500 + n)); }
};

// A power cut may leave Git's lock files, and keepway's own without a word in it.
TEST_F(Durable, LockFilesThatACutLeftStopNothing) {
  enroll_mill();
  intake("mill", mill_files(), 0, {"--at", "2026-01-01"});
  int n = 0;
  for (const char* name :
       {"index.lock", "HEAD.lock", "refs/heads/main.lock", "packed-refs.lock", "config.lock"}) {
    SCOPED_TRACE(name);
    write_file(git_folder() / "keepway.lock", "");
    write_file(git_folder() / name, "");
    // From before the computer's start, or from just before.
    if (n % 2 == 0)
      fs::last_write_time(git_folder() / name, fs::file_time_type::clock::now() - std::chrono::years(1));
    intake("mill", varied(++n), 0, {"--at", fmt::format("2026-01-{:02}", n + 1)});
    EXPECT_FALSE(fs::exists(git_folder() / name));
  }
}

// `git commit -a` holds the index's lock for as long as its editor is open.
TEST_F(Durable, TheLockOfALivingGitIsLeftAndNamed) {
  enroll_mill();
  intake("mill", mill_files(), 0, {"--at", "2026-01-01"});
  const fs::path go = root() / "go";
  const fs::path editor = root() / "editor";
  write_file(editor, fmt::format("#!/bin/sh\nwhile [ ! -e '{}' ]; do sleep .05; done\necho edited >\"$1\"\n",
                                 go.string()));
  fs::permissions(editor, fs::perms::owner_all);
  const fs::path names = repository("mill") / "namebook.tsv";
  write_file(names, read_file(names) + "settings/12\tNew name\n");
  const Started commit = start("git", {"-c", "user.name=A", "-c", "user.email=a@b", "commit", "-qa"},
                               repository("mill"), {{"GIT_EDITOR", editor.string()}});
  const fs::path lock = git_folder() / "index.lock";
  for (int i = 0; i < 200 && !fs::exists(lock); ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  ASSERT_TRUE(fs::exists(lock));
  write_file(git_folder() / "keepway.lock", "process 1 on nowhere since 2026-01-01T00:00:00Z\n");
  EXPECT_EQ(kw({"mark", "mill", "known good"}).exit, 0);
  EXPECT_TRUE(fs::exists(lock)) << "the lock of a Git that lives was removed";
  const Ran audit = kw({"audit", "mill"});
  EXPECT_THAT(audit.out, testing::HasSubstr("index.lock"));
  EXPECT_THAT(audit.out, testing::HasSubstr("git"));
  write_file(go, "");
  const Ran committed = wait_for(commit);
  EXPECT_EQ(committed.exit, 0) << committed.err;
  EXPECT_FALSE(fs::exists(lock));
}

// An enrolling that is killed anywhere leaves the machine whole, or no trace of it once it is enrolled again.
TEST_F(Durable, AKilledEnrollLeavesAllOrNothing) {
  if (!can_trace()) GTEST_SKIP() << "no program can be traced here";
  const std::size_t step = std::getenv("KEEPWAY_LONG_TESTS") != nullptr ? 1 : 13;
  const Args enroll = {"enroll", "mill", "--layout", "rs274ngc"};
  std::size_t tried = 0;
  for (std::size_t last = 0;; last += step) {
    SCOPED_TRACE(last);
    fs::remove_all(repository("mill"));
    const Killed killed = keepway_killed(enroll, shop(), last);
    const bool there = fs::exists(repository("mill"));
    const Ran again = kw(enroll);
    EXPECT_EQ(again.exit, there ? 5 : 0) << again.out << again.err;
    const Ran audit = kw({"audit", "mill"});
    EXPECT_EQ(audit.exit, 0) << audit.out << audit.err;
    for (const auto& entry : fs::directory_iterator(shop()))
      EXPECT_FALSE(entry.path().filename().string().starts_with(".mill")) << "left behind: " << entry.path();
    ++tried;
    if (killed.finished || HasFailure()) break;
  }
  EXPECT_GT(tried, 3U);
}

}  // namespace
}  // namespace scenario
