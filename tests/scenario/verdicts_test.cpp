// Each reason of a verdict, alone: its weight, its code, its exit code, its remedy; and what it does to
// storing.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <bit>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

class Verdicts : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
    enroll_lathe();
  }

  static const Json* reason(const Json& verdict, const std::string& code) {
    for (const Json& each : verdict.at("reasons")) {
      if (each.at("code") == code) return &each;
    }
    return nullptr;
  }

  // Takes `before` in as a good backup, then `files`: doubtful for this reason alone, and stored.
  void expect_doubtful(const std::string& machine, const Tree& files, const std::string& code,
                       const Tree& before) {
    SCOPED_TRACE(code);
    intake(machine, before, 0, {"--at", "2026-03-01"});
    const fs::path folder = put(files);
    const Args at = {"--at", "2026-03-02"};
    const Json looked = json({"inspect", machine, folder.string(), "--at", "2026-03-02"}, 1);
    EXPECT_EQ(looked.at("verdict").at("worth"), "doubtful");
    EXPECT_THAT(heavy(looked.at("verdict")), ElementsAre(code)) << looked.dump(1);
    const Json* why = reason(looked.at("verdict"), code);
    ASSERT_NE(why, nullptr);
    EXPECT_NE(why->at("what"), "");
    EXPECT_NE(why->at("remedy"), "") << "what to do at the machine";
    const std::string count = git(repository(machine), {"rev-list", "--count", "HEAD"}).out;
    intake(machine, files, 1, at);
    EXPECT_EQ(std::stoi(git(repository(machine), {"rev-list", "--count", "HEAD"}).out), std::stoi(count) + 1);
    const Json last = json({"history", machine}, 0).at("backups").at(0);
    EXPECT_EQ(last.at("verdict"), "doubtful");
    ASSERT_EQ(last.at("reasons").size(), 1U);
    EXPECT_EQ(last.at("reasons")[0].get<std::string>().rfind(code + ": ", 0), 0U);
    const Ran seen = kw({"history", machine});
    EXPECT_NE(seen.out.find("! " + code), std::string::npos) << "the reason stays with the backup";
  }
  void expect_mill_doubtful(const Tree& files, const std::string& code) {
    expect_doubtful("mill", files, code, mill_files());
  }
  void expect_lathe_doubtful(const Tree& files, const std::string& code) {
    expect_doubtful("lathe", files, code, lathe_files());
  }

  // Worth knowing, no more: the backup is good.
  void expect_good_with(const std::string& machine, const Tree& files, const std::string& code) {
    SCOPED_TRACE(code);
    const Json looked = inspect(machine, files);
    EXPECT_EQ(looked.at("verdict").at("worth"), "good") << looked.dump(1);
    const Json* why = reason(looked.at("verdict"), code);
    ASSERT_NE(why, nullptr) << looked.dump(1);
    EXPECT_EQ(why->at("weight"), "good");
    EXPECT_NE(why->at("remedy"), "");
    intake(machine, files, 0, {"--at", "2026-03-05"});
  }
};

TEST_F(Verdicts, WholeBackupsAreGood) {
  EXPECT_THAT(heavy(inspect("mill", mill_files()).at("verdict")), IsEmpty());
  EXPECT_THAT(heavy(inspect("lathe", lathe_files()).at("verdict")), IsEmpty());
  intake("mill", mill_files(), 0);
  intake("lathe", lathe_files(), 0);
}

TEST_F(Verdicts, GroupMissing) {
  Tree files = lathe_files();
  files.erase("VARIABLE.TXT");
  // The count of the group falls with it; both say so.
  intake("lathe", lathe_files(), 0, {"--at", "2026-03-01"});
  const Json looked = inspect("lathe", files, {"--at", "2026-03-02"});
  EXPECT_THAT(heavy(looked.at("verdict")), testing::Contains("group-missing"));
  EXPECT_NE(reason(looked.at("verdict"), "group-missing")->at("what").get<std::string>().find("variables"),
            std::string::npos);
}

TEST_F(Verdicts, GroupMissingFromAFirstBackup) {
  Tree files = lathe_files();
  files.erase("VARIABLE.TXT");
  const Json looked = inspect("lathe", files);
  EXPECT_THAT(heavy(looked.at("verdict")), ElementsAre("group-missing"));
  intake("lathe", files, 1);
}

TEST_F(Verdicts, ToolFileMissingIsSeenAlthoughParametersHoldOffsetsToo) {
  Tree files = mill_files();
  files.erase("mill.tbl");
  EXPECT_THAT(heavy(inspect("mill", files).at("verdict")), testing::Contains("group-missing"));
}

// A tool file has two forms, and a layout a source for each (columns: NISTIR 6556, 2.3): one of them is
// enough.
TEST_F(Verdicts, EitherFormOfAToolFileIsAWholeBackup) {
  Tree files = mill_files();
  ASSERT_TRUE(files.contains("mill.tbl"));
  files["mill.tbl"] = "T1 P1 Z2.5 D0.5 ; invented\nT2 P2 Z3.125 D0.25 ; invented\n";
  const Json verdict = inspect("mill", files).at("verdict");
  EXPECT_EQ(reason(verdict, "group-missing"), nullptr) << verdict.dump(1);
  EXPECT_THAT(heavy(verdict), IsEmpty());
}

TEST_F(Verdicts, FileEmpty) {
  for (const std::string& nothing : {std::string(), std::string("\r\n\r\n"), std::string(300, '\0')}) {
    Tree files = mill_files();
    files["O1002.ngc"] = nothing;
    const Json looked = inspect("mill", files);
    EXPECT_THAT(heavy(looked.at("verdict")), ElementsAre("file-empty")) << looked.dump(1);
  }
  Tree files = mill_files();
  files["O1002.ngc"] = "";
  expect_mill_doubtful(files, "file-empty");
}

TEST_F(Verdicts, MarkOpenedAndNeverClosed) {
  expect_mill_doubtful(with(mill_files(), "O1001.ngc", "M99\n%\n", "M99\n"), "program-cut-off");
}

TEST_F(Verdicts, NoEndOfProgram) {
  // Without % a program must have its end (NISTIR 6556, 3.3); with a closing % it is whole.
  Tree before = mill_files();
  before["O1001.ngc"] = "O1001 (HOLE)\nG81 Z-.5 R.1 F5.\nG80\nM99\n";
  expect_doubtful("mill", with(before, "O1001.ngc", "M99\n", ""), "program-cut-off", before);
}

TEST_F(Verdicts, LastLineBrokenOff) {
  Tree before = mill_files();
  before["O1001.ngc"] = "O1001 (HOLE)\nG81 Z-.5 R.1 F5.\nM99\n";
  expect_doubtful("mill", with(before, "O1001.ngc", "M99\n", "M99\nG0 X"), "program-cut-off", before);
}

// Twenty more programs of the lathe, with its guarded one among them and without it.
std::pair<Tree, Tree> with_and_without_guarded() {
  const std::string guarded = "O701 (PROBE)\nM98 P200 L2\nM99\n";
  std::string more;
  for (int i = 0; i < 20; ++i) more += fmt::format("O{}\nG1 X{}. F1.\nM30\n", 2000 + i, i);
  const Tree before = with(lathe_files(), "ALL.PRG", guarded, guarded + more);
  return {before, with(before, "ALL.PRG", guarded, "")};
}

TEST_F(Verdicts, ProtectedProgramsGone) {
  const auto [before, after] = with_and_without_guarded();
  expect_doubtful("lathe", after, "protected-gone", before);
  const Json last = json({"history", "lathe"}, 0).at("backups").at(0);
  EXPECT_NE(last.at("remedy").get<std::string>().find("lock"), std::string::npos) << "what to do stays too";
  EXPECT_NE(last.at("reasons")[0].get<std::string>().find("the lock of programs 700 to 799 was probably on"),
            std::string::npos);
  EXPECT_NE(last.at("reasons")[0].get<std::string>().find("O701"), std::string::npos);
}

TEST_F(Verdicts, ProtectedProgramsStayMissedUntilTheyAreBack) {
  const auto [before, after] = with_and_without_guarded();
  intake("lathe", before, 0);
  intake("lathe", after, 1);
  intake("lathe", after, 1);
  intake("lathe", before, 0);
}

TEST_F(Verdicts, CalledProgramMissing) {
  for (const char* call : {"M98 P1001", "N90 M98 P1001 L2"}) {
    Tree files = with(mill_files(), "O1000.ngc", "M98 P1001", call);
    EXPECT_THAT(heavy(inspect("mill", files).at("verdict")), IsEmpty()) << call;
    files.erase("O1001.ngc");
    const Json looked = inspect("mill", files);
    EXPECT_THAT(heavy(looked.at("verdict")), ElementsAre("call-missing")) << call;
    const Json place = reason(looked.at("verdict"), "call-missing")->at("place");
    EXPECT_EQ(place.at("file"), "O1000.ngc");
    EXPECT_EQ(place.at("line"), 9);
  }
  expect_mill_doubtful(with(mill_files(), "O1000.ngc", "M98 P1001", "M98 P1001\nM98 P77"), "call-missing");
}

TEST_F(Verdicts, SameProgramTwiceWithDifferentText) {
  Tree files = lathe_files();
  files["COPY.PRG"] = "%\nO0200 (GROOVE)\nG1 X.9 F.004\nG0 X1.\nM99\n%\n";
  expect_lathe_doubtful(files, "program-clash");
}

TEST_F(Verdicts, SameProgramTwiceWithTheSameTextIsWorthKnowing) {
  Tree files = lathe_files();
  files["COPY.PRG"] = "%\nO0200 (GROOVE)\nG1 X.8 F.004\nG0 X1.\nM99\n%\n";
  expect_good_with("lathe", files, "program-repeated");
}

TEST_F(Verdicts, CountFellByMoreThanATenth) {
  Tree before = lathe_files();
  before["VARIABLE.TXT"].clear();
  for (int i = 0; i < 100; ++i) before["VARIABLE.TXT"] += fmt::format("#{}={}\n", 300 + i, i + 1);
  Tree tenth = before;
  tenth["VARIABLE.TXT"] = tenth["VARIABLE.TXT"].substr(0, before["VARIABLE.TXT"].find("#390="));
  intake("lathe", before, 0, {"--at", "2026-03-01"});
  EXPECT_THAT(heavy(inspect("lathe", tenth, {"--at", "2026-03-02"}).at("verdict")),
              ElementsAre("file-cut", "rows-gone"))
      << "a tenth, but the table's end";
  Tree more = before;
  more["VARIABLE.TXT"].clear();  // every tenth and one more, so that it does not look cut off
  for (int i = 0; i < 100; ++i)
    if (i % 10 != 3 && i != 50) more["VARIABLE.TXT"] += fmt::format("#{}={}\n", 300 + i, i + 1);
  expect_doubtful("lathe", more, "count-fell", before);
}

TEST_F(Verdicts, EveryValueZeroLooksLikeLostMemory) {
  expect_lathe_doubtful(
      [] {
        Tree files = lathe_files();
        files["VARIABLE.TXT"] = "%\n#300=0\n#301=0.\n#302=0.000\n%\n";
        return files;
      }(),
      "memory-lost");
}

TEST_F(Verdicts, EveryToolLengthZeroLooksLikeLostMemory) {
  expect_lathe_doubtful(
      [] {
        Tree files = lathe_files();
        for (const char* length : {"R5.1", "R4.25", "R3.", "R2.5"})
          files = with(files, "OFFSETS.TXT", length, "R0.");
        return files;
      }(),
      "memory-lost");
}

TEST_F(Verdicts, NameWithoutTheSerialIsRefused) {
  Tree files = lathe_files();
  files["9999.PNL"] = files["3107.PNL"];
  files.erase("3107.PNL");
  const std::string before = refs(repository("lathe"));
  const Json looked = inspect("lathe", files);
  EXPECT_EQ(looked.at("verdict").at("worth"), "refused");
  const Json* why = reason(looked.at("verdict"), "wrong-serial");
  ASSERT_NE(why, nullptr);
  EXPECT_EQ(why->at("weight"), "refused");
  EXPECT_NE(why->at("remedy"), "");
  const Ran ran = intake("lathe", files, 5);
  EXPECT_NE(ran.out.find("3107"), std::string::npos) << "it names the serial that it wants";
  EXPECT_NE(ran.err.find("--accept"), std::string::npos);
  EXPECT_EQ(refs(repository("lathe")), before) << "nothing is stored";
  intake("lathe", files, 1, {"--accept"});
  const Json last = json({"history", "lathe"}, 0).at("backups").at(0);
  EXPECT_EQ(last.at("verdict"), "refused");
  EXPECT_EQ(last.at("accepted"), true);
}

TEST_F(Verdicts, NothingKnownIsRefused) {
  const std::string before = refs(repository("mill"));
  const Ran ran = intake("mill", {{"holiday.jpg", "x"}}, 5);
  EXPECT_NE(ran.out.find("REFUSED"), std::string::npos);
  EXPECT_EQ(refs(repository("mill")), before);
  intake("mill", {{"holiday.jpg", "x"}}, 1, {"--accept"});
}

TEST_F(Verdicts, OlderThanTheLastOne) {
  intake("mill", mill_files(), 0, {"--at", "2026-02-01"});
  intake("mill", mill_files(), 0, {"--at", "2026-03-02"});
  EXPECT_THAT(heavy(inspect("mill", mill_files(), {"--at", "2026-01-01"}).at("verdict")),
              ElementsAre("older-than-last"))
      << "before the first backup, by one who says so";
  const Json looked = inspect("mill", mill_files(), {"--at", "2026-03-01"});
  EXPECT_THAT(heavy(looked.at("verdict")), ElementsAre("older-than-last"));
  intake("mill", mill_files(), 1, {"--at", "2026-03-01"});
}

TEST_F(Verdicts, TextThatNoReaderUnderstood) {
  expect_mill_doubtful(with(mill_files(), "mill.var", "302\t7\n", "302\t7\nwhat is this\n"), "text-unread");
  const Ran shown = kw({"show", "mill", "variables/unread"});
  EXPECT_EQ(shown.exit, 0) << shown.err;
  EXPECT_NE(shown.out.find("what is this"), std::string::npos) << "kept and shown, never dropped";
}

TEST_F(Verdicts, ValueOutOfTheNamebooksLimitsIsACaution) {
  intake("lathe", lathe_files(), 0, {"--at", "2026-03-01"});
  const Tree files = with(lathe_files(), "PARAM.TXT", "20,0.2", "20,2");
  const fs::path folder = put(files);
  const Json looked = json({"inspect", "lathe", folder.string(), "--at", "2026-03-02"}, 1);
  EXPECT_EQ(looked.at("verdict").at("worth"), "good") << "nothing speaks against the backup";
  ASSERT_EQ(looked.at("cautions").size(), 1U) << looked.dump(1);
  const Json& caution = looked.at("cautions")[0];
  EXPECT_EQ(caution.at("address"), "parameters/20");
  EXPECT_THAT(caution.at("codes").get<std::vector<std::string>>(),
              ElementsAre("point-gone", "out-of-limits", "large-step"));
  EXPECT_EQ(caution.at("place").at("line"), 3);
  const Ran stored = intake("lathe", files, 1, {"--at", "2026-03-02"});
  EXPECT_NE(stored.out.find("Look at these before you cut"), std::string::npos) << stored.out;
  EXPECT_NE(stored.out.find("X screw lead (parameters/20) went from 0.2 to 2"), std::string::npos)
      << stored.out;
  intake("lathe", files, 0, {"--at", "2026-03-03"});
}

TEST_F(Verdicts, ValueAtTheLimitIsInside) {
  const Json looked = inspect("lathe", with(lathe_files(), "PARAM.TXT", "20,0.2", "20,1.000"));
  EXPECT_THAT(heavy(looked.at("verdict")), IsEmpty());
  intake("lathe", lathe_files(), 0);
}

// NISTIR 6556, 3.2.1: required parameters, ascending order, 5220 from 1 to 9.
TEST_F(Verdicts, RequiredParameterMissing) {
  Tree files = mill_files();
  const std::size_t at = files["mill.var"].find("5166\t");
  files["mill.var"].erase(at, files["mill.var"].find('\n', at) + 1 - at);
  expect_mill_doubtful(files, "row-missing");
}
TEST_F(Verdicts, ParametersNotAscending) {
  expect_mill_doubtful(with(mill_files(), "mill.var", "301\t-3.5\n302\t7\n", "302\t7\n301\t-3.5\n"),
                       "row-order");
}
TEST_F(Verdicts, CoordinateSystemInForceIsNoWholeNumberFromOneToNine) {
  for (const char* wrong : {"0", "10", "1.5", "-1", "XXIII"}) {
    const Tree files = with(mill_files(), "mill.var", "5220\t1.0", fmt::format("5220\t{}", wrong));
    const Json looked = inspect("mill", files);
    EXPECT_EQ(looked.at("verdict").at("worth"), "doubtful") << wrong;
    const std::vector<std::string> codes = heavy(looked.at("verdict"));
    const std::string expected = std::string(wrong) == "XXIII" ? "text-unread" : "value-not-allowed";
    EXPECT_THAT(codes, testing::Contains(expected)) << wrong;
  }
  expect_mill_doubtful(with(mill_files(), "mill.var", "5220\t1.0", "5220\t1.5"), "value-not-allowed");
}

std::string long_comment() {
  std::string text;
  while (text.size() < 260) text += "words ";
  return text;
}

TEST_F(Verdicts, OddFilesAreReadAndSaid) {
  const Tree good = mill_files();
  // As a first backup: against a file that always had one, a line end that is missing is a cut.
  EXPECT_NE(reason(inspect("mill", with(good, "mill.var", "5386\t0.0\n", "5386\t0.0")).at("verdict"),
                   "no-final-newline"),
            nullptr);
  expect_good_with("mill", with(good, "O1001.ngc", "M99\n%\n", "M99\n%\nleft over\n"), "after-mark");
  Tree unnumbered = lathe_files();
  unnumbered["O0300.PRG"] = "%\nG0 X1.\nM30\n%\n";
  expect_good_with("lathe", unnumbered, "number-from-name");
  expect_good_with("mill", with(good, "O1001.ngc", "G80\n", "G80 (" + long_comment() + ")\n"), "long-line");
  Tree marked = good;
  marked["mill.ini"].insert(0, "\xef\xbb\xbf");
  expect_good_with("mill", marked, "byte-order-mark");
  Tree leader = good;
  leader["O1001.ngc"].insert(0, std::string(40, '\0'));
  expect_good_with("mill", leader, "leader");
  Tree mixed = good;
  mixed["O1001.ngc"] = "%\r\nO1001 (HOLE)\nG81 Z-.5 R.1 F5.\r\nG80\nM99\r\n%\n";
  expect_good_with("mill", mixed, "line-ends");
  Tree parity = good;
  for (char& c : parity["O1001.ngc"]) {
    if (std::popcount(static_cast<unsigned char>(c)) % 2 == 1)
      c = static_cast<char>(static_cast<unsigned char>(c) | 0x80U);
  }
  expect_good_with("mill", parity, "parity");
  Tree more = good;
  more["notes.doc"] = "anything";
  expect_good_with("mill", more, "file-unclaimed");
  expect_good_with("mill", with(good, "mill.tbl", "COMMENT\n\n", "COMMENT\n"), "no-header-blank");
  expect_good_with("mill",
                   with(good, "mill.tbl", "4 14 6.0 0.125 spot drill\n",
                        "4 14 9.0 0.125 spot drill\n4 14 6.0 0.125 spot drill\n"),
                   "row-repeated");
  EXPECT_EQ(json({"show", "mill", "offsets/tool/4/length"}, 0).at("items").at(0).at("value"), "6")
      << "of a repeated row the last stands";
}

TEST_F(Verdicts, AnExactRepeatIsAFurtherBackup) {
  intake("mill", mill_files(), 0, {"--at", "2026-03-01"});
  const Ran again = intake("mill", mill_files(), 0, {"--at", "2026-03-02"});
  EXPECT_NE(again.out.find("The same files, byte for byte, as #1"), std::string::npos) << again.out;
  const Json backups = json({"history", "mill"}, 0).at("backups");
  ASSERT_EQ(backups.size(), 2U);
  EXPECT_EQ(backups[0].at("gist"), "the same files as backup 1");
  EXPECT_EQ(object_id(repository("mill"), "HEAD^{tree}"), object_id(repository("mill"), "HEAD~1^{tree}"));
}

TEST_F(Verdicts, InspectStoresNothing) {
  intake("mill", mill_files(), 0);
  const std::string before = refs(repository("mill"));
  const Tree objects = read_tree(repository("mill") / ".git");
  inspect("mill", with(mill_files(), "mill.tbl", "5.1", "5.2"));
  EXPECT_EQ(refs(repository("mill")), before);
  EXPECT_EQ(read_tree(repository("mill") / ".git"), objects);
}

TEST_F(Verdicts, ADateStillToComeIsWorthKnowing) {
  const auto codes = [&](const char* at) {
    std::string all;
    const Json answer = inspect("mill", mill_files(), {"--at", at});
    for (const Json& reason : answer.at("verdict").at("reasons"))
      all += reason.at("code").get<std::string>() + " ";
    return all;
  };
  EXPECT_THAT(codes("2090-01-01"), testing::HasSubstr("dated-ahead"));
  EXPECT_THAT(codes("2026-01-01"), testing::Not(testing::HasSubstr("dated-ahead")));
}

TEST_F(Verdicts, ACopyOfAnOldBackupAmongTheFilesIsKeptApartFromThem) {
  Tree files = lathe_files();
  files["old/PARAM.TXT"] = with(lathe_files(), "PARAM.TXT", "20,0.2", "20,0.9").at("PARAM.TXT");
  files["old/CONTROL.CFG"] = lathe_files().at("CONTROL.CFG");  // a copy that says the same
  const Json verdict = inspect("lathe", files).at("verdict");
  EXPECT_THAT(heavy(verdict), testing::ElementsAre("files-clash"));
}

}  // namespace
}  // namespace scenario
