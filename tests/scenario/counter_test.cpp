// The counter as a program: the same answers as the commands, and nothing lost, left behind or stored twice.
#include <fmt/format.h>
#include <signal.h>

#include <algorithm>
#include <chrono>
#include <thread>
#include <utility>

#include "counter_fixture.hpp"

namespace scenario {
namespace {

TEST_F(Counter, TakesInWhatWasDroppedAsTheCommandDoes) {
  enter();
  const Tree files = third();
  const std::string id = drop_all(files);
  const Json looked = act("inspect", {{"drop", id}});
  const fs::path folder = put(files);
  for (const auto& [name, bytes] : files)
    ASSERT_EQ(run("touch", {"-d", "@1770000000", (folder / name).string()}, root()).exit, 0);
  const Json command = json({"inspect", "mill", folder.string()});
  EXPECT_EQ(looked.at("answer").at("verdict"), command.at("verdict"));
  EXPECT_EQ(looked.at("answer").at("cautions"), command.at("cautions"));
  EXPECT_EQ(looked.at("answer").at("at"), "2026-02-02T02:40:00Z") << "by the newest file's own time";
  EXPECT_NE(looked.at("changes").at("text").get<std::string>().find("4.375"), std::string::npos);
  EXPECT_EQ(backups(), 2) << "looking stores nothing";

  const Json taken = act("intake", {{"drop", id}, {"by", "Ana"}, {"note", "before the service"}});
  EXPECT_EQ(taken.at("stored"), true) << taken;
  const Json newest = json({"history", "mill"}, 0).at("backups").at(0);
  EXPECT_EQ(newest.at("number"), 3);
  EXPECT_EQ(newest.at("by"), "Ana");
  EXPECT_EQ(newest.at("note"), "before the service");
  EXPECT_EQ(newest.at("source"), "folder MILL1") << "where it lay meanwhile says nothing";
  ASSERT_EQ(kw({"restore", "mill", "--at", "#3", "--to", (root() / "out").string(), "--accept"}).exit, 0);
  EXPECT_EQ(read_tree(root() / "out"), files);
  // Once more, as when the answer got lost: nothing is double.
  EXPECT_EQ(
      act("intake", {{"drop", id}, {"by", "Ana"}}).at("error").at("what").get<std::string>().substr(0, 16),
      "what was dropped");
  const Json again = act("inspect", {{"drop", drop_all(files)}});
  EXPECT_TRUE(again.at("already").is_object()) << again;
  EXPECT_EQ(backups(), 3);
}

TEST_F(Counter, WhatWasShownIsWhatIsStored) {
  enter();
  const std::string id = drop_all(third());
  EXPECT_EQ(act("intake", {{"drop", id}}).at("exit"), 2) << "nobody has looked at it";
  act("inspect", {{"drop", id}});
  intake("mill", with(mill_files(), "mill.tbl", "5.1", "5.3"), 0);  // by a command meanwhile
  const Json late = act("intake", {{"drop", id}});
  EXPECT_TRUE(late.contains("error")) << late;
  EXPECT_EQ(backups(), 3);
  act("inspect", {{"drop", id}});
  EXPECT_EQ(act("intake", {{"drop", id}}).at("stored"), true);
  EXPECT_EQ(backups(), 4);
}

TEST_F(Counter, ARefusedBackupIsStoredOnlyWhenItIsAccepted) {
  enter();
  const std::string id = drop_all({{"notes.txt", "shopping list\n"}});
  const Json looked = act("inspect", {{"drop", id}});
  ASSERT_EQ(looked.at("exit"), 5) << looked;
  ASSERT_FALSE(looked.at("answer").at("verdict").at("reasons").empty());
  const Json refused = act("intake", {{"drop", id}});
  EXPECT_EQ(refused.at("exit"), 5);
  EXPECT_NE(refused.at("beside").get<std::string>().find("refused, and nothing was stored"),
            std::string::npos);
  EXPECT_EQ(backups(), 2);
  EXPECT_EQ(act("intake", {{"drop", id}, {"accept", true}}).at("stored"), true);
  EXPECT_EQ(json({"history", "mill"}, 0).at("backups").at(0).at("accepted"), true);
  const Json accepted = act("reasons", {}).at("answer").at("reasons");
  ASSERT_FALSE(accepted.empty());
  const Json back =
      act("reasons", {{"back", 1}, {"by", "Tom"}, {"why", "the files are on the control again"}});
  EXPECT_EQ(back.at("answer").at("taken_back").at(0).at("what"), accepted.at(0).at("what"));
  EXPECT_EQ(act("reasons", {}).at("answer").at("reasons").size(), accepted.size() - 1);
}

TEST_F(Counter, OneFileAloneIsReadAsWhatItIs) {
  enter();
  write_tree(root() / "set", third());
  ASSERT_EQ(run("tar", {"czf", "set.tgz", "-C", "set", "."}, root()).exit, 0);
  const std::string id = drop("");
  const std::string bytes = read_file(root() / "set.tgz");
  put(id, "set.tgz", bytes.substr(0, 100));
  put(id, "set.tgz", bytes.substr(100), 100);
  const Json looked = act("inspect", {{"drop", id}});
  EXPECT_EQ(looked.at("answer").at("source"), "archive set.tgz") << looked;
  EXPECT_EQ(act("intake", {{"drop", id}}).at("stored"), true);
  ASSERT_EQ(kw({"restore", "mill", "--at", "#3", "--to", (root() / "out").string(), "--accept"}).exit, 0);
  EXPECT_EQ(read_tree(root() / "out"), third());
}

TEST_F(Counter, AnImageWithManyFloppiesIsListedSlotBySlot) {
  enter();
  constexpr std::size_t spacing = 1'572'864;
  std::string stick;
  for (const char* value : {"4.375", "4.5"}) {
    const std::string set = fmt::format("set{}", stick.size());
    write_tree(root() / set, with(mill_files(), "mill.tbl", "4.25", value));
    ASSERT_EQ(run("mkfs.fat", {"-C", "floppy.img", "1440"}, root()).exit, 0);
    for (const auto& file : fs::directory_iterator(root() / set))
      ASSERT_EQ(run("mcopy", {"-i", "floppy.img", file.path().string(), "::"}, root()).exit, 0);
    stick += read_file(root() / "floppy.img");
    stick.resize(stick.size() + spacing - stick.size() % spacing);
    fs::remove(root() / "floppy.img");
  }
  write_file(root() / "stick.img", stick);
  const std::string id = drop("");
  constexpr std::size_t piece = 256 << 10;
  for (std::size_t at = 0; at < stick.size(); at += piece) put(id, "stick.img", stick.substr(at, piece), at);
  const Json asked = act("inspect", {{"drop", id}});
  EXPECT_EQ(asked.at("exit"), 2) << asked;
  EXPECT_NE(asked.at("error").at("remedy").get<std::string>().find("--slot N"), std::string::npos);
  const Json listed = act("slots", {{"drop", id}});
  EXPECT_EQ(listed.at("text"), keepway({"slots", "stick.img", "--shop", shop().string()}, root()).out);
  EXPECT_EQ(listed.at("answer").at("slots").at(1).at("machine"), "mill") << listed;
  const Json second = act("inspect", {{"drop", id}, {"slot", 2}});
  EXPECT_NE(second.at("changes").at("text").get<std::string>().find("4.5"), std::string::npos) << second;
  EXPECT_EQ(act("slots", {{"drop", "../1"}}).at("exit"), 2);
}

TEST_F(Counter, AnotherDateInTheNameIsSaidWithoutTheTerminalsOption) {
  enter();
  const std::string id = drop("2020-01-05");
  const fs::path folder = root() / "2020-01-05";
  fs::create_directory(folder);
  for (const auto& [name, bytes] : third()) {
    put(id, name, bytes);
    write_file(folder / name, bytes);
    fs::last_write_time(folder / name, fs::file_time_type::clock::now());
  }
  const Json seen = act("inspect", {{"drop", id}});
  const std::string said = seen.at("other_date");
  EXPECT_NE(said.find("the name says 2020-01-05, and the newest file is of 2026-02-02"), std::string::npos)
      << said;
  EXPECT_EQ(seen.dump().find("--at"), std::string::npos) << seen;
  EXPECT_NE(kw({"inspect", "mill", folder.string()}).err.find("give the true date with --at"),
            std::string::npos);
  const Json dated = act("inspect", {{"drop", id}, {"at", "2020-01-05"}});
  EXPECT_TRUE(dated.at("other_date").is_null());
  EXPECT_NE(dated.at("text").get<std::string>().find("backup of 2020-01-05"), std::string::npos) << dated;
}

TEST_F(Counter, SmallActsAnswerAsTheirCommands) {
  enter();
  EXPECT_EQ(act("mark", {{"name", "known good"}, {"at", "#1"}}).at("text"),
            kw({"mark", "mill", "known good", "--at", "#1"}).out);
  const Json misnamed = act("mark", {{"name", "7"}, {"at", "#1"}});
  EXPECT_NE(
      kw({"mark", "mill", "7", "--at", "#1"}).err.find(misnamed.at("error").at("what").get<std::string>()),
      std::string::npos);
  const std::string withdrawn =
      act("withdraw", {{"backup", "1"}, {"why", "wrong stick"}, {"by", "Tom"}}).at("text");
  EXPECT_NE(withdrawn.find("is withdrawn: wrong stick"), std::string::npos);
  EXPECT_EQ(json({"history", "mill"}, 0).at("backups").at(1).at("withdrawn").at("by"), "Tom");
  const std::string corrected =
      act("correct", {{"backup", "2"}, {"note", "after the service"}, {"taken_by", "Ida"}}).at("text");
  EXPECT_NE(corrected.find("is corrected: by: Ida"), std::string::npos);
  const Json battery = act("battery", {{"changed", "2026-01-31"}, {"months", 13}});
  EXPECT_EQ(battery.at("text"), kw({"battery", "mill"}).out);
  EXPECT_EQ(act("battery", {{"changed", "2999-01-31"}}).at("exit"), 2);
  EXPECT_EQ(act("reasons", {}).at("text"), kw({"reasons", "mill"}).out);
  EXPECT_EQ(act("reasons", {{"back", 1}}).at("exit"), 2) << "there is none";
  intake("mill", third(), 0);  // takes the edited machine.toml along, as after the command
}

TEST_F(Counter, NamesUnitsAndLimitsAreSetAsByTheCommand) {
  enter();
  const std::string address = "parameters/5161";
  const Json set = act("names", {{"address", address}, {"name", "Home X"}, {"unit", "mm"}, {"max", "10"}});
  EXPECT_EQ(set.at("text"), kw({"names", "mill", "edit", address}).out);
  EXPECT_EQ(set.at("answer").at("entries").at(0).at("max"), "10");
  const std::string book = read_file(repository("mill") / "namebook.tsv");
  EXPECT_NE(book.find("Home X"), std::string::npos);
  const Json looked = act("names", {{"address", address}});
  EXPECT_EQ(looked.at("answer"), set.at("answer"));
  EXPECT_EQ(read_file(repository("mill") / "namebook.tsv"), book) << "looking writes nothing";
  const auto refused = [&](const Json& words, const Args& command) {
    Json all = {{"address", address}};
    all.update(words);
    const Json said = act("names", all);
    Args args = {"names", "mill", "edit", address};
    args.insert(args.end(), command.begin(), command.end());
    const Ran ran = kw(args);
    EXPECT_EQ(said.at("exit"), ran.exit) << said;
    EXPECT_NE(ran.err.find(said.at("error").at("what").get<std::string>()), std::string::npos) << ran.err;
    EXPECT_NE(ran.err.find(said.at("error").at("remedy").get<std::string>()), std::string::npos) << ran.err;
  };
  refused({{"min", "11"}}, {"--min", "11"});
  refused({{"min", "1e3"}}, {"--min", "1e3"});
  refused({{"name", "a\tb"}}, {"--name", "a\tb"});
  EXPECT_EQ(read_file(repository("mill") / "namebook.tsv"), book);
  act("names", {{"address", address}, {"max", ""}});
  EXPECT_EQ(act("names", {{"address", address}}).at("answer").at("entries").at(0).at("max"), nullptr);
  const Json unknown = act("names", {{"address", "parameters/99999"}, {"name", "x"}});
  EXPECT_NE(unknown.at("beside").get<std::string>().find("its name is kept"), std::string::npos) << unknown;
  EXPECT_EQ(act("names", {{"address", "parameters/99999"}, {"remove", true}}).at("exit"), 0);
  EXPECT_EQ(act("names", {{"address", "parameters/99999"}, {"remove", true}}).at("exit"), 2);
  intake("mill", third(), 0);  // takes the edited namebook along
}

TEST_F(Counter, ARestoreSetIsThatOfTheCommandWithItsCautions) {
  enter();
  const Json plan = act("plan", {{"at", "#1"}});
  EXPECT_EQ(plan.at("text"), kw({"restore", "mill", "--at", "#1", "--plan"}).out);
  EXPECT_GE(plan.at("answer").at("cautions").size(), 7U);
  EXPECT_TRUE(plan.at("made").is_null());
  for (const std::string& form : Args{"zip", "img"}) {
    const Json made = act("restore", {{"at", "#1"}, {"form", form}});
    EXPECT_GE(made.at("answer").at("cautions").size(), 7U) << made;
    EXPECT_NE(made.at("text").get<std::string>().find("hand on the emergency stop"), std::string::npos);
    EXPECT_EQ(made.at("text").get<std::string>().find(temporary().string()), std::string::npos);
    ASSERT_EQ(post("made", "", mine()), "200");
    const std::string file = "made." + form;
    write_file(root() / file, body_);
    if (form == "zip") {
      ASSERT_EQ(run("unzip", {"-q", file, "-d", "made"}, root()).exit, 0);
    } else {
      fs::create_directory(root() / "made");
      ASSERT_EQ(run("mcopy", {"-i", file, "::*", "made"}, root()).exit, 0);
    }
    Tree there = read_tree(root() / "made");
    if (form == "img") {  // names on a volume are in capitals
      Tree lower;
      for (const auto& [name, bytes] : there) {
        std::string small = name;
        std::transform(small.begin(), small.end(), small.begin(), ::tolower);
        lower[small] = bytes;
      }
      there = lower;
    }
    Tree wanted;
    for (const auto& [name, bytes] : mill_files()) {
      std::string small = name;
      if (form == "img") std::transform(small.begin(), small.end(), small.begin(), ::tolower);
      wanted[small] = bytes;
    }
    EXPECT_EQ(there, wanted) << form;
    fs::remove_all(root() / "made");
  }
  act("withdraw", {{"backup", "1"}, {"why", "wrong stick"}});
  EXPECT_EQ(act("restore", {{"at", "#1"}, {"form", "zip"}}).at("exit"), 5);
  EXPECT_EQ(act("restore", {{"at", "#1"}, {"form", "zip"}, {"accept", true}}).at("exit"), 0);
}

TEST_F(Counter, EndsWithoutLeavingAnything) {
  enter();
  const std::string id = drop_all(third());
  EXPECT_FALSE(fs::is_empty(temporary()));
  for (const auto& each : fs::recursive_directory_iterator(temporary())) {
    const auto others = each.status().permissions() & (fs::perms::group_all | fs::perms::others_all);
    EXPECT_EQ(others, fs::perms::none) << each.path();
  }
  act("leave", {{"drop", id}});
  EXPECT_EQ(act("inspect", {{"drop", id}}).at("exit"), 2);
  drop_all(third());
  EXPECT_EQ(stop(SIGINT), 0);
  EXPECT_TRUE(fs::is_empty(temporary()));
}

TEST_F(Counter, WhatAKilledOneLeftGoesWithTheNext) {
  enter();
  drop_all(third());
  EXPECT_EQ(stop(SIGKILL), 128 + SIGKILL);
  ASSERT_FALSE(fs::is_empty(temporary()));
  const fs::path left = fs::directory_iterator(temporary())->path();
  ASSERT_EQ(run("touch", {"-d", "-5 minutes", left.string()}, root()).exit, 0);
  const Started next = start(KEEPWAY_PROGRAM, command(), shop(), environment());
  for (int i = 0; i < 200 && fs::exists(left); ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  EXPECT_FALSE(fs::exists(left));
  ::kill(next.pid, SIGTERM);
  wait_for(next);
}

TEST_F(Counter, OnlyTheMachinesNamedAreServed) {
  enroll_lathe();
  enter();
  Json words = {{"machine", "lathe"}, {"name", "x"}, {"at", "#1"}};
  EXPECT_EQ(act("mark", words).at("exit"), 2);
  words["machine"] = "../shop";
  EXPECT_EQ(act("mark", words).at("exit"), 2);
  EXPECT_EQ(kw({"counter", "none"}).exit, 2);
}

TEST_F(Counter, OpensTheBrowserWithAPageThatLeadsThere) {
  const fs::path browser = root() / "browser";
  write_file(browser,
             "#!/bin/sh\necho \"$@\" > \"$0.args\"\nstat -c %a \"${1%/*}\" > \"$0.mode\"\n"
             "cp \"$1\" \"$0.new\" && mv \"$0.new\" \"$0.seen\"\n");
  fs::permissions(browser, fs::perms::owner_all);
  const fs::path seen = root() / "browser.seen";
  const auto served = [&](const Args& more, const std::string& program, bool is_opened) {
    Args args = {"counter", "mill"};
    args.insert(args.end(), more.begin(), more.end());
    Env env = environment();
    env["BROWSER"] = program;
    const Started one = start(KEEPWAY_PROGRAM, args, shop(), env);
    const auto said = [&] { return fs::exists(one.out) ? read_file(one.out) : ""; };
    for (int i = 0; i < 200 && (said().find('\n') == std::string::npos || (is_opened && !fs::exists(seen)));
         ++i)
      std::this_thread::sleep_for(std::chrono::milliseconds(50));
    if (!is_opened) std::this_thread::sleep_for(std::chrono::milliseconds(300));
    EXPECT_EQ(::kill(one.pid, SIGTERM), 0);
    const Ran ran = wait_for(one);
    EXPECT_EQ(ran.exit, 0);
    return ran.out;
  };
  const std::string printed = served({}, "nothing-of-that-name:" + browser.string(), true);
  const std::string url = printed.substr(0, printed.find('\n'));
  EXPECT_TRUE(url.starts_with("http://127.0.0.1:")) << printed;
  EXPECT_NE(read_file(seen).find("0; url=" + url + "\""), std::string::npos) << read_file(seen);
  EXPECT_EQ(read_file(root() / "browser.args").find("key"), std::string::npos)
      << "every user of this computer can read what a program is started with";
  EXPECT_EQ(read_file(root() / "browser.mode"), "700\n");
  fs::remove(seen);
  for (const auto& [more, program] :
       std::vector<std::pair<Args, std::string>>{{{"--no-open"}, browser.string()},
                                                 {{"--json"}, browser.string()},
                                                 {{}, "/nowhere/at-all"},
                                                 {{}, ""}})
    EXPECT_NE(served(more, program, false).find("http://127.0.0.1:"), std::string::npos);
  EXPECT_FALSE(fs::exists(seen));
}

TEST_F(Counter, KilledAtAnyMomentLosesNothingAndStoresNothingTwice) {
  Random random(7);
  int stored = 2;
  for (int round = 0; round < 8; ++round) {
    enter();
    const std::string value = fmt::format("4.{}", 251 + round);
    const std::string id = drop_all(with(mill_files(), "mill.tbl", "4.25", value));
    ASSERT_EQ(act("inspect", {{"drop", id}}).at("answer").at("stored"), nullptr);
    ASSERT_TRUE(ask("intake", {{"drop", id}, {"accept", true}}).contains("going"));
    std::this_thread::sleep_for(std::chrono::milliseconds(random.below(150)));
    const Json answered = ask("work", {{"drop", id}});
    const fs::path storing = child();
    stop(SIGKILL);
    if (!storing.empty()) {
      EXPECT_TRUE(ends(storing));
    }
    const int now = backups();
    EXPECT_TRUE(now == stored || now == stored + 1) << now;
    if (answered.dump().find("\"stored\":true") != std::string::npos) {
      EXPECT_EQ(now, stored + 1) << "it said so";
    }
    stored = now;
    serve();
  }
}

}  // namespace
}  // namespace scenario
