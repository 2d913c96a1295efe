// Work on two threads: all of it once, and a failure of either reported to the caller.
#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <future>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include "base/parallel.hpp"

namespace keepway {
namespace {

TEST(InParallel, EachIsDoneOnce) {
  for (const std::size_t count : {0U, 1U, 15U, 16U, 5000U}) {
    for (const bool worth : {false, true}) {
      std::vector<int> done(count);
      in_parallel(count, worth, [&](std::size_t i) { ++done[i]; });
      EXPECT_EQ(done, std::vector<int>(count, 1));
    }
  }
}

TEST(InParallel, AFailureIsReportedWhereverItIs) {
  constexpr std::size_t count = 500;
  for (std::size_t bad = 0; bad < count; ++bad) {
    try {
      in_parallel(count, true, [&](std::size_t i) {
        if (i == bad) throw std::runtime_error(std::to_string(i));
      });
      ADD_FAILURE() << "the failure of " << bad << " was lost";
    } catch (const std::runtime_error& error) {
      EXPECT_EQ(error.what(), std::to_string(bad));
    }
  }
}

TEST(InParallel, WhenAllFailOneIsReportedAndLittleIsBegun) {
  std::atomic<int> begun = 0;
  EXPECT_THROW(in_parallel(1000, true,
                           [&](std::size_t) {
                             ++begun;
                             throw std::runtime_error("full");
                           }),
               std::runtime_error);
  EXPECT_LE(begun, 2) << "each thread ends with its first failure";
}

TEST(InParallel, OneAfterAnotherWhereASecondIsNotWorthIt) {
  std::vector<std::size_t> order;
  in_parallel(3, false, [&](std::size_t i) { order.push_back(i); });
  EXPECT_EQ(order, (std::vector<std::size_t>{0, 1, 2}));
}

}  // namespace
}  // namespace keepway
