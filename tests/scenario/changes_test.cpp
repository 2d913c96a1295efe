// The changes screen, and Git's own view of the same history.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

class ChangesScreen : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_lathe();
    enroll_mill();
    intake("lathe", lathe_files(), 0);
    intake("mill", mill_files(), 0);
  }
  Json lathe_changes(const Tree& after, int intake_exit = 0) {
    intake("lathe", after, intake_exit);
    return json({"changes", "lathe"}, 1);
  }
  Json program_change(const Tree& after, int exit = 0) {
    intake("mill", after, exit);
    const Json answer = json({"changes", "mill"}, 1);
    EXPECT_EQ(answer.at("values").size(), 0U);
    EXPECT_EQ(answer.at("programs").size(), 1U) << answer.dump(1);
    return answer.at("programs").at(0);
  }
};

TEST_F(ChangesScreen, ReadsBitCodedParametersBitByBit) {
  const Json value = lathe_changes(with(lathe_files(), "PARAM.TXT", "12,5", "12,4"), 1).at("values").at(0);
  EXPECT_EQ(value.at("name"), "Safety switches");
  ASSERT_EQ(value.at("bits").size(), 1U);
  EXPECT_EQ(value.at("bits")[0].at("bit"), "0");
  EXPECT_EQ(value.at("bits")[0].at("name"), "door interlock");
  EXPECT_EQ(value.at("bits")[0].at("before"), true);
  EXPECT_EQ(value.at("bits")[0].at("after"), false);
  const Ran text = kw({"changes", "lathe"});
  EXPECT_THAT(text.out, HasSubstr("bit 0 (door interlock): 1 -> 0"));
  EXPECT_THAT(text.out, HasSubstr("keep guards on"));
}

TEST_F(ChangesScreen, GivesDeltasExactlyInBothUnits) {
  const Json value = lathe_changes(with(lathe_files(), "OFFSETS.TXT", "X-4.25", "X-4.2")).at("values").at(0);
  EXPECT_EQ(value.at("address"), "offsets/work/G54/X");
  EXPECT_EQ(value.at("name"), "Work G54 X");
  EXPECT_EQ(value.at("before"), "-4.25");
  EXPECT_EQ(value.at("after"), "-4.2");
  EXPECT_EQ(value.at("delta"), "+0.05");
  EXPECT_EQ(value.at("unit"), "in");
  EXPECT_EQ(value.at("other_delta"), "+1.27");
  EXPECT_EQ(value.at("other_unit"), "mm");
  EXPECT_EQ(value.at("warnings"), Json::array());
  EXPECT_THAT(kw({"changes", "lathe"}).out, HasSubstr("+0.05 in (+1.27 mm)"));
}

TEST_F(ChangesScreen, WarnsOfAChangeOverTheNamebooksLimit) {
  const Json value =
      lathe_changes(with(lathe_files(), "OFFSETS.TXT", "X-4.25", "X-2.45"), 1).at("values").at(0);
  ASSERT_EQ(value.at("warnings").size(), 1U);
  EXPECT_THAT(value.at("warnings")[0].get<std::string>(), HasSubstr("0.1"));
  EXPECT_THAT(kw({"changes", "lathe"}).out, HasSubstr("! "));
}

TEST_F(ChangesScreen, AChangeOfJustTheLimitIsNoWarning) {
  const Json value = lathe_changes(with(lathe_files(), "OFFSETS.TXT", "X-4.25", "X-4.15")).at("values").at(0);
  EXPECT_EQ(value.at("warnings"), Json::array());
}

TEST_F(ChangesScreen, PutsTheMostDangerousGroupFirst) {
  Tree after = with(lathe_files(), "PARAM.TXT", "22,7", "22,8");
  after = with(after, "3107.PNL", "K61 V1", "K61 V0");
  after = with(after, "OFFSETS.TXT", "Z0.5", "Z0.6");
  after = with(after, "VARIABLE.TXT", "#301=0.25", "#301=0.3");
  after = with(after, "ALL.PRG", "F.01", "F.02");
  const Json answer = lathe_changes(after);
  std::vector<std::string> order;
  for (const Json& value : answer.at("values")) order.push_back(value.at("address"));
  EXPECT_THAT(order, ElementsAre("parameters/22", "settings/61", "offsets/work/G54/Z", "variables/301"));
  const std::string text = kw({"changes", "lathe"}).out;
  std::size_t at = 0;
  for (const char* group : {"\nparameters", "\nsettings", "\noffsets", "\nvariables", "\nprograms"}) {
    const std::size_t found = text.find(group, at);
    ASSERT_NE(found, std::string::npos) << group << text;
    at = found;
  }
}

TEST_F(ChangesScreen, TellsValuesAddedAndRemoved) {
  Tree after = with(lathe_files(), "VARIABLE.TXT", "#302=-1.5", "#303=2");
  const Json answer = lathe_changes(after, 1);  // a table that never shrank did
  ASSERT_EQ(answer.at("values").size(), 2U);
  EXPECT_TRUE(answer.at("values")[0].at("after").is_null());
  EXPECT_TRUE(answer.at("values")[1].at("before").is_null());
}

TEST_F(ChangesScreen, ProgramRenamed) {
  const Json answer = lathe_changes(with(lathe_files(), "ALL.PRG", "O0100 (SHAFT)", "O0110 (SHAFT)"));
  ASSERT_EQ(answer.at("programs").size(), 1U) << answer.dump(1);
  const Json change = answer.at("programs").at(0);
  EXPECT_EQ(change.at("change"), "renamed");
  EXPECT_EQ(change.at("program"), "O110");
  EXPECT_EQ(change.at("before_name"), "O100");
}

TEST_F(ChangesScreen, ProgramRenumberedOnly) {
  intake("mill", with(mill_files(), "O1000.ngc", "G20 G90 G54\nT1 M6", "N10 G20 G90 G54\nN20 T1 M6"), 0);
  const Json change =
      program_change(with(mill_files(), "O1000.ngc", "G20 G90 G54\nT1 M6", "N100 G20 G90 G54\nN110 T1 M6"));
  EXPECT_EQ(change.at("change"), "renumbered");
}

TEST_F(ChangesScreen, ProgramCommentsOnly) {
  const Json change = program_change(with(mill_files(), "O1000.ngc", "(BRACKET)", "(BRACKET REV B)"));
  EXPECT_EQ(change.at("change"), "comments");
  EXPECT_THAT(kw({"changes", "mill"}).out, HasSubstr("O1000 comments changed, no motion"));
}

TEST_F(ChangesScreen, ProgramChangedWithWhatItMeans) {
  const Json change = program_change(with(mill_files(), "O1000.ngc", "G1 Z-.25 F20.", "G1 Z-.25 F25."));
  EXPECT_EQ(change.at("change"), "changed");
  ASSERT_EQ(change.at("blocks").size(), 1U);
  EXPECT_THAT(change.at("blocks")[0].at("before"), ElementsAre("G1 Z-0.25 F20"));
  EXPECT_THAT(change.at("blocks")[0].at("after"), ElementsAre("G1 Z-0.25 F25"));
  ASSERT_EQ(change.at("blocks")[0].at("meaning").size(), 1U);
  EXPECT_THAT(change.at("blocks")[0].at("meaning")[0].get<std::string>(), HasSubstr("feed 20 to 25"));
}

TEST_F(ChangesScreen, ProgramChangesOfToolSpeedAndCoordinateSystemAreNamed) {
  Tree after = with(mill_files(), "O1000.ngc", "G20 G90 G54", "G20 G90 G55");
  after = with(after, "O1000.ngc", "T1 M6", "T2 M6");
  after = with(after, "O1000.ngc", "S1200", "S1500");
  const Json change = program_change(after, 1);
  std::string meaning;
  for (const Json& block : change.at("blocks")) {
    for (const Json& each : block.at("meaning")) meaning += each.get<std::string>() + "\n";
  }
  EXPECT_THAT(meaning, HasSubstr("G55"));
  EXPECT_THAT(meaning, HasSubstr("1200 to 1500"));
  EXPECT_THAT(meaning, HasSubstr("tool"));
}

TEST_F(ChangesScreen, ProgramAddedAndRemoved) {
  Tree after = mill_files();
  after["O3.ngc"] = "O3\nG1 X9 F3\nM30\n";
  EXPECT_EQ(program_change(after).at("change"), "added");
  intake("mill", mill_files(), 0);  // a program deleted on purpose is a note
  EXPECT_EQ(json({"changes", "mill"}, 1).at("programs").at(0).at("change"), "removed");
}

TEST_F(ChangesScreen, OrderOfWordsAndSpellingAreNoChangeOfValues) {
  Tree after = with(mill_files(), "O1000.ngc", "G1 Z-.25 F20.", "f20 z -0.250 g01");
  after = with(after, "mill.tbl", "5.1 0.5", "+5.100 .50");
  intake("mill", after, 0);
  const Ran ran = kw({"changes", "mill"});
  EXPECT_EQ(ran.exit, 1) << ran.out;
  EXPECT_THAT(ran.out,
              HasSubstr("The values are the same; O1000.ngc is spelled otherwise in 1 line, mill.tbl is "
                        "spelled otherwise in 1 line."));
}

TEST_F(ChangesScreen, GitLogShowsOneRowForOneValue) {
  intake("mill", with(mill_files(), "mill.tbl", "5.1", "5.15"), 0);
  const Ran log = git(repository("mill"), {"log", "-1", "-p", "--no-color", "--", "state"});
  std::vector<std::string> rows;
  for (const std::string& line : lines_of(log.out)) {
    if ((line[0] == '+' || line[0] == '-') && line.rfind("+++", 0) != 0 && line.rfind("---", 0) != 0)
      rows.push_back(line);
  }
  // What keepway's own commands take (the address), what it is, and the value with its unit.
  EXPECT_THAT(rows, ElementsAre("-offsets/tool/1/length\tTool 1 length offset\t5.1 in",
                                "+offsets/tool/1/length\tTool 1 length offset\t5.15 in"))
      << log.out;
}

TEST_F(ChangesScreen, GitLogReadsWell) {
  intake("mill", with(mill_files(), "mill.tbl", "5.1", "5.15"), 0,
         {"--by", "Bo", "--note", "touched off again", "--at", "2026-04-01"});
  const Ran log = git(repository("mill"), {"log", "-1", "--format=%s%n%an%n%aI%n%b"});
  EXPECT_THAT(log.out,
              HasSubstr("Backup 2: 1 offset changed\nBo\n2026-04-01T12:00:00+00:00\ntouched off again\n"));
  const Ran trailers =
      git(repository("mill"),
          {"log", "-1",
           "--format=%(trailers:key=Keepway-Verdict,valueonly)%(trailers:key=Keepway-Backup,valueonly)"});
  EXPECT_EQ(trailers.out, "good\n2\n\n");
}

}  // namespace
}  // namespace scenario
