// What people ask day by day: status, batteries, names, a layout to begin with; and answers that help when
// something was mistyped. All names and values are invented.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::AllOf;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

class Everyday : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_lathe();
    intake("lathe", lathe_files(), 0, {"--at", "2026-03-01"});
  }
  std::vector<std::string> completed(Args words) {
    words.insert(words.begin(), "complete");
    const Ran ran = kw(words);
    EXPECT_EQ(ran.exit, 0);
    EXPECT_EQ(ran.err, "");
    return lines_of(ran.out);
  }
  // What a command wrote in the work tree is taken along by the next intake.
  void take_along() { intake("lathe", lathe_files(), 0, {"--at", "2026-03-05"}); }
};

TEST_F(Everyday, TheAddressOfARowGivesItsFields) {
  const Ran row = kw({"when", "lathe", "offsets/work/G54"});
  EXPECT_EQ(row.exit, 1);
  EXPECT_THAT(row.out, AllOf(HasSubstr("offsets/work/G54/X"), HasSubstr("offsets/work/G54/Z")));
  EXPECT_THAT(row.out, Not(HasSubstr("G55")));
  EXPECT_EQ(json({"when", "lathe", "offsets/tool/1"}, 0).at("address"), "offsets/tool/1/length");
}

TEST_F(Everyday, TheAddressOfARowThatIsGoneGivesItsFieldsToo) {
  intake("lathe", with(lathe_files(), "OFFSETS.TXT", "G10 L2 P2 X-1. Z3.\n", ""), 1, {"--at", "2026-03-02"});
  const Ran row = kw({"when", "lathe", "offsets/work/G55"});
  EXPECT_THAT(row.out, AllOf(HasSubstr("offsets/work/G55/X"), HasSubstr("offsets/work/G55/Z")));
  EXPECT_EQ(json({"when", "lathe", "offsets/work/G55/X"}, 0).at("changes").size(), 2U);
}

TEST_F(Everyday, AMistypedAddressIsWrongUsageWithWhatItMayHaveBeen) {
  for (const char* command : {"when", "show"}) {
    const Ran ran = kw({command, "lathe", "offsets/work/G45/X"});
    EXPECT_EQ(ran.exit, 2) << ran.out;
    EXPECT_THAT(ran.err, HasSubstr("did you mean offsets/work/G54/X")) << ran.err;
  }
  EXPECT_THAT(kw({"when", "lathe", "settings/300"}).err, HasSubstr("variables/300"))
      << "the right key in another group";
  EXPECT_THAT(kw({"when", "lathe", "settings/far-from-anything"}).err,
              HasSubstr("keepway show lathe settings"));
}

TEST_F(Everyday, WhatABackupLacksIsNotSuggestedForItself) {
  intake("lathe", with(lathe_files(), "ALL.PRG", "O701 (PROBE)\nM98 P200 L2\nM99\n", ""), 1,
         {"--at", "2026-03-02", "--accept"});
  for (const char* at : {"#1", "#2"}) {
    const Ran ran = kw({"show", "lathe", "programs/701", "--at", at});
    if (ran.exit == 0) continue;
    EXPECT_EQ(ran.exit, 2);
    EXPECT_THAT(ran.err, HasSubstr("other backups have it: keepway when lathe programs/O701"));
    EXPECT_THAT(ran.err, testing::Not(HasSubstr("did you mean")));
  }
}

TEST_F(Everyday, ProgramsAreTakenByNumberAndAddressesWithASlashAtTheEnd) {
  EXPECT_EQ(json({"when", "lathe", "programs/100"}, 0).at("address"), "programs/O100");
  EXPECT_EQ(json({"when", "lathe", "programs/0100"}, 0).at("address"), "programs/O100");
  EXPECT_EQ(kw({"show", "lathe", "programs/100"}).out, kw({"show", "lathe", "programs/O0100"}).out);
  EXPECT_EQ(kw({"show", "lathe", "offsets/work/"}).out, kw({"show", "lathe", "offsets/work"}).out);
  EXPECT_EQ(kw({"when", "lathe", "settings/61/"}).out, kw({"when", "lathe", "settings/61"}).out);
  const std::string to = (root() / "one").string();
  EXPECT_EQ(kw({"restore", "lathe", "--at", "1", "--to", to, "--only", "settings/61/"}).exit, 0);
}

TEST_F(Everyday, AnItemIsNamedAsAScreenOrAPersonWritesIt) {
  const std::pair<const char*, const char*> asked[] = {{"#300", "variables/300"},
                                                       {"g54 x", "offsets/work/G54/X"},
                                                       {"G54x", "offsets/work/G54/X"},
                                                       {"o0100", "programs/O100"},
                                                       {"parameters 0020", "parameters/20"}};
  for (const auto& [text, address] : asked) {
    EXPECT_EQ(json({"when", "lathe", text}, 0).at("address"), address) << text;
    EXPECT_EQ(kw({"show", "lathe", text}).out, kw({"show", "lathe", address}).out) << text;
  }
  EXPECT_EQ(kw({"when", "lathe", "#20"}).exit, 2) << "a parameter, and no variable";
  EXPECT_EQ(kw({"when", "lathe", "G5 4 X"}).exit, 2) << "two numbers are not one";
  // What is gone has a name all the same.
  Tree fewer = with(lathe_files(), "ALL.PRG", "O701 (PROBE)\nM98 P200 L2\nM99\n", "");
  intake("lathe", fewer, 1, {"--at", "2026-03-02"});
  EXPECT_EQ(json({"when", "lathe", "o0701"}, 0).at("address"), "programs/O701");
}

TEST_F(Everyday, AnItemIsNamedByItsNameOrAsTheControlWritesIt) {
  const Ran shown = kw({"show", "lathe", "screw lead"});
  EXPECT_EQ(shown.exit, 0) << shown.err;
  EXPECT_THAT(shown.out, HasSubstr("parameters/20"));
  const Ran many = kw({"show", "lathe", "Work G54"});
  EXPECT_EQ(many.exit, 2) << many.out;
  EXPECT_THAT(many.err, HasSubstr("offsets/work/G54/X, offsets/work/G54/Z"));
  const Ran zeros = kw({"show", "lathe", "parameters/020"});
  EXPECT_EQ(zeros.exit, 0) << zeros.err;
  EXPECT_THAT(zeros.err, HasSubstr("parameters/020 is taken as parameters/20"));
  const Json plan = json({"restore", "lathe", "--at", "1", "--only", "screw lead", "--plan"}, 0);
  EXPECT_TRUE(plan.at("by_item").get<bool>());
  const Json edited = json({"names", "lathe", "edit", "Rapid rate", "--caution", "slow first"}, 0);
  EXPECT_THAT(edited.dump(), HasSubstr("parameters/21"));
  EXPECT_THAT(kw({"show", "lathe", "no such name"}).err, HasSubstr("is not an address"));
  take_along();
}

// The columns of a table in ISO 8859-1 are called by letters of ASCII.
TEST_F(Everyday, LettersThatAsciiLacksAreTypedAsTheyAreWritten) {
  const Tree files = {{"WKZ.TXT", "NR   L\xC4NGE    RADIUS\n1    87.977   3.5\n2    101.25   12.0\n"}};
  ASSERT_EQ(kw({"enroll", "saw", "--from", put(files).string(), "--units", "mm"}).exit, 0);
  intake("saw", files, 0, {"--at", "2026-03-01"});
  EXPECT_EQ(json({"when", "saw", "offsets/tool/2/Länge"}, 0).at("address"), "offsets/tool/2/laenge");
  EXPECT_EQ(json({"when", "saw", "tool 1 länge"}, 0).at("address"), "offsets/tool/1/laenge");
  EXPECT_EQ(json({"show", "saw", "offsets/tool/1/LÄNGE"}, 0),
            json({"show", "saw", "offsets/tool/1/laenge"}, 0));
  EXPECT_EQ(kw({"names", "saw", "edit", "offsets/tool/2/länge", "--name", "Überlänge"}).exit, 0);
  EXPECT_EQ(json({"when", "saw", "ueberlaenge"}, 0).at("address"), "offsets/tool/2/laenge");
  EXPECT_EQ(kw({"when", "saw", "offsets/tool/2/lange"}).exit, 2) << "another word";
  intake("saw", files, 0, {"--at", "2026-03-02"});  // which takes the edit along
}

TEST_F(Everyday, ANameThatFitsNothingIsWarnedOfAndLimitsMustBeInOrder) {
  const Ran odd = kw({"names", "lathe", "edit", "parameters/29", "--name", "Screw"});
  EXPECT_EQ(odd.exit, 0) << odd.err;
  EXPECT_THAT(odd.err, HasSubstr("no backup of lathe has an item parameters/29"));
  EXPECT_THAT(odd.err, HasSubstr("parameters/20"));
  EXPECT_EQ(kw({"names", "lathe", "edit", "parameters/20", "--name", "Lead"}).err, "");
  EXPECT_EQ(kw({"names", "lathe", "edit", "parameters/*", "--name", "Any"}).err, "");
  const Ran limits = kw({"names", "lathe", "edit", "parameters/20", "--min", "2", "--max", "1"});
  EXPECT_EQ(limits.exit, 2) << limits.out;
  EXPECT_THAT(limits.err, HasSubstr("lower limit 2"));
  EXPECT_EQ(kw({"names", "lathe", "edit", "parameters/20", "--min", "3"}).exit, 2)
      << "the upper limit, 1, is in the namebook";
  take_along();
}

TEST_F(Everyday, ANameThatLooksLikeAFilesIsNeverMadeAFolder) {
  for (const char* name : {"out.bin", "out.vhd", "out.d64", "out.tar"}) {
    const fs::path to = root() / name;
    const Ran ran = kw({"restore", "lathe", "--at", "1", "--to", to.string()});
    EXPECT_EQ(ran.exit, 2) << name << ran.out;
    EXPECT_FALSE(fs::exists(to)) << name;
  }
  for (const char* name : {"2026.03.01", "out.bin/"}) {
    const Ran ran = kw({"restore", "lathe", "--at", "1", "--to", (root() / name).string()});
    EXPECT_EQ(ran.exit, 0) << name << ran.err;
    EXPECT_TRUE(fs::is_directory(root() / name)) << name;
  }
  const Ran image = kw({"restore", "lathe", "--at", "1", "--to", (root() / "out.IMA").string()});
  EXPECT_EQ(image.exit, 0) << image.err;
  EXPECT_EQ(fs::file_size(root() / "out.IMA"), 1'474'560U);
}

TEST_F(Everyday, DatesAreTakenAsPeopleWriteThem) {
  EXPECT_THAT(kw({"show", "lathe", "--at", "1.3.2026"}).out, HasSubstr("backup #1 (2026-03-01 12:00)"));
  for (const Args& args : {Args{"show", "lathe", "--at", "2/3/2026"},
                           Args{"intake", "lathe", put(lathe_files()).string(), "--at", "2/3/2026"}}) {
    const Ran ran = kw(args);
    EXPECT_EQ(ran.exit, 2) << ran.out;
    EXPECT_THAT(ran.err, HasSubstr("2026-03-02 or 2026-02-03"));
  }
  intake("lathe", lathe_files(), 0, {"--at", "2.3.2026"});
  EXPECT_EQ(json({"history", "lathe"}).at("backups").at(0).at("at"), "2026-03-02T12:00:00Z");
}

TEST_F(Everyday, WhatThePcLeftIsNeitherDatedNorStoredNorCounted) {
  Tree littered = lathe_files();
  littered["Thumbs.db"] = "thumbnails";
  littered[".DS_Store"] = "thumbnails";
  littered["DESKTOP.INI"] = "[view]\nicon = 1\n";
  littered["System Volume Information/IndexerVolumeGuid"] = "1";
  const Ran ran = intake("lathe", littered, 0, {"--at", "2026-03-02"});
  EXPECT_THAT(ran.err, HasSubstr("left out, because a PC wrote it and not the control: "));
  EXPECT_THAT(ran.err, HasSubstr("Thumbs.db"));
  EXPECT_THAT(ran.out, HasSubstr("same files, byte for byte, as #1"));
  const fs::path to = root() / "back";
  ASSERT_EQ(kw({"restore", "lathe", "--at", "HEAD", "--to", to.string()}).exit, 0);
  EXPECT_EQ(read_tree(to), lathe_files());
  EXPECT_EQ(intake("lathe", lathe_files(), 0, {"--at", "2026-03-03"}).err.find("left out"),
            std::string::npos);
}

TEST_F(Everyday, BlanksAreNoName) {
  for (const char* what : {"", " ", "\t "}) {
    const Ran ran = kw({"when", "lathe", what});
    EXPECT_EQ(ran.exit, 2) << ran.out;
    EXPECT_EQ(ran.out, "");
  }
  EXPECT_EQ(json({"when", "lathe", " screw "}, 0).at("address"), "parameters/20");
}

TEST_F(Everyday, ValuesAndWarningsHaveTheirUnits) {
  intake("lathe", with(lathe_files(), "OFFSETS.TXT", "X-4.25", "X-4.5"), 1, {"--at", "2026-03-02"});
  const std::string changes = kw({"changes", "lathe"}).out;
  EXPECT_THAT(changes, HasSubstr("-4.25 in  ->  -4.5 in"));
  EXPECT_THAT(changes, HasSubstr("larger than 0.1 in,"));
  const std::string when = kw({"when", "lathe", "offsets/work/G54/X"}).out;
  EXPECT_THAT(when, HasSubstr("-4.25 in  -4.5 in"));
  const Json change = json({"when", "lathe", "offsets/work/G54/X"}, 0).at("changes").at(0);
  EXPECT_EQ(change.at("after"), "-4.5") << "programs get the value alone";
}

TEST_F(Everyday, HistoryGivesOneReasonAndACount) {
  Tree worse = lathe_files();
  worse["ALL.PRG"] = "";
  worse["OFFSETS.TXT"] = "%\nG10 L2 P1 X-4.25\n%\n";
  intake("lathe", worse, 1, {"--at", "2026-03-02"});
  const Json newest = json({"history", "lathe"}, 0).at("backups").at(0);
  const std::size_t reasons = newest.at("reasons").size();
  ASSERT_GT(reasons, 1U);
  const auto reported = [&](const Args& args) {
    std::size_t count = 0;
    for (const std::string& line : lines_of(kw(args).out))
      count += line.find("! ") != std::string::npos ? 1 : 0;
    return count;
  };
  EXPECT_EQ(reported({"history", "lathe"}), 1U);
  EXPECT_EQ(reported({"history", "lathe", "--reasons"}), reasons);
  EXPECT_THAT(kw({"history", "lathe"}).out, HasSubstr(fmt::format("(and {} more: --reasons)", reasons - 1)));
}

TEST_F(Everyday, HistoryGivesTwentyMarksAndACount) {
  for (int i = 0; i < 25; ++i) ASSERT_EQ(git(repository("lathe"), {"tag", fmt::format("t{:02}", i)}).exit, 0);
  const std::string text = kw({"history", "lathe"}).out;
  EXPECT_THAT(text, HasSubstr("marked: t00, t01,"));
  EXPECT_THAT(text, HasSubstr("t19 and 5 more\n"));
  EXPECT_EQ(json({"history", "lathe"}, 0).at("backups").at(0).at("marks").size(), 25U);
}

TEST_F(Everyday, StatusTellsWhatIsDueAndExitsOne) {
  const Json fine = json({"status"}, 0);
  EXPECT_EQ(fine.at("due"), 0);
  EXPECT_EQ(fine.at("machines").at(0).at("last_good").at("number"), 1);
  ASSERT_EQ(kw({"enroll", "mill", "--layout", "rs274ngc", "--backup-every", "7"}).exit, 0);
  const Json due = json({"status"}, 1);
  EXPECT_EQ(due.at("due"), 1);
  EXPECT_EQ(due.at("machines").at(0).at("machine"), "mill");
  EXPECT_EQ(due.at("machines").at(0).at("backup").at("every_days"), 7);
  intake("mill", mill_files(), 0, {"--at", "2026-03-01"});
  const Ran text = kw({"status"});
  EXPECT_EQ(text.exit, 1);
  EXPECT_THAT(text.out, testing::ContainsRegex("a backup is [0-9]+ days overdue"));
  ASSERT_EQ(kw({"trial", "mill", "begin", "warm-up"}).exit, 0);
  EXPECT_EQ(json({"status"}, 1).at("machines").at(0).at("trial"), "warm-up");
  write_file(shop() / "mill" / ".git" / "HEAD", "nonsense");
  const Json broken = json({"status"}, 1);
  ASSERT_EQ(broken.at("machines").size(), 2U);
  EXPECT_NE(broken.at("machines").at(0).at("trouble").at("what"), "");
  write_file(shop() / "mill" / ".git" / "HEAD", "ref: refs/heads/trial/warm-up\n");
}

TEST_F(Everyday, ConfirmedRestoresCount) {
  const std::string after = put(lathe_files()).string();
  ASSERT_EQ(kw({"confirm", "lathe", after, "--against", "1"}).exit, 0);
  const Json restores = json({"status"}).at("machines").at(0).at("confirmed_restores");
  EXPECT_EQ(restores.at("count"), 1);
  EXPECT_EQ(restores.at("last").at("number"), 2);
}

TEST_F(Everyday, TheBatteryIsNotedInMachineTomlAndTakenAlong) {
  const fs::path file = repository("lathe") / "machine.toml";
  const std::string owners = read_file(file) + "# cover sticks: lift it at the left\n";
  write_file(file, owners);
  EXPECT_THAT(kw({"battery", "lathe"}).out, HasSubstr("it is not recorded"));
  EXPECT_EQ(kw({"battery", "lathe", "--changed", "2026-01-31", "--every-months", "1200"}).exit, 0);
  EXPECT_EQ(read_file(file), owners + "\n[battery]\nchanged = 2026-01-31\nevery_months = 1200\n");
  EXPECT_EQ(json({"battery", "lathe"}, 0).at("due_at"), "2126-01-31");
  take_along();
  EXPECT_EQ(git(repository("lathe"), {"show", "HEAD:machine.toml"}).out, read_file(file));
  EXPECT_EQ(kw({"battery", "lathe", "--changed", "2020-01-31", "--every-months", "6"}).exit, 1)
      << "it is due";
  EXPECT_EQ(json({"status"}, 1).at("machines").at(0).at("battery").at("due"), true);
  EXPECT_EQ(kw({"battery", "lathe", "--changed", "2999-01-01"}).exit, 2);
  EXPECT_EQ(kw({"battery", "lathe", "--changed", "soon"}).exit, 2);
  take_along();
}

TEST_F(Everyday, NamesAreEditedCarriedOutAndBack) {
  const fs::path file = repository("lathe") / "namebook.tsv";
  const std::string before = read_file(file);
  const Ran csv = kw({"names", "lathe", "export"});
  ASSERT_EQ(csv.exit, 0);
  write_file(root() / "names.csv", csv.out);
  EXPECT_EQ(kw({"names", "lathe", "import", (root() / "names.csv").string()}).exit, 0);
  EXPECT_EQ(read_file(file), before) << "out and back changes nothing";

  EXPECT_EQ(
      kw({"names", "lathe", "edit", "variables/301", "--name", "Probe, left", "--step", "0.5", "--living"})
          .exit,
      0);
  EXPECT_EQ(read_file(file).rfind(before, 0), 0U) << "what was there stands as it was";
  const Json entry = json({"names", "lathe", "export"}, 0).at("entries").back();
  EXPECT_EQ(entry.at("name"), "Probe, left");
  EXPECT_EQ(entry.at("living"), true);
  EXPECT_EQ(kw({"names", "lathe", "edit", "variables/301", "--not-living"}).exit, 0);
  EXPECT_EQ(json({"names", "lathe", "export"}, 0).at("entries").back().at("living"), false);
  EXPECT_EQ(json({"when", "lathe", "probe, left"}, 0).at("address"), "variables/301");

  write_file(root() / "bad.csv", "address,name\nvariables/1,a\nnonsense,b\n");
  const Ran bad = kw({"names", "lathe", "import", (root() / "bad.csv").string()});
  EXPECT_EQ(bad.exit, 3);
  EXPECT_THAT(bad.err, HasSubstr("bad.csv:3 (byte 27)"));
  EXPECT_EQ(kw({"names", "lathe", "edit", "variables/301", "--remove"}).exit, 0);
  EXPECT_EQ(read_file(file), before);
}

TEST_F(Everyday, NoLinkInTheMachinesFolderLeadsAnEditOutOfIt) {
  const fs::path folder = repository("lathe");
  const fs::path outside = root() / "outside";
  write_file(outside, "somebody's own\n");
  for (const char* file : {"namebook.tsv", "machine.toml"})
    fs::create_symlink("../../outside", folder / (std::string(file) + ".new"));
  ASSERT_EQ(read_file(folder / "namebook.tsv.new"), read_file(outside));
  EXPECT_EQ(kw({"names", "lathe", "edit", "variables/301", "--name", "Probe, left"}).exit, 0);
  EXPECT_EQ(kw({"battery", "lathe", "--changed", "2026-01-31", "--every-months", "1200"}).exit, 0);
  EXPECT_EQ(read_file(outside), "somebody's own\n");
  for (const auto& [file, text] : std::vector<std::pair<std::string, std::string>>{
           {"namebook.tsv", "Probe, left"}, {"machine.toml", "every_months = 1200"}}) {
    EXPECT_TRUE(fs::is_regular_file(fs::symlink_status(folder / file))) << file;
    EXPECT_THAT(read_file(folder / file), HasSubstr(text));
    EXPECT_FALSE(fs::exists(fs::symlink_status(folder / (file + ".new")))) << file;
  }
  take_along();
}

TEST_F(Everyday, NamesMissingListsWhatChangedMost) {
  intake("lathe", with(lathe_files(), "VARIABLE.TXT", "#301=0.25", "#301=0.5"), 0, {"--at", "2026-03-02"});
  intake("lathe", with(lathe_files(), "VARIABLE.TXT", "#302=-1.5", "#302=-2.5"), 0, {"--at", "2026-03-03"});
  intake("lathe", with(lathe_files(), "VARIABLE.TXT", "#301=0.25", "#301=0.75"), 0, {"--at", "2026-03-04"});
  const Json missing = json({"names", "lathe", "missing"}, 1).at("missing");
  EXPECT_EQ(missing.at(0).at("address"), "variables/301");
  EXPECT_EQ(missing.at(0).at("changes"), 3);
  EXPECT_EQ(missing.at(1).at("address"), "variables/302");
  for (const Json& each : missing) EXPECT_NE(each.at("address"), "variables/300") << "it has a name";
}

TEST_F(Everyday, ASurveyGivesALayoutThatEnrolls) {
  Args args = {"survey"};
  const fs::path samples = put(lathe_files());
  for (const char* file :
       {"OFFSETS.TXT", "VARIABLE.TXT", "3107.PNL", "PARAM.TXT", "CONTROL.CFG", "ALL.PRG"}) {
    args.push_back((samples / file).string());
  }
  const Ran shown = kw(args);
  EXPECT_EQ(shown.exit, 0) << shown.out << shown.err;
  args.insert(args.end(), {"--to", (root() / "mine.toml").string(), "--serial", "3107"});
  EXPECT_EQ(kw(args).exit, 0);
  EXPECT_EQ(kw(args).exit, 5) << "it is there already";
  ASSERT_EQ(kw({"enroll", "new", "--layout", (root() / "mine.toml").string(), "--serial", "3107"}).exit, 0);
  const Ran taken = intake("new", lathe_files(), 0, {"--at", "2026-03-01"});
  EXPECT_THAT(taken.out, Not(HasSubstr("unread")));
  EXPECT_EQ(json({"when", "new", "offsets/work/G54/X"}, 0).at("changes").at(0).at("after"), "-4.25");
  EXPECT_EQ(json({"when", "new", "parameters/K61"}, 0).at("changes").at(0).at("after"), "1");
  const std::string none = (root() / "no-such-file").string();
  for (const Args& wrong :
       std::vector<Args>{{"survey", none}, {"names", "lathe", "import", none}, {"inspect", "lathe", none}}) {
    const Ran ran = kw(wrong);
    EXPECT_EQ(ran.exit, 3) << wrong.front();
    EXPECT_THAT(
        ran.err,
        HasSubstr(none + ": cannot be read: No such file or directory\n  what to do: check the path"));
  }
}

TEST_F(Everyday, ShellsAreOfferedWhatCanFollow) {
  ASSERT_EQ(kw({"mark", "lathe", "known good"}).exit, 0);
  EXPECT_THAT(completed({"whe"}), ElementsAre("when"));
  EXPECT_THAT(completed({"when", ""}), ElementsAre("lathe"));
  EXPECT_THAT(completed({"when", "lathe", "off"}), ElementsAre("offsets/"));
  EXPECT_THAT(completed({"when", "lathe", "offsets/w"}), ElementsAre("offsets/work/"));
  EXPECT_THAT(completed({"show", "lathe", "offsets/work/G54/"}),
              ElementsAre("offsets/work/G54/X", "offsets/work/G54/Z"));
  EXPECT_THAT(completed({"show", "lathe", "programs/"}),
              ElementsAre("programs/O100", "programs/O200", "programs/O701"));
  EXPECT_THAT(completed({"restore", "lathe", "--at", "kn"}), ElementsAre("known good"));
  EXPECT_THAT(completed({"restore", "lathe", "--on"}), ElementsAre("--only"));
  EXPECT_THAT(completed({"when", "lathe", "--all", "par"}), ElementsAre("parameters"));
  EXPECT_THAT(completed({"names", "lathe", "mis"}), ElementsAre("missing"));
  EXPECT_THAT(completed({"names", "lathe", "edit", "settings/6"}),
              ElementsAre("settings/61", "settings/62", "settings/63"));
  EXPECT_THAT(completed({"restore", "lathe", "--to", ""}), ElementsAre()) << "files are the shell's own";
  EXPECT_THAT(completed({"when", "no-such-machine", "offsets/"}), ElementsAre());
  const Ran outside = keepway({"complete", "when", ""}, root());
  EXPECT_EQ(outside.exit, 0) << "no shop here, and no complaint while somebody types";
  EXPECT_EQ(outside.out + outside.err, "");
}

TEST_F(Everyday, BashCompletesThroughTheProgram) {
  const std::string script = std::string(KEEPWAY_SOURCE) + "/src/package/keepway.bash";
  const std::string ask =
      "source " + script +
      "; COMP_WORDS=(\"$0\" \"$@\"); COMP_CWORD=$#; compopt() { :; }; _keepway; printf '%s\\n' "
      "\"${COMPREPLY[@]}\"";
  const Ran ran = run("bash", {"-c", ask, KEEPWAY_PROGRAM, "show", "lathe", "offsets/work/G5"}, shop());
  EXPECT_EQ(ran.out, "offsets/work/G54/\noffsets/work/G55/\n") << ran.err;
}

TEST_F(Everyday, TheManualPageHasEveryCommand) {
  const Ran manual = kw({"manual"});
  EXPECT_EQ(manual.exit, 0);
  for (const std::string& line : lines_of(kw({"--help"}).out)) {
    if (line.rfind("  ", 0) != 0 || line.size() < 4 || line[2] < 'a' || line[2] > 'z') continue;
    const std::string command = line.substr(2, line.find(' ', 2) - 2);
    EXPECT_THAT(manual.out, HasSubstr(".SS \"" + command + "\"\n"));
  }
  EXPECT_THAT(manual.out, AllOf(HasSubstr(".SS \"trial begin\""), HasSubstr(".SH EXIT STATUS")));
}

}  // namespace
}  // namespace scenario
