// Which backup is the newest, and that nothing old, doubtful or merged becomes "now" without a word.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <fstream>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;
using testing::Not;

class Newest : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
    take("2026-03-01", "1.25");
    take("2026-03-02", "1.5");
  }
  void take(const std::string& day, const std::string& value) {
    ASSERT_LE(
        kw({"intake", "mill", put(with(mill_files(), "mill.var", "300\t1.25", "300\t" + value)).string(),
            "--at", day, "--by", "Ana"})
            .exit,
        1);
  }
  std::string value(const Args& more = {}) {
    Args args = {"show", "mill", "variables/300"};
    args.insert(args.end(), more.begin(), more.end());
    return json(args).at("items").at(0).at("value");
  }
  Json status() { return json({"status"}).at("machines").at(0); }
};

TEST_F(Newest, AnOldFloppyTakenInLateIsNotNow) {
  take("2020-01-01", "9");
  EXPECT_EQ(value(), "1.5");
  EXPECT_EQ(value({"--at", "#3"}), "9");
  const Ran shown = kw({"show", "mill", "variables"});
  EXPECT_THAT(shown.out, HasSubstr("as of backup #2 (2026-03-02 12:00), good"));
  EXPECT_THAT(shown.out, HasSubstr("stored since, but of an earlier date: #3 (2020-01-01 12:00)"));
  EXPECT_THAT(kw({"show", "mill"}).out, HasSubstr("as of backup #2"));
  EXPECT_THAT(kw({"show", "mill", "programs/O1234"}).err,
              testing::AnyOf(HasSubstr("as of backup #2"), HasSubstr("no")));
  EXPECT_EQ(status().at("newest").at("number"), 2);
  EXPECT_EQ(status().at("last_good").at("number"), 2);
  EXPECT_EQ(json({"history", "mill"}).at("backups").at(0).at("number"), 2);
  const Json since = json({"when", "mill", "--all", "variables"});
  EXPECT_EQ(since.at("at").at("number"), 2);
  for (const Json& item : since.at("items")) {
    if (item.at("address") != "variables/300") continue;
    EXPECT_EQ(item.at("value"), "1.5");
    EXPECT_EQ(item.at("backup"), 2);
    EXPECT_EQ(item.at("verdict"), "good");
  }
  EXPECT_EQ(json({"restore", "mill", "--at", "#1", "--plan"}).at("known").at("number"), 2);
  EXPECT_EQ(json({"changes", "mill"}).at("to").at("number"), 2);
  EXPECT_EQ(json({"changes", "mill"}).at("from").at("number"), 1);
}

TEST_F(Newest, WipedMemoryIsNotNowWithoutAWord) {
  Tree wiped = mill_files();
  for (auto& [name, bytes] : wiped) bytes.clear();
  ASSERT_EQ(kw({"intake", "mill", put(wiped).string(), "--at", "2026-03-03", "--accept"}).exit, 1);
  ASSERT_EQ(kw({"withdraw", "mill", "3", "--why", "accepted by mistake"}).exit, 0);
  ASSERT_EQ(kw({"withdraw", "mill", "3", "--undo"}).exit, 0);
  ASSERT_LE(kw({"intake", "mill", put(with(mill_files(), "mill.var", "302\t7", "302\tx")).string(), "--at",
                "2026-03-04"})
                .exit,
            1);
  const Ran shown = kw({"show", "mill", "variables"});
  EXPECT_THAT(shown.out, HasSubstr("as of backup #4"));
  EXPECT_THAT(shown.out, HasSubstr("these values come from a backup that is not good"));
  EXPECT_THAT(shown.out, HasSubstr("the last good one is #"));
}

TEST_F(Newest, ATrialTakesNoNumberOfMain) {
  ASSERT_EQ(kw({"trial", "mill", "begin", "warm-up"}).exit, 0);
  take("2026-03-03", "2");
  take("2026-03-04", "3");
  EXPECT_EQ(value(), "1.5") << "the newest is main's";
  EXPECT_EQ(value({"--at", "warm-up"}), "3");
  EXPECT_EQ(value({"--at", "warm-up#1"}), "2");
  EXPECT_EQ(value({"--at", "warm-up #2"}), "3");
  EXPECT_EQ(value({"--at", "#2"}), "1.5");
  EXPECT_NE(kw({"show", "mill", "--at", "#3"}).exit, 0) << "main has no third";
  EXPECT_THAT(kw({"show", "mill"}).out, HasSubstr("trial warm-up is in progress"));
  EXPECT_THAT(kw({"history", "mill"}).out, HasSubstr("warm-up #2"));
  EXPECT_EQ(status().at("newest").at("number"), 2);
  // The machine holds what the trial's newest backup has, and single items go into that one's files.
  EXPECT_EQ(json({"restore", "mill", "--at", "#1", "--plan"}).at("known").at("name"), "warm-up #2");

  ASSERT_EQ(kw({"trial", "mill", "pause", "warm-up"}).exit, 0);
  take("2026-03-05", "1.5");
  EXPECT_EQ(status().at("newest").at("number"), 3);
  ASSERT_EQ(kw({"trial", "mill", "resume", "warm-up"}).exit, 0);
  EXPECT_EQ(json({"show", "mill", "--at", "#3"}).at("at").at("number"), 3)
      << "main's numbers hold on a trial too";
  ASSERT_EQ(kw({"trial", "mill", "keep", "warm-up"}).exit, 0);

  EXPECT_EQ(status().at("newest").at("number"), 3) << "a merge is no backup";
  EXPECT_EQ(value(), "1.5");
  EXPECT_EQ(value({"--at", "kept warm-up"}), "3");
  EXPECT_THAT(kw({"show", "mill"}).out,
              HasSubstr("merged since, and not seen on the machine yet: kept warm-up"));
  EXPECT_EQ(json({"history", "mill"}).at("backups").at(0).at("name"), "kept warm-up");
  EXPECT_TRUE(json({"history", "mill"}).at("backups").at(0).at("number").is_null());
  EXPECT_EQ(value({"--at", "warm-up#1"}), "2") << "it is put away, and still has its name";
  take("2027-03-06", "3");
  EXPECT_EQ(status().at("newest").at("number"), 4) << "the merge took no number";
  EXPECT_EQ(value(), "3");
  EXPECT_LE(kw({"audit", "mill"}).exit, 1);
  EXPECT_THAT(kw({"audit", "mill"}).out, Not(HasSubstr("DAMAGED")));
}

TEST_F(Newest, AKeptTrialIsMergedIntoTheNewestNotIntoWhatCameInLast) {
  ASSERT_EQ(kw({"trial", "mill", "begin", "t"}).exit, 0);
  take("2026-03-03", "2");
  ASSERT_EQ(kw({"trial", "mill", "pause", "t"}).exit, 0);
  ASSERT_LE(kw({"intake", "mill", put(with(mill_files(), "mill.var", "301\t-3.5", "301\t7.5")).string(),
                "--at", "2019-01-01"})
                .exit,
            1);
  ASSERT_EQ(kw({"trial", "mill", "keep", "t"}).exit, 0);
  EXPECT_EQ(value({"--at", "kept t"}), "2");
  const Json kept = json({"show", "mill", "variables/301", "--at", "kept t"});
  const Json before = json({"show", "mill", "variables/301", "--at", "#2"});
  EXPECT_EQ(kept.at("items"), before.at("items")) << "the late floppy's value is not in it";
  EXPECT_EQ(kw({"audit", "mill"}).exit, 0) << kw({"audit", "mill"}).out;
  EXPECT_EQ(kw({"restore", "mill", "--at", "kept t", "--to", (root() / "out").string()}).exit, 0);
}

TEST_F(Newest, WhatChangedIsSinceTheBackupBeforeByDate) {
  take("2020-01-01", "9");
  const auto files = with(mill_files(), "mill.var", "300\t1.25", "300\t2.5");
  const Ran next = kw({"intake", "mill", put(files).string(), "--at", "2026-03-05", "--by", "Ana"});
  EXPECT_THAT(next.out, HasSubstr("Since #2 (2026-03-02 12:00): 1 variable changed."));
  EXPECT_THAT(next.out, HasSubstr("What changed: keepway changes mill 2 4\n"));
  const Ran late = kw({"intake", "mill", put(files).string(), "--at", "2026-03-01T13:00", "--by", "Ana"});
  EXPECT_THAT(late.out, HasSubstr("Since #1 (2026-03-01 12:00): 1 variable changed."));
  const Json changes = json({"when", "mill", "variables/300"}, 0).at("changes");
  std::vector<int> numbers;
  for (const Json& change : changes) numbers.push_back(change.at("backup").at("number"));
  EXPECT_EQ(numbers, (std::vector{4, 2, 5, 1, 3}));
  EXPECT_EQ(kw({"audit", "mill"}).exit, 0);
}

TEST_F(Newest, PagesAndCardSayIt) {
  take("2020-01-01", "9");
  ASSERT_EQ(kw({"report", "mill", "--to", (root() / "pages").string()}).exit, 0);
  const std::string machine = read_file(root() / "pages" / "data" / "machine.js");
  EXPECT_THAT(machine, HasSubstr("\"newest\":2"));
  EXPECT_THAT(machine, HasSubstr("\"good\":2"));
  EXPECT_THAT(machine, HasSubstr("\"shown\":2"));
  EXPECT_THAT(read_file(root() / "pages" / "data" / "items-variables.js"), Not(HasSubstr("\"v\":\"9\"")));
  ASSERT_EQ(kw({"sheet", "mill", "--to", (root() / "card.html").string()}).exit, 0);
  EXPECT_THAT(read_file(root() / "card.html"), HasSubstr("#2 of 2026-03-02"));
}

}  // namespace
}  // namespace scenario
