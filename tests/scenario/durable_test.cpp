// What cut-off programs leave: a machine that was being made.
#include <gmock/gmock.h>

#include <cstdlib>

#include "killed.hpp"
#include "shop_fixture.hpp"

namespace scenario {
namespace {

class Durable : public ShopTest {};

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
