#include "writing.hpp"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <ostream>

namespace scenario {

void PrintTo(const WritingCommand& each, std::ostream* out) {
  *out << each.name;
}

// A command that writes goes here, to be broken at each of its calls.
const std::vector<WritingCommand>& writing_commands() {
  static const std::vector<WritingCommand> all = {
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
      // Two packs, one of them of more objects than a day's intake has: both ways of tidying.
      {"tidy",
       {{"intake", "mill", "{many}", "--at", "2026-01-20"},
        {"intake", "mill", "{files}", "--at", "2026-02-01"}},
       {"tidy", "mill"},
       {},
       true},
      {"pile", {}, {"pile", "mill", "{drawer}"}, {"pile", "mill", "{half drawer}"}, true, 4},
      // What is here stays as it is; a new backup, a mark and a trial go up. Where another PC sent something
      // meanwhile, sync is continued rather than all or nothing: see sync_kill_test.cpp.
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

void WritingTest::prepare() {
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
  if (remote_.empty()) remote_ = shop() / "remote.git";
  ASSERT_EQ(git(shop(), {"init", "-q", "--bare", remote_.string()}).exit, 0);
}

Args WritingTest::filled(Args args) const {
  for (std::string& arg : args) {
    if (arg == "{files}") arg = files_.string();                // a second backup
    if (arg == "{more}") arg = more_.string();                  // a third
    if (arg == "{many}") arg = many_.string();                  // one of many files
    if (arg == "{drawer}") arg = (root() / "drawer").string();  // the second and the third
    if (arg == "{half drawer}") arg = (root() / "half drawer").string();
    if (arg == "{out}") arg = (shop() / "out").string();
    if (arg == "{remote}") arg = remote_.string();
  }
  return args;
}

void WritingTest::expect_whole(const char* when) {
  for (const fs::path& each : {repository("mill"), remote_}) {
    const Ran fsck = git(each, {"fsck", "--strict", "--no-progress", "--no-dangling"});
    EXPECT_EQ(fsck.exit, 0) << when << ": " << fsck.out << fsck.err;
  }
  const Ran audit = kw({"audit", "mill"});
  EXPECT_EQ(audit.exit, 0) << when << ": " << audit.out << audit.err;
}

std::string WritingTest::standing() {
  std::string all;
  const Json trials = json({"trial", "mill", "list"}, 0);
  for (const Json& trial : trials.at("trials"))
    all += fmt::format("{} {} {}\n", trial.at("name").get<std::string>(), trial.at("backups").get<int>(),
                       trial.at("in_progress").get<bool>());
  const Json history = json({"history", "mill"}, 0);
  for (const Json& backup : history.at("backups"))
    all += fmt::format("{} {} {}\n", backup.at("name").get<std::string>(),
                       backup.at("digest").get<std::string>(), backup.at("marks").dump());
  return all;
}

std::string WritingTest::sent() {
  return refs(remote_);
}

std::set<std::string> WritingTest::digests() {
  std::set<std::string> all;
  const Args log = {"log", "--all", "--format=%(trailers:key=Keepway-Digest,valueonly,separator=)"};
  for (const std::string& line : lines_of(git(repository("mill"), log).out)) {
    if (!line.empty()) all.insert(line);
  }
  EXPECT_FALSE(all.empty());
  return all;
}

}  // namespace scenario
