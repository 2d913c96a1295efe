// Confirming a restore: by which backup, how often, and what is said of one that is refused.
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;
using testing::Not;

class Confirm : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
    intake("mill", mill_files(), 0, {"--at", "2026-03-01"});
  }
  Ran confirm(const Tree& files, const std::string& at, const Args& more = {}) {
    Args args = {"confirm", "mill", put(files).string(), "--against", "#1", "--at", at};
    args.insert(args.end(), more.begin(), more.end());
    return kw(args);
  }
  std::size_t count() { return json({"history", "mill"}).at("backups").size(); }
  int confirmed() {
    return json({"status"}).at("machines").at(0).at("confirmed_restores").at("count").get<int>();
  }
};

TEST_F(Confirm, ABackupFromBeforeTheNewestProvesNothing) {
  intake("mill", with(mill_files(), "mill.var", "302\t7", "302\t0"), 0, {"--at", "2026-05-02"});
  const Ran old = confirm(mill_files(), "2026-04-05");
  EXPECT_EQ(old.exit, 5);
  EXPECT_THAT(old.err, HasSubstr("before #2 of 2026-05-02"));
  EXPECT_THAT(old.err, HasSubstr("give the true time with --at"));
  EXPECT_EQ(count(), 2U);
  EXPECT_EQ(confirm(mill_files(), "2026-04-05", {"--accept"}).exit, 0) << "a control without a clock";
  EXPECT_EQ(confirm(mill_files(), "2026-05-03").exit, 0);
  EXPECT_EQ(confirmed(), 2);
}

TEST_F(Confirm, SaidAgainItIsStoredAlready) {
  const Ran first = confirm(mill_files(), "2026-03-02");
  EXPECT_THAT(first.out, HasSubstr("Stored as backup #2"));
  const Ran again = confirm(mill_files(), "2026-03-02");
  EXPECT_EQ(again.exit, 0);
  EXPECT_THAT(again.out, HasSubstr("CONFIRMED"));
  EXPECT_THAT(again.out, HasSubstr("Stored already as backup #2"));
  EXPECT_EQ(count(), 2U);
  EXPECT_EQ(confirmed(), 1);
}

TEST_F(Confirm, AnIntakeBeforeItIsNoConfirmation) {
  intake("mill", mill_files(), 0, {"--at", "2026-03-02"});
  EXPECT_THAT(confirm(mill_files(), "2026-03-02").out, HasSubstr("Stored as backup #3"));
  EXPECT_EQ(confirmed(), 1);
}

TEST_F(Confirm, WhatARestorePutTogetherIsNoBackup) {
  const Tree other = with(mill_files(), "mill.var", "302\t7", "302\t0");
  intake("mill", with(other, "mill.var", "300\t1.25", "300\t1.5"), 0, {"--at", "2026-05-02"});
  fs::create_directory(root() / "drawer");
  const fs::path image = root() / "drawer" / "one.img";
  ASSERT_EQ(kw({"restore", "mill", "--at", "1", "--only", "variables/302", "--to", image.string()}).exit, 0);
  for (const char* command : {"inspect", "intake"}) {
    const Ran ran = kw({command, "mill", image.string()});
    EXPECT_EQ(ran.exit, 5) << command;
    EXPECT_THAT(ran.out, HasSubstr("these files are what 'keepway restore' put together"));
  }
  EXPECT_THAT(kw({"pile", "mill", (root() / "drawer").string()}).out, HasSubstr("refused"));
  EXPECT_EQ(count(), 2U);
}

TEST_F(Confirm, FilesThatAreTheSameToTheByteMayBeACopy) {
  EXPECT_THAT(confirm(mill_files(), "2026-03-02").out, HasSubstr("every file is byte for byte as in #1"));
  EXPECT_THAT(confirm(with(mill_files(), "mill.var", "302\t7", "302\t7.0"), "2026-03-03").out,
              Not(HasSubstr("byte for byte")));
}

TEST_F(Confirm, OfARefusedOneItSaysWhy) {
  enroll_lathe();
  intake("lathe", lathe_files(), 0, {"--at", "2026-03-01"});
  Tree others = lathe_files();
  others["4208.PNL"] = others.at("3107.PNL");
  others.erase("3107.PNL");
  const Ran ran = kw({"confirm", "lathe", put(others).string(), "--against", "#1", "--at", "2026-03-02"});
  EXPECT_EQ(ran.exit, 5);
  EXPECT_THAT(ran.out, HasSubstr("What speaks against this backup"));
  EXPECT_THAT(ran.out, HasSubstr("4208.PNL: the name does not carry this machine's serial"));
  EXPECT_THAT(confirm(mill_files(), "2026-03-02").out, Not(HasSubstr("speaks against")));
}

}  // namespace
}  // namespace scenario
