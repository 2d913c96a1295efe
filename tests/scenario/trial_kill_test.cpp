// begin, keep and drop of a trial, killed before every single change that they make to the disk: afterwards
// the machine stands as before or as after, Git finds nothing wrong, and the same command goes through.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <regex>

#include "killed.hpp"
#include "shop_fixture.hpp"

namespace scenario {
namespace {

class TrialKill : public ShopTest {
 protected:
  void SetUp() override {
    if (!can_trace()) GTEST_SKIP() << "this system does not let a program be traced";
    ShopTest::SetUp();
    enroll_mill();
    intake("mill", mill_files(), 0, {"--at", "2026-03-01"});
  }
  void TearDown() override {
    if (fs::exists(shop())) ShopTest::TearDown();
  }

  // Lines, what they hold, what is checked out; without what depends on the clock.
  std::string standing() {
    std::string text;
    for (const std::string& ref :
         lines_of(git(repository("mill"), {"for-each-ref", "--format=%(refname)"}).out)) {
      text += std::regex_replace(ref, std::regex("-[0-9]{8}T[0-9]{6}Z$"), "-TIME") + " " +
              object_id(repository("mill"), ref + "^{tree}") + " " +
              git(repository("mill"), {"rev-list", "--count", ref}).out;
    }
    return text + git(repository("mill"), {"symbolic-ref", "HEAD"}).out;
  }

  void survives_every_kill(const Args& args) {
    const std::string before = standing();
    const fs::path kept = root() / "kept";
    fs::copy(repository("mill"), kept, fs::copy_options::recursive);
    const auto put_back = [&] {
      fs::remove_all(repository("mill"));
      fs::copy(kept, repository("mill"), fs::copy_options::recursive);
    };
    ASSERT_EQ(kw(args).exit, 0);
    const std::string after = standing();
    ASSERT_NE(before, after);
    std::size_t as_before = 0;
    std::size_t as_after = 0;
    std::size_t at = 0;
    for (; at < 2000; ++at) {
      SCOPED_TRACE(fmt::format("killed before change {}", at));
      put_back();
      const Killed killed = keepway_killed(args, shop(), at);
      if (killed.finished) {
        EXPECT_EQ(killed.ran.exit, 0) << killed.ran.err;
        EXPECT_EQ(killed.changes, at) << "every change was tried";
        break;
      }
      const Ran fsck = git(repository("mill"), {"fsck", "--strict", "--no-progress", "--no-dangling"});
      EXPECT_EQ(fsck.exit, 0) << fsck.out << fsck.err;
      EXPECT_EQ(fsck.out + fsck.err, "");
      // Whoever opens the machine next finishes what was begun, or it never was.
      const Ran list = kw({"trial", "mill", "list"});
      EXPECT_EQ(list.exit, 0) << list.err;
      const std::string now = standing();
      EXPECT_TRUE(now == before || now == after) << now << "\nbefore:\n" << before << "\nafter:\n" << after;
      (now == before ? as_before : as_after) += 1;
      EXPECT_TRUE(fsck_clean(repository("mill")));
      if (now == before) {
        const Ran again = kw(args);
        EXPECT_EQ(again.exit, 0) << again.out << again.err;
        EXPECT_EQ(standing(), after);
        EXPECT_TRUE(fsck_clean(repository("mill")));
      }
      if (HasFailure()) return;
    }
    EXPECT_GT(as_before, 2U);
    EXPECT_GT(as_after, 0U);
    RecordProperty("kills", static_cast<int>(at));
  }
};

TEST_F(TrialKill, Begin) {
  survives_every_kill({"trial", "mill", "begin", "warm-up", "--note", "new warm-up"});
}

TEST_F(TrialKill, Keep) {
  ASSERT_EQ(kw({"trial", "mill", "begin", "warm-up"}).exit, 0);
  intake("mill", with(mill_files(), "mill.var", "300\t1.25", "300\t1.5"), 0, {"--at", "2026-03-02"});
  survives_every_kill({"trial", "mill", "keep", "warm-up"});
}

TEST_F(TrialKill, Drop) {
  ASSERT_EQ(kw({"trial", "mill", "begin", "warm-up"}).exit, 0);
  intake("mill", with(mill_files(), "mill.var", "300\t1.25", "300\t1.5"), 0, {"--at", "2026-03-02"});
  survives_every_kill({"trial", "mill", "drop", "warm-up"});
}

}  // namespace
}  // namespace scenario
