// A machine's story from enrolment to the proof after a dead battery, with the real program.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

constexpr const char* offsets = "OFFSETS.TXT";
constexpr const char* parameters = "PARAM.TXT";

// What a dead battery leaves: every value zero, and no programs. Common practice, no source.
Tree all_zero() {
  return {{"ALL.PRG", "%\n%\n"},
          {offsets,
           "%\nG10 L2 P1 X0. Z0.\nG10 L2 P2 X0. Z0.\nT1 R0.\nT2 R0.\nT3 R0.\n"
           "T4 R0.\n%\n"},
          {"VARIABLE.TXT", "%\n#300=0\n#301=0\n#302=0\n%\n"},
          {"3107.PNL", "K61 V0\nK62 V0\nK63 V0\n"},
          {parameters, "number,value\n12,0\n20,0\n21,0\n22,0\n"},
          {"CONTROL.CFG", "[PORT]\nspeed = 0\nparity = none\n"}};
}

class Trial : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_lathe();
  }
  // Takes `files` in as they now are, dated a day after the last.
  void take_in(int exit = 0) { intake("lathe", files, exit, {"--at", fmt::format("2026-03-{:02}", ++day_)}); }
  std::string value(const std::string& address, const std::string& at = "HEAD") {
    const Json answer = json({"show", "lathe", address, "--at", at});
    return answer.at("items").at(0).at("value");
  }
  // Backup, trial with three intakes, and an offset changed on main meanwhile: G54 X is changed on both.
  void five_and_a_trial() {
    take_in();
    files = with(files, "VARIABLE.TXT", "#300=12", "#300=19");
    take_in();
    files = with(files, offsets, "T3 R3.", "T3 R3.002");
    take_in();
    files = with(files, "3107.PNL", "K63 V25", "K63 V30");
    take_in();
    files = with(files, "ALL.PRG", "N30 G1 Z-2. F.01", "N30 G1 Z-2. F.012");
    take_in();
    main_files = files;
    EXPECT_EQ(kw({"trial", "lathe", "begin", "new-screw", "--note", "X screw table from the bench"}).exit, 0);
    files = with(files, parameters, "20,0.2", "20,0.2005");
    take_in();
    files = with(files, offsets, "P1 X-4.25", "P1 X-4.2512");
    take_in();
    files = with(files, "ALL.PRG", "O0200 (GROOVE)\nG1 X.8 F.004\nG0 X1.\nM99\n",
                 "O0200 (GROOVE)\nG1 X.79 F.004\nG0 X1.\nM99\nO0300 (TEST CUT)\nG1 X.5 F.01\nM30\n");
    take_in();
    trial_files = files;
    EXPECT_EQ(kw({"trial", "lathe", "pause", "new-screw"}).exit, 0);
    files = main_files = with(main_files, offsets, "P1 X-4.25", "P1 X-4.26");
    take_in();
  }

  Tree files = lathe_files();
  Tree main_files;
  Tree trial_files;

 private:
  int day_ = 0;
};

TEST_F(Trial, AWholeStoryEndsInProof) {
  five_and_a_trial();
  EXPECT_EQ(json({"history", "lathe"}).at("backups").size(), 6U) << "the trial's three stand apart";
  EXPECT_EQ(value("offsets/work/G54/X"), "-4.26");
  EXPECT_EQ(value("offsets/work/G54/X", "new-screw"), "-4.2512");

  // Both sides changed G54 X: nothing is merged until a person says which.
  const std::string before = refs(repository("lathe"));
  const Ran clash = kw({"trial", "lathe", "keep", "new-screw"});
  EXPECT_EQ(clash.exit, 5) << clash.out << clash.err;
  for (const char* said : {"offsets/work/G54/X", "Work G54 X", "-4.25", "-4.26", "-4.2512", "--prefer"}) {
    EXPECT_THAT(clash.out + clash.err, HasSubstr(said));
  }
  EXPECT_EQ(refs(repository("lathe")), before) << "nothing is half-merged";

  const Ran kept = kw({"trial", "lathe", "keep", "new-screw", "--prefer", "offsets/work/G54/X=trial"});
  EXPECT_EQ(kept.exit, 0) << kept.out << kept.err;
  EXPECT_EQ(value("offsets/work/G54/X"), "-4.2512");
  EXPECT_EQ(value("parameters/20"), "0.2005");
  EXPECT_EQ(value("settings/63"), "30");
  EXPECT_THAT(kw({"show", "lathe", "programs/O0300", "--at", "kept new-screw"}).out, HasSubstr("TEST CUT"));
  EXPECT_THAT(kw({"trial", "lathe", "list"}).out, HasSubstr("kept; its backups: 'new-screw #1' to #3"));
  EXPECT_EQ(json({"trial", "lathe", "list"}).at("trials"), Json::array());
  EXPECT_THAT(refs(repository("lathe")), HasSubstr("refs/keepway/archive/trial/new-screw-"));

  // The battery dies.
  const Tree dead = all_zero();
  intake("lathe", dead, 1, {"--at", "2027-01-05"});
  const Json history = json({"history", "lathe"});
  EXPECT_EQ(history.at("backups").at(0).at("verdict"), "doubtful");
  const Json verdict = inspect("lathe", dead).at("verdict");
  EXPECT_THAT(heavy(verdict), testing::Contains("memory-lost"));

  // Put back what was meant: main's last originals with the trial's items in them.
  const fs::path target = root() / "to-load";
  const Ran restored = kw({"restore", "lathe", "--at", "kept new-screw", "--to", target.string()});
  EXPECT_EQ(restored.exit, 0) << restored.out << restored.err;
  EXPECT_THAT(restored.out, HasSubstr("emergency stop"));
  Tree expected = trial_files;  // only main's own change was dropped in favour of the trial's
  EXPECT_EQ(read_tree(target), expected);

  // The machine took it: the part counter has moved on, and nothing else.
  Tree after = read_tree(target);
  after = with(after, "VARIABLE.TXT", "#300=19", "#300=21");
  const Ran proof =
      kw({"confirm", "lathe", put(after).string(), "--against", "kept new-screw", "--at", "2027-01-06"});
  EXPECT_EQ(proof.exit, 0) << proof.out << proof.err;
  EXPECT_EQ(json({"history", "lathe"}).at("backups").size(), 9U);
  EXPECT_EQ(value("offsets/work/G54/X"), "-4.2512");
}

// A merge came off no machine: the day on which it was made says nothing of a backup's.
TEST_F(Trial, ABackupDatedBeforeAMergeIsNotOld) {
  five_and_a_trial();
  ASSERT_EQ(kw({"trial", "lathe", "keep", "new-screw", "--prefer", "offsets/work/G54/X=trial"}).exit, 0);
  std::string newest;
  const Json history = json({"history", "lathe"});
  for (const Json& backup : history.at("backups")) {
    const std::string at = backup.at("at");
    if (backup.at("number") != 0 && at > newest) newest = at;
  }
  const auto judged = [&](const std::string& at) {
    const Tree counted = with(files, "VARIABLE.TXT", "#300=19", "#300=20");
    return heavy(inspect("lathe", counted, {"--at", at}).at("verdict"));
  };
  EXPECT_THAT(judged(newest), Not(testing::Contains("older-than-last"))) << newest;
  EXPECT_THAT(judged("2026-03-02"), testing::Contains("older-than-last"));
}

TEST_F(Trial, ANameIsOfOneTrialForGood) {
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "begin", "t"}).exit, 0);
  const std::string tip = git(repository("lathe"), {"rev-parse", "trial/t"}).out;
  ASSERT_EQ(kw({"trial", "lathe", "drop", "t"}).exit, 0);
  const Ran again = kw({"trial", "lathe", "begin", "t"});
  EXPECT_EQ(again.exit, 5);
  EXPECT_THAT(again.err, HasSubstr("lathe has put away a trial 't' already"));
  EXPECT_THAT(again.err, HasSubstr("choose another name, such as t-2"));
  EXPECT_THAT(
      git(repository("lathe"), {"for-each-ref", "--format=%(objectname)", "refs/keepway/archive/trial"}).out,
      HasSubstr(tip));
  ASSERT_EQ(kw({"mark", "lathe", "known good"}).exit, 0);
  ASSERT_EQ(kw({"mark", "lathe", "warm-up"}).exit, 0);
  EXPECT_THAT(kw({"trial", "lathe", "begin", "warm-up"}).err, HasSubstr("has a mark 'warm-up' already"));
  EXPECT_EQ(kw({"trial", "lathe", "begin", "t-2"}).exit, 0);
}

TEST_F(Trial, AWithdrawnBackupOfItIsNotWhatItCameTo) {
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "begin", "t"}).exit, 0);
  files = with(files, parameters, "20,0.2", "20,0.2005");
  take_in();
  files = with(files, parameters, "21,", "21,9");
  take_in();
  ASSERT_EQ(kw({"withdraw", "lathe", "t #2", "--why", "another lathe's stick"}).exit, 0);
  const Ran changes = kw({"trial", "lathe", "changes", "t"});
  EXPECT_THAT(changes.out, HasSubstr("to t #1"));
  EXPECT_THAT(changes.out, Not(HasSubstr("parameters/21")));
  ASSERT_EQ(kw({"trial", "lathe", "keep", "t"}).exit, 0);
  EXPECT_EQ(value("parameters/20"), "0.2005");
  EXPECT_EQ(json({"show", "lathe", "parameters/21"}).at("items").at(0).at("value"),
            json({"show", "lathe", "parameters/21", "--at", "#1"}).at("items").at(0).at("value"));
}

TEST_F(Trial, StatusSaysThatTheMemoryWasLostOnOne) {
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "begin", "t"}).exit, 0);
  EXPECT_EQ(kw({"status"}).exit, 0);
  intake("lathe", all_zero(), 1, {"--at", "2026-03-09"});
  const Ran status = kw({"status"});
  EXPECT_EQ(status.exit, 1);
  EXPECT_THAT(status.out, HasSubstr("the newest, t #1, is not good: memory-lost"));
  EXPECT_EQ(json({"status"}).at("machines").at(0).at("on_trial").at("number"), 1);
  ASSERT_EQ(kw({"withdraw", "lathe", "t #1", "--why", "the battery was out"}).exit, 0);
  EXPECT_EQ(kw({"status"}).exit, 0);
}

TEST_F(Trial, AMachineThatTookItWrongIsNoProof) {
  take_in();
  const fs::path target = root() / "to-load";
  ASSERT_EQ(kw({"restore", "lathe", "--at", "#1", "--to", target.string()}).exit, 0);
  const Tree wrong = with(read_tree(target), parameters, "20,0.2", "20,0.3");
  const Ran ran = kw({"confirm", "lathe", put(wrong).string(), "--against", "#1", "--at", "2026-04-01"});
  EXPECT_EQ(ran.exit, 1) << ran.out << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("X screw lead"));
  Tree missing = read_tree(target);
  missing.erase(parameters);
  const Ran part = kw({"confirm", "lathe", put(missing).string(), "--against", "#1", "--at", "2026-04-02"});
  EXPECT_NE(part.exit, 0) << "a group that is not there cannot be confirmed";
}

TEST_F(Trial, KeptInPartLeavesTheRestToMain) {
  five_and_a_trial();
  const Ran kept = kw({"trial", "lathe", "keep", "new-screw", "--only", "parameters", "programs/O0300"});
  EXPECT_EQ(kept.exit, 0) << kept.out << kept.err;
  EXPECT_EQ(value("parameters/20"), "0.2005");
  EXPECT_EQ(value("offsets/work/G54/X"), "-4.26");
  const fs::path target = root() / "to-load";
  ASSERT_EQ(kw({"restore", "lathe", "--at", "HEAD", "--to", target.string()}).exit, 0);
  Tree expected = with(main_files, parameters, "20,0.2", "20,0.2005");
  EXPECT_EQ(read_tree(target).at(parameters), expected.at(parameters));
  EXPECT_EQ(read_tree(target).at(offsets), main_files.at(offsets));
  EXPECT_THAT(read_tree(target).at("ALL.PRG"), HasSubstr("O0300 (TEST CUT)"));
  EXPECT_THAT(read_tree(target).at("ALL.PRG"), HasSubstr("G1 X.8 F.004"));

  ASSERT_EQ(kw({"trial", "lathe", "resume", "new-screw"}).exit, 0);
  EXPECT_THAT(kw({"history", "lathe"}).err, HasSubstr("kept new-screw"));
  ASSERT_EQ(kw({"trial", "lathe", "pause", "new-screw"}).exit, 0);
  EXPECT_EQ(kw({"history", "lathe"}).err, "");
  // Once more is nothing more.
  const std::string before = refs(repository("lathe"));
  const Ran again = kw({"trial", "lathe", "keep", "new-screw", "--only", "parameters"});
  EXPECT_EQ(again.exit, 5) << again.out;
  EXPECT_THAT(again.err, HasSubstr("has nothing of what --only names"));
  EXPECT_EQ(refs(repository("lathe")), before);

  // The rest is a trial as before, and is kept in its turn.
  EXPECT_THAT(kept.out, HasSubstr("The rest of the trial stays a trial: 2 items"));
  const Ran changes = kw({"trial", "lathe", "changes", "new-screw"});
  EXPECT_THAT(changes.out, HasSubstr("offsets/work/G54/X"));
  EXPECT_THAT(changes.out, HasSubstr("O200 changed"));
  EXPECT_THAT(changes.out, Not(HasSubstr("parameters/20"))) << "main has it by now";
  EXPECT_THAT(changes.out, Not(HasSubstr("O300")));
  EXPECT_THAT(kw({"trial", "lathe", "list"}).out, HasSubstr("new-screw"));
  const Ran rest = kw({"trial", "lathe", "keep", "new-screw", "--prefer", "offsets/work/G54/X=trial"});
  EXPECT_EQ(rest.exit, 0) << rest.out << rest.err;
  EXPECT_EQ(value("offsets/work/G54/X"), "-4.2512");
  EXPECT_EQ(value("parameters/20"), "0.2005");
  EXPECT_EQ(json({"trial", "lathe", "list"}).at("trials"), Json::array());
  EXPECT_EQ(kw({"audit", "lathe"}).exit, 0);
  ASSERT_EQ(kw({"restore", "lathe", "--at", "HEAD", "--to", (root() / "all").string()}).exit, 0);
  EXPECT_EQ(read_tree(root() / "all"), trial_files);
}

TEST_F(Trial, WhatWasKeptStaysLeftOutBehindMainsNextBackup) {
  five_and_a_trial();
  ASSERT_EQ(kw({"trial", "lathe", "keep", "new-screw", "--only", "parameters", "programs/O0300"}).exit, 0);
  const fs::path target = root() / "to-load";
  ASSERT_EQ(kw({"restore", "lathe", "--at", "HEAD", "--to", target.string()}).exit, 0);
  ASSERT_LE(kw({"intake", "lathe", target.string(), "--at", "2026-05-01"}).exit, 1);
  const Ran changes = kw({"trial", "lathe", "changes", "new-screw"});
  EXPECT_THAT(changes.out, HasSubstr("offsets/work/G54/X"));
  EXPECT_THAT(changes.out, Not(HasSubstr("parameters/20"))) << changes.out;
  EXPECT_THAT(changes.out, Not(HasSubstr("spelled")))
      << "the line that main has says another value: " << changes.out;
  EXPECT_THAT(changes.out, Not(HasSubstr("O300")));
}

TEST_F(Trial, DroppedTellsTheWayBack) {
  five_and_a_trial();
  const Ran dropped = kw({"trial", "lathe", "drop", "new-screw"});
  EXPECT_EQ(dropped.exit, 0) << dropped.err;
  EXPECT_THAT(dropped.out, HasSubstr("keepway restore lathe --at '#5'"));
  EXPECT_THAT(dropped.out, HasSubstr("its backups stay: keepway trial lathe list"));
  EXPECT_THAT(kw({"trial", "lathe", "list"}).out, HasSubstr("dropped; its backups: 'new-screw #1' to #3"));
  EXPECT_EQ(kw({"show", "lathe", "parameters/20", "--at", "new-screw #3"}).exit, 0);
  EXPECT_THAT(refs(repository("lathe")), HasSubstr("refs/keepway/archive/trial/new-screw-"));
  EXPECT_THAT(refs(repository("lathe")), Not(HasSubstr("refs/heads/trial/")));
}

// A row cannot be added in place, so main's originals cannot be made into the kept state, but the trial's
// can.
TEST_F(Trial, ARowThatATrialAddedIsRestoredWithTheTrialsFiles) {
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "begin", "new-row"}).exit, 0);
  const Tree before = files;
  files = with(files, "VARIABLE.TXT", "#302=-1.5\n", "#302=-1.5\n#303=7\n");
  trial_files = files;
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "pause", "new-row"}).exit, 0);
  files = with(before, offsets, "P1 X-4.25", "P1 X-4.26");
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "keep", "new-row"}).exit, 0);
  EXPECT_EQ(value("variables/303"), "7");
  EXPECT_EQ(value("offsets/work/G54/X"), "-4.26");
  const fs::path target = root() / "to-load";
  const Ran restored = kw({"restore", "lathe", "--at", "HEAD", "--to", target.string()});
  ASSERT_EQ(restored.exit, 0) << restored.out << restored.err;
  EXPECT_EQ(read_tree(target), with(trial_files, offsets, "P1 X-4.25", "P1 X-4.26"));
}

TEST_F(Trial, RowsAddedOnBothSidesAreNotRestoredFromEither) {
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "begin", "new-row"}).exit, 0);
  const Tree before = files;
  files = with(files, "VARIABLE.TXT", "#302=-1.5\n", "#302=-1.5\n#303=7\n");
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "pause", "new-row"}).exit, 0);
  files = with(before, parameters, "22,7\n", "22,7\n23,1\n");
  take_in();
  const std::string untouched = refs(repository("lathe"));
  const Ran refused = kw({"trial", "lathe", "keep", "new-row"});
  EXPECT_EQ(refused.exit, 5) << refused.out;
  EXPECT_THAT(refused.err, HasSubstr("variables/303"));
  EXPECT_EQ(refs(repository("lathe")), untouched) << "said before anything is stored";
  const Ran kept = kw({"trial", "lathe", "keep", "new-row", "--accept"});
  EXPECT_EQ(kept.exit, 1) << kept.err;
  EXPECT_THAT(kept.out, Not(HasSubstr("keepway restore")));
  const fs::path target = root() / "to-load";
  const Ran restored = kw({"restore", "lathe", "--at", "HEAD", "--to", target.string()});
  EXPECT_EQ(restored.exit, 5) << restored.out;
  EXPECT_THAT(restored.err, HasSubstr("variables/303"));
  EXPECT_FALSE(fs::exists(target)) << "part of a state is none";
  // What each side was is still there.
  ASSERT_EQ(kw({"restore", "lathe", "--at", "#2", "--to", target.string()}).exit, 0);
  EXPECT_EQ(read_tree(target), files);
}

// A setting that has a value of its own, and a code below it.
class RowWithAValue : public Trial {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    std::string layout = lathe_layout();
    const std::string was = "fields = { V = \"\" }";
    layout.replace(layout.find(was), was.size(), "fields = { V = \"\", C = \"code\" }");
    write_file(root() / "rows.toml", layout);
    ASSERT_EQ(kw({"enroll", "lathe", "--layout", (root() / "rows.toml").string(), "--serial", "3107"}).exit,
              0);
    files["3107.PNL"] = "K61 V1 C4\nK62 V0\nK63 V25 C9\n";
    take_in();
  }
};

TEST_F(RowWithAValue, IsKeptByItself) {
  ASSERT_EQ(kw({"trial", "lathe", "begin", "t"}).exit, 0);
  const Tree before = files;
  files = with(before, "3107.PNL", "V25", "V30");
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "pause", "t"}).exit, 0);
  files = with(before, "3107.PNL", "C9", "C8");
  take_in();
  const Ran kept = kw({"trial", "lathe", "keep", "t"});
  ASSERT_EQ(kept.exit, 0) << kept.out << kept.err;
  EXPECT_EQ(value("settings/63"), "30");
  EXPECT_EQ(value("settings/63/code"), "8");
  const Ran audit = kw({"audit", "lathe"});
  EXPECT_EQ(audit.exit, 0) << audit.out << audit.err;
  const fs::path target = root() / "to-load";
  ASSERT_EQ(kw({"restore", "lathe", "--at", "HEAD", "--to", target.string()}).exit, 0);
  EXPECT_EQ(read_tree(target).at("3107.PNL"), "K61 V1 C4\nK62 V0\nK63 V30 C8\n");
}

TEST_F(RowWithAValue, IsKeptApartFromItsRowAlsoOnceItIsGone) {
  files = with(files, "3107.PNL", "K63 V25 C9", "K63 V30 C8");
  take_in();
  const auto items = [&](const std::string& address) { return json({"show", "lathe", address}).at("items"); };
  ASSERT_EQ(items("settings/63").size(), 1U);
  EXPECT_EQ(items("settings/63").at(0).at("value"), "30");
  ASSERT_EQ(items("settings/63/*").size(), 1U);
  EXPECT_EQ(items("settings/63/*").at(0).at("value"), "8");
  EXPECT_THAT(kw({"show", "lathe", "settings/63"}).err, HasSubstr("settings/63/* has 1 more"));
  EXPECT_THAT(kw({"when", "lathe", "settings/63/*"}).out, HasSubstr("settings/63/code"));
  const auto restored = [&](const std::string& address, const std::string& name) {
    const fs::path to = root() / name;
    const Ran ran = kw({"restore", "lathe", "--at", "#1", "--only", address, "--to", to.string()});
    EXPECT_EQ(ran.exit, 0) << ran.err;
    return read_tree(to).at("3107.PNL");
  };
  EXPECT_EQ(restored("settings/63", "value"), "K61 V1 C4\nK62 V0\nK63 V25 C8\n");
  EXPECT_EQ(restored("settings/63/*", "row"), "K61 V1 C4\nK62 V0\nK63 V30 C9\n");

  files = with(files, "3107.PNL", "K63 V30 C8", "K63 C8");
  intake("lathe", files, 1, {"--at", "2026-03-20"});
  EXPECT_THAT(kw({"when", "lathe", "settings/63"}).out, HasSubstr("30"));
  const Ran shown = kw({"show", "lathe", "settings/63"});
  EXPECT_EQ(shown.exit, 2) << shown.out;
  EXPECT_THAT(shown.err, HasSubstr("settings/63/*"));
  const Ran gone = kw({"restore", "lathe", "--at", "HEAD", "--only", "settings/63", "--plan"});
  EXPECT_EQ(gone.exit, 2) << gone.out;
  EXPECT_THAT(gone.err, HasSubstr("settings/63/*"));
}

TEST_F(Trial, AFileThatTheTrialLacksTakesNothingAway) {
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "begin", "t"}).exit, 0);
  const Tree before = files;
  files = with(before, parameters, "20,0.2", "20,0.2005");
  files.erase("VARIABLE.TXT");
  take_in(1);
  ASSERT_EQ(kw({"trial", "lathe", "pause", "t"}).exit, 0);
  files = with(before, offsets, "P1 X-4.25", "P1 X-4.26");
  take_in();
  const Ran kept = kw({"trial", "lathe", "keep", "t"});
  EXPECT_EQ(kept.exit, 1) << kept.out << kept.err;
  EXPECT_THAT(kept.out, HasSubstr("variables: missing"));
  EXPECT_EQ(value("variables/301"), "0.25");
  EXPECT_EQ(value("parameters/20"), "0.2005");
  EXPECT_THAT(kw({"audit", "lathe"}).out, Not(HasSubstr("DAMAGED")));
  EXPECT_THAT(kept.out, HasSubstr("--to DIR --accept"));
  const fs::path target = root() / "to-load";
  const Ran ran = kw({"restore", "lathe", "--at", "HEAD", "--to", target.string(), "--accept"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_EQ(read_tree(target), with(files, parameters, "20,0.2", "20,0.2005"));
}

TEST_F(Trial, AKeptValueGoesIntoNoFilesThatAreReadOtherwise) {
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "begin", "t"}).exit, 0);
  files = with(files, offsets, "P1 X-4.25", "P1 X-4.2512");
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "keep", "t"}).exit, 0);
  const std::string kept = json({"history", "lathe"}).at("backups").at(0).at("name");
  EXPECT_EQ(kept, "kept t");
  const fs::path layout = repository("lathe") / "layout.toml";
  write_file(layout, read_file(layout) + "# edited\n");
  intake("lathe", files, 1, {"--at", "2090-01-01"});
  const fs::path target = root() / "to-load";
  const Ran ran =
      kw({"restore", "lathe", "--at", kept, "--only", "offsets/work/G54/X", "--to", target.string()});
  EXPECT_EQ(ran.exit, 5) << ran.out << ran.err;
  EXPECT_THAT(ran.err, HasSubstr("were changed since " + kept));
  EXPECT_FALSE(fs::exists(target));
}

// A key comes from a control's file, and goes into a line that is pasted into a shell.
TEST_F(Trial, TheLineThatAClashReadiesIsWhatAShellTakesItFor) {
  files = with(files, "CONTROL.CFG", "speed = 9600", "it's; touch ran $(touch ran) = 9600");
  const Tree before = files;
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "begin", "t"}).exit, 0);
  files = with(before, "CONTROL.CFG", "= 9600", "= 4800");
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "pause", "t"}).exit, 0);
  files = with(before, "CONTROL.CFG", "= 9600", "= 1200");
  take_in();
  const Ran clash = kw({"trial", "lathe", "keep", "t"});
  ASSERT_EQ(clash.exit, 5);
  std::string ready;
  for (const std::string& line : lines_of(clash.out + clash.err)) {
    if (line.find("=trial") != std::string::npos) ready = line;
  }
  ASSERT_THAT(ready, HasSubstr("keepway trial lathe keep t"));
  const Ran kept = run("sh", {"-c", ready}, shop(),
                       {{"PATH", fs::path(KEEPWAY_PROGRAM).parent_path().string() + ":/usr/bin:/bin"}});
  EXPECT_EQ(kept.exit, 0) << ready << kept.err;
  EXPECT_EQ(value("parameters/PORT/it's; touch ran $(touch ran)"), "4800");
  EXPECT_FALSE(fs::exists(shop() / "ran"));
}

TEST_F(Trial, StepsThatCannotBeAreRefusedAndNothingMoves) {
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "begin", "warm-up"}).exit, 0);
  const auto refused = [&](const Args& step, int exit, const std::string& reason) {
    const std::string before = refs(repository("lathe"));
    Args args = {"trial", "lathe"};
    args.insert(args.end(), step.begin(), step.end());
    const Ran ran = kw(args);
    EXPECT_EQ(ran.exit, exit) << ran.out << ran.err;
    EXPECT_THAT(ran.err, HasSubstr(reason));
    EXPECT_EQ(refs(repository("lathe")), before);
  };
  refused({"begin", "other"}, 5, "trial warm-up is in progress");
  ASSERT_EQ(kw({"trial", "lathe", "pause", "warm-up"}).exit, 0);
  refused({"pause", "warm-up"}, 5, "is not in progress");
  refused({"begin", "warm-up"}, 5, "already has a trial 'warm-up'");
  for (const char* name : {"../up", "a b", ".hidden", "x.lock", "a..b", "-x", "\xC3\xA4", ""})
    refused({"begin", "--", name}, 2, "");
  refused({"begin", std::string(65, 'a')}, 2, "cannot be a trial's name");
  ASSERT_EQ(kw({"trial", "lathe", "begin", "other"}).exit, 0);
  refused({"resume", "warm-up"}, 5, "trial other is in progress");
}

TEST_F(Trial, IntakeSaysOnWhichLineItStores) {
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "begin", "warm-up"}).exit, 0);
  const Ran on_trial =
      intake("lathe", with(files, "3107.PNL", "K62 V0", "K62 V1"), 0, {"--at", "2026-04-02"});
  EXPECT_THAT(on_trial.out, HasSubstr("trial warm-up"));
  EXPECT_EQ(kw({"trial", "lathe", "changes", "warm-up"}).exit, 1);
  EXPECT_EQ(kw({"trial", "lathe", "begin", "another"}).exit, 5) << "one at a time";
  EXPECT_EQ(kw({"trial", "lathe", "pause", "warm-up"}).exit, 0);
  EXPECT_EQ(json({"trial", "lathe", "list"}).at("trials").size(), 1U);
  EXPECT_EQ(kw({"trial", "lathe", "resume", "warm-up"}).exit, 0);
  EXPECT_EQ(kw({"trial", "lathe", "keep", "nobody"}).exit, 2);
}

// A branch may come from anywhere, by sync for one; its name would be in lines made for pasting into a
// shell.
TEST_F(Trial, ABranchThatNoTrialCanBeNamedAsIsNone) {
  take_in();
  ASSERT_EQ(kw({"trial", "lathe", "begin", "ab"}).exit, 0);
  ASSERT_EQ(kw({"trial", "lathe", "pause", "ab"}).exit, 0);
  const auto forge = [&](const std::string& name) {
    const std::string said = fmt::format("Begin trial {0}\n\nKeepway-Trial: {0}\n", name);
    std::string made = git(repository("lathe"), {"-c", "user.name=x", "-c", "user.email=x@localhost",
                                                 "commit-tree", "main^{tree}", "-p", "main", "-m", said})
                           .out;
    made.pop_back();
    EXPECT_EQ(git(repository("lathe"), {"branch", "trial/" + name, made}).exit, 0);
  };
  forge("cd");
  forge("a;reboot");
  forge("$(reboot)");
  std::vector<std::string> names;
  const Json answer = json({"trial", "lathe", "list"});
  for (const Json& trial : answer.at("trials")) names.push_back(trial.at("name"));
  EXPECT_THAT(names, ElementsAre("ab", "cd"));
  EXPECT_THAT(kw({"complete", "keepway", "trial", "lathe", "drop", ""}).out, Not(HasSubstr("reboot")));
}

}  // namespace
}  // namespace scenario
