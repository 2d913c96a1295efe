// The bounds of the verdict's reasons, judged in memory.
#include "keepway/verdict.hpp"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <map>

namespace keepway {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::IsEmpty;

constexpr const char* layout_text =
    "layout = 1\n"
    "[[source]]\ngroup = \"variables\"\nfiles = \"*.VAR\"\nreader = \"assign\"\nrequired = true\n"
    "[[source]]\ngroup = \"offsets\"\nfiles = \"*{serial}.OFFSETS\"\nreader = \"words\"\n"
    "[[source.row]]\naddress = \"tool/{T}\"\nfields = { L = \"length\", D = \"diameter\" }\n"
    "[[source]]\ngroup = \"programs\"\nfiles = \"*.PRG\"\nreader = \"blocks\"\nprotected = [\"700-799\"]\n";

using Files = std::map<std::string, std::string>;

const Layout& test_layout() {
  static const Layout layout = parse_layout(layout_text, "test.toml");
  return layout;
}

// A backup read, with all that judging refers to.
struct Read {
  media::Set set;
  Reading reading;
};

Read backup(const Files& files) {
  Read read;
  for (const auto& [name, bytes] : files) read.set.files.push_back({name, bytes, std::nullopt});
  std::vector<OriginalView> views;
  for (const media::File& file : read.set.files) views.push_back({file.name, file.bytes});
  read.reading = read_backup(test_layout(), {"77", Units::inch}, views);
  return read;
}

struct Judged {
  Namebook book;
  std::optional<Previous> last;
  std::optional<Previous> base;
  std::int64_t at = 1000;

  Verdict of(const Read& read) const {
    const Previous* before = last ? &*last : nullptr;
    return judge({test_layout(), book, read.set, read.reading, "77", at, before, base ? &*base : before});
  }
  std::vector<std::string> cautions(const Read& read) const {
    std::vector<std::string> codes;
    for (const Caution& caution : of(read).cautions)
      codes.insert(codes.end(), caution.codes.begin(), caution.codes.end());
    return codes;
  }
  std::vector<std::string> heavy(const Read& read) const {
    std::vector<std::string> codes;
    for (const Reason& reason : of(read).reasons) {
      if (reason.weight != Worth::good) codes.push_back(reason.code);
    }
    return codes;
  }
};

std::string variables(int count, const std::string& value = "") {
  std::string text;
  for (int i = 0; i < count; ++i)
    text += fmt::format("#{}={}\n", 300 + i, value.empty() ? std::to_string(i + 1) : value);
  return text;
}

std::string tools(const std::string& length, int count = 5) {
  std::string text;
  for (int i = 1; i <= count; ++i) text += fmt::format("T{} L{} D.5\n", i, length);
  return text;
}

Judged after(const Files& files) {
  Judged judged;
  judged.last = Previous{backup(files).reading.state, 1000};
  return judged;
}

TEST(Verdict, HeaviestReasonFirstAndItsWeightIsTheWorth) {
  const Verdict verdict = Judged{}.of(backup({{"M.VAR", ""}, {"99.OFFSETS", "T1 L2\n"}}));
  ASSERT_GE(verdict.reasons.size(), 2U);
  EXPECT_EQ(verdict.worth, Worth::refused);
  EXPECT_EQ(verdict.reasons[0].code, "wrong-serial");
  EXPECT_TRUE(std::is_sorted(verdict.reasons.begin(), verdict.reasons.end(),
                             [](const Reason& a, const Reason& b) { return a.weight > b.weight; }));
}

TEST(Verdict, EveryReasonHasSomethingToDo) {
  const Verdict verdict = Judged{}.of(backup({{"M.VAR", "#1=2\nwhat\n"},
                                              {"99.OFFSETS", "T1 L2\n"},
                                              {"A.PRG", "%\nO1\nM98 P2\n"},
                                              {"B.PRG", "O1\nM30\n"},
                                              {"X", "y"}}));
  EXPECT_GE(verdict.reasons.size(), 6U);
  for (const Reason& reason : verdict.reasons) {
    EXPECT_FALSE(reason.code.empty());
    EXPECT_FALSE(reason.what.empty()) << reason.code;
    EXPECT_FALSE(reason.remedy.empty()) << reason.code;
  }
}

TEST(Verdict, TheLastRowsGoneAreDoubtfulHoweverFew) {
  const Judged judged = after({{"M.VAR", variables(100)}});
  EXPECT_THAT(judged.heavy(backup({{"M.VAR", variables(99)}})), ElementsAre("rows-gone"));
  EXPECT_THAT(judged.heavy(backup({{"M.VAR", variables(89)}})), ElementsAre("count-fell"));
}

TEST(Verdict, AnyFewerOfASmallGroupIsMoreThanATenth) {
  EXPECT_THAT(after({{"M.VAR", variables(9)}}).heavy(backup({{"M.VAR", variables(8)}})),
              ElementsAre("count-fell"));
}

TEST(Verdict, MoreIsNoReason) {
  EXPECT_THAT(after({{"M.VAR", variables(5)}}).heavy(backup({{"M.VAR", variables(500)}})), IsEmpty());
}

TEST(Verdict, ATableThatWasZeroAlreadyHasLostNothing) {
  EXPECT_THAT(after({{"M.VAR", variables(5, "0")}}).heavy(backup({{"M.VAR", variables(5, "0.")}})),
              IsEmpty());
}

TEST(Verdict, ATableWithOneValueLeftIsNotCalledLost) {
  EXPECT_THAT(after({{"M.VAR", variables(5)}}).heavy(backup({{"M.VAR", variables(4, "0") + "#304=1\n"}})),
              IsEmpty());
  EXPECT_THAT(after({{"M.VAR", variables(5)}}).heavy(backup({{"M.VAR", variables(5, "0")}})),
              ElementsAre("memory-lost"));
}

TEST(Verdict, DefaultsOfTheNamebookCountAsLost) {
  Judged judged = after({{"M.VAR", variables(5)}});
  judged.book = Namebook::parse("address\tname\tdefault\nvariables/*\tAny\t9.5\n", "book");
  EXPECT_THAT(judged.heavy(backup({{"M.VAR", variables(5, "9.50")}})), ElementsAre("memory-lost"));
}

TEST(Verdict, APartOfATableMayBeLostAlone) {
  const Judged judged = after({{"M.VAR", "#1=1\n"}, {"77.OFFSETS", tools("5")}});
  EXPECT_THAT(judged.heavy(backup({{"M.VAR", "#1=1\n"}, {"77.OFFSETS", tools("0")}})),
              ElementsAre("memory-lost"));
  const Judged few = after({{"M.VAR", "#1=1\n"}, {"77.OFFSETS", tools("5", 3)}});
  EXPECT_THAT(few.heavy(backup({{"M.VAR", "#1=1\n"}, {"77.OFFSETS", tools("0", 3)}})), IsEmpty())
      << "clearing three is a day's work";
}

TEST(Verdict, RowsThatAreGoneAreNotCalledLostMemory) {
  const Judged judged = after({{"M.VAR", variables(5) + "#900=0\n"}});
  EXPECT_THAT(judged.heavy(backup({{"M.VAR", "#900=0\n"}})), ElementsAre("count-fell"));
}

TEST(Verdict, LostMemoryIsMeasuredAgainstTheLastGoodBackup) {
  Judged judged = after({{"M.VAR", variables(5, "0")}});
  judged.base = Previous{backup({{"M.VAR", variables(5)}}).reading.state, 900};
  EXPECT_THAT(judged.heavy(backup({{"M.VAR", variables(5, "0")}})), ElementsAre("memory-lost"))
      << "still lost, the second time";
}

TEST(Verdict, OlderIsReportedButNotTheSameTime) {
  Judged judged = after({{"M.VAR", variables(5)}});
  EXPECT_THAT(judged.heavy(backup({{"M.VAR", variables(5)}})), IsEmpty());
  judged.at = 999;
  EXPECT_THAT(judged.heavy(backup({{"M.VAR", variables(5)}})), ElementsAre("older-than-last"));
}

TEST(Verdict, ProtectedProgramsAreNamedAndTheRangesEndsAreIn) {
  const std::string all = "O700\nG1 X1\nM99\nO799\nG1 X2\nM99\nO699\nG1 X3\nM30\n";
  const Judged judged = after({{"M.VAR", variables(5)}, {"A.PRG", all}});
  const Verdict verdict = judged.of(backup({{"M.VAR", variables(5)}, {"A.PRG", "O699\nG1 X3\nM30\n"}}));
  const auto gone = std::find_if(verdict.reasons.begin(), verdict.reasons.end(),
                                 [](const Reason& reason) { return reason.code == "protected-gone"; });
  ASSERT_NE(gone, verdict.reasons.end());
  EXPECT_THAT(gone->what, testing::AllOf(testing::HasSubstr("O700"), testing::HasSubstr("O799"),
                                         testing::HasSubstr("programs 700 to 799")));
}

TEST(Verdict, ACallWithARepeatCountIsAnswered) {
  // P30710 as three times O710: common practice, no source.
  const Read read = backup({{"M.VAR", "#1=1\n"}, {"A.PRG", "O1\nM98 P30710\nM30\nO710\nG1 X1\nM99\n"}});
  EXPECT_THAT(Judged{}.heavy(read), IsEmpty());
}

TEST(Verdict, ACallOfItselfIsAnswered) {
  EXPECT_THAT(Judged{}.heavy(backup({{"M.VAR", "#1=1\n"}, {"A.PRG", "O1\nM98 P1\nM30\n"}})), IsEmpty());
}

TEST(Verdict, ManyMissingCallsOfOneProgramAreReportedOnce) {
  std::string text = "O1\n";
  for (int i = 0; i < 50; ++i) text += "M98 P2\n";
  EXPECT_THAT(Judged{}.heavy(backup({{"M.VAR", "#1=1\n"}, {"A.PRG", text + "M30\n"}})),
              ElementsAre("call-missing"));
}

TEST(Verdict, ManyUnreadRowsAreCountedNotListed) {
  std::string text = "#1=1\n";
  for (int i = 0; i < 1000; ++i) text += fmt::format("what {} is this\n", i);
  const Verdict verdict = Judged{}.of(backup({{"M.VAR", text}}));
  EXPECT_LE(verdict.reasons.size(), 10U);
  EXPECT_EQ(verdict.counts.unread[static_cast<std::size_t>(Group::variables)], 1000U);
}

TEST(Verdict, ThousandsOfOneReasonAreCountedNotListed) {
  std::string text = "O1\n";
  for (int i = 2; i < 5000; ++i) text += fmt::format("M98 P{}\n", i);
  const Verdict verdict = Judged{}.of(backup({{"M.VAR", "#1=1\n"}, {"A.PRG", text + "M30\n"}}));
  const auto calls = std::count_if(verdict.reasons.begin(), verdict.reasons.end(),
                                   [](const Reason& reason) { return reason.code == "call-missing"; });
  EXPECT_EQ(calls, 21);
  EXPECT_THAT(verdict.reasons,
              Contains(testing::Field(&Reason::what, testing::HasSubstr("4978 more of this kind"))));
}

TEST(Verdict, LimitsAreExact) {
  Judged judged;
  judged.book = Namebook::parse("address\tname\tmin\tmax\nvariables/1\tOne\t-0.1\t0.3\n", "book");
  for (const char* inside : {"-0.1", "-.10", "0.3", "0.30000", "0"})
    EXPECT_THAT(judged.cautions(backup({{"M.VAR", fmt::format("#1={}\n", inside)}})), IsEmpty()) << inside;
  for (const char* outside :
       {"-0.10000000000000000000001", "0.30000000000000000000001", "99999999999999999999"})
    EXPECT_THAT(judged.cautions(backup({{"M.VAR", fmt::format("#1={}\n", outside)}})),
                ElementsAre("out-of-limits"))
        << outside;
}

TEST(Verdict, AChoiceThatIsNotListedIsOutOfLimits) {
  Judged judged;
  judged.book =
      Namebook::parse("address\tname\tkind\tmeaning\nvariables/1\tOne\tchoice\t0=off;2=rigid\n", "book");
  for (const char* listed : {"0", "2", "2.0", "+2."})
    EXPECT_THAT(judged.cautions(backup({{"M.VAR", fmt::format("#1={}\n", listed)}})), IsEmpty()) << listed;
  for (const char* other : {"1", "-2", "2.5"})
    EXPECT_THAT(judged.cautions(backup({{"M.VAR", fmt::format("#1={}\n", other)}})),
                ElementsAre("out-of-limits"));
}

TEST(Verdict, NoControlByteOfAKeyReachesAReason) {
  const Layout layout = parse_layout(
      "layout = 1\n[[source]]\ngroup = \"parameters\"\nfiles = \"*\"\nreader = \"sections\"\n", "l");
  media::Set set;
  set.files.push_back({"a", "[x]\nnonsense \x1b[31m\nk = 5\n", std::nullopt});
  const Reading reading = read_backup(layout, {}, {{set.files[0].name, set.files[0].bytes}});
  const Namebook book;
  const Verdict verdict = judge({layout, book, set, reading, "", 0});
  ASSERT_FALSE(verdict.reasons.empty());
  for (const Reason& reason : verdict.reasons)
    EXPECT_EQ((reason.what + reason.spot).find('\x1b'), std::string::npos) << reason.code;
}

TEST(Verdict, FlawsOfTheMediumAreDoubtful) {
  Read read = backup({{"M.VAR", variables(5)}});
  read.set.flaws.push_back({"M.VAR", "a sector could not be read", "copy the floppy again"});
  const Verdict verdict = Judged{}.of(read);
  EXPECT_EQ(verdict.worth, Worth::doubtful);
  EXPECT_THAT(verdict.reasons[0].code, "medium-damaged");
  EXPECT_EQ(verdict.reasons[0].remedy, "copy the floppy again");
}

TEST(Verdict, CountsAreOfItemsFilesAndBytes) {
  const Verdict verdict = Judged{}.of(backup({{"M.VAR", "#1=1\n#2=2\n"}, {"A.PRG", "O1\nM30\n"}}));
  EXPECT_EQ(verdict.counts.items[static_cast<std::size_t>(Group::variables)], 2U);
  EXPECT_EQ(verdict.counts.items[static_cast<std::size_t>(Group::programs)], 1U);
  EXPECT_EQ(verdict.counts.files, 2U);
  EXPECT_EQ(verdict.counts.bytes, 17U);
}

TEST(Verdict, WorthNamesReadBack) {
  for (const Worth worth : {Worth::good, Worth::doubtful, Worth::refused})
    EXPECT_EQ(parse_worth(worth_name(worth)), worth);
  EXPECT_FALSE(parse_worth("splendid"));
  EXPECT_FALSE(parse_worth(""));
}

}  // namespace
}  // namespace keepway
