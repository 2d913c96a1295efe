// Two counters, each with a browser of its own, and commands beside them: nothing lost, nothing double.
#include <fmt/format.h>
#include <signal.h>

#include <utility>

#include "counter_fixture.hpp"

namespace scenario {
namespace {

class CounterTogether : public Counter {
 protected:
  struct Other {
    std::string address, url, cookie, token;
  };
  // Whichever counter the next acts are asked of.
  void change() {
    std::swap(address_, other_.address);
    std::swap(url_, other_.url);
    std::swap(cookie_, other_.cookie);
    std::swap(token_, other_.token);
  }
  void SetUp() override {
    Counter::SetUp();
    enter();
    change();
    second_ = start_one();
    enter();
  }
  void TearDown() override {
    ::kill(second_.pid, SIGTERM);
    wait_for(second_);
    Counter::TearDown();
  }
  // An act that is asked for and not waited for.
  Started begin(const std::string& name, const Json& words) {
    const std::string file = fmt::format("words-{}", next_++);
    write_file(root() / file, words.dump());
    Args args = mine();
    args.insert(args.begin(), {"-s", "-m", "60", "--data-binary", "@" + file, url_ + "act/" + name});
    return start("curl", args, root());
  }

 private:
  Other other_;
  Started second_;
  int next_ = 0;
};

TEST_F(CounterTogether, TheSameBackupIsStoredOnce) {
  const std::string here = drop_all(third());
  act("inspect", {{"drop", here}});
  change();
  const std::string there = drop_all(third());
  act("inspect", {{"drop", there}});
  const Json one = ask("intake", {{"drop", there}, {"by", "Ana"}});
  change();
  const Json two = ask("intake", {{"drop", here}, {"by", "Tom"}});
  std::string answers = ended(two.at("going")).dump();
  change();
  answers += ended(one.at("going")).dump();
  change();
  EXPECT_NE(answers.find("\"stored\":true"), std::string::npos) << answers;
  EXPECT_EQ(backups(), 3) << answers;
  // Whoever was late gets an error, and looks again: it is there already.
  for (const std::string& id : {here, there}) {
    const Json again = act("inspect", {{"drop", id}});
    if (again.contains("answer")) {
      EXPECT_TRUE(again.at("already").is_object()) << again;
    }
    change();
  }
}

TEST_F(CounterTogether, NoNameOfManyIsLost) {
  std::vector<Started> asked;
  for (int i = 0; i < 12; ++i) {
    const auto named = [&](const char* field, const std::string& value) {
      return Json{{"machine", "mill"}, {"address", fmt::format("parameters/{}", 5161 + i)}, {field, value}};
    };
    asked.push_back(begin("names", named("name", fmt::format("Name {}", i))));
    change();
    asked.push_back(begin("names", named("max", std::to_string(100 + i))));
    change();
    asked.push_back(start(KEEPWAY_PROGRAM,
                          {"names", "mill", "edit", fmt::format("parameters/{}", 5161 + i), "--unit", "mm"},
                          shop()));
  }
  for (const Started& each : asked) EXPECT_EQ(wait_for(each).exit, 0);
  const std::string book = read_file(repository("mill") / "namebook.tsv");
  const Json entries = json({"names", "mill", "export"}, 0).at("entries");
  for (int i = 0; i < 12; ++i) {
    const std::string address = fmt::format("parameters/{}", 5161 + i);
    const auto found = std::find_if(entries.begin(), entries.end(),
                                    [&](const Json& each) { return each.at("address") == address; });
    ASSERT_NE(found, entries.end()) << address << "\n" << book;
    EXPECT_EQ(found->at("name"), fmt::format("Name {}", i)) << book;
    EXPECT_EQ(found->at("max"), std::to_string(100 + i)) << book;
    EXPECT_EQ(found->at("unit"), "mm") << book;
  }
  intake("mill", third(), 0);  // takes the edited namebook along
}

TEST_F(CounterTogether, ATrialIsBegunAndKeptOnce) {
  const Started one = begin("trial-begin", {{"machine", "mill"}, {"name", "warm-up"}});
  change();
  const Started two = begin("trial-begin", {{"machine", "mill"}, {"name", "warm-up"}});
  const std::string answers = wait_for(one).out + wait_for(two).out;
  EXPECT_NE(answers.find("is begun from"), std::string::npos) << answers;
  EXPECT_NE(answers.find("\"error\""), std::string::npos) << answers;
  intake("mill", third(), 0);
  Json words = {{"machine", "mill"}, {"name", "warm-up"}};
  const Json plan = act("trial-changes", words).at("plan");
  words["onto"] = plan.at("onto");
  words["tip"] = plan.at("tip");
  const Started keep = begin("trial-keep", words);
  change();
  const Started keep_too = begin("trial-keep", words);
  const std::string kept = wait_for(keep).out + wait_for(keep_too).out;
  const std::size_t first = kept.find("\"kept\":true");
  ASSERT_NE(first, std::string::npos) << kept;
  EXPECT_EQ(kept.find("\"kept\":true", first + 1), std::string::npos) << kept;
  EXPECT_EQ(git(repository("mill"), {"rev-list", "--count", "--min-parents=2", "main"}).out, "1\n");
}

}  // namespace
}  // namespace scenario
