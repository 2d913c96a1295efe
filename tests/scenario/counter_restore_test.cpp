// A restore at the counter, from the choice to the proof: in the words of restore and confirm.
#include <algorithm>

#include "counter_fixture.hpp"

namespace scenario {
namespace {

constexpr const char* length = "offsets/tool/1/length";

class CounterRestore : public Counter {
 protected:
  Json confirm(const std::string& drop, Json more = Json::object()) {
    Json words = {{"drop", drop}, {"against", "#1"}};
    words.update(more);
    return act("confirm", words);
  }
  Json newest() { return json({"history", "mill"}, 0).at("backups").at(0); }
  Json confirmed() { return json({"status"}).at("machines").at(0).at("confirmed_restores"); }
  // A zip that the last act made, unpacked.
  Tree made(const std::string& as) {
    EXPECT_EQ(post("made", "", mine()), "200");
    write_file(root() / (as + ".zip"), body_);
    EXPECT_EQ(run("unzip", {"-q", as + ".zip", "-d", as}, root()).exit, 0);
    return read_tree(root() / as);
  }
};

TEST_F(CounterRestore, ChosenPartsAreThoseOfTheCommand) {
  enter();
  for (const Args& only : {Args{length}, Args{"offsets", "settings"}, Args{length, "programs/O1000"}}) {
    const std::string as = fmt::format("out{}", only.size() + only.front().size());
    Args command = {"restore", "mill", "--at", "#1", "--to", (root() / ("command-" + as)).string()};
    Args plan = {"restore", "mill", "--at", "#1", "--plan"};
    for (const std::string& each : only) {
      for (Args* args : {&command, &plan}) args->insert(args->end(), {"--only", each});
    }
    const Json planned = act("plan", {{"at", "#1"}, {"only", only}});
    EXPECT_EQ(planned.at("text"), kw(plan).out);
    const Json restored = act("restore", {{"at", "#1"}, {"only", only}, {"form", "zip"}});
    ASSERT_EQ(restored.at("exit"), 0) << restored;
    ASSERT_EQ(kw(command).exit, 0);
    EXPECT_EQ(made(as), read_tree(root() / ("command-" + as)));
  }
  const Json unknown = act("plan", {{"at", "#1"}, {"only", {"offsets/tool/77/length"}}});
  EXPECT_EQ(unknown.at("exit"), 2);
  EXPECT_NE(kw({"restore", "mill", "--at", "#1", "--only", "offsets/tool/77/length", "--plan"})
                .err.find(unknown.at("error").at("what").get<std::string>()),
            std::string::npos);
  EXPECT_EQ(act("plan", {{"at", "#1"}, {"only", "offsets"}}).at("exit"), 2) << "no list";
  EXPECT_EQ(act("plan", {{"at", "#1"}, {"only", {7}}}).at("exit"), 2);
}

TEST_F(CounterRestore, TheStepsToTickOffAreTheChecklistOfTheTerminal) {
  enter();
  const Json planned = act("plan", {{"at", "#1"}});
  std::vector<std::string> printed;
  for (const std::string& line : lines_of(kw({"restore", "mill", "--at", "#1", "--plan"}).out)) {
    if (line.starts_with("  [ ] ")) printed.push_back(line.substr(6));
  }
  EXPECT_GE(printed.size(), 6U);
  EXPECT_EQ(planned.at("answer").at("checklist"), Json(printed));
  EXPECT_TRUE(planned.at("answer").at("leave").is_null());
  const Json one = act("plan", {{"at", "#1"}, {"only", {length}}});
  EXPECT_EQ(one.at("answer").at("leave"), "The other files are as the machine last had them: leave them.");
  EXPECT_LT(one.at("answer").at("checklist").size(), printed.size());
}

TEST_F(CounterRestore, TheMachinesNewBackupIsTheProof) {
  enter();
  const std::string id = drop_all(mill_files());
  EXPECT_EQ(confirm(id, {{"store", true}}).at("exit"), 2) << "nobody has looked at it";
  const Json looked = confirm(id);
  EXPECT_EQ(looked.at("exit"), 0);
  EXPECT_EQ(looked.at("answer").at("confirmed"), true);
  EXPECT_NE(looked.at("text").get<std::string>().find("CONFIRMED  the machine holds what was meant"),
            std::string::npos);
  EXPECT_NE(looked.at("text").get<std::string>().find("Nothing was stored."), std::string::npos);
  EXPECT_EQ(backups(), 2) << "looking stores nothing";
  const Json stored = confirm(id, {{"store", true}, {"by", "Ana"}});
  EXPECT_EQ(stored.at("stored"), true) << stored;
  EXPECT_EQ(newest().at("by"), "Ana");
  EXPECT_EQ(confirmed().at("count"), 1);
  EXPECT_EQ(confirmed().at("last").at("number"), 3);
  EXPECT_TRUE(confirm(id, {{"store", true}}).contains("error")) << "sent once more";
  EXPECT_EQ(backups(), 3);
}

TEST_F(CounterRestore, WhatIsNotAsMeantIsSaidAndStoredAsSuch) {
  enter();
  const Tree files = with(mill_files(), "mill.tbl", "5.1", "5.25");
  const std::string id = drop_all(files);
  const Json looked = confirm(id);
  EXPECT_EQ(looked.at("exit"), 1);
  EXPECT_NE(looked.at("text").get<std::string>().find("NOT CONFIRMED"), std::string::npos);
  EXPECT_EQ(looked.at("answer").at("values").at(0).at("address"), length);
  const Json stored = confirm(id, {{"store", true}, {"accept", true}});
  EXPECT_EQ(stored.at("stored"), true);
  EXPECT_EQ(confirmed().at("count"), 0);
  // Of one item alone: the rest is to be as in the newest backup.
  const std::string again = drop_all(with(files, "mill.tbl", "5.25", "5.1"));
  EXPECT_EQ(confirm(again, {{"only", {length}}}).at("answer").at("confirmed"), true);
}

TEST_F(CounterRestore, TheFilesThatRestoreWroteProveNothing) {
  intake("mill", third(), 0, {"--at", "2026-02-02T02:40:00Z"});  // the time that the drop's files have
  enter();
  const std::string id = drop_all(third());
  const Json looked = confirm(id, {{"against", "#3"}});
  EXPECT_EQ(looked.at("exit"), 5) << looked;
  EXPECT_NE(looked.at("beside").get<std::string>().find("is as 'restore' wrote it"), std::string::npos);
  EXPECT_EQ(confirm(id, {{"against", "#3"}, {"store", true}}).at("exit"), 5);
  EXPECT_EQ(backups(), 3);
  EXPECT_EQ(confirm(id, {{"against", "#3"}, {"store", true}, {"accept", true}}).at("stored"), true);
  // A backup that is refused proves nothing either.
  const std::string other = drop_all({{"notes.txt", "shopping list\n"}});
  const Json refused = confirm(other);
  EXPECT_EQ(refused.at("exit"), 5);
  EXPECT_NE(refused.at("beside").get<std::string>().find("refused, and nothing was stored"),
            std::string::npos);
}

}  // namespace
}  // namespace scenario
