// What is said of a backup afterwards: on top, and nothing stored is rewritten.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <chrono>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;
using testing::Not;

class Withdraw : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
    for (int day = 1; day <= 3; ++day) take(day);
  }
  static Tree files(int day) {
    return with(mill_files(), "mill.var", "300\t1.25", fmt::format("300\t{}.5", day));
  }
  void take(int day, const Args& more = {}) {
    Args args = {"intake", "mill", put(files(day)).string(), "--at", fmt::format("2026-03-{:02}", day),
                 "--by",   "Ana"};
    args.insert(args.end(), more.begin(), more.end());
    ASSERT_EQ(kw(args).exit, 0);
  }
  void withdraw(const std::string& backup) {
    const Ran ran = kw({"withdraw", "mill", backup, "--why", "another mill's stick", "--by", "Bea"});
    ASSERT_EQ(ran.exit, 0) << ran.err;
  }
  Json newest() { return json({"status"}).at("machines").at(0).at("newest").at("number"); }
  Json last_good() { return json({"status"}).at("machines").at(0).at("last_good").at("number"); }
};

TEST_F(Withdraw, ItIsSaidOnTopAndNothingIsRewritten) {
  const std::string before = git(repository("mill"), {"rev-list", "HEAD"}).out;
  const std::string tree = object_id(repository("mill"), "HEAD^{tree}");
  withdraw("3");
  const std::string after = git(repository("mill"), {"rev-list", "HEAD"}).out;
  EXPECT_THAT(after, testing::EndsWith(before));
  EXPECT_EQ(object_id(repository("mill"), "HEAD^{tree}"), tree);
  EXPECT_EQ(kw({"audit", "mill"}).exit, 0);
}

TEST_F(Withdraw, WhatWasJudgedAgainstItIsNamed) {
  const Ran last = kw({"withdraw", "mill", "3", "--why", "x"});
  EXPECT_THAT(last.out, Not(HasSubstr("Judged against it")));
  ASSERT_EQ(kw({"withdraw", "mill", "3", "--undo"}).exit, 0);
  const Ran first = kw({"withdraw", "mill", "1", "--why", "x"});
  EXPECT_THAT(first.out,
              HasSubstr("Judged against it when they came in, and not again since:\n  #2 (2026-03-02"));
  EXPECT_THAT(first.out, Not(HasSubstr("#3"))) << "it was judged against #2";
  EXPECT_THAT(first.out, HasSubstr("keepway intake mill PATH --again"));
}

TEST_F(Withdraw, WhatCameLateIsAmongThem) {
  Tree drawer;
  for (const auto& [name, bytes] : files(9)) drawer["2026-03-01_1800/" + name] = bytes;
  ASSERT_LE(kw({"pile", "mill", put(drawer).string(), "--by", "Ana"}).exit, 1);
  std::vector<int> numbers;
  const Json said = json({"withdraw", "mill", "1", "--why", "x", "--by", "Bea"});
  for (const Json& each : said.at("judged_against")) numbers.push_back(each.at("number"));
  EXPECT_THAT(numbers, testing::ElementsAre(2, 4)) << said;
}

TEST_F(Withdraw, ACorrectedDateSettlesWhatWasDoubtedOfIt) {
  const fs::path made = put(files(4));
  const std::string folder = made.string();
  for (const auto& file : fs::directory_iterator(made)) {  // the control's clock: 2026-02-20, at noon
    const auto then = std::chrono::sys_days(std::chrono::year(2026) / 2 / 20) + std::chrono::hours(12);
    fs::last_write_time(file, std::chrono::file_clock::from_sys(
                                  std::chrono::time_point_cast<std::chrono::nanoseconds>(then)));
  }
  ASSERT_EQ(kw({"intake", "mill", folder}).exit, 1);
  EXPECT_EQ(kw({"status"}).exit, 0) << "an old one is not the newest";
  const Json before = json({"show", "mill", "--at", "#4"}).at("at");
  EXPECT_EQ(before.at("verdict"), "doubtful");
  ASSERT_EQ(kw({"correct", "mill", "4", "--at", "2026-03-04"}).exit, 0);
  const Json after = json({"show", "mill", "--at", "#4"}).at("at");
  EXPECT_EQ(after.at("number"), 4);
  EXPECT_EQ(after.at("verdict"), "good");
  EXPECT_EQ(after.at("reasons"), Json::array());
  EXPECT_EQ(newest(), 4);
  EXPECT_EQ(last_good(), 4);
  EXPECT_THAT(kw({"intake", "mill", folder, "--at", "2026-03-04"}).out, HasSubstr("stored already, as #4"));
  EXPECT_THAT(kw({"intake", "mill", folder}).out, HasSubstr("stored already, as #4"));
  // Its values were the machine's: what came back behind it has its value since then.
  const std::string again = put(with(files(3), "mill.tbl", "4.25", "4.375")).string();
  ASSERT_EQ(kw({"intake", "mill", again, "--at", "2026-03-05"}).exit, 0);
  EXPECT_THAT(kw({"when", "mill", "--all", "variables"}).out, testing::ContainsRegex("300 [^\n]*2026-03-05"));
}

TEST_F(Withdraw, AWithdrawnBackupIsStruckAndNeverTheNewest) {
  withdraw("#3");
  EXPECT_EQ(newest(), 2);
  EXPECT_EQ(last_good(), 2);
  const Ran history = kw({"history", "mill"});
  EXPECT_THAT(history.out, HasSubstr("-#3-"));
  EXPECT_THAT(history.out, HasSubstr("good, withdrawn"));
  EXPECT_THAT(history.out, HasSubstr("withdrawn by Bea on"));
  EXPECT_THAT(history.out, HasSubstr("another mill's stick"));
  EXPECT_THAT(run_on_terminal(KEEPWAY_PROGRAM, {"history", "mill"}, shop()).out, HasSubstr("\x1b[9m"));
  const Json said = json({"history", "mill"}).at("backups").at(0).at("withdrawn");
  EXPECT_EQ(said.at("why"), "another mill's stick");
  EXPECT_EQ(said.at("by"), "Bea");
  EXPECT_EQ(json({"show", "mill", "variables/300"}).at("items").at(0).at("value"), "2.5");
  EXPECT_THAT(kw({"show", "mill"}).out, HasSubstr("withdrawn, and not used: #3"));
  EXPECT_THAT(kw({"show", "mill", "--at", "#3"}).out, HasSubstr("withdrawn by Bea on"));
  EXPECT_EQ(json({"show", "mill", "--at", "2026-03-04"}).at("at").at("number"), 2);
  EXPECT_EQ(json({"changes", "mill"}).at("to").at("number"), 2);
  EXPECT_EQ(json({"restore", "mill", "--at", "#1", "--plan"}).at("known").at("number"), 2);
  ASSERT_EQ(kw({"sheet", "mill", "--to", (root() / "card.html").string()}).exit, 0);
  EXPECT_THAT(read_file(root() / "card.html"), HasSubstr("#2 of 2026-03-02"));
  ASSERT_EQ(kw({"report", "mill", "--to", (root() / "pages").string()}).exit, 0);
  EXPECT_THAT(read_file(root() / "pages" / "data" / "machine.js"), HasSubstr("\"withdrawn\":[2]"));
}

TEST_F(Withdraw, ChangesSayWhatIsNotGoodOnEitherSide) {
  ASSERT_EQ(
      kw({"intake", "mill", put(with(files(3), "mill.var", "300\t3.5\n", "")).string(), "--at", "2026-03-04"})
          .exit,
      1);
  withdraw("2");
  const Ran ran = kw({"changes", "mill", "2", "4"});
  EXPECT_THAT(ran.out, HasSubstr("! #2 is withdrawn: another mill's stick\n"));
  EXPECT_THAT(ran.out, HasSubstr("! #4 is doubtful: "));
  EXPECT_THAT(kw({"changes", "mill", "1", "3"}).out, Not(HasSubstr("! #")));
}

TEST_F(Withdraw, ItIsRestoredOnlyWhenAPersonAcceptsIt) {
  withdraw("3");
  const fs::path out = root() / "out";
  const Ran refused = kw({"restore", "mill", "--at", "#3", "--to", out.string()});
  EXPECT_EQ(refused.exit, 5);
  EXPECT_THAT(refused.err, HasSubstr("withdrawn by Bea"));
  EXPECT_FALSE(fs::exists(out));
  EXPECT_EQ(kw({"restore", "mill", "--at", "#3", "--to", out.string(), "--accept"}).exit, 0);
  EXPECT_EQ(read_tree(out), files(3));
}

TEST_F(Withdraw, SaidAgainItSaysAnotherReasonAndUndoneItIsUsedAgain) {
  withdraw("3");
  EXPECT_EQ(newest(), 2);
  const Ran bare = kw({"withdraw", "mill", "3"});
  EXPECT_EQ(bare.exit, 2);
  EXPECT_THAT(bare.err, HasSubstr("--undo"));
  EXPECT_THAT(kw({"withdraw", "mill", "3", "--why", "the twin's stick"}).out,
              HasSubstr("stays withdrawn, with another reason: the twin's stick"));
  const std::string tip = object_id(repository("mill"), "main");
  EXPECT_THAT(kw({"withdraw", "mill", "3", "--why", "the twin's stick"}).out, HasSubstr("nothing changes"));
  EXPECT_EQ(object_id(repository("mill"), "main"), tip);
  EXPECT_EQ(newest(), 2);
  EXPECT_EQ(kw({"withdraw", "mill", "3", "--undo", "--why", "both"}).exit, 2);
  EXPECT_THAT(kw({"withdraw", "mill", "3", "--undo"}).out, HasSubstr("is used again"));
  EXPECT_THAT(kw({"withdraw", "mill", "3", "--undo"}).out, HasSubstr("nothing changes"));
  EXPECT_EQ(newest(), 3);
  EXPECT_TRUE(json({"history", "mill"}).at("backups").at(0).at("withdrawn").is_null());
  withdraw("3");
  EXPECT_EQ(newest(), 2);
  EXPECT_EQ(kw({"withdraw", "mill", "2"}).exit, 2) << "a reason is wanted";
  EXPECT_EQ(kw({"withdraw", "mill", "77", "--why", "x"}).exit, 2);
}

TEST_F(Withdraw, NumbersGoOnAndTheNextIsJudgedAgainstWhatCounts) {
  Tree few = files(3);
  ASSERT_LE(kw({"intake", "mill", put(with(few, "mill.var", "300\t3.5\n", "")).string(), "--at", "2026-03-04",
                "--accept"})
                .exit,
            1);
  ASSERT_EQ(kw({"withdraw", "mill", "4", "--why", "rows were lost"}).exit, 0);
  EXPECT_EQ(last_good(), 3);
  take(5);
  EXPECT_EQ(newest(), 5) << "four is taken, withdrawn or not";
}

TEST_F(Withdraw, WhatCanHurtIsSoughtAgainstTheBackupThatCounts) {
  const Tree flipped = with(mill_files(), "mill.var", "300\t1.25", "300\t-3.5");
  ASSERT_EQ(kw({"intake", "mill", put(flipped).string(), "--at", "2026-03-04"}).exit, 1);
  withdraw("4");
  const Json again =
      Json::parse(kw({"inspect", "mill", put(flipped).string(), "--at", "2026-03-05", "--json"}).out);
  ASSERT_EQ(again.at("cautions").size(), 1U) << again.dump(2);
  EXPECT_EQ(again.at("cautions").at(0).at("address"), "variables/300");
}

TEST_F(Withdraw, HoldsAfterManyBackupsAndWithoutWhatIsRemembered) {
  for (int day = 4; day <= 28; ++day) take(day);
  EXPECT_EQ(newest(), 28);
  withdraw("28");
  withdraw("27");
  for (int round = 0; round < 2; ++round) {
    EXPECT_EQ(newest(), 26);
    EXPECT_EQ(last_good(), 26);
    EXPECT_EQ(json({"show", "mill"}).at("at").at("number"), 26);
    fs::remove(repository("mill") / ".git" / "keepway-status");
    fs::remove_all(repository("mill") / ".git" / "keepway");
  }
  ASSERT_EQ(kw({"withdraw", "mill", "28", "--undo"}).exit, 0);
  EXPECT_EQ(newest(), 28);
}

TEST_F(Withdraw, ACorrectedDateIsTheDate) {
  ASSERT_EQ(
      kw({"correct", "mill", "1", "--at", "2026-03-20", "--by", "Cy", "--note", "clock was wrong"}).exit, 0);
  EXPECT_EQ(newest(), 1);
  const Json backup = json({"show", "mill", "--at", "#1"}).at("at");
  EXPECT_EQ(backup.at("at"), "2026-03-20T12:00:00Z");
  EXPECT_EQ(backup.at("by"), "Cy");
  EXPECT_EQ(backup.at("note"), "clock was wrong");
  EXPECT_EQ(backup.at("corrected").at("stored_at"), "2026-03-01T12:00:00Z");
  EXPECT_EQ(backup.at("corrected").at("stored_by"), "Ana");
  EXPECT_THAT(kw({"history", "mill"}).out, HasSubstr("stored as of 2026-03-01 12:00 by Ana"));
  EXPECT_EQ(json({"show", "mill", "--at", "2026-03-25"}).at("at").at("number"), 1);
  EXPECT_NE(kw({"show", "mill", "--at", "2026-03-01"}).exit, 0) << "none is of that day any more";
  // One thing more leaves the rest; the same again changes nothing; what was stored takes it back.
  ASSERT_EQ(kw({"correct", "mill", "1", "--note", "a loose cable"}).exit, 0);
  EXPECT_EQ(json({"show", "mill", "--at", "#1"}).at("at").at("by"), "Cy");
  const std::string tip = object_id(repository("mill"), "main");
  EXPECT_THAT(kw({"correct", "mill", "1", "--by", "Cy"}).out, HasSubstr("nothing changes"));
  EXPECT_EQ(object_id(repository("mill"), "main"), tip);
  EXPECT_THAT(kw({"correct", "mill", "1", "--at", "2026-03-01"}).out,
              HasSubstr("is corrected: date: 2026-03-01 12:00 (was 2026-03-20 12:00)\n"));
  EXPECT_EQ(newest(), 3);
  EXPECT_EQ(json({"show", "mill", "--at", "#1"}).at("at").at("by"), "Cy");
  ASSERT_EQ(kw({"correct", "mill", "1", "--undo"}).exit, 0);
  EXPECT_TRUE(json({"show", "mill", "--at", "#1"}).at("at").at("corrected").is_null());
  EXPECT_EQ(kw({"correct", "mill", "1"}).exit, 2);
  take(4, {"--note", "to be forgotten"});
  ASSERT_EQ(kw({"correct", "mill", "4", "--note", ""}).exit, 0);
  EXPECT_EQ(json({"show", "mill", "--at", "#4"}).at("at").at("note"), "");
}

TEST_F(Withdraw, GoesToAnotherPcAndStaysWithABackupThatIsRebased) {
  const fs::path hub = root() / "hub.git";
  const fs::path second = root() / "second";
  ASSERT_EQ(git(root(), {"init", "-q", "--bare", hub.string()}).exit, 0);
  ASSERT_EQ(keepway({"init", "second"}, root()).exit, 0);
  ASSERT_EQ(keepway({"hooks", "--server", hub.string()}, root()).exit, 0);
  ASSERT_EQ(kw({"sync", "mill", "--to", hub.string()}).exit, 0);
  ASSERT_EQ(keepway({"sync", "mill", "--to", hub.string()}, second).exit, 0);
  // Each PC takes one in, and one of them is withdrawn before they meet.
  take(4);
  ASSERT_EQ(kw({"sync", "mill"}).exit, 0);
  ASSERT_EQ(keepway({"intake", "mill", put(files(5)).string(), "--at", "2026-03-05"}, second).exit, 0);
  ASSERT_EQ(keepway({"withdraw", "mill", "4", "--why", "wrong stick"}, second).exit, 0);
  ASSERT_EQ(keepway({"correct", "mill", "3", "--note", "third"}, second).exit, 0);
  const Ran synced = keepway({"sync", "mill"}, second);
  EXPECT_LE(synced.exit, 1) << synced.out << synced.err;
  ASSERT_LE(kw({"sync", "mill"}).exit, 1);
  for (const fs::path& in : {shop(), second}) {
    const Json backups = Json::parse(keepway({"history", "mill", "--json"}, in).out).at("backups");
    ASSERT_EQ(backups.size(), 5U);
    EXPECT_EQ(backups.at(0).at("number"), 5);
    EXPECT_EQ(backups.at(0).at("withdrawn").at("why"), "wrong stick") << in;
    EXPECT_EQ(backups.at(1).at("number"), 4);
    EXPECT_TRUE(backups.at(1).at("withdrawn").is_null());
    EXPECT_EQ(backups.at(2).at("note"), "third");
    const Json machines = Json::parse(keepway({"status", "--json"}, in).out).at("machines");
    EXPECT_EQ(machines.at(0).at("newest").at("number"), 4);
  }
}

TEST_F(Withdraw, OfATrialItIsSaidOnMain) {
  ASSERT_EQ(kw({"trial", "mill", "begin", "t"}).exit, 0);
  take(4);
  withdraw("t#1");
  EXPECT_FALSE(json({"show", "mill", "--at", "t#1"}).at("at").at("withdrawn").is_null());
  withdraw("2");
  EXPECT_FALSE(json({"show", "mill", "--at", "#2"}).at("at").at("withdrawn").is_null());
  EXPECT_EQ(git(repository("mill"), {"rev-list", "--count", "main..trial/t"}).out, "2\n");
  EXPECT_EQ(git(repository("mill"), {"rev-list", "--count", "trial/t..main"}).out, "2\n");
}

TEST_F(Withdraw, AuditTellsOfAWordAboutABackupThatIsNotThere) {
  withdraw("3");
  const std::string message = git(repository("mill"), {"log", "-1", "--format=%B"}).out;
  std::string other = message;
  const std::size_t at = other.find("Keepway-Withdraws: ") + 19;
  other[at] = other[at] == '0' ? '1' : '0';
  ASSERT_EQ(git(repository("mill"), {"-c", "user.name=Owner", "-c", "user.email=o@example.org", "commit",
                                     "-q", "--allow-empty", "--no-verify", "-m", other})
                .exit,
            0);
  const Ran audit = kw({"audit", "mill"});
  EXPECT_EQ(audit.exit, 1) << audit.out;
  EXPECT_THAT(audit.out, HasSubstr("is about a backup that is"));
  EXPECT_EQ(newest(), 2);
}

TEST_F(Withdraw, HelpManualAndCompletionsKnowIt) {
  for (const char* command : {"withdraw", "correct"}) {
    EXPECT_THAT(kw({"--help"}).out, HasSubstr(command));
    EXPECT_THAT(kw({"manual"}).out, HasSubstr(fmt::format(".SS \"{}\"", command)));
    EXPECT_THAT(kw({"complete", command, ""}).out, HasSubstr("mill"));
  }
  EXPECT_THAT(kw({"complete", "withdraw", "mill", "3", "--w"}).out, HasSubstr("--why"));
}

}  // namespace
}  // namespace scenario
