// The folder above the backups, given where one of them is meant; and enrolling from what holds nothing.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

class DrawerItself : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
  }
  [[nodiscard]] fs::path drawer() const { return root() / "drawer"; }
  void folder(const std::string& name, int parts) {
    write_tree(drawer() / name, with(mill_files(), "mill.var", "302\t7\n", fmt::format("302\t{}\n", parts)));
  }
};

TEST_F(DrawerItself, TheDrawerItselfIsNoBackup) {
  for (int i = 1; i <= 4; ++i) folder("2019-03-0" + std::to_string(i), i);
  const Ran ran = kw({"intake", "mill", drawer().string()});
  EXPECT_EQ(ran.exit, 5);
  EXPECT_THAT(ran.out,
              HasSubstr("these look like 4 backups, in 2019-03-01, 2019-03-02, 2019-03-03 and others"));
  EXPECT_THAT(ran.out, HasSubstr("keepway pile"));
  EXPECT_EQ(json({"history", "mill"}).at("backups").size(), 0U);
  // A control may write its files so: who says that it does is believed, and is not asked again.
  EXPECT_LE(kw({"intake", "mill", drawer().string(), "--accept"}).exit, 1);
  EXPECT_NE(kw({"inspect", "mill", drawer().string()}).exit, 5);
}

TEST_F(DrawerItself, NoMachineIsEnrolledFromADrawer) {
  for (int i = 1; i <= 3; ++i) folder("2019-03-0" + std::to_string(i), i);
  const Ran ran = kw({"enroll", "other", "--from", drawer().string()});
  EXPECT_EQ(ran.exit, 5);
  EXPECT_THAT(ran.err, HasSubstr("these look like 3 backups"));
  EXPECT_FALSE(fs::exists(repository("other")));
  EXPECT_LE(kw({"enroll", "other", "--from", drawer().string(), "--accept"}).exit, 1);
  EXPECT_LE(kw({"enroll", "third", "--from", (drawer() / "2019-03-01").string()}).exit, 1);
}

TEST_F(DrawerItself, AMachineIsEnrolledFromLostMemoryWithAWordOnIt) {
  std::string zeroes;
  for (int i = 1; i <= 20; ++i) zeroes += fmt::format("#{}=0\n", 300 + i);
  const fs::path lost = put({{"VALUES.TXT", zeroes}});
  const Ran ran = kw({"enroll", "other", "--from", lost.string()});
  EXPECT_LE(ran.exit, 1);
  EXPECT_THAT(ran.err, HasSubstr("20 of 20 values are zero: the memory was probably lost"));
  const Ran taken = kw({"intake", "other", lost.string()});
  EXPECT_EQ(taken.exit, 1);
  EXPECT_THAT(taken.out, HasSubstr("the memory was probably lost"));
}

}  // namespace
}  // namespace scenario
