// A change is a change: the decimal point, spelling, block numbers, and the border between two readers. The
// lathe and all values are invented; that a number without a point counts in the least increment is common
// practice (no source).
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;
using testing::Not;

class Trust : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_lathe();
  }
  // Intake of the lathe's files with those of `more` in place of its own.
  Ran take(const Tree& more, int exit = 0) {
    Tree files = lathe_files();
    for (const auto& [name, bytes] : more) files[name] = bytes;
    return intake("lathe", files, exit);
  }
};

TEST_F(Trust, ALostPointInAProgramIsAChange) {
  take({{"ALL.PRG", "%\nO100\nG1 X7. F20.\nM30\n%\n"}});
  const Ran taken = take({{"ALL.PRG", "%\nO100\nG1 X7 F20.\nM30\n%\n"}}, 1);
  EXPECT_THAT(taken.out, HasSubstr("X7. to 7: the decimal point is gone"));
  const Ran ran = kw({"changes", "lathe"});
  EXPECT_EQ(ran.exit, 1);
  EXPECT_THAT(ran.out, HasSubstr("X 7. -> X 7: the decimal point is gone"));
  const Json answer = json({"changes", "lathe"}, 1);
  EXPECT_EQ(answer.at("programs").at(0).at("blocks").at(0).at("after").at(0), "G1 X7 F20.");
}

TEST_F(Trust, OfOtherDigitsWithoutTheirPointTheDifferenceIsNotSaid) {
  take({{"ALL.PRG", "%\nO100\nG1 X9.4 Z3. F20.\nM30\n%\n"}});
  take({{"ALL.PRG", "%\nO100\nG1 X2 Z3.5 F20.\nM30\n%\n"}}, 1);
  const Ran ran = kw({"changes", "lathe"});
  EXPECT_THAT(ran.out,
              HasSubstr("X 9.4 -> X 2: the decimal point is gone; without one it is counted in the"));
  EXPECT_THAT(ran.out, Not(HasSubstr("-7.4")));
  EXPECT_THAT(ran.out, HasSubstr("Z 3. to 3.5 (+0.5)"));
}

TEST_F(Trust, ALostPointInATableIsAChange) {
  take({{"VARIABLE.TXT", "#301=7.\n"}});
  const Ran taken = take({{"VARIABLE.TXT", "#301=7\n"}}, 1);
  EXPECT_THAT(taken.out, HasSubstr("the decimal point is gone"));
  const Json answer = json({"changes", "lathe"}, 1);
  ASSERT_EQ(answer.at("values").size(), 1U) << answer.dump(1);
  EXPECT_EQ(answer.at("values")[0].at("before"), "7.");
  EXPECT_EQ(answer.at("values")[0].at("after"), "7");
  EXPECT_THAT(kw({"changes", "lathe"}).out, HasSubstr("the decimal point is gone"));
}

TEST_F(Trust, NoChangeIsSaidOfTheSameBytesAlone) {
  take({});
  take({});
  const Ran same = kw({"changes", "lathe"});
  EXPECT_EQ(same.exit, 0);
  EXPECT_THAT(same.out, HasSubstr("No change."));
  EXPECT_EQ(json({"changes", "lathe"}, 0).at("same_bytes"), true);

  intake("lathe", with(lathe_files(), "VARIABLE.TXT", "#300", "# 300"), 0);
  const Ran ran = kw({"changes", "lathe"});
  EXPECT_EQ(ran.exit, 1);
  EXPECT_THAT(ran.out, HasSubstr("The values are the same; VARIABLE.TXT is spelled otherwise in 1 line."));
  EXPECT_THAT(ran.out, Not(HasSubstr("No change")));
  EXPECT_THAT(ran.out, Not(HasSubstr("# 300")));
  const Ran listed = kw({"changes", "lathe", "--spelling"});
  EXPECT_THAT(listed.out, HasSubstr("+ # 300"));
  const Json answer = json({"changes", "lathe"}, 1);
  EXPECT_EQ(answer.at("same_bytes"), false);
  EXPECT_EQ(answer.at("spelling").at(0).at("file"), "VARIABLE.TXT");
  EXPECT_EQ(answer.at("spelling").at(0).at("lines").size(), 1U);
  EXPECT_THAT(json({"history", "lathe"}, 0).dump(), HasSubstr("the values are the same; VARIABLE.TXT"));
}

// A second tool file beside the first, read after it: of a tool that both give, the first does not count.
TEST_F(Trust, OfARowThatDoesNotCountItIsNeverSaidThatItsValuesAreTheSame) {
  enroll_mill();
  Tree files = mill_files();
  files["old.tbl"] = "POC FMS TLO DIAM COMMENT\n\n2 12 4.5 0.25 quarter inch drill\n";
  intake("mill", files, 1, {"--accept"});
  files = with(files, "mill.tbl", "2 12 4.25", "2 12 4.2");
  const std::string what =
      "a row that does not count, mill.tbl:4, says 4.2 where it said 4.25 for offsets/tool/2/length: 4.5 of "
      "old.tbl:3 is in force";
  EXPECT_EQ(inspect("mill", files).at("gist"), "what counts is the same; " + what);
  intake("mill", files, 0);
  const Ran ran = kw({"changes", "mill"});
  EXPECT_EQ(ran.exit, 1);
  EXPECT_THAT(ran.out, HasSubstr("What counts is the same; " + what));
  EXPECT_THAT(ran.out, Not(HasSubstr("spelled otherwise")));
  const Json spelling = json({"changes", "mill"}, 1).at("spelling");
  ASSERT_EQ(spelling.size(), 1U) << spelling.dump(1);
  EXPECT_EQ(spelling[0].at("count"), 0);
  const Json row = spelling[0].at("overruled").at(0);
  EXPECT_EQ(row.at("address"), "offsets/tool/2/length");
  EXPECT_EQ(row.at("before"), "4.25");
  EXPECT_EQ(row.at("after"), "4.2");
  EXPECT_EQ(row.at("in_force"), "4.5");
  EXPECT_EQ(row.at("by_file"), "old.tbl");
}

TEST_F(Trust, OfAFileThatNothingReadsItIsNeverSaidThatItsValuesAreTheSame) {
  take({{"LADDER.BIN", "one\n"}});
  const Ran taken = take({{"LADDER.BIN", "two\n"}});
  const std::string unread = "LADDER.BIN changed, and no source of the layout reads it";
  EXPECT_THAT(taken.out, HasSubstr(unread));
  EXPECT_THAT(taken.out, Not(HasSubstr("values are the same")));
  const Ran ran = kw({"changes", "lathe", "--spelling"});
  EXPECT_EQ(ran.exit, 1);
  EXPECT_THAT(ran.out, HasSubstr(unread));
  EXPECT_THAT(ran.out, HasSubstr("changed, and not read"));
  EXPECT_THAT(ran.out, HasSubstr("+ two"));
  EXPECT_THAT(ran.out, Not(HasSubstr("are the same")));
  EXPECT_EQ(json({"changes", "lathe"}, 1).at("spelling").at(0).at("read"), false);
  EXPECT_THAT(json({"history", "lathe"}, 0).dump(), HasSubstr(unread));
}

TEST_F(Trust, WhatIsOnlySpelledOtherwiseIsSaidBesideTheValuesThatChanged) {
  take({{"VARIABLE.TXT", "#301=7.\n#302=1.0\n"}, {"LADDER.BIN", "one\n"}});
  const Ran taken = take({{"VARIABLE.TXT", "#301=7.1\n#302=1.00\n"}, {"LADDER.BIN", "two\n"}});
  EXPECT_THAT(taken.out,
              HasSubstr("Beside that, 1 line in 1 file is spelled otherwise, with the same values; "
                        "LADDER.BIN changed, and no source of the layout reads it"));
}

TEST_F(Trust, SwappedBlockNumbersAreNotConfirmed) {
  const std::string before = "%\nO100\nN10 G1 X1. F9.\nN20 G1 X2.\nGOTO 20\nM30\n%\n";
  const std::string swapped = "%\nO100\nN20 G1 X1. F9.\nN10 G1 X2.\nGOTO 20\nM30\n%\n";
  const std::string renumbered = "%\nO100\nN15 G1 X1. F9.\nN25 G1 X2.\nGOTO 25\nM30\n%\n";
  take({{"ALL.PRG", before}});
  Tree files = lathe_files();
  files["ALL.PRG"] = swapped;
  const Json off =
      json({"confirm", "lathe", put(files).string(), "--against", "#1", "--at", "2026-05-01"}, 1);
  EXPECT_EQ(off.at("confirmed"), false) << off.dump(1);
  files["ALL.PRG"] = renumbered;
  const Json whole =
      json({"confirm", "lathe", put(files).string(), "--against", "#1", "--at", "2026-05-02"}, 0);
  EXPECT_EQ(whole.at("confirmed"), true) << whole.dump(1);
}

TEST_F(Trust, AProgramIsShownAsReceived) {
  const std::string text = "o0100 (part)\r\ng01 x7.000  f20.\r\n\r\nwhat is this {\r\nm30\r\n";
  take({{"ALL.PRG", "%\r\n" + text + "%\r\n"}}, 1);
  const Json shown = json({"show", "lathe", "programs/O100"}, 0);
  EXPECT_EQ(shown.at("form"), "received");
  EXPECT_EQ(shown.at("file"), "ALL.PRG");
  EXPECT_EQ(shown.at("line"), 2);
  EXPECT_THAT(kw({"show", "lathe", "programs/O100"}).out, HasSubstr("g01 x7.000  f20."));
  EXPECT_EQ(kw({"show", "lathe", "programs/O100", "--normal"}).out,
            "O100 (part)\nG1 X7. F20.\nwhat is this {\nM30\n");
  // A line that no reader understands is text, in its place, and no item of its own.
  EXPECT_EQ(json({"show", "lathe", "programs"}, 0).at("items").size(), 1U);
}

TEST_F(Trust, TheSameFilesOfTheSameTimeAreStoredOnce) {
  const std::string folder = put(lathe_files()).string();
  const Args first = {"intake", "lathe", folder, "--by", "Ana", "--at", "2026-05-01"};
  EXPECT_EQ(kw(first).exit, 0);
  const Ran again = kw(first);
  EXPECT_EQ(again.exit, 0);
  EXPECT_THAT(again.out, HasSubstr("Nothing was stored"));
  EXPECT_EQ(json({"history", "lathe"}, 0).at("backups").size(), 1U);
  Args asked = first;
  asked.push_back("--again");
  EXPECT_EQ(kw(asked).exit, 0);
  EXPECT_EQ(json({"history", "lathe"}, 0).at("backups").size(), 2U);
  Args later = first;
  later.back() = "2026-05-02";
  EXPECT_EQ(kw(later).exit, 0);
  EXPECT_EQ(json({"history", "lathe"}, 0).at("backups").size(), 3U);
  EXPECT_EQ(json(first, 0).at("already").at("number"), 2);
}

// The first backup as the reader before this one left it: its state without points, its trailer saying so.
class OlderReader : public Trust {
 protected:
  void SetUp() override {
    Trust::SetUp();
    take(first_);
    remake("1", {{"state/variables.tsv", "300\t7\n301\t3\n"},
                 {"state/programs/O00100.nc", "O100\nG1 X7 F20\nM30\n"}});
  }
  // The newest backup with other files in its tree, as a reader of that version would have made it.
  void remake(const std::string& reader, const Tree& files) {
    const fs::path repo = repository("lathe");
    std::string message;
    for (const std::string& line : lines_of(git(repo, {"log", "-1", "--format=%B"}).out)) {
      if (line.starts_with("Keepway-Made-Of: ")) continue;
      message += line.starts_with("Keepway-Reader: ") ? "Keepway-Reader: " + reader + "\n" : line + "\n";
    }
    while (message.ends_with("\n\n")) message.pop_back();
    ASSERT_NE(message.find("Keepway-Reader: " + reader), std::string::npos);
    for (const auto& [path, bytes] : files) write_file(repo / path, bytes);
    ASSERT_EQ(git(repo, {"add", "-A"}).exit, 0);
    ASSERT_EQ(git(repo, {"-c", "user.name=Ana", "-c", "user.email=ana@shop", "commit", "-q", "--no-verify",
                         "--amend", "-m", message})
                  .exit,
              0);
    fs::remove_all(repo / ".git/keepway/index");
    fs::remove_all(repo / ".git/keepway/readings");
  }
  const Tree first_ = {{"VARIABLE.TXT", "#300=7.\n#301=3\n"}, {"ALL.PRG", "%\nO100\nG1 X7. F20.\nM30\n%\n"}};
};

TEST_F(OlderReader, AnUpgradeShowsNoChangeThatTheMachineDidNotHave) {
  take({{"VARIABLE.TXT", "#300=7.\n#301=4\n"}, {"ALL.PRG", "%\nO100\nG1 X7. F20.\nM30\n%\n"}});
  const Json answer = json({"changes", "lathe"}, 1);
  ASSERT_EQ(answer.at("values").size(), 1U) << answer.dump(1);
  EXPECT_EQ(answer.at("values")[0].at("address"), "variables/301");
  EXPECT_EQ(answer.at("programs").size(), 0U) << answer.dump(1);
  EXPECT_THAT(json({"history", "lathe"}, 0).dump(), HasSubstr("1 variable changed"));
  EXPECT_EQ(json({"when", "lathe", "variables/300"}, 0).at("changes").size(), 1U);
  EXPECT_EQ(json({"when", "lathe", "variables/301"}, 0).at("changes").size(), 2U);
  EXPECT_EQ(json({"when", "lathe", "programs/O100"}, 0).at("changes").size(), 1U);
  const Json all = json({"when", "lathe", "--all", "variables"}, 0);
  EXPECT_THAT(all.dump(), HasSubstr("\"7.\""));
}

TEST_F(OlderReader, AChangeBesideTheUpgradeIsShown) {
  take({{"VARIABLE.TXT", "#300=7\n#301=3\n"}, {"ALL.PRG", "%\nO100\nG1 X7 F20.\nM30\n%\n"}}, 1);
  const Json answer = json({"changes", "lathe"}, 1);
  ASSERT_EQ(answer.at("values").size(), 1U) << answer.dump(1);
  EXPECT_EQ(answer.at("values")[0].at("before"), "7.");
  EXPECT_EQ(answer.at("values")[0].at("after"), "7");
  EXPECT_EQ(answer.at("programs").size(), 1U);
}

TEST_F(OlderReader, IsNoDamage) {
  take(first_);
  const Json audit = json({"audit", "lathe"}, 0);
  for (const Json& finding : audit.at("machines").at(0).at("findings"))
    EXPECT_NE(finding.at("concern"), "damage") << finding.dump(1);
  EXPECT_EQ(json({"show", "lathe", "variables/300", "--at", "#1"}, 0).at("items")[0].at("value"), "7.");
}

// What a clone of somebody else may hold: a reader that nobody knows, a layout that reads nothing, a state of
// no form.
TEST_F(OlderReader, AStrangersReaderDoesNoHarm) {
  const std::vector<Tree> stranger = {
      {{"state/variables.tsv", "300\t" + std::string(100'000, '9') + "\n"}},
      {{"layout.toml", "layout = 1\n[[source"}},
      {{"state/variables.tsv", "300\n\t\x01\n"}, {"layout.toml", ""}},
      {{"originals/VARIABLE.TXT", std::string(5000, '\0')}, {"machine.toml", "units = 7\n"}}};
  for (const Tree& files : stranger) {
    for (const std::string reader : {"0", "3", "999999999999999999999", "-7", "x"}) {
      remake(reader, files);
      for (const Args& args : std::vector<Args>{{"history", "lathe"},
                                                {"changes", "lathe", "1", "1"},
                                                {"show", "lathe", "variables"},
                                                {"show", "lathe", "programs/O100"},
                                                {"when", "lathe", "variables/300"},
                                                {"when", "lathe", "--all", "programs"},
                                                {"audit", "lathe"},
                                                {"report", "lathe", "--to", "pages", "--replace"}}) {
        const Ran ran = kw(args);
        EXPECT_TRUE(ran.exit >= 0 && ran.exit <= 5) << reader << ' ' << args[0] << ' ' << ran.exit << ran.err;
      }
    }
  }
}

}  // namespace
}  // namespace scenario
