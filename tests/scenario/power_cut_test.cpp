// Power cuts on real file systems. A command runs on a file system of its own, on a loop device, and at each
// of its syncs, renames, links and removals the disk is copied as it is at that moment: what the file system
// still holds in memory is not there yet. Each copy is then mounted, as after a cut, and asked: what was said
// to be done opens and is byte for byte, the audit finds no damage, and the next command works. The machine's
// folder only shows what is stored, and is not synced: it may be behind until the next intake. Nothing but
// keepway's own syncs has brought to the disk what came before the command. In a second run a file of no
// concern is synced before each copy: names and sizes that the file system keeps in a journal then come to
// the disk ahead of what the files hold. In the everyday run four of the moments of two commands on ext4; all
// moments of all commands, on four file systems, with KEEPWAY_LONG_TESTS. Skipped, with the reason, where
// nothing may be mounted.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <sys/syscall.h>

#include <algorithm>
#include <cstdlib>
#include <iostream>
#include <memory>

#include "cut_disk.hpp"
#include "killed.hpp"
#include "writing.hpp"

namespace scenario {
namespace {

bool is_long() {
  return std::getenv("KEEPWAY_LONG_TESTS") != nullptr;
}

const char* name_of(long call) {
  switch (call) {
    case SYS_fsync:
    case SYS_fdatasync:
      return "sync";
#ifdef SYS_rename
    case SYS_rename:
#endif
    case SYS_renameat:
    case SYS_renameat2:
      return "rename";
#ifdef SYS_link
    case SYS_link:
#endif
    case SYS_linkat:
      return "link";
#ifdef SYS_unlink
    case SYS_unlink:
#endif
    case SYS_unlinkat:
      return "unlink";
    default:
      return nullptr;
  }
}

struct Cut {
  std::string at;
  std::size_t done;  // how many commands had said that they were
  CutDisk::Snapshot disk;
};

class CutTest : public WritingTest {
 protected:
  // A new file system in the shop's folder. The reason why there is none, or nothing.
  std::string start_over(const FileSystem& system) {
    if (!can_trace()) return "no program can be traced here";
    disk_.reset();
    fs::remove_all(shop());
    fs::create_directory(shop());
    disk_ = std::make_unique<CutDisk>(system, shop());
    return disk_->trouble();
  }
  void SetUp() override {}
  void TearDown() override {
    if (!IsSkipped()) WritingTest::TearDown();
    disk_.reset();
  }

  // Runs a command and keeps what a cut would leave at each moment, and after its end.
  void cut_through(const Args& args, bool synced, std::size_t done) {
    std::size_t count = 0;
    const auto keep = [&](const std::string& at, std::size_t said) {
      if (synced) disk_->sync_another();
      cuts_.push_back({fmt::format("{}, {}{}", args.front(), at, synced ? ", another file synced" : ""), said,
                       disk_->snapshot()});
    };
    const Ran ran = keepway_watched(args, shop(), [&](long call) {
      if (const char* name = name_of(call)) keep(fmt::format("{} number {}", name, ++count), done);
      return true;
    });
    ASSERT_LE(ran.exit, 1) << ran.out << ran.err;
    keep("after its end", done + 1);
  }

  // The first and the last, and some of those between.
  template <typename Check>
  void try_cuts(Check check) {
    const std::size_t most = is_long() ? cuts_.size() : std::min(cuts_.size(), std::size_t{4});
    std::size_t tried = 0;
    for (std::size_t i = 0; i < most && !HasFailure(); ++i) {
      const Cut& cut = cuts_[most <= 1 ? i : i * (cuts_.size() - 1) / (most - 1)];
      SCOPED_TRACE(cut.at);
      disk_->cut_to(cut.disk);
      check(cut);
      ++tried;
    }
    std::cout << fmt::format("[ cuts     ] {} of {} moments\n", tried, cuts_.size());
    EXPECT_GT(cuts_.size(), 1U) << "no call was seen: the test would prove nothing";
    cuts_.clear();
  }

  void expect_restored(const std::string& when, const Tree& files, const Args& more = {}) {
    fs::remove_all(root() / "back");
    Args args = {"restore", "mill", "--at", when, "--to", (root() / "back").string()};
    args.insert(args.end(), more.begin(), more.end());
    const Ran back = kw(args);
    EXPECT_LE(back.exit, more.empty() ? 0 : 1) << when << back.err;
    if (back.exit <= 1) {
      EXPECT_EQ(read_tree(root() / "back"), files) << when;
    }
  }

  // Git's index is of the folder, which may be behind: not looked at.
  // `settings`: a command that changes them may have been cut off before they were recorded.
  void expect_nothing_lost(bool settings = false) {
    const Ran fsck = run("git", {"fsck", "--strict", "--no-progress", "--no-dangling"}, repository("mill"),
                         {{"GIT_INDEX_FILE", (root() / "no index").string()}});
    EXPECT_TRUE(fsck.exit == 0 && fsck.out.empty() && fsck.err.empty()) << fsck.out << fsck.err;
    const Json answer = json({"audit", "mill"});
    for (const Json& finding : answer.at("machines").at(0).at("findings")) {
      if (finding.at("concern") == "note") continue;
      if (settings && finding.at("code") == "settings-changed") continue;
      EXPECT_THAT(finding.at("code").get<std::string>(), testing::AnyOf("copy-off", "git-index")) << finding;
    }
  }

  std::unique_ptr<CutDisk> disk_;
  std::vector<Cut> cuts_;
};

class PowerCut : public CutTest,
                 public testing::WithParamInterface<std::tuple<WritingCommand, FileSystem>> {};

TEST_P(PowerCut, AtEveryCallLosesNothingThatWasDone) {
  const WritingCommand& each = std::get<0>(GetParam());
  const FileSystem& system = std::get<1>(GetParam());
  for (const bool synced : is_long() ? std::vector{false, true} : std::vector{true}) {
    if (const std::string why = start_over(system); !why.empty()) GTEST_SKIP() << system.name << ": " << why;
    WritingTest::SetUp();
    fs::remove_all(root() / "remote.git");
    remote_ = root() / "remote.git";
    prepare();
    for (const Args& args : each.before) {
      const Ran ran = kw(filled(args));
      ASSERT_LE(ran.exit, 1) << ran.out << ran.err;
    }
    const std::string before = standing();
    const Tree remote = read_tree(remote_);
    cut_through(filled(each.command), synced, 0);
    if (HasFailure()) return;
    const std::string after = standing();
    std::set<std::string> allowed = {before, after};
    if (!each.half.empty()) {
      disk_->cut_to(cuts_.front().disk);
      ASSERT_LE(kw(filled(each.half)).exit, 1);
      allowed.insert(standing());
    }
    try_cuts([&](const Cut& cut) {
      fs::remove_all(remote_);
      write_tree(remote_, remote);
      expect_nothing_lost(each.goes_on && cut.done == 0);
      const std::string now = standing();
      if (cut.done == 1) {
        EXPECT_EQ(now, after) << "it said that it was done";
      } else {
        EXPECT_THAT(allowed, testing::Contains(now));
      }
      expect_restored("#1", first_);
      if (each.name == "restore" && cut.done == 1) {
        EXPECT_EQ(read_tree(shop() / "out"), first_);
      }
      if (each.goes_on) {
        const Ran again = kw(filled(each.command));
        EXPECT_LE(again.exit, 1) << again.out << again.err;
        EXPECT_EQ(standing(), after) << "the same command again gets the rest done";
      }
      const Ran next = kw({"intake", "mill", files_.string(), "--at", "2026-03-01"});
      EXPECT_LE(next.exit, 1) << next.out << next.err;
      expect_whole("after the next command");
      expect_restored("HEAD", second_, {"--accept"});  // doubtful where a merge is dated later
      expect_restored("#1", first_);
    });
  }
}

// In the everyday run the first file system alone.
std::vector<FileSystem> systems() {
  const std::vector<FileSystem>& all = file_systems();
  return is_long() ? all : std::vector<FileSystem>{all.front()};
}

std::vector<WritingCommand> all_commands() {
  std::vector<WritingCommand> all = writing_commands();
  if (!is_long()) {
    std::erase_if(all,
                  [](const WritingCommand& each) { return each.name != "intake" && each.name != "keep"; });
    return all;
  }
  all.push_back({"pause", {{"trial", "mill", "begin", "warm-up"}}, {"trial", "mill", "pause", "warm-up"}});
  all.push_back({"resume",
                 {{"trial", "mill", "begin", "warm-up"}, {"trial", "mill", "pause", "warm-up"}},
                 {"trial", "mill", "resume", "warm-up"}});
  all.push_back({"sync_to", {}, {"sync", "mill", "--to", "{remote}"}, {}, true});
  all.push_back({"hooks", {{"audit", "mill", "--settle"}}, {"hooks", "mill"}, {}, true});
  all.push_back({"settle", {}, {"audit", "mill", "--settle"}, {}, true});
  return all;
}

INSTANTIATE_TEST_SUITE_P(Commands, PowerCut,
                         testing::Combine(testing::ValuesIn(all_commands()), testing::ValuesIn(systems())),
                         [](const auto& each) {
                           return std::get<0>(each.param).name + "_" + std::get<1>(each.param).name;
                         });

// From no shop at all to its first backup.
class PowerCutAtFirst : public CutTest, public testing::WithParamInterface<FileSystem> {};

TEST_P(PowerCutAtFirst, AMachineIsThereWholeOrNotAtAll) {
  const Tree files = mill_files();
  const std::string given = put(files).string();
  const std::vector<Args> commands = {{"init", ".", "--title", "Shop"},
                                      {"enroll", "mill", "--layout", "rs274ngc"},
                                      {"intake", "mill", given, "--at", "2026-01-01"}};
  for (const bool synced : {false, true}) {
    if (const std::string why = start_over(GetParam()); !why.empty())
      GTEST_SKIP() << GetParam().name << ": " << why;
    for (std::size_t i = 0; i < commands.size() && !HasFailure(); ++i) cut_through(commands[i], synced, i);
    try_cuts([&](const Cut& cut) {
      for (std::size_t i = 0; i < commands.size(); ++i) {
        const Ran ran = kw(commands[i]);
        if (i < cut.done && i < 2) {
          EXPECT_EQ(ran.exit, 5) << "it was done before: " << ran.out << ran.err;
        } else {
          // Of the one that was cut off, all may have been there but its answer.
          EXPECT_TRUE(ran.exit <= 1 || (i == cut.done && ran.exit == 5)) << ran.exit << ran.out << ran.err;
        }
        if (i == 1) {
          expect_nothing_lost();
          if (cut.done == 3) expect_restored("#1", files);
        }
      }
      // What was stored before the cut is not stored again, nor shown: the next one brings the folder.
      const Ran next = kw({"intake", "mill", given, "--at", "2026-01-02"});
      EXPECT_LE(next.exit, 1) << next.out << next.err;
      const Ran audit = kw({"audit", "mill"});
      EXPECT_EQ(audit.exit, 0) << audit.out << audit.err;
      EXPECT_TRUE(fsck_clean(repository("mill")));
      expect_restored("#1", files);
      for (const auto& entry : fs::directory_iterator(shop()))
        EXPECT_FALSE(entry.path().filename().string().starts_with(".mill"))
            << "left behind: " << entry.path();
    });
  }
}

INSTANTIATE_TEST_SUITE_P(On, PowerCutAtFirst, testing::ValuesIn(systems()),
                         [](const auto& each) { return each.param.name; });

}  // namespace
}  // namespace scenario
