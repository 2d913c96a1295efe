// A machine enrolled at the counter from a backup that was dropped: as by the command, or not at all. The
// control is invented.
#include <signal.h>

#include <chrono>
#include <set>
#include <thread>

#include "counter_fixture.hpp"

namespace scenario {
namespace {

class CounterEnroll : public Counter {
 protected:
  [[nodiscard]] Args command() const override { return {"counter", "--json"}; }
  void SetUp() override {
    Counter::SetUp();
    enter();
  }
  static Tree lathe() {
    return {{"TOOLS.PRN",
             "LATHE   SERIAL NO 5512\r\n\r\nTOOL OFFSETS\r\n NO   X-LENGTH   Z-LENGTH  NOTE\r\n"
             "  1    +12.500    -40.125  rough\r\n  2    +10.000    -38.000  bore\r\n"
             "  3     +2.500   -140.000  thread\r\n"},
            {"VALUES.PRN", "R001=+000.2500\r\nR002=-012.0000\r\nR010=+100.0000\r\n"},
            {"PARTS.PRN", "%\r\nO7 (RING)\r\nG21 G0 X40.\r\nG1 Z-2. F0.2\r\nM30\r\n%\r\n"}};
  }
  // What the shop's folder holds.
  std::set<std::string> there() {
    std::set<std::string> names;
    for (const auto& each : fs::directory_iterator(shop())) names.insert(each.path().filename().string());
    return names;
  }
  std::string proposed(const Tree& files) {
    const std::string id = drop_all(files);
    EXPECT_TRUE(act("propose", {{"drop", id}}).contains("answer"));
    return id;
  }
};

TEST_F(CounterEnroll, SaysOfADrawerThatItLooksLikeSeveralBackups) {
  Tree drawer;
  for (const char* folder : {"2026-01-14/", "2026-02-11/"}) {
    for (const auto& [name, bytes] : lathe()) drawer[folder + name] = bytes;
  }
  const Json seen = act("propose", {{"drop", drop_all(drawer)}});
  EXPECT_NE(seen.at("beside").get<std::string>().find("these look like 2 backups, in 2026-01-14, 2026-02-11"),
            std::string::npos)
      << seen;
}

TEST_F(CounterEnroll, ShowsAndMakesWhatTheCommandDoes) {
  const auto before = there();
  const std::string id = drop_all(lathe());
  const Json seen = act("propose", {{"drop", id}});
  ASSERT_TRUE(seen.contains("answer")) << seen;
  EXPECT_EQ(there(), before) << "nothing is made by looking";
  EXPECT_EQ(seen.at("answer").at("serial"), "5512");
  EXPECT_EQ(seen.at("answer").at("units"), "mm");
  const Ran command = kw({"enroll", "lathe-9", "--from", put(lathe()).string()});
  EXPECT_EQ(seen.at("exit"), command.exit);
  const std::string screen = seen.at("text");
  EXPECT_EQ(command.out.substr(0, screen.size()), screen);
  EXPECT_FALSE(seen.at("answer").at("guessed").empty());
  const Json made =
      act("enroll",
          {{"drop", id}, {"name", "lathe-2"}, {"title", "Old lathe"}, {"by", "Ana"}, {"backup_every", 7}});
  ASSERT_EQ(made.at("enrolled"), "lathe-2") << made;
  EXPECT_NE(made.at("text").get<std::string>().find("Enrolled lathe-2, serial 5512, units mm."),
            std::string::npos);
  EXPECT_EQ(made.at("text").get<std::string>().find(temporary().string()), std::string::npos);
  EXPECT_EQ(read_file(repository("lathe-2") / "layout.toml"),
            read_file(repository("lathe-9") / "layout.toml"));
  EXPECT_EQ(seen.at("answer").at("layout"), read_file(repository("lathe-2") / "layout.toml"));
  const std::string facts = read_file(repository("lathe-2") / "machine.toml");
  EXPECT_NE(facts.find("Old lathe"), std::string::npos) << facts;
  EXPECT_NE(facts.find("7"), std::string::npos) << facts;
  EXPECT_TRUE(fsck_clean(repository("lathe-2")));
  EXPECT_EQ(json({"history", "lathe-2"}, 0).at("backups").size(), 0U) << "nothing of the backup is stored";

  // What was dropped is still there, and is taken in for the new machine.
  EXPECT_EQ(act("intake", {{"drop", id}, {"machine", "lathe-2"}}).at("exit"), 2) << "not looked at for it";
  const Json looked = act("inspect", {{"drop", id}, {"machine", "lathe-2"}});
  EXPECT_NE(looked.at("answer").at("verdict").at("worth"), "refused") << looked;
  EXPECT_EQ(act("intake", {{"drop", id}, {"machine", "lathe-2"}, {"accept", true}}).at("stored"), true);
  ASSERT_EQ(kw({"restore", "lathe-2", "--at", "#1", "--to", (root() / "out").string(), "--accept"}).exit, 0);
  EXPECT_EQ(read_tree(root() / "out"), lathe());
  EXPECT_EQ(curl({"-H", "Cookie: " + cookie_}, "data/shop.js"), "200");
  EXPECT_NE(body_.find("lathe-2"), std::string::npos) << "it is in the list";
}

TEST_F(CounterEnroll, SerialAndUnitsThatAreEnteredAreLookedAtFirst) {
  const std::string id = proposed(lathe());
  const auto before = there();
  const Json other = {{"drop", id}, {"name", "lathe-2"}, {"serial", "77"}, {"units", "inch"}};
  EXPECT_EQ(act("enroll", other).at("exit"), 5);
  EXPECT_EQ(there(), before);
  const Json seen = act("propose", other);
  EXPECT_EQ(seen.at("answer").at("serial"), "77") << seen;
  EXPECT_EQ(seen.at("answer").at("units"), "inch") << seen;
  EXPECT_EQ(act("enroll", other).at("enrolled"), "lathe-2");
  const Ran command =
      kw({"enroll", "lathe-9", "--from", put(lathe()).string(), "--serial", "77", "--units", "inch"});
  EXPECT_EQ(read_file(repository("lathe-2") / "layout.toml"),
            read_file(repository("lathe-9") / "layout.toml"))
      << command.err;
}

TEST_F(CounterEnroll, WhatIsCorrectedIsReadAgainAndWrittenIntoTheLayout) {
  const std::string id = drop_all(lathe());
  const Json first = act("propose", {{"drop", id}}).at("answer");
  const Json& sources = first.at("editable");
  std::size_t variables = 0;
  while (variables < sources.size() && sources[variables].at("group") != "variables") ++variables;
  ASSERT_LT(variables, sources.size()) << first;
  const auto before = there();
  const auto with = [&](const Json& edits) {
    return Json{{"drop", id}, {"name", "lathe-2"}, {"edits", edits}};
  };
  const Json edits = {{{"source", variables + 1}, {"group", "settings"}, {"name", "cell"}}};
  EXPECT_EQ(act("enroll", with(edits)).at("exit"), 5) << "it was not looked at so";
  const Json seen = act("propose", with(edits));
  EXPECT_NE(seen.at("text").get<std::string>().find("settings/cell/R1"), std::string::npos) << seen;
  EXPECT_LT(seen.at("answer").at("guessed").size(), first.at("guessed").size());
  for (const Json& bad : std::vector<Json>{{{{"source", 99}, {"group", "settings"}}},
                                           {{{"source", 0}, {"group", "settings"}}},
                                           {{{"group", "settings"}}},
                                           {{{"source", variables + 1}, {"group", "programs"}}},
                                           {{{"source", variables + 1}, {"group", "evil\"\n[x]"}}},
                                           {{{"source", variables + 1}, {"name", "{none}"}}},
                                           {{{"source", variables + 1}, {"name", 7}}},
                                           {"settings"},
                                           "settings",
                                           Json::object()}) {
    EXPECT_TRUE(act("propose", with(bad)).contains("error")) << bad;
    EXPECT_TRUE(act("enroll", with(bad)).contains("error")) << bad;
  }
  EXPECT_EQ(there(), before);
  ASSERT_EQ(act("propose", with(edits)).at("answer").at("layout"), seen.at("answer").at("layout"));
  EXPECT_EQ(act("enroll", with(Json::array())).at("exit"), 5) << "not without them";
  ASSERT_EQ(act("enroll", with(edits)).at("enrolled"), "lathe-2");
  EXPECT_EQ(read_file(repository("lathe-2") / "layout.toml"), seen.at("answer").at("layout"));
  const Ran tried = kw({"try", "lathe-2/layout.toml", put(lathe()).string()});
  EXPECT_NE(tried.out.find("settings/cell/R1"), std::string::npos) << tried.out << tried.err;
}

TEST_F(CounterEnroll, OnlyWhatWasSeenIsEnrolled) {
  const auto before = there();
  const std::string id = drop_all(lathe());
  EXPECT_EQ(act("enroll", {{"drop", id}, {"name", "lathe-2"}}).at("exit"), 2) << "nobody has looked at it";
  act("propose", {{"drop", id}});
  put(id, "MORE.PRN", "R1=5\r\n");
  EXPECT_EQ(act("enroll", {{"drop", id}, {"name", "lathe-2"}}).at("exit"), 2) << "a file came since";
  act("inspect", {{"drop", id}});
  EXPECT_EQ(act("enroll", {{"drop", id}, {"name", "lathe-2"}}).at("exit"), 2) << "looked at for the mill";
  EXPECT_EQ(act("propose", {{"drop", drop_all({{"notes.txt", "shopping list\n"}})}}).at("exit"),
            kw({"survey", (put({{"notes.txt", "shopping list\n"}}) / "notes.txt").string()}).exit)
      << "one line that no reader takes: look at it";
  EXPECT_TRUE(act("propose", {{"drop", drop("EMPTY")}}).contains("error"));
  EXPECT_TRUE(act("propose", {{"drop", "../1"}}).contains("error"));
  EXPECT_EQ(there(), before);
}

TEST_F(CounterEnroll, NamesThatAreNoneMakeNothing) {
  const std::string id = proposed(lathe());
  const auto before = there();
  for (const Json& name :
       std::vector<Json>{"../evil", "a/b", "..", ".", ".git", "-x", "", "mill", "/evil", "a b\n",
                         "<img src=x>", std::string(5000, 'x'), std::string("a\0b", 3), 7, nullptr}) {
    EXPECT_TRUE(act("enroll", {{"drop", id}, {"name", name}}).contains("error")) << name;
  }
  for (const Json& more : std::vector<Json>{{{"title", "a\x1b[2J"}},
                                            {{"serial", 7}},
                                            {{"backup_every", -1}},
                                            {{"backup_every", 99'999}},
                                            {{"units", {"mm"}}}}) {
    Json words = {{"drop", id}, {"name", "lathe-2"}};
    words.update(more);
    EXPECT_TRUE(act("enroll", words).contains("error")) << more;
  }
  EXPECT_EQ(there(), before);
  EXPECT_EQ(act("enroll", {{"drop", id}, {"name", "lathe-2"}, {"title", "<img src=x>\"'"}}).at("enrolled"),
            "lathe-2");
  EXPECT_EQ(curl({"-H", "Cookie: " + cookie_}, "data/shop.js"), "200");
  EXPECT_EQ(body_.find("<img"), std::string::npos);
  EXPECT_TRUE(act("enroll", {{"drop", id}, {"name", "lathe-2"}}).contains("error")) << "there is one";
}

TEST_F(CounterEnroll, KilledAtAnyMomentItIsEnrolledWholeOrNotAtAll) {
  Random random(5);
  for (int round = 0; round < 6; ++round) {
    const std::string name = "lathe-" + std::to_string(round);
    const std::string id = proposed(lathe());
    ASSERT_TRUE(ask("enroll", {{"drop", id}, {"name", name}}).contains("going"));
    std::this_thread::sleep_for(std::chrono::milliseconds(random.below(120)));
    const fs::path work = child();
    stop(SIGKILL);
    if (!work.empty()) {
      EXPECT_TRUE(ends(work));
    }
    if (!fs::exists(repository(name))) {
      EXPECT_EQ(kw({"enroll", name, "--from", put(lathe()).string()}).exit, 0);
    }
    EXPECT_TRUE(fsck_clean(repository(name)));
    EXPECT_EQ(json({"history", name}, 0).at("backups").size(), 0U);
    serve();
    enter();
  }
}

class CounterOfOne : public Counter {};

TEST_F(CounterOfOne, EnrollsNoOther) {
  enter();
  const std::string id = drop_all(third());
  ASSERT_TRUE(act("propose", {{"drop", id}}).contains("answer"));
  EXPECT_EQ(act("enroll", {{"drop", id}, {"name", "mill-2"}}).at("exit"), 5);
  EXPECT_FALSE(fs::exists(repository("mill-2")));
}

class CounterOfSome : public CounterEnroll {
 protected:
  [[nodiscard]] Args command() const override {
    return is_of_two_ ? Args{"counter", "mill", "lathe", "--json"} : CounterEnroll::command();
  }
  bool is_of_two_ = false;
};

TEST_F(CounterOfSome, ShowsTheOneThatItEnrolled) {
  enroll_lathe();
  ASSERT_EQ(kw({"enroll", "lathe-8", "--from", put(lathe()).string()}).exit, 0);
  stop(SIGTERM);
  is_of_two_ = true;
  serve();
  enter();
  EXPECT_EQ(act("enroll", {{"drop", proposed(lathe())}, {"name", "lathe-2"}}).at("enrolled"), "lathe-2");
  EXPECT_EQ(act("reasons", {{"machine", "lathe-2"}}).at("exit"), 0);
  EXPECT_EQ(act("reasons", {{"machine", "lathe-8"}}).at("exit"), 2) << "it was not named";
}

}  // namespace
}  // namespace scenario
