// Trials at the counter: the same steps, words and refusals as at the terminal.
#include <fmt/format.h>
#include <signal.h>

#include <chrono>
#include <thread>

#include "counter_fixture.hpp"

namespace scenario {
namespace {

constexpr const char* length = "offsets/tool/1/length";

class CounterTrial : public Counter {
 protected:
  void SetUp() override {
    Counter::SetUp();
    enter();
  }
  Json step(const std::string& name, Json more = Json::object()) {
    Json words = {{"name", "warm-up"}};
    words.update(more);
    return act("trial-" + name, words);
  }
  // Two items, a program and a value, changed on a trial.
  static Tree tried() {
    return with(with(mill_files(), "mill.tbl", "5.1", "5.3"), "O1001.ngc", "F5.", "F6.");
  }
  void take(const Tree& files) {
    const std::string id = drop_all(files);
    act("inspect", {{"drop", id}});
    EXPECT_EQ(act("intake", {{"drop", id}, {"accept", true}}).at("stored"), true);
  }
  std::string value(const std::string& line, const std::string& address) {
    const Ran ran = kw({"show", "mill", address, "--at", line, "--json"});
    return Json::parse(ran.out).at("items").at(0).at("value");
  }
};

TEST_F(CounterTrial, IsKeptItemByItem) {
  const std::string begun = step("begin", {{"note", "new warm-up"}, {"by", "Ana"}}).at("text");
  EXPECT_NE(begun.find("Trial warm-up is begun from #2"), std::string::npos) << begun;
  EXPECT_EQ(act("trials", {}).at("text"), kw({"trial", "mill", "list"}).out);
  EXPECT_EQ(act("trials", {}).at("answer").at("trials").at(0).at("by"), "Ana");
  EXPECT_TRUE(step("changes").at("plan").is_null()) << "nothing is on it yet";
  EXPECT_EQ(step("keep").at("exit"), 5);
  take(tried());
  const Json compared = step("changes");
  EXPECT_EQ(compared.at("text"), kw({"trial", "mill", "changes", "warm-up"}).out);
  EXPECT_EQ(compared.at("answer").at("values").size(), 1U);
  EXPECT_TRUE(compared.at("plan").at("clashes").empty());

  const Json tips = {{"onto", compared.at("plan").at("onto")}, {"tip", compared.at("plan").at("tip")}};
  Json words = tips;
  words["only"] = {length};
  const Json part = step("keep", words);
  EXPECT_EQ(part.at("answer").at("kept"), true) << part;
  EXPECT_EQ(part.at("answer").at("rest"), 1);
  EXPECT_EQ(value("main", length), "5.3");
  const Json late = step("keep", tips);
  EXPECT_EQ(late.at("exit"), 5) << "main has gone on";
  EXPECT_NE(late.at("error").at("what").get<std::string>().find("has changed since it was shown"),
            std::string::npos);
  const Json rest = step("keep");
  EXPECT_EQ(rest.at("answer").at("kept"), true) << rest;
  EXPECT_TRUE(act("trials", {}).at("answer").at("trials").empty());
}

TEST_F(CounterTrial, WhatMainChangedTooNeedsASide) {
  step("begin");
  take(tried());
  step("pause");
  take(with(mill_files(), "mill.tbl", "5.1", "5.4"));
  EXPECT_EQ(step("resume").at("answer").at("state"), "in progress");
  const Json plan = step("changes").at("plan");
  ASSERT_EQ(plan.at("clashes").size(), 1U) << plan;
  EXPECT_EQ(plan.at("clashes").at(0).at("address"), length);
  EXPECT_EQ(plan.at("clashes").at(0).at("main"), "5.4");
  EXPECT_EQ(plan.at("clashes").at(0).at("trial"), "5.3");
  const std::string before = refs(repository("mill"));
  const Json refused = step("keep");
  EXPECT_EQ(refused.at("exit"), 5);
  EXPECT_EQ(refused.at("answer").at("kept"), false);
  EXPECT_NE(refused.at("beside").get<std::string>().find("nothing was merged"), std::string::npos);
  EXPECT_EQ(step("keep", {{"prefer", {std::string(length) + "=ours"}}}).at("exit"), 2) << "no side";
  EXPECT_EQ(refs(repository("mill")), before);
  const Json kept = step("keep", {{"prefer", {std::string(length) + "=trial"}}});
  EXPECT_EQ(kept.at("answer").at("kept"), true) << kept;
  EXPECT_EQ(value("main", length), "5.3");
}

TEST_F(CounterTrial, IsDroppedWithTheWayBack) {
  step("begin");
  EXPECT_EQ(step("begin").at("exit"), 5) << "there is one";
  EXPECT_EQ(step("begin", {{"name", "a b"}}).at("exit"), 2);
  take(tried());
  const Json dropped = step("drop");
  EXPECT_EQ(dropped.at("exit"), 0);
  EXPECT_NE(dropped.at("text").get<std::string>().find("keepway restore mill --at '#2'"), std::string::npos);
  EXPECT_EQ(step("drop").at("exit"), 2) << "sent once more";
  EXPECT_EQ(value("main", length), "5.2");
}

TEST_F(CounterTrial, KilledWhileItIsKeptItIsKeptOnceOrNotAtAll) {
  Random random(11);
  int kept = 0;
  for (int round = 0; round < 6; ++round) {
    const std::string name = fmt::format("t{}", round);
    const std::string tried = fmt::format("6.{}", 11 + round);
    act("trial-begin", {{"name", name}});
    take(with(mill_files(), "mill.tbl", "4.25", tried));
    write_file(root() / "words", Json{{"machine", "mill"}, {"name", name}}.dump());
    Args args = mine();
    args.insert(args.begin(), {"-s", "-m", "20", "--data-binary", "@words", url_ + "act/trial-keep"});
    const Started asked = start("curl", args, root());
    std::this_thread::sleep_for(std::chrono::milliseconds(random.below(400)));
    stop(SIGKILL);
    const bool said = wait_for(asked).out.find("\"kept\":true") != std::string::npos;
    const Json trials = json({"trial", "mill", "list"}, 0).at("trials");
    const bool is_kept = value("main", "offsets/tool/2/length") == tried;
    EXPECT_EQ(trials.empty(), is_kept) << "half kept";
    if (said) {
      EXPECT_TRUE(is_kept) << "it said so";
    }
    kept += is_kept ? 1 : 0;
    serve();
    enter();
    if (!is_kept) act("trial-drop", {{"name", name}});
  }
  RecordProperty("kept", kept);
}

}  // namespace
}  // namespace scenario
