// kill -9 at random moments of random commands, round after round on one machine. KEEPWAY_KILL_ROUNDS sets
// how many; few in the everyday run.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <cstdlib>
#include <iostream>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

class Kill : public ShopTest {
 protected:
  static std::size_t rounds() {
    const char* asked = std::getenv("KEEPWAY_KILL_ROUNDS");
    return asked != nullptr ? static_cast<std::size_t>(std::atol(asked)) : 40;
  }

  void expect_whole() {
    const Ran fsck = git(repository("mill"), {"fsck", "--strict", "--no-progress", "--no-dangling"});
    EXPECT_EQ(fsck.exit, 0) << fsck.out << fsck.err;
    const Ran audit = kw({"audit", "mill"});
    EXPECT_EQ(audit.exit, 0) << audit.out << audit.err;
  }
};

TEST_F(Kill, AtRandomMomentsLosesNothing) {
  const char* seed = std::getenv("KEEPWAY_KILL_SEED");
  Random random(seed != nullptr ? static_cast<std::uint64_t>(std::atol(seed)) : 11);
  Tree files = mill_files();
  std::vector<Tree> given = {files};  // all that a machine ever held
  std::size_t killed = 0;
  std::size_t ended = 0;
  std::size_t whole_intake = 0;  // in microseconds
  std::size_t compared = 0;
  for (std::size_t round = 0; round < rounds() && !HasFailure(); ++round) {
    SCOPED_TRACE(round);
    // A repository with few backups is audited quickly: begin again now and then.
    if (round % 100 == 0) {
      fs::remove_all(repository("mill"));
      enroll_mill();
      const auto begun = std::chrono::steady_clock::now();
      intake("mill", given.front(), 0, {"--at", "2026-01-01"});
      const auto taken = std::chrono::steady_clock::now() - begun;
      whole_intake =
          static_cast<std::size_t>(std::chrono::duration_cast<std::chrono::microseconds>(taken).count() * 2);
    }
    const bool on_trial = kw({"trial", "mill", "list"}).out.find("in progress") != std::string::npos;
    Args args;
    switch (random.below(6)) {
      case 0:
        args = {"trial", "mill", on_trial ? "keep" : "begin", "t"};
        break;
      case 1:
        args = {"trial", "mill", on_trial ? "drop" : "begin", "t"};
        break;
      case 2:
        fs::remove_all(root() / "killed");
        args = {"restore", "mill", "--at", "1", "--to", (root() / "killed").string()};
        break;
      default:
        files = mill_files();
        files["O2000.ngc"] = fmt::format("O2000\nG1 X{} F5\nM30\n", round);
        if (random.once_in(3)) files["noise.bin"] = random.bytes(random.below(100'000));
        given.push_back(files);
        args = {"intake", "mill", put(files).string(), "--at",
                "2090-02-01"};  // after any trial that is kept today
        break;
    }
    // As long as an intake takes here, and as long again: some are killed at work, some end.
    const Started running = start(KEEPWAY_PROGRAM, args, shop());
    ::usleep(static_cast<useconds_t>(random.below(whole_intake)));
    ::kill(running.pid, SIGKILL);
    const Ran ran = wait_for(running);
    killed += ran.exit == 128 + SIGKILL ? 1U : 0U;
    ended += ran.exit <= 1 ? 1U : 0U;

    const Ran fsck = git(repository("mill"), {"fsck", "--strict", "--no-progress", "--no-dangling"});
    EXPECT_EQ(fsck.exit, 0) << fsck.out << fsck.err;
    if (random.once_in(5)) expect_whole();
    // The newest backup comes back as one of the folders that were given; the very one when it was said to be
    // stored. A kept trial's is put together from two, and the audit checks it against both. One that ended
    // is dated ahead, so it is doubtful, and restored only with --accept.
    fs::remove_all(root() / "back");
    const Json newest = json({"history", "mill"}, 0).at("backups").at(0);
    const Ran back = kw({"restore", "mill", "--at", newest.at("name").get<std::string>(), "--to",
                         (root() / "back").string(), "--accept"});
    EXPECT_EQ(back.exit, 0) << back.err;
    if (back.exit != 0 || newest.at("gist").get<std::string>().starts_with("trial ")) continue;
    const Tree got = read_tree(root() / "back");
    ++compared;
    if (args.front() == "intake" && ran.exit <= 1) {
      EXPECT_EQ(got, files) << "it said that it was stored";
    } else {
      EXPECT_THAT(given, testing::Contains(got));
    }
  }
  expect_whole();
  std::cout << fmt::format("[ kills    ] {} rounds, {} killed at work, {} ended, {} restores compared\n",
                           rounds(), killed, ended, compared);
  EXPECT_GT(killed, rounds() / 10) << "the kills came too late: the test would prove little";
  EXPECT_GT(ended, 0U) << "the kills came too soon: the test would prove little";
}

}  // namespace
}  // namespace scenario
