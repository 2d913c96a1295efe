// Two shops, each on a PC of its own, and a bare repository of Git's own between them. All data are invented.
#pragma once

#include <fmt/format.h>

#include "shop_fixture.hpp"

namespace scenario {

// The first shop has a machine with no backup yet, the second none.
class TwoShops : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    ASSERT_EQ(keepway({"init", "second", "--title", "Second PC"}, root()).exit, 0);
    ASSERT_EQ(git(root(), {"init", "-q", "--bare", hub().string()}).exit, 0);
    enroll_mill();
  }
  [[nodiscard]] fs::path second() const { return root() / "second"; }
  [[nodiscard]] virtual fs::path hub() const { return root() / "srv" / "mill.git"; }
};

// Both have the machine, with one backup.
class TwoPcs : public TwoShops {
 protected:
  void SetUp() override {
    ASSERT_NO_FATAL_FAILURE(TwoShops::SetUp());
    take(shop(), 1, mill_files());
    ASSERT_EQ(kw({"sync", "mill", "--to", hub().string()}).exit, 0);
    ASSERT_EQ(keepway({"sync", "mill", "--to", hub().string()}, second()).exit, 0);
  }
  void TearDown() override {
    for (const fs::path& repo : {shop() / "mill", second() / "mill", hub()}) {
      EXPECT_EQ(git(repo, {"fsck", "--strict", "--no-dangling"}).exit, 0) << repo;
    }
    ShopTest::TearDown();
  }
  [[nodiscard]] fs::path hub() const override { return root() / "a hub" / "mill.git"; }
  // A backup of a day of March 2026, by Ana on the first PC and Bob on the second.
  void take(const fs::path& in, int day, const Tree& files) {
    const Ran ran = keepway({"intake", "mill", put(files).string(), "--at", fmt::format("2026-03-{:02}", day),
                             "--by", in == shop() ? "Ana" : "Bob"},
                            in);
    ASSERT_LE(ran.exit, 1) << ran.err;
  }
};

}  // namespace scenario
