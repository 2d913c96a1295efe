// What other programs and cut-off ones leave or take away: lock files of Git's, half a machine, and objects
// that Git's own clearing away takes for garbage.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <atomic>
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
    ++n;
    intake("mill", varied(n), 0, {"--at", fmt::format("2026-01-{:02}", n + 1)});
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

// Git removes at once what no ref leads to, whoever is about to lead one there.
TEST_F(Durable, NothingThatIsStoredIsGarbageToGit) {
  enroll_mill();
  const fs::path at = repository("mill");
  intake("mill", mill_files(), 0, {"--at", "2026-01-01"});
  const int rounds = std::getenv("KEEPWAY_LONG_TESTS") != nullptr ? 300 : 25;
  std::atomic<bool> over{false};
  std::size_t cleared = 0;
  std::thread clearing([&] {
    const std::vector<Args> ways = {{"prune", "--expire=now"},
                                    {"repack", "-adq"},
                                    {"prune", "--expire=now"},
                                    {"gc", "--quiet", "--prune=now"},
                                    {"reflog", "expire", "--expire=now", "--all"}};
    for (; !over; ++cleared) (void)git(at, ways[cleared % ways.size()]);
  });
  Tree files;
  std::size_t stored = 1;
  for (int n = 1; n <= rounds && !HasFailure(); ++n) {
    files = varied(n % 7);  // what is there already, and garbage by then, too
    if (n % 3 == 0) files["noise.bin"] = fmt::format("{}\n", n);
    const fs::path given = put(files);
    const Ran ran = kw({"intake", "mill", given.string(), "--at",
                        fmt::format("2026-02-{:02}T{:02}:00:00Z", 1 + n % 28, n / 28)});
    // It may find a lock of Git's in its way; then it says so, and nothing is stored.
    EXPECT_TRUE(ran.exit <= 1 || ran.exit == 4) << ran.out << ran.err;
    stored += ran.exit <= 1 ? 1U : 0U;
    if (n % 5 == 0) {
      EXPECT_EQ(kw({"mark", "mill", fmt::format("mark {}", n)}).exit, 0);
    }
  }
  over = true;
  clearing.join();
  const Ran fsck = git(at, {"fsck", "--strict", "--no-progress", "--no-dangling"});
  EXPECT_EQ(fsck.exit, 0) << fsck.out << fsck.err;
  EXPECT_EQ(json({"history", "mill"}, 0).at("backups").size(), stored);
  const Ran audit = kw({"audit", "mill"});
  EXPECT_EQ(audit.exit, 0) << audit.out << audit.err;
  EXPECT_GT(stored, static_cast<std::size_t>(rounds) / 2);
  for (const auto& entry : fs::directory_iterator(git_folder() / "objects" / "pack"))
    EXPECT_NE(entry.path().extension(), ".keep") << "still held: " << entry.path();
}

}  // namespace
}  // namespace scenario
