// All tests in one zone, wherever they run: times on media have none, and are those of the clock on the wall.
#include <gtest/gtest.h>

#include <cstdlib>
#include <ctime>

namespace {

class InUtc : public testing::Environment {
 public:
  void SetUp() override {
    ::setenv("TZ", "UTC", 1);
    ::tzset();
  }
};

const testing::Environment* const in_utc = testing::AddGlobalTestEnvironment(new InUtc);

}  // namespace
