// A restore set into a slot of a stick, at the counter: what the slot holds is shown, and written over once
// the machine's name is typed. With the tries against it.

#include "counter_stick_fixture.hpp"

namespace scenario {
namespace {

class CounterWrite : public CounterStick {
 protected:
  Json shown(const std::string& drop, int slot) { return act("target", {{"drop", drop}, {"slot", slot}}); }
  static Json words(const std::string& drop, Json more = Json::object()) {
    Json all = {{"drop", drop}, {"at", "#1"}, {"typed", "mill"}, {"accept", true}};
    all.update(more);
    return all;
  }
  Json write(const std::string& drop, Json more = Json::object()) {
    return act("write", words(drop, std::move(more)));
  }
  // The files in which slots' old contents are.
  [[nodiscard]] std::vector<fs::path> kept() const {
    std::vector<fs::path> found;
    for (const auto& each : fs::directory_iterator(root())) {
      if (each.path().filename().string().starts_with("stick.img.slot-")) found.push_back(each.path());
    }
    return found;
  }
  // As a control would read it.
  Tree slot(int number) {
    const std::string bytes =
        read_file(stick()).substr(static_cast<std::size_t>(number - 1) * spacing, 1'474'560);
    write_file(root() / "one.img", bytes);
    fs::remove_all(root() / "one");
    fs::create_directory(root() / "one");
    EXPECT_EQ(run("mcopy", {"-s", "-n", "-m", "-i", "one.img", "::*", "one"}, root()).exit, 0);
    return read_tree(root() / "one");
  }
  // As on a floppy, which has capitals alone.
  static Tree first_in_capitals() {
    Tree files;
    for (const auto& [name, text] : mill_files()) {
      std::string capitals = name;
      for (char& c : capitals) c = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
      files[capitals] = text;
    }
    return files;
  }
  void expect_untouched(const std::string& before) {
    EXPECT_TRUE(read_file(stick()) == before);
    EXPECT_TRUE(kept().empty());
  }
};

TEST_F(CounterWrite, ASlotIsShownAndWrittenToAsByTheCommand) {
  const std::string before = read_file(stick());
  const std::string id = chosen();
  const Json seen = shown(id, 2);
  EXPECT_EQ(seen.at("exit"), 0) << seen;
  EXPECT_NE(seen.at("text").get<std::string>().find("slot 2 holds"), std::string::npos) << seen;
  EXPECT_EQ(seen.at("answer").at("slot").at("files").size(), third().size());
  EXPECT_EQ(seen.at("answer").at("slot").at("label"), "SLOT2");
  expect_untouched(before);
  const Json written = write(id);
  ASSERT_EQ(written.at("exit"), 0) << written;
  EXPECT_EQ(slot(2), first_in_capitals());
  ASSERT_EQ(kept().size(), 1U);
  EXPECT_EQ(read_file(kept()[0]), before.substr(spacing, 1'474'560));
  const std::string after = read_file(stick());
  EXPECT_TRUE(after.substr(0, spacing) == before.substr(0, spacing)) << "the other slots are as they were";
  EXPECT_TRUE(after.substr(2 * spacing) == before.substr(2 * spacing));
  // The command does the same, in the same words but for the time in the old content's name.
  const std::string old_name = kept()[0].filename().string();
  write_file(stick(), before);
  fs::remove(kept()[0]);
  const Ran command =
      kw({"restore", "mill", "--at", "#1", "--to", stick().string(), "--slot", "2", "--accept"});
  ASSERT_EQ(command.exit, 0) << command.err;
  std::string said = written.at("text");
  const std::size_t at = said.find(old_name);
  ASSERT_NE(at, std::string::npos) << said;
  EXPECT_EQ(said.replace(at, old_name.size(), kept()[0].filename().string()), command.out);
  EXPECT_TRUE(read_file(stick()) == after);
}

TEST_F(CounterWrite, AnotherMachinesSlotIsWrittenOverOnlyWhenThatIsAgreedTo) {
  // Its label is another machine's name.
  ASSERT_EQ(kw({"enroll", "SLOT2", "--layout", "rs274ngc"}).exit, 0);
  const std::string before = read_file(stick());
  const std::string id = chosen();
  const Json seen = shown(id, 2);
  EXPECT_EQ(seen.at("another"), "label SLOT2") << seen;
  const Json refused = write(id);
  EXPECT_EQ(refused.at("exit"), 5) << refused;
  EXPECT_NE(refused.dump().find("label SLOT2"), std::string::npos) << refused;
  expect_untouched(before);
  EXPECT_EQ(write(id, {{"overwrite", true}}).at("exit"), 0);
  EXPECT_EQ(slot(2), first_in_capitals());
}

TEST_F(CounterWrite, NothingIsWrittenThatWasNotShown) {
  const std::string before = read_file(stick());
  const std::string id = chosen();
  EXPECT_EQ(write(id).at("exit"), 2) << "no slot was shown";
  ASSERT_TRUE(act("slots", {{"drop", id}}).contains("answer"));
  EXPECT_EQ(write(id).at("exit"), 2) << "a list shows no slot";
  ASSERT_TRUE(act("inspect", {{"drop", id}, {"slot", 2}}).contains("answer"));
  EXPECT_EQ(write(id, {{"slot", 2}}).at("exit"), 5) << "to be looked at as a backup is something else";
  for (const Json& slot :
       std::vector<Json>{0, 4, 100'000, 100'001, -1, "2", 2.5, nullptr, true, Json::array({2})}) {
    EXPECT_TRUE(act("target", {{"drop", id}, {"slot", slot}}).contains("error")) << slot;
    EXPECT_TRUE(write(id).contains("error")) << slot;
  }
  for (const Json& drop : std::vector<Json>{stick().string(), "/dev/sda", "../1", "", 1, nullptr}) {
    EXPECT_TRUE(act("target", {{"drop", drop}, {"slot", 2}}).contains("error")) << drop;
    EXPECT_TRUE(
        act("write", {{"drop", drop}, {"slot", 2}, {"at", "#1"}, {"typed", "mill"}}).contains("error"))
        << drop;
  }
  // An image that was dropped is no stick, whatever it holds.
  const std::string dropped = act("begin", Json::object()).at("drop");
  ASSERT_FALSE(put(dropped, "stick.img", before.substr(0, 200'000)).contains("error"));
  EXPECT_EQ(act("target", {{"drop", dropped}, {"slot", 1}}).at("exit"), 2);
  EXPECT_EQ(write(dropped).at("exit"), 2);
  expect_untouched(before);
}

TEST_F(CounterWrite, OnlyTheMachinesNameLetsItBeWritten) {
  const std::string before = read_file(stick());
  const std::string id = chosen();
  ASSERT_TRUE(shown(id, 2).contains("answer"));
  for (const char* typed : {"", "Mill", "mil", "mill ", " mill", "mill\n", "lathe", "2", "yes", "*"}) {
    const Json said = write(id, {{"typed", typed}});
    EXPECT_EQ(said.at("exit"), 5) << typed << said;
  }
  Json none = words(id);
  none.erase("typed");
  EXPECT_EQ(act("write", none).at("exit"), 5);
  EXPECT_TRUE(write(id, {{"typed", true}}).contains("error"));
  // Shown for one machine is not shown for another.
  Json other = words(id, {{"machine", "lathe"}, {"typed", "lathe"}});
  EXPECT_TRUE(act("write", other).contains("error"));
  expect_untouched(before);
}

TEST_F(CounterWrite, ARepeatedRequestWritesNothingMore) {
  const std::string id = chosen();
  ASSERT_TRUE(shown(id, 2).contains("answer"));
  ASSERT_EQ(write(id).at("exit"), 0);
  const std::string after = read_file(stick());
  EXPECT_EQ(write(id).at("exit"), 2) << "it must be shown again";
  EXPECT_EQ(write(id, {{"at", "#2"}}).at("exit"), 2);
  EXPECT_TRUE(read_file(stick()) == after);
  EXPECT_EQ(kept().size(), 1U);
}

TEST_F(CounterWrite, AnotherStickInItsPlaceIsNotWrittenTo) {
  const std::string id = chosen();
  ASSERT_TRUE(shown(id, 2).contains("answer"));
  fs::rename(stick(), root() / "away.img");
  EXPECT_EQ(write(id).at("exit"), 2) << "pulled out";
  fs::copy_file(root() / "away.img", stick());
  const std::string before = read_file(stick());
  EXPECT_EQ(write(id).at("exit"), 2) << "the same bytes, but another stick";
  EXPECT_TRUE(read_file(stick()) == before);
  // The same stick, written to by somebody else since.
  const std::string again = chosen();
  ASSERT_TRUE(shown(again, 2).contains("answer"));
  std::string bytes = before;
  bytes[spacing + 40'000] ^= 1;
  write_file(stick(), bytes);
  const Json said = write(again);
  EXPECT_EQ(said.at("exit"), 5) << said;
  EXPECT_NE(said.dump().find("is not as it was shown any more, and nothing was written"), std::string::npos);
  expect_untouched(bytes);
}

TEST_F(CounterWrite, AnotherOriginAndATokenlessPageWriteNothing) {
  const std::string before = read_file(stick());
  const std::string id = chosen();
  ASSERT_TRUE(shown(id, 2).contains("answer"));
  Json all = words(id);
  all["machine"] = "mill";
  for (const std::string& name : Args{"target", "write"}) {
    Args foreign = mine();
    foreign[1] = "Origin: http://evil.example";
    EXPECT_EQ(post("act/" + name, all.dump(), foreign), "403") << name;
    EXPECT_EQ(post("act/" + name, all.dump(), {"-H", origin(), "-H", "Cookie: " + cookie_}), "403") << name;
    EXPECT_EQ(post("act/" + name, all.dump(), {"-H", origin(), "-H", "X-Keepway-Token: " + token_}), "403")
        << name;
    EXPECT_EQ(curl(mine(), "act/" + name), "404") << name << " by a GET";
  }
  expect_untouched(before);
}

// Killed or stopped at any moment: the slot has its old files, none and says so, or the new ones; and is
// written again as if nothing had been.
TEST_F(CounterWrite, StoppedAtAnyMomentItIsOldOrNewOrSaysThatItIsNeither) {
  const std::string before = read_file(stick());
  const Tree old = slot(2);
  std::size_t whole = 0;
  for (int i = 0; i < 12; ++i) {
    write_file(stick(), before);
    const std::string id = chosen();
    ASSERT_TRUE(shown(id, 2).contains("answer"));
    const Json begun = ask("write", words(id));
    ASSERT_TRUE(begun.contains("going")) << begun;
    std::this_thread::sleep_for(std::chrono::milliseconds(i * i));
    (void)ask("stop", begun.at("going"));
    const Json listed = json({"slots", stick().string()}, 0).at("slots").at(1);
    if (listed.at("files").empty()) {
      EXPECT_NE(listed.at("flaws").dump().find("broken off"), std::string::npos) << listed;
    } else {
      const Tree now = slot(2);
      EXPECT_TRUE(now == old || now == first_in_capitals());
      whole += now == old ? 0U : 1U;
    }
    const std::string again = chosen();
    ASSERT_TRUE(shown(again, 2).contains("answer"));
    ASSERT_EQ(write(again).at("exit"), 0);
    EXPECT_EQ(slot(2), first_in_capitals());
  }
  fmt::print("stopped 12 times, {} of them after its end\n", whole);
}

}  // namespace
}  // namespace scenario
