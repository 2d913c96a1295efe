// Reasons that a person stands by: accepted once, listed, as before from then on, taken back.
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

class Reasons : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
  }
  // A mill whose control writes a line that no reader knows, in every backup.
  static Tree odd_files() { return with(mill_files(), "mill.var", "302\t7\n", "302\t7\nwhat is this\n"); }
};

TEST_F(Reasons, AcceptedOnceTheyMakeNothingDoubtful) {
  intake("mill", odd_files(), 1, {"--at", "2026-03-01"});
  intake("mill", odd_files(), 1, {"--at", "2026-03-02"});
  const Ran accepted = intake("mill", odd_files(), 1, {"--at", "2026-03-03", "--accept", "--by", "Ana"});
  EXPECT_THAT(accepted.out, HasSubstr("keepway reasons mill"));
  const Tree moved =
      with(odd_files(), "mill.var", "number\tvalue\tcomment\n\n", "number\tvalue\tcomment\n\n1\t5\n2\t6\n");
  const Ran later = intake("mill", moved, 0, {"--at", "2026-03-04"});
  EXPECT_THAT(later.out, HasSubstr("GOOD"));
  EXPECT_THAT(later.out, HasSubstr("As before, since #3, accepted by Ana"));
  const Json listed = json({"reasons", "mill"}, 0).at("reasons");
  ASSERT_EQ(listed.size(), 1U);
  EXPECT_EQ(listed[0].at("code"), "text-unread");
  EXPECT_EQ(listed[0].at("since"), 3);
  EXPECT_EQ(listed[0].at("by"), "Ana");
}

TEST_F(Reasons, ANewOneBesidesIsDoubtful) {
  intake("mill", odd_files(), 1, {"--at", "2026-03-01", "--accept", "--by", "Ana"});
  Tree more = odd_files();
  more["mill.var"] += "and what is that\n";
  const Json looked = inspect("mill", more, {"--at", "2026-03-02"});
  EXPECT_THAT(heavy(looked.at("verdict")), ElementsAre("text-unread"));
  EXPECT_THAT(looked.at("verdict").at("reasons")[0].at("what").get<std::string>(), HasSubstr("mill.var"));
  EXPECT_EQ(looked.at("verdict").at("as_before").size(), 1U);
  intake("mill", more, 1, {"--at", "2026-03-02"});
  intake("mill", odd_files(), 0, {"--at", "2026-03-03"});
}

TEST_F(Reasons, OneThatWentIsNewWhenItComesAgain) {
  intake("mill", odd_files(), 1, {"--at", "2026-03-01", "--accept"});
  intake("mill", mill_files(), 0, {"--at", "2026-03-02"});
  EXPECT_THAT(json({"reasons", "mill"}, 0).at("reasons"), IsEmpty());
  intake("mill", odd_files(), 1, {"--at", "2026-03-03"});
}

TEST_F(Reasons, TakenBackOnTop) {
  intake("mill", odd_files(), 1, {"--at", "2026-03-01", "--accept", "--by", "Ana"});
  const std::string before = object_id(repository("mill"), "HEAD");
  const Json back =
      json({"reasons", "mill", "--take-back", "1", "--by", "Bo", "--why", "asked the builder"}, 0);
  EXPECT_EQ(back.at("taken_back").size(), 1U);
  EXPECT_THAT(back.at("reasons"), IsEmpty());
  EXPECT_EQ(object_id(repository("mill"), "HEAD~1"), before) << "history stays as it is";
  const std::string said = git(repository("mill"), {"log", "-1", "--format=%an %B"}).out;
  EXPECT_THAT(said, HasSubstr("Bo"));
  EXPECT_THAT(said, HasSubstr("asked the builder"));
  EXPECT_THAT(said, HasSubstr("text-unread"));
  EXPECT_EQ(json({"history", "mill"}, 0).at("backups").size(), 1U) << "no backup of its own";
  intake("mill", odd_files(), 1, {"--at", "2026-03-02"});
  EXPECT_EQ(kw({"reasons", "mill", "--take-back", "1"}).exit, 2);
  EXPECT_EQ(kw({"audit", "mill"}).exit, 0);
}

TEST_F(Reasons, WhatWasAcceptedWithABackupThatIsWithdrawnIsNotKnown) {
  intake("mill", mill_files(), 0, {"--at", "2026-03-01"});
  intake("mill", odd_files(), 1, {"--at", "2026-03-02", "--accept", "--by", "Ana"});
  ASSERT_EQ(kw({"withdraw", "mill", "2", "--why", "another mill's stick"}).exit, 0);
  EXPECT_THAT(json({"reasons", "mill"}, 0).at("reasons"), IsEmpty());
  EXPECT_EQ(kw({"reasons", "mill", "--take-back", "1"}).exit, 2);
  const Json looked = inspect("mill", odd_files(), {"--at", "2026-03-03"});
  EXPECT_THAT(heavy(looked.at("verdict")), ElementsAre("text-unread"));
  EXPECT_THAT(looked.at("verdict").at("as_before"), IsEmpty());
  // A doubtful one leaves them as they are, for the case that the backup is used again.
  intake("mill", odd_files(), 1, {"--at", "2026-03-03"});
  ASSERT_EQ(kw({"withdraw", "mill", "2", "--undo"}).exit, 0);
  EXPECT_EQ(json({"reasons", "mill"}, 0).at("reasons").size(), 1U);
  intake("mill", odd_files(), 0, {"--at", "2026-03-04"});
}

TEST_F(Reasons, OfTwoThatCameInAtOnceTheOneThatHoldsStaysKnown) {
  const fs::path drawer = root() / "drawer";
  write_tree(drawer / "2026-03-01", odd_files());
  write_tree(drawer / "2026-03-02", with(odd_files(), "mill.var", "302\t7\n", "302\t8\nand what is that\n"));
  ASSERT_LE(kw({"pile", "mill", drawer.string(), "--accept"}).exit, 1);
  ASSERT_EQ(json({"reasons", "mill"}, 0).at("reasons").size(), 2U);
  ASSERT_EQ(kw({"withdraw", "mill", "2", "--why", "wrong"}).exit, 0);
  const Json left = json({"reasons", "mill"}, 0).at("reasons");
  ASSERT_EQ(left.size(), 1U);
  EXPECT_EQ(left[0].at("since"), 1);
}

TEST_F(Reasons, StatusAndHistoryShowTheFirstWithWhatToDo) {
  intake("mill", odd_files(), 1, {"--at", "2026-03-01"});
  EXPECT_THAT(kw({"history", "mill"}).out, HasSubstr("do: look at the line"));
  EXPECT_THAT(kw({"status"}).out, HasSubstr("do: look at the line"));
}

TEST_F(Reasons, AskingForNamesWithoutAChangeWritesNothing) {
  const std::string before = read_file(repository("mill") / "namebook.tsv");
  EXPECT_EQ(kw({"names", "mill", "edit", "offsets/tool/5/length"}).exit, 0);
  EXPECT_EQ(read_file(repository("mill") / "namebook.tsv"), before);
}

}  // namespace
}  // namespace scenario
