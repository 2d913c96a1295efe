// Sticks at the counter: listed, looked at slot by slot, and taken in as what is dropped is.
#include "counter_stick_fixture.hpp"

namespace scenario {
namespace {

TEST_F(CounterStick, IsListedWithItsSlotsAsByTheCommand) {
  const int number = listed();
  ASSERT_GT(number, 0);
  EXPECT_EQ(listed(), number) << "as long as it is there";
  const std::string before = read_file(stick());
  const Json said = act("slots", {{"drop", chosen()}});
  EXPECT_EQ(said.at("text"), kw({"slots", stick().string()}).out);
  ASSERT_EQ(said.at("answer").at("slots").size(), 3U);
  EXPECT_EQ(said.at("answer").at("slots").at(1).at("machine"), "mill");
  EXPECT_EQ(said.at("answer").at("slots").at(2).at("label"), "SLOT3");
  EXPECT_EQ(read_file(stick()), before);
}

TEST_F(CounterStick, ASlotIsLookedAtAndTakenInAsByTheCommand) {
  const std::string before = read_file(stick());
  const std::string id = chosen();
  const Json none = act("inspect", {{"drop", id}});
  const Ran asked = kw({"inspect", "mill", stick().string()});
  EXPECT_EQ(none.at("exit"), asked.exit);
  EXPECT_NE(asked.err.find(none.at("error").at("what").get<std::string>()), std::string::npos) << none;
  const Json seen = act("inspect", {{"drop", id}, {"slot", 2}});
  const Ran command = kw({"inspect", "mill", stick().string(), "--slot", "2"});
  EXPECT_EQ(seen.at("text"), command.out) << seen;
  EXPECT_EQ(seen.at("exit"), command.exit);
  const Json taken = act("intake", {{"drop", id}, {"by", "Ana"}, {"accept", true}});
  EXPECT_EQ(taken.at("stored"), true) << taken;
  EXPECT_EQ(json({"history", "mill"}, 0).at("backups").at(0).at("source"),
            fmt::format("slot 2 of stick {}", stick().string()));
  ASSERT_EQ(kw({"restore", "mill", "--at", "#3", "--to", (root() / "out").string(), "--accept"}).exit, 0);
  EXPECT_EQ(read_tree(root() / "out"), third());
  EXPECT_EQ(read_file(stick()), before) << "it is read, and nothing more";
  EXPECT_EQ(act("inspect", {{"drop", id}, {"slot", 2}}).at("exit"), 2) << "it was taken in";
}

TEST_F(CounterStick, IsOpenedByItsNumberAlone) {
  const int number = listed();
  const std::string secret = (root() / "secret.img").string();
  write_file(secret, read_file(stick()));
  std::vector<Json> numbers = {0,
                               -1,
                               number + 1,
                               999'999,
                               4'294'967'297,
                               1.5,
                               true,
                               nullptr,
                               "1",
                               secret,
                               stick().string(),
                               "../../etc/passwd",
                               Json::array({number}),
                               Json{{"number", number}}};
  for (const Json& each : numbers) {
    const Json said =
        act("stick", {{"number", each}, {"path", secret}, {"stick", secret}, {"medium", secret}});
    EXPECT_TRUE(said.contains("error")) << each << said;
  }
  EXPECT_TRUE(act("stick", Json::object()).contains("error"));
  for (const Json& each : std::vector<Json>{secret, stick().string(), "/dev/sda", "../1", "", number}) {
    for (const char* name : {"slots", "inspect", "propose", "confirm", "intake"})
      EXPECT_TRUE(act(name, {{"drop", each}, {"slot", 2}, {"against", "#1"}}).contains("error"))
          << name << each;
  }
  const std::string id = chosen();
  for (const Json& slot : std::vector<Json>{4, 100'000, 100'001, -1, "2", 2.5})
    EXPECT_TRUE(act("inspect", {{"drop", id}, {"slot", slot}}).contains("error")) << slot;
  EXPECT_TRUE(put(id, "x", "y").contains("error")) << "nothing is put into a stick";
  EXPECT_TRUE(put(id, "x/", "").contains("error"));
  EXPECT_EQ(act("leave", {{"drop", id}}).at("exit"), 0);
  EXPECT_TRUE(act("slots", {{"drop", id}}).contains("error")) << "it was left";
  EXPECT_TRUE(fs::exists(stick())) << "leaving a stick deletes nothing of it";
  EXPECT_EQ(backups(), 2);
}

TEST_F(CounterStick, AnotherInItsPlaceIsNotTheOneThatWasChosen) {
  const int number = listed();
  const std::string id = chosen();
  ASSERT_TRUE(act("inspect", {{"drop", id}, {"slot", 2}}).contains("answer"));
  fs::rename(stick(), root() / "away.img");
  EXPECT_EQ(listed(), 0);
  for (const Json& said :
       {act("stick", {{"number", number}}), act("slots", {{"drop", id}}),
        act("inspect", {{"drop", id}, {"slot", 2}}), act("propose", {{"drop", id}, {"slot", 2}})}) {
    EXPECT_EQ(said.at("exit"), 2) << said;
    EXPECT_NE(said.dump().find("not plugged in any more"), std::string::npos) << said;
  }
  fs::copy_file(root() / "away.img", stick());  // the same bytes, but another file
  EXPECT_NE(listed(), number);
  EXPECT_EQ(act("stick", {{"number", number}}).at("exit"), 2);
  EXPECT_EQ(act("inspect", {{"drop", id}, {"slot", 2}}).at("exit"), 2);
  EXPECT_TRUE(act("intake", {{"drop", id}, {"accept", true}}).contains("error"));
  EXPECT_EQ(backups(), 2);
}

TEST_F(CounterStick, WhatWasChangedSinceItWasLookedAtIsNotStored) {
  const std::string id = chosen();
  ASSERT_TRUE(act("inspect", {{"drop", id}, {"slot", 2}}).contains("answer"));
  std::string bytes = read_file(stick());
  const std::size_t at = bytes.find("4.375");
  ASSERT_NE(at, std::string::npos);
  bytes.replace(at, 5, "4.376");
  write_file(stick(), bytes);
  EXPECT_EQ(act("intake", {{"drop", id}, {"accept", true}}).at("exit"), 5);
  EXPECT_EQ(backups(), 2);
}

TEST_F(CounterStick, AnotherOriginAndATokenlessPageGetNoStick) {
  const Json words = {{"number", listed()}, {"machine", "mill"}};
  for (const std::string& name : Args{"sticks", "stick", "slots"}) {
    Args foreign = mine();
    foreign[1] = "Origin: http://evil.example";
    EXPECT_EQ(post("act/" + name, words.dump(), foreign), "403") << name;
    EXPECT_EQ(post("act/" + name, words.dump(), {"-H", origin(), "-H", "Cookie: " + cookie_}), "403") << name;
    EXPECT_EQ(curl(mine(), "act/" + name), "404") << name << " by a GET";
  }
}

TEST_F(CounterStick, TheCommandListsWhatIsPluggedIn) {
  const Ran ran = kw({"slots", "--json"});
  EXPECT_LE(ran.exit, 1) << ran.err;
  EXPECT_TRUE(Json::parse(ran.out).at("sticks").is_array()) << ran.out;
  EXPECT_EQ(kw({"slots", "--prepare", "2"}).exit, 2) << "no medium is named";
}

}  // namespace
}  // namespace scenario
