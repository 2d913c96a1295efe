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

#include "shop_fixture.hpp"

namespace scenario {
namespace {

struct Case {
  std::string name;
  std::vector<Args> before;  // on a mill with one backup
  Args command;              // with what filled() knows
  Args half = {};            // a command that goes part of the way: what stands then may stand, too
  bool goes_on = false;      // the same command again gets the rest done
  int step = 1;              // every how many calls are tried in the everyday run
};
void PrintTo(const Case& each, std::ostream* out) {
  *out << each.name;
}

// A command that writes goes here, to be broken at each of its calls.
const std::vector<Case>& cases() {
  static const std::vector<Case> all = {
      {"intake", {}, {"intake", "mill", "{files}", "--at", "2026-02-01"}},
      {"restore", {}, {"restore", "mill", "--at", "1", "--to", "{out}"}},
      {"mark", {}, {"mark", "mill", "known good"}},
      {"begin", {}, {"trial", "mill", "begin", "warm-up"}},
      {"keep",
       {{"trial", "mill", "begin", "warm-up"}, {"intake", "mill", "{files}", "--at", "2026-02-01"}},
       {"trial", "mill", "keep", "warm-up"}},
      {"drop",
       {{"trial", "mill", "begin", "warm-up"}, {"intake", "mill", "{files}", "--at", "2026-02-01"}},
       {"trial", "mill", "drop", "warm-up"}},
      // Loose objects and two packs, one of them of more objects than a day's intake has: both ways of
      // tidying.
      {"tidy",
       {{"intake", "mill", "{many}", "--at", "2026-01-20"},
        {"intake", "mill", "{files}", "--at", "2026-02-01"}},
       {"tidy", "mill"},
       {},
       true},
      {"pile", {}, {"pile", "mill", "{drawer}"}, {"pile", "mill", "{half drawer}"}, true, 4},
      // What is here stays as it is; a new backup, a mark and a trial go up. Where another PC sent something
      // meanwhile, sync is gone on with rather than all or nothing: see sync_kill_test.cpp.
      {"sync",
       {{"sync", "mill", "--to", "{remote}"},
        {"intake", "mill", "{files}", "--at", "2026-02-01"},
        {"trial", "mill", "begin", "warm-up"},
        {"intake", "mill", "{more}", "--at", "2026-02-02"},
        {"mark", "mill", "known good"}},
       {"sync", "mill"},
       {},
       true,
       16},
  };
  return all;
}

struct Met {
  std::string call;  // "fsync"; empty: the fault was not met
  std::string path;
};

class Fault : public ShopTest, public testing::WithParamInterface<std::tuple<Case, std::string>> {
 protected:
  void SetUp() override {
#ifndef KEEPWAY_FAULT_SHIM
    GTEST_SKIP() << "a sanitizer's run-time does not let another library in before it";
#endif
    ShopTest::SetUp();
    enroll_mill();
    first_ = mill_files();
    second_ = with(mill_files(), "O1001.ngc", "Z-.5", "Z-.625");
    intake("mill", first_, 0, {"--at", "2026-01-01"});
    files_ = put(second_);
    const Tree third = with(second_, "mill.tbl", "4.25", "4.375");
    more_ = put(third);
    Tree many = first_;
    for (int i = 0; i < 210; ++i) many[fmt::format("note{}.txt", i)] = fmt::format("{}\n", i);
    many_ = put(many);
    write_tree(root() / "drawer" / "2026-02-01", second_);
    write_tree(root() / "drawer" / "2026-02-02", third);
    write_tree(root() / "half drawer" / "2026-02-01", second_);
    ASSERT_EQ(git(shop(), {"init", "-q", "--bare", "remote.git"}).exit, 0);
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
    ShopTest::TearDown();
  }

  [[nodiscard]] Args filled(Args args) const {
    for (std::string& arg : args) {
      if (arg == "{files}") arg = files_.string();                // a second backup
      if (arg == "{more}") arg = more_.string();                  // a third
      if (arg == "{many}") arg = many_.string();                  // one of many files
      if (arg == "{drawer}") arg = (root() / "drawer").string();  // the second and the third
      if (arg == "{half drawer}") arg = (root() / "half drawer").string();
      if (arg == "{out}") arg = (shop() / "out").string();
      if (arg == "{remote}") arg = (shop() / "remote.git").string();
    }
    return args;
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

  void expect_whole(const char* when) {
    for (const fs::path& each : {repository("mill"), shop() / "remote.git"}) {
      const Ran fsck = git(each, {"fsck", "--strict", "--no-progress", "--no-dangling"});
      EXPECT_EQ(fsck.exit, 0) << when << ": " << fsck.out << fsck.err;
    }
    const Ran audit = kw({"audit", "mill"});
    EXPECT_EQ(audit.exit, 0) << when << ": " << audit.out << audit.err;
  }

  // What the shop holds, for people's purposes: backups, trials and marks.
  std::string standing() {
    std::string all;
    const Json trials = json({"trial", "mill", "list"}, 0);
    for (const Json& trial : trials.at("trials"))
      all += fmt::format("{} {} {}\n", trial.at("name").get<std::string>(), trial.at("backups").get<int>(),
                         trial.at("in_progress").get<bool>());
    const Json history = json({"history", "mill"}, 0);
    for (const Json& backup : history.at("backups"))
      all += fmt::format("{} {} {}\n", backup.at("number").get<int>(), backup.at("digest").get<std::string>(),
                         backup.at("marks").dump());
    return all;
  }

  // What a remote holds for others.
  std::string sent() {
    return refs(shop() / "remote.git");
  }
  // Of every backup that any ref still reaches, archived trials too.
  std::set<std::string> digests() {
    std::set<std::string> all;
    const Args log = {"log", "--all", "--format=%(trailers:key=Keepway-Digest,valueonly,separator=)"};
    for (const std::string& line : lines_of(git(repository("mill"), log).out)) {
      if (!line.empty()) all.insert(line);
    }
    EXPECT_FALSE(all.empty());
    return all;
  }

  Tree first_;
  Tree second_;
  fs::path files_;
  fs::path more_;
  fs::path many_;
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
  std::string told;
  for (const auto& [call, count] : tried) told += fmt::format(" {} {}", count, call);
  std::cout << fmt::format("[ faults   ] {} {}: {} of the first {} calls tried:{}\n", each.name, kind,
                           step == 1 ? "all" : fmt::format("one in {}", step), at - 1, told);
  EXPECT_GT(at, 5) << "the shim saw nothing: the test would prove nothing";
}

std::vector<std::string> kinds() {
  // The most telling ones in the everyday run.
  if (std::getenv("KEEPWAY_LONG_TESTS") != nullptr) return {"full", "cut", "eio", "enospc", "short"};
  return {"full", "cut"};
}

INSTANTIATE_TEST_SUITE_P(Commands, Fault,
                         testing::Combine(testing::ValuesIn(cases()), testing::ValuesIn(kinds())),
                         [](const auto& each) {
                           return std::get<0>(each.param).name + "_" + std::get<1>(each.param);
                         });

// What has to be on the disk before what: seen in the order of the calls themselves.
class PowerLoss : public ShopTest {};

TEST_F(PowerLoss, AnIntakeSyncsObjectsThenTheLineThenItsFolder) {
#ifndef KEEPWAY_FAULT_SHIM
  GTEST_SKIP() << "a sanitizer's run-time does not let another library in before it";
#else
  enroll_mill();
  for (const bool packed : {false, true}) {
    Tree files = mill_files();
    // More than a few objects go into one pack.
    for (int i = 0; packed && i < 30; ++i)
      files[fmt::format("O{}.ngc", 5000 + i)] = fmt::format("O{}\nM30\n", 5000 + i);
    files["noise.bin"] = packed ? "a" : "b";
    const fs::path log = root() / "calls";
    fs::remove(log);
    // Making a folder that is there already changes nothing.
    std::set<std::string> there;
    for (const auto& entry : fs::recursive_directory_iterator(repository("mill") / ".git" / "objects"))
      there.insert(entry.path().string());
    const Ran ran = kw({"intake", "mill", put(files).string()},
                       {{"LD_PRELOAD", KEEPWAY_FAULT_SHIM},
                        {"KEEPWAY_FAULT_ROOT", repository("mill").string() + "/"},
                        {"KEEPWAY_FAULT_LOG", log.string()}});
    ASSERT_LE(ran.exit, 1) << ran.err;
    std::set<std::string> unsynced;  // files and folders among the objects
    bool moved = false;
    bool line_synced = false;
    for (const std::string& line : lines_of(read_file(log))) {
      const std::size_t name = line.find(' ') + 1;
      const std::size_t at = line.find(' ', name) + 1;
      const std::string call = line.substr(name, at - name - 1);
      const std::string path = line.substr(at);
      const std::string folder = path.substr(0, path.rfind('/'));
      if (path.find("/.git/objects") != std::string::npos && !moved) {
        if (call == "write" || call == "pwrite" || call == "writev") unsynced.insert(path);
        const bool made = call == "mkdir" && !there.contains(path);
        if (call == "link" || call == "rename" || made) unsynced.insert(folder);
        if (call == "fsync" || call == "fdatasync") unsynced.erase(path);
      }
      if ((call == "link" || call == "rename") && path.ends_with("/refs/heads/main")) {
        moved = true;
        EXPECT_THAT(unsynced, testing::IsEmpty()) << "the line moved before these were on the disk";
      }
      if (moved && call == "fsync" && path.ends_with("/refs/heads")) line_synced = true;
    }
    EXPECT_TRUE(moved);
    EXPECT_TRUE(line_synced) << "the line's own folder entry";
  }
#endif
}

}  // namespace
}  // namespace scenario
