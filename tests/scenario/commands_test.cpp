// The command line's contract: every command, its exit codes, its help and its JSON.
#include <fmt/format.h>

#include <chrono>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

const std::vector<std::string> commands = {"init",    "enroll",  "inspect", "intake",  "history",
                                           "changes", "when",    "show",    "restore", "mark",
                                           "status",  "battery", "survey",  "names",   "try"};

class Commands : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
  }
  // What every failure owes to a person: what happened and what to do.
  static void expect_two_lines(const Ran& ran) {
    EXPECT_EQ(ran.err.rfind("keepway: ", 0), 0U) << ran.err;
    EXPECT_NE(ran.err.find("\n  what to do: "), std::string::npos) << ran.err;
    EXPECT_EQ(ran.err.back(), '\n');
  }
};

TEST_F(Commands, EveryOneHasHelpWithAnExample) {
  for (const std::string& command : commands) {
    const Ran ran = kw({command, "--help"});
    EXPECT_EQ(ran.exit, 0) << command;
    EXPECT_NE(ran.out.find("Example:\n  keepway " + command), std::string::npos) << ran.out;
    EXPECT_EQ(ran.err, "");
  }
  const Ran all = kw({"--help"});
  EXPECT_EQ(all.exit, 0);
  for (const std::string& command : commands) EXPECT_NE(all.out.find(command), std::string::npos) << command;
}

TEST_F(Commands, VersionIsOneLine) {
  const Ran ran = kw({"--version"});
  EXPECT_EQ(ran.exit, 0);
  EXPECT_EQ(ran.out.rfind("keepway ", 0), 0U);
  EXPECT_EQ(lines_of(ran.out).size(), 1U);
}

TEST_F(Commands, VersionInFullHasTheLicenceOfWhatIsEmbedded) {
  for (const Args& args : {Args{"--version", "--full"}, Args{"--full", "--version"}}) {
    const Ran ran = kw(args);
    EXPECT_EQ(ran.exit, 0);
    EXPECT_EQ(ran.out.rfind("keepway ", 0), 0U);
    for (const char* text : {"uPlot 1.", "Copyright", "Permission is hereby granted", "WITHOUT WARRANTY"}) {
      EXPECT_NE(ran.out.find(text), std::string::npos) << text;
    }
  }
}

TEST_F(Commands, WrongUsageIsTwo) {
  const std::vector<Args> wrong = {
      {},
      {"--full"},
      {"no-such-command"},
      {"history"},
      {"history", "no-such-machine"},
      {"history", "../mill"},
      {"history", "mill", "more"},
      {"history", "mill", "--no-such-option"},
      {"enroll", "two"},
      {"enroll", "two", "--layout", "no-such-layout"},
      {"enroll", "two", "--layout", "rs274ngc", "--units", "cubit"},
      {"enroll", "bad/name", "--layout", "rs274ngc"},
      {"enroll", ".hidden", "--layout", "rs274ngc"},
      {"enroll", "", "--layout", "rs274ngc"},
      {"intake", "mill"},
      {"intake", "mill", ".", "--at", "yesterday"},
      {"intake", "mill", ".", "--at", "2026-02-30"},
      {"changes", "mill"},
      {"when", "mill"},
      {"when", "mill", "--all", "no-such-group"},
      {"when", "mill", "no such name"},
      {"when", "mill", " "},
      {"when", "mill", "offsets/tol/1"},
      {"battery"},
      {"battery", "mill", "--every-months", "0"},
      {"names", "mill"},
      {"survey"},
      {"enroll", "two", "--layout", "rs274ngc", "--backup-every", "0"},
      {"show", "mill"},
      {"restore", "mill"},
      {"restore", "mill", "--at", "1"},
      {"mark", "mill", "good"},
      {"init", ""},
      {"inspect", "mill", ""},
      {"intake", "mill", ".", "--at", ""},
      {"changes", "mill", ""},
  };
  for (const Args& args : wrong) {
    const Ran ran = kw(args);
    EXPECT_EQ(ran.exit, 2) << fmt::format("{}", fmt::join(args, " ")) << "\n" << ran.out << ran.err;
    expect_two_lines(ran);
    EXPECT_EQ(ran.out, "");
  }
}

TEST_F(Commands, AMistypedOneIsNamedWithWhatItMayHaveBeen) {
  const std::vector<std::pair<Args, std::vector<std::string>>> mistyped = {
      {{"stauts"}, {"keepway has no command 'stauts'", "did you mean 'status'?", "'keepway --help'"}},
      {{"--json", "hystory", "mill"}, {"keepway has no command 'hystory'", "did you mean 'history'?"}},
      {{"no-such-command"}, {"keepway has no command 'no-such-command'", "'keepway --help'"}},
      {{"--bogus"}, {"keepway has no option '--bogus'", "'keepway --help'"}},
      {{"--verson"}, {"keepway has no option '--verson'", "did you mean '--version'?"}},
      {{"trial", "mill", "bgin", "x"},
       {"keepway trial has no command 'bgin'", "did you mean 'begin'?", "'keepway trial --help'"}},
  };
  for (const auto& [args, all] : mistyped) {
    const Ran ran = kw(args);
    EXPECT_EQ(ran.exit, 2);
    expect_two_lines(ran);
    for (const std::string& said : all) EXPECT_NE(ran.err.find(said), std::string::npos) << ran.err;
  }
  EXPECT_EQ(kw({"no-such-command"}).err.find("did you mean"), std::string::npos);
}

TEST_F(Commands, NumbersAreNumbersInJson) {
  intake("mill", mill_files(), 0);
  const Json tidied = json({"tidy", "mill"}, 0);
  EXPECT_TRUE(tidied.at("bytes_before").is_number_integer());
  EXPECT_TRUE(tidied.at("bytes_after").is_number_integer());
  write_file(root() / "names.csv", "address,name\nvariables/300,Parts made\n");
  EXPECT_EQ(json({"names", "mill", "import", (root() / "names.csv").string()}, 0).at("rows"), 1);
  ASSERT_EQ(git(repository("mill"), {"checkout", "-q", "--", "namebook.tsv"}).exit, 0);
}

TEST_F(Commands, ErrorsAreJsonToo) {
  for (const Args& args : std::vector<Args>{{"--json"},
                                            {"--json", "no-such-command"},
                                            {"history", "none", "--json"},
                                            {"intake", "mill", "none", "--json"},
                                            {"show", "mill", "bad\x01\xff/address", "--json"}}) {
    const Ran ran = kw(args);
    EXPECT_NE(ran.exit, 0);
    const Json answer = Json::parse(ran.out, nullptr, false);
    ASSERT_TRUE(answer.is_object()) << fmt::format("{}", fmt::join(args, " ")) << ran.out;
    EXPECT_EQ(answer.at("schema"), 1);
    EXPECT_EQ(answer.at("error").at("exit"), ran.exit);
    EXPECT_NE(answer.at("error").at("what"), "");
    EXPECT_NE(answer.at("error").at("remedy"), "");
  }
}

TEST_F(Commands, EveryAnswerIsJsonWithItsSchema) {
  const std::string backup = put(mill_files()).string();
  json({"inspect", "mill", backup}, 0);
  json({"intake", "mill", backup, "--at", "2026-03-01"}, 0);
  intake("mill", with(mill_files(), "mill.tbl", "5.1", "5.2"), 0, {"--at", "2026-03-02"});
  json({"history", "mill"}, 0);
  json({"changes", "mill"}, 1);
  json({"changes", "mill", "1", "1"}, 0);
  json({"when", "mill", "offsets/tool/1/length"}, 0);
  json({"when", "mill", "length"}, 1);
  json({"when", "mill", "--all", "programs"}, 0);
  json({"show", "mill"}, 0);
  json({"show", "mill", "offsets/work"}, 0);
  json({"show", "mill", "programs/O1000"}, 0);
  json({"mark", "mill", "first", "--at", "#1"}, 0);
  json({"restore", "mill", "--at", "first", "--to", (root() / "back").string()}, 0);
  json({"init", (root() / "another").string()}, 0);
  json({"enroll", "mill-2", "--layout", "rs274ngc"}, 0);
}

TEST_F(Commands, JsonIsBeforeOrAfterTheCommand) {
  EXPECT_EQ(kw({"--json", "history", "mill"}).out, kw({"history", "--json", "mill"}).out);
}

TEST_F(Commands, TheShopIsNamedFoundOrNearest) {
  const fs::path far = root() / "elsewhere";
  fs::create_directories(far);
  EXPECT_EQ(keepway({"history", "mill"}, far).exit, 2);
  EXPECT_EQ(keepway({"history", "mill", "--shop", shop().string()}, far).exit, 0);
  EXPECT_EQ(keepway({"history", "mill"}, far, {{"KEEPWAY_SHOP", shop().string()}}).exit, 0);
  EXPECT_EQ(keepway({"history", "mill", "--shop", shop().string()}, far, {{"KEEPWAY_SHOP", "/nowhere"}}).exit,
            0)
      << "--shop wins over the environment";
  EXPECT_EQ(keepway({"history", "mill"}, shop(), {{"KEEPWAY_SHOP", far.string()}}).exit, 2)
      << "the environment wins over the folder";
  EXPECT_EQ(keepway({"history", "mill"}, shop() / "mill", {{"KEEPWAY_SHOP", ""}}).exit, 0)
      << "from inside a machine's folder";
  fs::create_directories(shop() / "mill" / ".git" / "deep");
  EXPECT_EQ(keepway({"history", "mill"}, shop() / "mill" / ".git" / "deep").exit, 0);
  fs::remove(shop() / "mill" / ".git" / "deep");
}

TEST_F(Commands, ColourOnlyOnATerminalThatWantsIt) {
  intake("mill", mill_files(), 0);
  const Args args = {"history", "mill"};
  const auto coloured = [&](const Args& more, const Env& env) {
    Args all = args;
    all.insert(all.end(), more.begin(), more.end());
    const Ran ran = run_on_terminal(KEEPWAY_PROGRAM, all, shop(), env);
    EXPECT_EQ(ran.exit, 0);
    EXPECT_NE(ran.out.find("mill"), std::string::npos);
    return ran.out.find('\x1b') != std::string::npos;
  };
  EXPECT_TRUE(coloured({}, {}));
  EXPECT_FALSE(coloured({"--no-color"}, {}));
  EXPECT_FALSE(coloured({}, {{"NO_COLOR", "1"}}));
  EXPECT_FALSE(coloured({}, {{"TERM", "dumb"}}));
  EXPECT_FALSE(coloured({"--json"}, {}));
  EXPECT_EQ(kw(args).out.find('\x1b'), std::string::npos) << "not on a terminal";
}

TEST_F(Commands, ClosedOrFullStreamsKeepTheExitCode) {
  const auto closed = [&](const Args& args, std::vector<int> streams) {
    return wait_for(start(KEEPWAY_PROGRAM, args, shop(), {}, {0, std::move(streams)})).exit;
  };
  EXPECT_EQ(closed({"history", "none"}, {2}), 2);
  EXPECT_EQ(closed({"history", "none"}, {0, 1, 2}), 2);
  EXPECT_EQ(closed({"--help"}, {2}), 0);
  EXPECT_EQ(closed({"intake", "mill", put(mill_files()).string()}, {0, 2}), 0);
  EXPECT_EQ(json({"history", "mill"}, 0).at("backups").size(), 1U);
  // Not a byte of room for the complaint.
  EXPECT_EQ(wait_for(start(KEEPWAY_PROGRAM, {"history", "none"}, shop(), {}, {1, {}})).exit, 2);
  EXPECT_EQ(wait_for(start(KEEPWAY_PROGRAM, {"history", "mill"}, shop(), {}, {1, {}})).exit, 4);
}

TEST_F(Commands, FoundRefusesAShopThatIsThere) {
  const std::string before = read_file(shop() / "shop.toml");
  const Ran ran = keepway({"init", "shop"}, root());
  EXPECT_EQ(ran.exit, 5);
  expect_two_lines(ran);
  EXPECT_EQ(read_file(shop() / "shop.toml"), before);
}

TEST_F(Commands, EnrollRefusesAFolderThatIsThere) {
  const std::string before = refs(repository("mill"));
  EXPECT_EQ(kw({"enroll", "mill", "--layout", "rs274ngc"}).exit, 5);
  EXPECT_EQ(refs(repository("mill")), before);
}

TEST_F(Commands, EnrollWantsTheSerialThatALayoutNames) {
  write_file(root() / "lathe.toml", lathe_layout());
  EXPECT_EQ(kw({"enroll", "lathe", "--layout", (root() / "lathe.toml").string()}).exit, 2);
  EXPECT_FALSE(fs::exists(shop() / "lathe")) << "nothing is left behind";
}

TEST_F(Commands, UnitsAreTheOnesGivenElseTheLayoutsElseInch) {
  EXPECT_EQ(json({"show", "mill"}, 2).contains("error"), true) << "no backup yet";
  write_file(
      root() / "metric.toml",
      "layout = 1\nunits = \"mm\"\n[[source]]\ngroup = \"programs\"\nfiles = \"*.P\"\nreader = \"blocks\"\n");
  EXPECT_EQ(json({"enroll", "a", "--layout", (root() / "metric.toml").string()}, 0).at("units"), "mm");
  EXPECT_EQ(
      json({"enroll", "b", "--layout", (root() / "metric.toml").string(), "--units", "inch"}, 0).at("units"),
      "inch");
  EXPECT_EQ(json({"enroll", "c", "--layout", "rs274ngc"}, 0).at("units"), "inch");
}

TEST_F(Commands, HistoryNumbersFromOneAndTellsWhoAndWhy) {
  EXPECT_EQ(json({"history", "mill"}, 0).at("backups").size(), 0U);
  intake("mill", mill_files(), 0,
         {"--at", "2026-03-01T06:30:00-05:00", "--by", "Bo", "--note", "before the fair"});
  intake("mill", with(mill_files(), "mill.tbl", "5.1", "5.2"), 0, {"--at", "2026-03-02"});
  const Json backups = json({"history", "mill"}, 0).at("backups");
  ASSERT_EQ(backups.size(), 2U);
  EXPECT_EQ(backups[0].at("number"), 2) << "newest first";
  EXPECT_EQ(backups[0].at("by"), "ana") << "the user's name";
  EXPECT_EQ(backups[0].at("at"), "2026-03-02T12:00:00Z");
  EXPECT_EQ(backups[0].at("gist"), "1 offset changed");
  EXPECT_EQ(backups[1].at("number"), 1);
  EXPECT_EQ(backups[1].at("by"), "Bo");
  EXPECT_EQ(backups[1].at("note"), "before the fair");
  EXPECT_EQ(backups[1].at("at"), "2026-03-01T11:30:00Z");
  EXPECT_EQ(backups[1].at("verdict"), "good");
}

TEST_F(Commands, TheTimeOfABackupIsItsNewestFileUnlessGiven) {
  const fs::path folder = put(mill_files());
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    const std::chrono::sys_seconds noon(std::chrono::seconds(1'770'120'000));  // 2026-02-03T12:00:00Z
    fs::last_write_time(entry.path(), fs::file_time_type::clock::from_sys(noon));
  }
  EXPECT_EQ(json({"intake", "mill", folder.string()}, 0).at("at"), "2026-02-03T12:00:00Z");
  const Ran log = git(repository("mill"), {"log", "-1", "--format=%aI %an"});
  EXPECT_EQ(log.out, "2026-02-03T12:00:00+00:00 ana\n");
}

TEST_F(Commands, WhenIsNamedByNumberDateMarkOrRevision) {
  intake("mill", mill_files(), 0, {"--at", "2026-03-01"});
  intake("mill", with(mill_files(), "mill.tbl", "5.1", "5.2"), 0, {"--at", "2026-03-05"});
  intake("mill", with(mill_files(), "mill.tbl", "5.1", "5.3"), 0, {"--at", "2026-03-09"});
  EXPECT_EQ(kw({"mark", "mill", "after the crash", "--at", "#2"}).exit, 0);
  const auto at = [&](const std::string& when) {
    const Json answer = json({"show", "mill", "offsets/tool/1/length", "--at", when});
    return answer.contains("items") ? answer.at("items").at(0).at("value").get<std::string>() : "none";
  };
  EXPECT_EQ(at("#1"), "5.1");
  EXPECT_EQ(at("2"), "5.2");
  EXPECT_EQ(at("#3"), "5.3");
  EXPECT_EQ(at("after the crash"), "5.2");
  EXPECT_EQ(at("2026-03-01"), "5.1");
  EXPECT_EQ(at("2026-03-04"), "5.1") << "the last at or before";
  EXPECT_EQ(at("2026-03-05"), "5.2") << "a date is its whole day";
  EXPECT_EQ(at("2026/03/05"), "5.2");
  EXPECT_EQ(at("31-3-2026"), "5.3");
  EXPECT_THAT(kw({"show", "mill", "--at", "3-5-2026"}).err, HasSubstr("may be 2026-05-03 or 2026-03-05"));
  EXPECT_EQ(kw({"show", "mill", "--at", "2026/03-05"}).exit, 2);
  EXPECT_EQ(at("2026-03-05T11:59:59Z"), "5.1");
  EXPECT_EQ(at("2027-01-01"), "5.3");
  EXPECT_EQ(at("HEAD"), "5.3");
  EXPECT_EQ(at("HEAD~1"), "5.2");
  EXPECT_EQ(at("main"), "5.3");
  EXPECT_EQ(at(object_id(repository("mill"), "HEAD~2").substr(0, 10)), "5.1");
  for (const char* wrong :
       {"#0", "#4", "#", "#x", "99999999999999999999", "2026-02-28", "2026-13-01", "no such mark", "",
        "HEAD~9", "HEAD^{tree}", "HEAD:layout.toml", "-1", "@{", "..", "\x01\xff"}) {
    const Ran ran = kw({"show", "mill", "offsets/tool/1/length", "--at", wrong});
    EXPECT_EQ(ran.exit, 2) << "'" << wrong << "' " << ran.out << ran.err;
  }
}

TEST_F(Commands, MarksAreKeptApart) {
  intake("mill", mill_files(), 0);
  intake("mill", mill_files(), 0);
  EXPECT_EQ(kw({"mark", "mill", "known good", "--at", "1"}).exit, 0);
  EXPECT_EQ(kw({"mark", "mill", "known good", "--at", "1"}).exit, 0) << "the same again is no fault";
  EXPECT_EQ(kw({"mark", "mill", "known good", "--at", "2"}).exit, 5) << "not moved silently";
  for (const char* wrong :
       {"", "a..b", "-x", "a\nb", "/", "a/", "x.lock", "@{", "2", "#1", "#x", "2026-03-01", "HEAD", "main"}) {
    const Ran ran = kw({"mark", "mill", "--", wrong});
    EXPECT_EQ(ran.exit, 2) << "'" << wrong << "' " << ran.out << ran.err;
  }
  const Json backups = json({"history", "mill"}, 0).at("backups");
  EXPECT_EQ(backups[0].at("marks"), Json::array());
  EXPECT_EQ(backups[1].at("marks"), Json::array({"known good"}));
  for (const char* similar : {"Known Good", "known_good", "known  good"}) {
    EXPECT_EQ(kw({"mark", "mill", similar, "--at", "2"}).exit, 5) << similar;
    EXPECT_EQ(kw({"mark", "mill", similar, "--at", "1"}).exit, 5) << similar;
  }
  EXPECT_THAT(kw({"show", "mill", "--at", "known god"}).err, HasSubstr("did you mean 'known good'?"));
  for (const char* similar : {"Known Good", "KNOWN_GOOD", "known  good"})
    EXPECT_EQ(json({"show", "mill", "--at", similar}, 0).at("at").at("number"), 1) << similar;
}

TEST_F(Commands, AMarkIsRenamedAndRemoved) {
  intake("mill", mill_files(), 0);
  intake("mill", mill_files(), 0);
  ASSERT_EQ(kw({"mark", "mill", "known good", "1"}).exit, 0) << "the backup may be named without --at";
  EXPECT_EQ(kw({"mark", "mill", "known good", "--rename", "Known Good"}).exit, 0);
  EXPECT_EQ(json({"history", "mill"}, 0).at("backups")[1].at("marks"), Json::array({"Known Good"}));
  EXPECT_EQ(kw({"mark", "mill", "known_good", "--rename", "old"}).exit, 0);
  EXPECT_EQ(json({"show", "mill", "--at", "old"}, 0).at("at").at("number"), 1);
  EXPECT_EQ(kw({"mark", "mill", "old", "--remove"}).exit, 0);
  const Ran gone = kw({"mark", "mill", "old", "--remove"});
  EXPECT_EQ(gone.exit, 2);
  EXPECT_THAT(gone.err, HasSubstr("has no mark 'old'"));
  EXPECT_EQ(kw({"mark", "mill", "known good", "--at", "2"}).exit, 0);
}

TEST_F(Commands, AMarkOnWhatIsNotGoodIsSaidToBeThat) {
  intake("mill", mill_files(), 0);
  EXPECT_EQ(kw({"mark", "mill", "known good"}).err, "");
  intake("mill", with(mill_files(), "mill.var", "300\t1.25\n", ""), 1);
  EXPECT_THAT(kw({"mark", "mill", "newest"}).err,
              HasSubstr("#2 is doubtful, and a mark does not make it good"));
  ASSERT_EQ(kw({"withdraw", "mill", "2", "--why", "lost"}).exit, 0);
  EXPECT_THAT(kw({"mark", "mill", "lost one", "2"}).err, HasSubstr("#2 is withdrawn"));
}

TEST_F(Commands, OneMachineIsNotEnrolledTwiceWithoutAWord) {
  ASSERT_EQ(kw({"enroll", "saw", "--layout", "rs274ngc", "--serial", "S417"}).exit, 0);
  const Ran capital = kw({"enroll", "Saw", "--layout", "rs274ngc"});
  EXPECT_EQ(capital.exit, 5);
  EXPECT_THAT(capital.err, HasSubstr("differs in capitals alone"));
  EXPECT_FALSE(fs::exists(shop() / "Saw"));
  EXPECT_THAT(kw({"enroll", "saw-2", "--layout", "rs274ngc", "--serial", "S417"}).err,
              HasSubstr("saw has the serial S417, too"));
  EXPECT_EQ(kw({"enroll", "saw-3", "--layout", "rs274ngc", "--serial", "S418"}).err, "");
}

// A new thread's stack is as large as the limit says (pthread_create(3)), and there is no room for one of 64
// TiB.
TEST_F(Commands, WhereNoThreadIsToBeHadOneDoesAllTheWork) {
  const auto alone = [&](const Args& args) {
    Args words = {"-c", "ulimit -S -s 68719476736 && exec \"$0\" \"$@\"", KEEPWAY_PROGRAM};
    words.insert(words.end(), args.begin(), args.end());
    return run("sh", words, shop());
  };
  if (alone({"--version"}).exit != 0) GTEST_SKIP() << "the limit of stacks cannot be raised here";
  Tree many = mill_files();
  for (int i = 0; i < 40; ++i)
    many[fmt::format("O{}.ngc", 2000 + i)] = fmt::format("%\nO{}\nM30\n%\n", 2000 + i);
  for (int i = 0; i < 20'000; ++i) many["O2000.ngc"] += "(LONG)\n";  // more than one thread reads
  const Ran stored = alone({"intake", "mill", put(many).string()});
  EXPECT_LE(stored.exit, 1) << stored.err;
  write_tree(root() / "drawer" / "2019-03-12", mill_files());
  write_tree(root() / "drawer" / "2019-03-13", with(mill_files(), "mill.var", "302\t7\n", "302\t8\n"));
  const Ran piled = alone({"pile", "mill", (root() / "drawer").string()});
  EXPECT_NE(piled.out.find("2 stored"), std::string::npos) << piled.out << piled.err;
  for (int i = 0; i < 63; ++i)
    fs::copy(repository("mill"), repository(fmt::format("m{}", i)), fs::copy_options::recursive);
  const Ran status = alone({"status"});
  EXPECT_EQ(status.exit, kw({"status"}).exit) << status.err;
  EXPECT_EQ(status.out, kw({"status"}).out);
  EXPECT_EQ(status.out.rfind("64 machines", 0), 0U) << status.out;
}

TEST_F(Commands, NoControlByteOfABackupReachesTheTerminal) {
  Tree files = mill_files();
  files["evil\x1b[31m\xff.txt"] = "\x1b]0;x\x07";
  files["mill.ini"] = "[A\x1b[31m]\nK\x07 = \x1b[2J\xff\n";
  files["O1001.ngc"] = "%\nO1001 (\x1b[31m\xff)\nG0 X1\x1b[0m\nM99\n%\n";
  const std::string folder = put(files).string();
  kw({"intake", "mill", folder, "--accept", "--by", "B\x1b[1m", "--note", "n\x1b[2J\xff"});
  intake("mill", mill_files(), 1, {"--at", "2020-01-01"});
  const std::vector<Args> asked = {{"inspect", "mill", folder},
                                   {"history", "mill"},
                                   {"changes", "mill"},
                                   {"show", "mill", "parameters", "--at", "1"},
                                   {"show", "mill", "programs"},
                                   {"show", "mill", "programs/O1001", "--at", "1"},
                                   {"when", "mill", "programs/O1001"},
                                   {"when", "mill", "--all", "parameters"},
                                   {"when", "mill", "\x1b[1m"},
                                   {"show", "mill", "x\x1b[1m"},
                                   {"restore", "mill", "--at", "1", "--to", "\x1b[1m", "--accept"},
                                   {"history", "mill\x1b[1m"},
                                   {"inspect", "mill", "none\x1b[1m"}};
  for (const Args& args : asked) {
    for (const bool as_json : {false, true}) {
      Args all = args;
      if (as_json) all.emplace_back("--json");
      const Ran ran = kw(all);
      for (const std::string& text : {ran.out, ran.err}) {
        for (const char c : text) {
          EXPECT_TRUE(c == '\n' || static_cast<unsigned char>(c) >= 0x20)
              << fmt::format("{} gives byte {}", args[0], static_cast<int>(c));
          if (c != '\n' && static_cast<unsigned char>(c) < 0x20) break;
        }
        EXPECT_EQ(text.find('\xff'), std::string::npos) << args[0];
      }
      if (as_json) {
        EXPECT_TRUE(Json::parse(ran.out, nullptr, false).contains("schema")) << args[0] << ran.out;
      }
    }
  }
  fs::remove_all(shop() / "\x1b[1m");
}

}  // namespace
}  // namespace scenario
