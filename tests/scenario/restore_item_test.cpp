// Restore by item, its plan, and twins, with the real program.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;
using testing::Not;

class RestoreItem : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_lathe();
    intake("lathe", lathe_files(), 0, {"--at", "2026-03-01"});
    newest =
        with(with(lathe_files(), "PARAM.TXT", "20,0.2", "20,0.3"), "OFFSETS.TXT", "P1 X-4.25", "P1 X-4.99");
    newest = with(newest, "ALL.PRG", "O0200 (GROOVE)\nG1 X.8 F.004\nG0 X1.\nM99\n", "");
    newest = with(newest, "ALL.PRG", "N40 M98 P200\n", "");
    newest = with(newest, "ALL.PRG", "M98 P200 L2\n", "");
    intake("lathe", newest, 1, {"--at", "2026-03-02", "--accept"});  // a program fewer, and meant so
  }
  [[nodiscard]] fs::path target() const { return root() / "target"; }
  Ran restore(Args more) {
    Args args = {"restore", "lathe", "--at", "#1", "--to", target().string()};
    args.insert(args.end(), more.begin(), more.end());
    return kw(args);
  }
  Tree newest;
};

TEST_F(RestoreItem, ChangesOneValueInTheNewestOriginalAndNothingElse) {
  const Ran ran = restore({"--only", "parameters/20"});
  EXPECT_EQ(ran.exit, 0) << ran.out << ran.err;
  EXPECT_EQ(read_tree(target()), with(newest, "PARAM.TXT", "20,0.3", "20,0.2"));
  EXPECT_THAT(ran.out, HasSubstr("emergency stop"));
  EXPECT_THAT(ran.out, HasSubstr("X screw lead"));
}

TEST_F(RestoreItem, IsConfirmedAgainstTheNewestWithThatItemInIt) {
  ASSERT_EQ(restore({"--only", "parameters/20"}).exit, 0);
  const std::string loaded = put(read_tree(target())).string();
  const Ran whole = kw({"confirm", "lathe", loaded, "--against", "#1", "--at", "2026-03-03"});
  EXPECT_EQ(whole.exit, 1) << "the machine does not hold all of #1:\n" << whole.out;
  const Ran ran =
      kw({"confirm", "lathe", loaded, "--against", "#1", "--only", "parameters/20", "--at", "2026-03-04"});
  EXPECT_EQ(ran.exit, 0) << ran.out << ran.err;
  const Ran wrong = kw({"confirm", "lathe", put(newest).string(), "--against", "#1", "--only",
                        "parameters/20", "--at", "2026-03-05"});
  EXPECT_EQ(wrong.exit, 1) << wrong.out;
}

TEST_F(RestoreItem, AMachinesOwnValueGoesInOnlyWhenAccepted) {
  ASSERT_EQ(kw({"names", "lathe", "edit", "parameters/20", "--machine-own"}).exit, 0);
  const Ran refused = restore({"--only", "parameters"});
  EXPECT_EQ(refused.exit, 0) << "whole files are as the machine had them: " << refused.err;
  fs::remove_all(target());
  const Ran ran = restore({"--only", "parameters/20"});
  EXPECT_EQ(ran.exit, 5) << ran.out;
  EXPECT_THAT(ran.err, HasSubstr("parameters/20 belongs to one machine alone"));
  EXPECT_THAT(ran.err, HasSubstr("emergency stop"));
  EXPECT_FALSE(fs::exists(target()));
  EXPECT_EQ(restore({"--only", "parameters/20", "--accept"}).exit, 0);
  intake("lathe", newest, 0, {"--at", "2026-03-09"});  // takes the namebook along
}

TEST_F(RestoreItem, WhatRestoreWroteProvesNothingOfTheMachine) {
  ASSERT_EQ(restore({"--only", "parameters/20"}).exit, 0);
  const std::string before = refs(repository("lathe"));
  const Args args = {"confirm", "lathe", target().string(), "--against", "#1", "--only", "parameters/20"};
  const Ran ran = kw(args);
  EXPECT_EQ(ran.exit, 5) << ran.out;
  EXPECT_THAT(ran.err, HasSubstr("proves what the medium holds"));
  EXPECT_EQ(refs(repository("lathe")), before);
  // As the machine would write it: the same bytes, of today.
  Args fresh = args;
  fresh[2] = put(read_tree(target())).string();
  EXPECT_EQ(kw(fresh).exit, 0);
}

TEST_F(RestoreItem, WhatIsPutTogetherIsNotDatedAsTheOldBackup) {
  ASSERT_EQ(restore({"--only", "parameters/20"}).exit, 0);
  const Json at = json({"inspect", "lathe", target().string()}, -1).at("at");
  EXPECT_GT(at.get<std::string>().substr(0, 10), "2026-03-02") << "today's";
  const auto date = [&](const std::string& name) { return fs::last_write_time(target() / name); };
  EXPECT_GT(date("PARAM.TXT"), date("OFFSETS.TXT")) << "put together, and as it is in #2";
  for (const auto& [name, bytes] : read_tree(target()))
    EXPECT_EQ(date(name), date(bytes == newest.at(name) ? "OFFSETS.TXT" : "PARAM.TXT")) << name;
  ASSERT_EQ(kw({"restore", "lathe", "--at", "#2", "--to", (root() / "whole").string()}).exit, 0);
  EXPECT_EQ(date("OFFSETS.TXT"), fs::last_write_time(root() / "whole" / "OFFSETS.TXT")) << "of #2's date";
}

TEST_F(RestoreItem, PutsAProgramInWhole) {
  const Ran ran = restore({"--only", "programs/O0200"});
  EXPECT_EQ(ran.exit, 0) << ran.out << ran.err;
  const Tree got = read_tree(target());
  EXPECT_THAT(got.at("ALL.PRG"), HasSubstr("O0200 (GROOVE)\nG1 X.8 F.004\nG0 X1.\nM99\n"));
  EXPECT_EQ(got.at("PARAM.TXT"), newest.at("PARAM.TXT"));
  EXPECT_EQ(got.at("ALL.PRG").size(),
            newest.at("ALL.PRG").size() + std::string("O0200 (GROOVE)\nG1 X.8 F.004\nG0 X1.\nM99\n").size());
}

TEST_F(RestoreItem, PlanWritesNothingAndPutsTheDangerousFirst) {
  const Ran ran = restore({"--plan"});
  EXPECT_FALSE(fs::exists(target()));
  EXPECT_THAT(ran.out, HasSubstr("emergency stop"));
  const std::size_t parameter = ran.out.find("X screw lead");
  const std::size_t offset = ran.out.find("Work G54 X");
  ASSERT_NE(parameter, std::string::npos) << ran.out << ran.err;
  ASSERT_NE(offset, std::string::npos) << ran.out;
  EXPECT_LT(parameter, offset);
}

TEST_F(RestoreItem, AnAddressThatWasNotThereIsAnError) {
  const Ran ran = restore({"--only", "parameters/999"});
  EXPECT_EQ(ran.exit, 2) << ran.out << ran.err;
  EXPECT_FALSE(fs::exists(target()));
}

TEST_F(RestoreItem, AValueMayUseItsFixedWidthColumnAndNoMore) {
  const std::string layout =
      "layout = 1\n[[source]]\ngroup = \"parameters\"\nfiles = [\"P.TXT\"]\nreader = \"columns\"\n"
      "split = \"fixed\"\ncolumns = [{ name = \"number\", at = 0, width = 4 }, { name = \"value\", at = 4, "
      "width = 6 "
      "}]\naddress = \"{number}\"\nfields = { value = \"\" }\n";
  write_file(root() / "fixed.toml", layout);
  ASSERT_EQ(kw({"enroll", "fixed", "--layout", (root() / "fixed.toml").string()}).exit, 0);
  intake("fixed", {{"P.TXT", "0001   1.5\n0002   2.5\n0003123456\n"}}, 0, {"--at", "2026-03-01"});
  intake("fixed", {{"P.TXT", "0001   1.5\n0002     9\n0003     1\n"}}, 1, {"--at", "2026-03-02"});
  const auto only = [&](const char* address) {
    return kw({"restore", "fixed", "--at", "#1", "--only", address, "--to", target().string()});
  };
  EXPECT_EQ(only("parameters/2").exit, 5) << "no point is added where the column has none";
  EXPECT_FALSE(fs::exists(target()));
  EXPECT_EQ(only("parameters/3").exit, 0);
  EXPECT_EQ(read_tree(target()).at("P.TXT"), "0001   1.5\n0002     9\n0003123456\n");
}

TEST_F(RestoreItem, GoesIntoFilesThatSomebodyAccepted) {
  const Tree cut = with(newest, "OFFSETS.TXT", "P1 X-4.99", "P1 X-4.");
  Tree doubtful = cut;
  doubtful.erase("VARIABLE.TXT");
  intake("lathe", doubtful, 1, {"--at", "2026-03-03"});
  const Ran refused = restore({"--only", "offsets/work/G54/X"});
  EXPECT_EQ(refused.exit, 5) << refused.out;
  EXPECT_THAT(refused.err, HasSubstr("group-missing"));
  EXPECT_FALSE(fs::exists(target()));
  const Ran plan = kw({"restore", "lathe", "--at", "#1", "--only", "offsets/work/G54/X", "--plan"});
  EXPECT_EQ(plan.exit, 0) << plan.err;
  EXPECT_THAT(plan.out, HasSubstr("in the files of #3 (2026-03-03 12:00), doubtful"));
  EXPECT_THAT(plan.out, HasSubstr("group-missing"));
  EXPECT_EQ(restore({"--only", "offsets/work/G54/X", "--accept"}).exit, 0);
  EXPECT_EQ(read_tree(target()), with(doubtful, "OFFSETS.TXT", "P1 X-4.", "P1 X-4.25"));
}

TEST_F(RestoreItem, GoesIntoTheFilesThatAreNewestByDate) {
  // An old floppy turns up.
  intake("lathe", with(lathe_files(), "PARAM.TXT", "20,0.2", "20,0.9"), 1, {"--at", "2019-05-06"});
  EXPECT_EQ(restore({"--only", "parameters/20"}).exit, 0);
  EXPECT_EQ(read_tree(target()), with(newest, "PARAM.TXT", "20,0.3", "20,0.2"));
}

TEST_F(RestoreItem, TheChecklistsProofHolds) {
  const Ran ran = restore({"--only", "parameters/20"});
  const std::size_t begin = ran.out.find("prove it: keepway confirm lathe PATH --against ");
  ASSERT_NE(begin, std::string::npos) << ran.out;
  const std::string line = ran.out.substr(begin, ran.out.find('\n', begin) - begin);
  EXPECT_THAT(line, testing::EndsWith(" --only 'parameters/20'"));
  EXPECT_THAT(line, HasSubstr("--against '#1'"));
  const Ran confirmed = kw({"confirm", "lathe", put(read_tree(target())).string(), "--against", "#1",
                            "--only", "parameters/20", "--at", "2026-03-03"});
  EXPECT_EQ(confirmed.exit, 0) << confirmed.out << confirmed.err;
}

// A layout is repaired when somebody finds that the control counts otherwise: what was stored as a number
// before would be another number in today's spelling.
class EditedLayout : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll("a", "inch", "0.0001");
    intake("a", first, 0, {"--at", "2026-03-01"});
    intake("a", {{"W.TXT", "G10 L2 P1 X-142600 Z5000\n"}}, 0, {"--at", "2026-03-02"});
  }
  void enroll(const std::string& name, const std::string& units, const std::string& least) {
    write_file(root() / "words.toml", layout(units, least));
    ASSERT_EQ(kw({"enroll", name, "--layout", (root() / "words.toml").string()}).exit, 0);
  }
  static std::string layout(const std::string& units, const std::string& least) {
    return fmt::format(
        "layout = 1\nunits = \"{}\"\n[[source]]\ngroup = \"offsets\"\nfiles = [\"W.TXT\"]\n"
        "reader = \"words\"\nleast_increment = \"{}\"\n[[source.row]]\nmatch = \"G10 L2\"\n"
        "address = \"work/{{P}}\"\nfields = {{ X = \"X\", Z = \"Z\" }}\n",
        units, least);
  }
  Ran restore(Args more, const std::string& machine = "a") {
    Args args = {"restore", machine, "--at", "#1", "--to", (root() / "out").string()};
    args.insert(args.end(), more.begin(), more.end());
    return kw(args);
  }
  const Tree first = {{"W.TXT", "G10 L2 P1 X-142500 Z5000\n"}};
};

TEST_F(EditedLayout, NoOldNumberGoesIntoNewFiles) {
  write_file(repository("a") / "layout.toml", layout("inch", "0.001"));
  intake("a", {{"W.TXT", "G10 L2 P1 X-142600 Z5000\n"}}, 1, {"--at", "2026-03-03"});
  const Ran ran = restore({"--only", "offsets/work/1/X"});
  EXPECT_EQ(ran.exit, 5) << ran.out;
  EXPECT_THAT(ran.err, HasSubstr("offsets/work/1/X there is -14.25 as it was read then, and -142.5"));
  EXPECT_FALSE(fs::exists(root() / "out"));
  // Whole files come back byte for byte, and it is said that the numbers were read otherwise.
  const Ran whole = restore({});
  EXPECT_EQ(whole.exit, 0) << whole.err;
  EXPECT_EQ(read_tree(root() / "out"), first);
  EXPECT_THAT(whole.out, HasSubstr("units or serial were changed between the two"));
}

TEST_F(EditedLayout, ChangesSayItAndTheSameBytesAreConfirmed) {
  write_file(repository("a") / "layout.toml", layout("inch", "0.001"));
  intake("a", first, 1, {"--at", "2026-03-03"});
  const Ran changes = kw({"changes", "a", "1", "3"});
  EXPECT_THAT(changes.out, HasSubstr("the layout, units or serial were changed between the two"));
  EXPECT_TRUE(json({"changes", "a", "1", "2"}).at("read_alike").get<bool>());
  EXPECT_FALSE(json({"changes", "a", "1", "3"}).at("read_alike").get<bool>());
  const Ran ran = kw({"confirm", "a", put(first).string(), "--against", "#1", "--at", "2026-03-04"});
  EXPECT_EQ(ran.exit, 0) << ran.out << ran.err;
}

TEST_F(EditedLayout, EachSideIsSpelledAsItWasReadThen) {
  // Remarks then, rows that are not understood now: on the older side they are spelling alone.
  const std::string now = layout("inch", "0.0001");
  std::string then = now;
  then.insert(then.find("least_increment"), "comment = [\";\"]\n");
  write_file(root() / "then.toml", then);
  ASSERT_EQ(kw({"enroll", "b", "--layout", (root() / "then.toml").string()}).exit, 0);
  const std::string row = first.at("W.TXT");
  intake("b", {{"W.TXT", row + "; hello X5\n"}}, 0, {"--at", "2026-03-01"});
  write_file(repository("b") / "layout.toml", now);
  intake("b", {{"W.TXT", row + "; other X6\n"}}, 1, {"--at", "2026-03-03", "--accept"});
  EXPECT_THAT(kw({"changes", "b", "2", "1", "--spelling"}).out, HasSubstr("+ ; hello X5"));
  EXPECT_THAT(kw({"changes", "b", "1", "2", "--spelling"}).out, HasSubstr("- ; hello X5"));
}

TEST_F(EditedLayout, ATrialsChangesSayItToo) {
  ASSERT_EQ(kw({"trial", "a", "begin", "t"}).exit, 0);
  EXPECT_TRUE(json({"trial", "a", "changes", "t"}).at("read_alike").get<bool>());
  write_file(repository("a") / "layout.toml", layout("inch", "0.001"));
  intake("a", first, 1, {"--at", "2026-03-03"});
  EXPECT_FALSE(json({"trial", "a", "changes", "t"}).at("read_alike").get<bool>());
}

TEST_F(EditedLayout, ALayoutThatReadsTheAskedTheSameIsNoHindrance) {
  write_file(repository("a") / "layout.toml", layout("inch", "0.0001") + "# a remark\n");
  intake("a", {{"W.TXT", "G10 L2 P1 X-142700 Z5000\n"}}, 0, {"--at", "2026-03-03"});
  EXPECT_EQ(restore({"--only", "offsets/work/1/X"}).exit, 0);
  EXPECT_EQ(read_tree(root() / "out"), first);
}

TEST_F(EditedLayout, NoInchGoesIntoAMachineInMillimetres) {
  enroll("b", "mm", "0.001");
  intake("b", {{"W.TXT", "G10 L2 P1 X-361950 Z127000\n"}}, 0, {"--at", "2026-03-01"});
  const Ran ran = restore({"--from", "a", "--only", "offsets/work/1/X"}, "b");
  EXPECT_EQ(ran.exit, 5) << ran.out;
  EXPECT_THAT(ran.err, HasSubstr("a is in inch, b in mm"));
  EXPECT_FALSE(fs::exists(root() / "out"));
  EXPECT_THAT(kw({"twin", "a", "b"}).out, Not(HasSubstr("keepway restore")));
}

TEST_F(EditedLayout, AnotherMachinesItemIsProvenByTheTwin) {
  enroll("c", "inch", "0.0001");
  intake("c", {{"W.TXT", "G10 L2 P1 X-100 Z5000\n"}}, 0, {"--at", "2026-03-01"});
  const Ran refused = restore({"--from", "a", "--only", "offsets/work/1/X"}, "c");
  EXPECT_EQ(refused.exit, 5) << refused.out;
  EXPECT_THAT(refused.err, HasSubstr("offsets/work/1/X would come from a, another machine"));
  EXPECT_THAT(refused.err, HasSubstr("emergency stop"));
  EXPECT_FALSE(fs::exists(root() / "out"));
  const Ran ran = restore({"--from", "a", "--only", "offsets/work/1/X", "--accept"}, "c");
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_EQ(read_tree(root() / "out"), first);
  EXPECT_THAT(ran.out, HasSubstr("backup #1 (2026-03-01 12:00) of a"));
  EXPECT_THAT(ran.out, HasSubstr("keepway intake c PATH, then keepway twin a c"));
}

class Twin : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_lathe();
    const Ran second =
        kw({"enroll", "lathe-2", "--layout", (root() / "lathe.toml").string(), "--serial", "3108"});
    ASSERT_EQ(second.exit, 0) << second.err;
    write_file(repository("lathe-2") / "namebook.tsv", lathe_namebook());
    ASSERT_EQ(git(repository("lathe-2"), {"-c", "user.name=Owner", "-c", "user.email=owner@example.org",
                                          "commit", "-q", "-a", "-m", "Type the namebook"})
                  .exit,
              0);
  }
  // The same files with the other one's serial.
  static Tree of_the_other(Tree files) {
    files["3108.PNL"] = files.at("3107.PNL");
    files.erase("3107.PNL");
    return files;
  }
};

TEST_F(Twin, NamesWhatDiffersAndReadiesALineForEach) {
  intake("lathe", lathe_files(), 0, {"--at", "2026-03-01"});
  Tree other = of_the_other(lathe_files());
  intake("lathe-2", other, 0, {"--at", "2026-03-01"});
  EXPECT_EQ(kw({"twin", "lathe", "lathe-2"}).exit, 0);
  other = with(other, "PARAM.TXT", "21,400", "21,450");
  intake("lathe-2", other, 0, {"--at", "2026-03-02"});
  const Ran ran = kw({"twin", "lathe", "lathe-2"});
  EXPECT_EQ(ran.exit, 1) << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("Rapid rate"));

  // The line that it readies is run as it is, but for the folder.
  std::string ready;
  for (const std::string& line : lines_of(ran.out)) {
    if (line.find("keepway restore") != std::string::npos) ready = line;
  }
  ASSERT_THAT(ready, HasSubstr("--only"));
  Args args;
  std::string word;
  for (const char c : ready.substr(ready.find("keepway restore") + 8) + " ") {
    if (c == '\'') continue;
    if (c != ' ') {
      word += c;
    } else if (!word.empty()) {
      args.push_back(word == "DIR" ? (root() / "out").string() : word);
      word.clear();
    }
  }
  const Ran done = kw(args);
  EXPECT_EQ(done.exit, 0) << ready << "\n" << done.out << done.err;
  EXPECT_EQ(read_tree(root() / "out"), with(other, "PARAM.TXT", "21,450", "21,400"));
}

TEST_F(Twin, AProgramOfAnotherNameIsReadiedByTheNameThatItHasThere) {
  intake("lathe", lathe_files(), 0, {"--at", "2026-03-01"});
  intake("lathe-2", with(of_the_other(lathe_files()), "ALL.PRG", "O0100 (SHAFT)", "O0110 (SHAFT)"), 0,
         {"--at", "2026-03-01"});
  const Ran ran = kw({"twin", "lathe", "lathe-2"});
  EXPECT_EQ(ran.exit, 1) << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("program O110: named O100 on lathe"));
  ASSERT_THAT(ran.out, HasSubstr("--only 'programs/O100' --to DIR"));
  const fs::path out = root() / "out";
  const Ran done = kw({"restore", "lathe-2", "--from", "lathe", "--at", "#1", "--only", "programs/O100",
                       "--to", out.string()});
  EXPECT_EQ(done.exit, 0) << done.out << done.err;
  for (const char* name : {"O0100 (SHAFT)", "O0110 (SHAFT)"})
    EXPECT_THAT(read_file(out / "ALL.PRG"), HasSubstr(name));
}

// Of two mills with the same control, one in inches and one in millimetres.
TEST_F(Twin, AProgramOfOtherUnitsIsNoneForThisMachineWithoutAWord) {
  enroll_mill();
  ASSERT_EQ(kw({"enroll", "mill-2", "--layout", "rs274ngc", "--units", "mm"}).exit, 0);
  intake("mill", mill_files(), 0, {"--at", "2026-03-01"});
  intake("mill-2", with(mill_files(), "O1000.ngc", "X2.5", "X2.6"), 0, {"--at", "2026-03-01"});
  const Ran twin = kw({"twin", "mill", "mill-2"});
  EXPECT_THAT(twin.out, HasSubstr("mill is in inch, mill-2 in mm"));
  EXPECT_THAT(twin.out, HasSubstr("program O1000"));
  EXPECT_THAT(twin.out, Not(HasSubstr("keepway restore")));
  const Args line = {"restore", "mill-2", "--from",         "mill", "--at",
                     "1",       "--only", "programs/O1000", "--to", (root() / "out").string()};
  const Ran refused = kw(line);
  EXPECT_EQ(refused.exit, 5);
  EXPECT_THAT(refused.err, HasSubstr("programs/O1000 may move to other places there; nothing was written"));
  EXPECT_FALSE(fs::exists(root() / "out"));
  Args accepted = line;
  accepted.emplace_back("--accept");
  EXPECT_EQ(kw(accepted).exit, 0);
}

// Keys and names come from a control's files, and go into a line that is pasted into a shell.
TEST_F(Twin, TheLinesThatItReadiesAreWhatAShellTakesThemFor) {
  Tree files = with(lathe_files(), "CONTROL.CFG", "speed = 9600", "it's; touch ran $(touch ran) = 9600");
  intake("lathe", files, 0, {"--at", "2026-03-01"});
  Tree other = with(of_the_other(files), "CONTROL.CFG", "= 9600", "= 4800");
  other = with(other, "ALL.PRG", "N30 G1 Z-2. F.01", "N30 G1 Z-2. F.012");
  intake("lathe-2", other, 0, {"--at", "2026-03-01"});
  const Ran ran = kw({"twin", "lathe", "lathe-2"});
  EXPECT_EQ(ran.exit, 1) << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("program O100: changed"));
  const std::vector<Tree> expected = {with(other, "CONTROL.CFG", "= 4800", "= 9600"),
                                      with(other, "ALL.PRG", "F.012", "F.01")};
  std::size_t lines = 0;
  const Env env = {{"PATH", fs::path(KEEPWAY_PROGRAM).parent_path().string() + ":/usr/bin:/bin"}};
  for (const std::string& line : lines_of(ran.out)) {
    const std::size_t at = line.find("keepway restore");
    if (at == std::string::npos) continue;
    ASSERT_LT(lines, expected.size()) << ran.out;
    const Ran done = run("sh", {"-c", line.substr(at)}, shop(), env);
    EXPECT_EQ(done.exit, 0) << line << done.out << done.err;
    EXPECT_EQ(read_tree(shop() / "DIR"), expected[lines++]) << line;
    fs::remove_all(shop() / "DIR");
  }
  EXPECT_EQ(lines, expected.size());
  EXPECT_FALSE(fs::exists(shop() / "ran"));
}

}  // namespace
}  // namespace scenario
