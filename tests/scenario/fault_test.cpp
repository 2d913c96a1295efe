// A disk that fails, or a power cut, at each single call that changes it: for every number N the Nth write,
// sync, rename, link, removal, folder or opening to write of a command fails or is the last. After each the
// repository is as before the command or as after it, whole by Git and by the audit, and the next command
// works. The shim (tests/fault) counts the calls; N goes up until a run ends without having met its fault, so
// all of them are tried.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <cstdlib>
#include <iostream>
#include <map>
#include <set>

#include "writing.hpp"

namespace scenario {
namespace {

struct Met {
  std::string call;  // "fsync"; empty: the fault was not met
  std::string path;
};

class Fault : public WritingTest,
              public testing::WithParamInterface<std::tuple<WritingCommand, std::string>> {
 protected:
  void SetUp() override {
#ifndef KEEPWAY_FAULT_SHIM
    GTEST_SKIP() << "a sanitizer's run-time does not let another library in before it";
#endif
    WritingTest::SetUp();
    prepare();
    for (const Args& args : std::get<0>(GetParam()).before) {
      const Ran ran = kw(filled(args));
      ASSERT_LE(ran.exit, 1) << ran.out << ran.err;
    }
    fs::rename(shop(), root() / "template");
  }
  void TearDown() override {
    if (!IsSkipped()) {
      fs::remove_all(shop());
      fs::rename(root() / "template", shop());
    }
    WritingTest::TearDown();
  }

  // The command on a fresh copy of the shop, with the fault at its call number `at`.
  Met run_with_fault(long at, Ran& ran) {
    fs::remove_all(shop());
    fs::copy(root() / "template", shop(), fs::copy_options::recursive);
    const fs::path log = root() / "calls";
    fs::remove(log);
#ifdef KEEPWAY_FAULT_SHIM
    const Env env = {{"LD_PRELOAD", KEEPWAY_FAULT_SHIM},
                     {"KEEPWAY_FAULT_ROOT", shop().string() + "/"},
                     {"KEEPWAY_FAULT_KIND", std::get<1>(GetParam())},
                     {"KEEPWAY_FAULT_AT", std::to_string(at)},
                     { "KEEPWAY_FAULT_LOG",
                       log.string() }};
#else
    const Env env;
#endif
    ran = kw(filled(std::get<0>(GetParam()).command), env);
    if (!fs::exists(log)) return {};
    for (const std::string& line : lines_of(read_file(log))) {
      if (!line.starts_with(fmt::format("{} ", at))) continue;
      const std::size_t name = line.find(' ') + 1;
      const std::size_t path = line.find(' ', name) + 1;
      return {line.substr(name, path - name - 1), line.substr(path)};
    }
    return {};
  }
};

TEST_P(Fault, AtEveryCallLeavesBeforeOrAfter) {
  const auto& [each, kind] = GetParam();
  Ran ran;
  // What stands without any fault, before and after.
  fs::copy(root() / "template", shop(), fs::copy_options::recursive);
  const std::string before = standing();
  const std::set<std::string> held = digests();
  std::set<std::string> allowed = {before};
  if (!each.half.empty()) {
    ASSERT_LE(kw(filled(each.half)).exit, 1);
    allowed.insert(standing());
    EXPECT_EQ(allowed.size(), 2U) << "half of it is something else";
  }
  ASSERT_EQ(run_with_fault(0, ran).call, "");
  ASSERT_LE(ran.exit, 1) << ran.out << ran.err;
  const std::string after = standing();
  const std::string sent_after = sent();

  std::map<std::string, int> tried;
  long at = 1;
  const int step = std::getenv("KEEPWAY_LONG_TESTS") != nullptr ? 1 : each.step;
  for (;; at += step) {
    const Met met = run_with_fault(at, ran);
    if (met.call.empty()) break;
    ++tried[met.call];
    SCOPED_TRACE(fmt::format("{} number {}: {} {}", kind, at, met.call, met.path));
    if (kind == "cut") {
      EXPECT_EQ(ran.exit, 128 + 9);
    } else {
      EXPECT_TRUE(ran.exit == 0 || ran.exit == 1 || ran.exit == 4) << ran.exit << ran.out << ran.err;
    }
    expect_whole("after the fault");
    const std::string now = standing();
    if (!allowed.contains(now) && now != after)
      ADD_FAILURE() << "neither before nor after:\n" << now << "before:\n" << before;
    EXPECT_TRUE(std::ranges::includes(digests(), held)) << "a backup is gone";
    // On a disk that stays full a begun step cannot even be taken back; then it says what will happen.
    if (ran.exit == 4 && ran.err.find("the next command") == std::string::npos) {
      EXPECT_TRUE(allowed.contains(now)) << "it said that it failed: " << ran.err << now;
    }
    if (ran.exit <= 1) {
      EXPECT_EQ(now, after) << "it said that it was done";
    }
    if (each.name == "restore") {
      if (ran.exit <= 1) {
        EXPECT_EQ(read_tree(shop() / "out"), first_);
      }
      if (ran.exit == 4) {
        EXPECT_FALSE(fs::exists(shop() / "out")) << "half a restore set was left to be loaded";
      }
    }
    if (each.goes_on) {
      const Ran again = kw(filled(each.command));
      EXPECT_LE(again.exit, 1) << again.out << again.err;
      EXPECT_EQ(standing(), after) << "the same command again gets the rest done";
      EXPECT_EQ(sent(), sent_after);
    }
    // The next command does not stumble over what was left.
    fs::remove_all(shop() / "out");
    const Ran next = kw({"intake", "mill", files_.string(), "--at", "2026-03-01"});
    EXPECT_LE(next.exit, 1) << next.out << next.err;
    expect_whole("after the next command");
    const Ran back = kw({"restore", "mill", "--at", "1", "--to", (shop() / "back").string()});
    EXPECT_EQ(back.exit, 0) << back.err;
    if (back.exit == 0) {
      EXPECT_EQ(read_tree(shop() / "back"), first_);
    }
    if (HasFailure()) break;
  }
  std::string reported;
  for (const auto& [call, count] : tried) reported += fmt::format(" {} {}", count, call);
  std::cout << fmt::format("[ faults   ] {} {}: {} of the first {} calls tried:{}\n", each.name, kind,
                           step == 1 ? "all" : fmt::format("one in {}", step), at - 1, reported);
  EXPECT_GT(at, 5) << "the shim saw nothing: the test would prove nothing";
}

std::vector<std::string> kinds() {
  // The most telling ones in the everyday run.
  if (std::getenv("KEEPWAY_LONG_TESTS") != nullptr) return {"full", "cut", "eio", "enospc", "short"};
  return {"full", "cut"};
}

INSTANTIATE_TEST_SUITE_P(Commands, Fault,
                         testing::Combine(testing::ValuesIn(writing_commands()), testing::ValuesIn(kinds())),
                         [](const auto& each) {
                           return std::get<0>(each.param).name + "_" + std::get<1>(each.param);
                         });

}  // namespace
}  // namespace scenario
