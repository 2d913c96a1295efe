// Reasons that a person stood by: what makes them the same, and what stays known after each backup.
#include <gmock/gmock.h>

#include "keepway/error.hpp"
#include "shop/known_reasons.hpp"
#include "verdict_support.hpp"

namespace keepway {
namespace {

using namespace testing_verdict;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::SizeIs;

std::vector<KnownReason> accepted(const Verdict& verdict) {
  return known_after({}, verdict.present, {false, true, 4, 1'700'000'000, "Ana"});
}

TEST(Known, TheSameLineMovedIsAsBefore) {
  Judging judging;
  const Verdict first = judging.alone({{"M.VAR", "#1=1\nwhat is this\n"}});
  EXPECT_THAT(heavy(first), ElementsAre("text-unread"));
  judging.known = accepted(first);
  const Verdict again = judging.alone({{"M.VAR", "#1=1\n#2=2\n#3=3\nwhat is this\n"}});
  EXPECT_EQ(again.worth, Worth::good);
  ASSERT_THAT(again.as_before, SizeIs(1));
  EXPECT_EQ(again.as_before[0].since, 4);
  EXPECT_EQ(again.as_before[0].by, "Ana");
}

TEST(Known, AnotherLineOrFileIsNew) {
  Judging judging;
  judging.known = accepted(judging.alone({{"M.VAR", "#1=1\nwhat is this\n"}}));
  EXPECT_THAT(heavy(judging.alone({{"M.VAR", "#1=1\nwhat is that\n"}})), ElementsAre("text-unread"));
  EXPECT_THAT(heavy(judging.alone({{"N.VAR", "#1=1\nwhat is this\n"}})), ElementsAre("text-unread"));
}

TEST(Known, ACallOfAProgramThatIsInNoBackupIsAsBeforeWhoeverCallsIt) {
  Judging judging;
  const Verdict first = judging.alone({{"M.VAR", "#1=1\n"}, {"A.PRG", "O1\nM98 P9000\nM30\n"}});
  EXPECT_THAT(heavy(first), ElementsAre("call-missing"));
  judging.known = accepted(first);
  EXPECT_THAT(heavy(judging.alone({{"M.VAR", "#1=1\n"}, {"A.PRG", "O2\nM98 P9000\nM30\n"}})), IsEmpty());
  EXPECT_THAT(heavy(judging.alone({{"M.VAR", "#1=1\n"}, {"A.PRG", "O2\nM98 P9001\nM30\n"}})),
              ElementsAre("call-missing"));
}

TEST(Known, OneMoreAmongThousandsIsNew) {
  Judging judging;
  std::string text = "#1=1\n";
  for (int i = 0; i < 1500; ++i) text += "what " + std::to_string(i) + " is this\n";
  judging.known = accepted(judging.alone({{"M.VAR", text}}));
  EXPECT_LE(judging.known.size(), 1001U);
  EXPECT_EQ(judging.alone({{"M.VAR", text}}).worth, Worth::good);
  EXPECT_EQ(judging.alone({{"M.VAR", text + "one more\n"}}).worth, Worth::doubtful);
}

TEST(Known, AfterAGoodBackupWhatItNoMoreHadIsForgotten) {
  const KnownReason old{"call-missing", "calls O2", 4, 1, "Ana", "gone"};
  const KnownReason fresh{"call-missing", "calls O3", 0, 0, "", "new"};
  EXPECT_THAT(known_after({old}, {}, {true, false, 9, 2, "Bo"}), IsEmpty());
  EXPECT_THAT(known_after({old}, {old}, {true, false, 9, 2, "Bo"}), SizeIs(1));
  EXPECT_THAT(known_after({old}, {fresh}, {false, false, 9, 2, "Bo"}), SizeIs(1)) << "nobody stood by it";
  const auto both = known_after({old}, {old, fresh}, {false, true, 9, 2, "Bo"});
  ASSERT_THAT(both, SizeIs(2));
  EXPECT_EQ(both[0].by, "Ana");
  EXPECT_EQ(both[1].since, 9);
  EXPECT_EQ(both[1].by, "Bo");
}

TEST(Known, RowsReadBack) {
  const std::vector<KnownReason> reasons = {{"a", "x\ty\n\x1b", 4, 1'700'000'000, "Ana \xff", "what\\"},
                                            {"b", "", 5, 0, "", ""}};
  const auto back = parse_known_reasons(write_known_reasons(reasons));
  ASSERT_THAT(back, SizeIs(2));
  EXPECT_EQ(back[0].spot, reasons[0].spot);
  EXPECT_EQ(back[0].by, reasons[0].by);
  EXPECT_EQ(back[0].what, reasons[0].what);
  EXPECT_EQ(back[1].since, 5);
  for (const char* wrong : {"", "code\n", "code\tspot\tsince\tat\tby\twhat\na\tb\tx\t1\tc\td\n",
                            "code\tspot\tsince\tat\tby\twhat\na\tb\t1\t1\tc\n",
                            "code\tspot\tsince\tat\tby\twhat\na\tb\t1\t1\tc\td"})
    EXPECT_THROW(parse_known_reasons(wrong), Error) << wrong;
}

TEST(Known, ThatItMayBeAnotherMachinesIsAcceptedForOneBackupAlone) {
  Judging judging;
  const Files ours = whole_backup();
  const Files others = with(ours, "M.PAR", "MEMORY OF 4471", "MEMORY OF 5582");
  const Verdict first = judging.of(others, ours);
  ASSERT_THAT(heavy(first), ElementsAre("serial-differs"));
  EXPECT_THAT(first.present, IsEmpty());
  // As an earlier version wrote it.
  judging.known = {{"serial-differs", first.reasons[0].spot, 4, 1, "Ana", first.reasons[0].what}};
  const Verdict again = judging.of(others, ours);
  EXPECT_THAT(heavy(again), ElementsAre("serial-differs"));
  EXPECT_THAT(again.as_before, IsEmpty());
  EXPECT_THAT(heavy(judging.of(others, others)), IsEmpty()) << "it is the baseline: nothing differs";
}

TEST(Known, ThatItMayBeAnOldOneIsAcceptedForOneBackupAlone) {
  Judging judging;
  judging.at = judging.was_at - 1;
  const Files now = with(whole_backup(), "M.PAR", "A8 V296", "A8 V297");
  const Verdict first = judging.of(now, whole_backup());
  ASSERT_THAT(heavy(first), ElementsAre("older-than-last"));
  EXPECT_THAT(first.present, IsEmpty());
  judging.known = {{"older-than-last", "clock", 4, 1, "Ana", first.reasons[0].what}};
  EXPECT_THAT(heavy(judging.of(now, whole_backup())), ElementsAre("older-than-last"));
}

TEST(Known, ALateOneTakesNothingAwayAndVouchesForNothing) {
  const KnownReason old{"call-missing", "calls O2", 4, 1, "Ana", "gone"};
  const KnownReason fresh{"call-missing", "calls O3", 0, 0, "", "new"};
  Standing late{true, false, 9, 2, "Bo", true};
  EXPECT_THAT(known_after({old}, {}, late), SizeIs(1));
  EXPECT_THAT(known_after({old}, {old}, late), SizeIs(1));
  late.accepted = true;
  EXPECT_THAT(known_after({old}, {old, fresh}, late), SizeIs(1));
}

TEST(Known, AnotherStretchOfLostMemoryIsNew) {
  const auto rows = [](int first, int last) {  // those that are cleared
    std::string text;
    for (int i = 1; i <= 70; ++i)
      text +=
          "A" + std::to_string(i) + " V" + (i >= first && i <= last ? "0" : std::to_string(i * 37)) + "\n";
    return Files{{"M.VAR", "#1=1\n"}, {"M.PAR", text}};
  };
  Judging judging;
  const Verdict first = judging.of(rows(41, 60), rows(0, 0));
  ASSERT_THAT(heavy(first), ElementsAre("memory-lost"));
  judging.known = accepted(first);
  EXPECT_THAT(heavy(judging.of(rows(41, 60), rows(0, 0))), IsEmpty());
  EXPECT_THAT(heavy(judging.of(rows(1, 30), rows(0, 0))), ElementsAre("memory-lost"));
}

}  // namespace
}  // namespace keepway
