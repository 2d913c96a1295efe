// Disks that are full, fail or may not be written, and two programs at once: either all of a backup or
// nothing of it.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <sys/mount.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>
#include <fstream>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

class Disk : public ShopTest {};

TEST_F(Disk, WritesThatFailLeaveTheRepositoryAsItWas) {
  enroll_mill();
  intake("mill", mill_files(), 0);
  Tree files = mill_files();
  files["noise.bin"] = Random(1).bytes(400'000);
  const fs::path folder = put(files);
  const std::string before = refs(repository("mill"));
  std::size_t failed = 0;
  for (const std::uint64_t limit :
       {1ULL, 40ULL, 100ULL, 200ULL, 500ULL, 1000ULL, 2000ULL, 5000ULL, 20'000ULL, 399'000ULL}) {
    // Its own complaint may be cut short by the same limit; the exit code may not.
    SCOPED_TRACE(limit);
    const Ran ran =
        wait_for(start(KEEPWAY_PROGRAM, {"intake", "mill", folder.string()}, shop(), {}, {limit, {}}));
    EXPECT_EQ(ran.exit, 4) << ran.out << ran.err;
    failed += ran.exit == 4 ? 1U : 0U;
    EXPECT_EQ(refs(repository("mill")), before);
    EXPECT_TRUE(fsck_clean(repository("mill")));
  }
  EXPECT_GT(failed, 0U);
  EXPECT_EQ(kw({"intake", "mill", folder.string()}).exit, 0) << "and the next one goes through";
}

// A small disk of its own, as root can have it.
class SmallDisk : public Disk {
 protected:
  void SetUp() override {
    if (::geteuid() != 0) GTEST_SKIP() << "mounting a small disk needs root";
    ShopTest::SetUp();
    fs::create_directories(disk());
    ASSERT_EQ(::mount("tmpfs", disk().c_str(), "tmpfs", 0, "size=4m"), 0);
    mounted_ = true;
    ASSERT_EQ(keepway({"init", "."}, disk()).exit, 0);
    ASSERT_EQ(keepway({"enroll", "mill", "--layout", "rs274ngc"}, disk()).exit, 0);
    ASSERT_EQ(keepway({"intake", "mill", put(mill_files()).string()}, disk()).exit, 0);
  }
  void TearDown() override {
    if (!mounted_) return;
    EXPECT_TRUE(fsck_clean(disk() / "mill"));
    ::umount2(disk().c_str(), MNT_DETACH);
    ShopTest::TearDown();
  }
  [[nodiscard]] fs::path disk() const { return root() / "disk"; }

 private:
  bool mounted_ = false;
};

TEST_F(SmallDisk, FullIsExitFourAndTheRepositoryAsBefore) {
  Tree files = mill_files();
  files["noise.bin"] = Random(2).bytes(8'000'000);
  const fs::path folder = put(files);
  const std::string before = refs(disk() / "mill");
  const Ran ran = keepway({"intake", "mill", folder.string()}, disk());
  EXPECT_EQ(ran.exit, 4) << ran.out << ran.err;
  EXPECT_THAT(ran.err, HasSubstr("what to do: "));
  EXPECT_EQ(refs(disk() / "mill"), before);
  EXPECT_TRUE(fsck_clean(disk() / "mill"));
  files["noise.bin"] = "small again";
  EXPECT_EQ(keepway({"intake", "mill", put(files).string()}, disk()).exit, 0)
      << "the failed one left no litter in its way";
}

TEST_F(SmallDisk, FullWhileADrawerComesInIsExitFourAndTheSameCommandGoesOn) {
  Tree files = mill_files();
  for (int day = 1; day <= 3; ++day) {
    files["noise.bin"] = Random(static_cast<unsigned>(day)).bytes(2'000'000);
    write_tree(root() / "drawer" / fmt::format("2019-03-0{}", day), files);
  }
  const std::string before = refs(disk() / "mill");
  const Ran ran = keepway({"pile", "mill", (root() / "drawer").string()}, disk());
  EXPECT_EQ(ran.exit, 4) << ran.out << ran.err;
  EXPECT_THAT(ran.err, HasSubstr("run the same command again"));
  EXPECT_EQ(refs(disk() / "mill"), before) << "they land together, and there is no room for all";
  EXPECT_TRUE(fsck_clean(disk() / "mill"));
  fs::remove_all(root() / "drawer" / "2019-03-02");
  fs::remove_all(root() / "drawer" / "2019-03-03");
  const Ran again = keepway({"pile", "mill", (root() / "drawer").string()}, disk());
  EXPECT_THAT(again.out, HasSubstr("1 stored")) << again.err;
}

TEST_F(SmallDisk, FullAtARestoreIsExitFourAndNothingIsLeft) {
  Tree files = mill_files();
  files["noise.bin"] = std::string(3'500'000, 'a');  // small when packed
  ASSERT_EQ(keepway({"intake", "mill", put(files).string()}, disk()).exit / 2, 0);
  const Ran ran = keepway({"restore", "mill", "--at", "HEAD", "--to", "back"}, disk());
  EXPECT_EQ(ran.exit, 4) << ran.out << ran.err;
  EXPECT_FALSE(fs::exists(disk() / "back" / "noise.bin"));
}

TEST_F(SmallDisk, FullWhileASetOfImagesIsWrittenLeavesNoneOfThem) {
  enroll_mill();
  Tree files = mill_files();
  for (int i = 0; i < 4; ++i) files[fmt::format("NOISE{}.BIN", i)] = Random(2).bytes(1'300'000);
  ASSERT_LE(kw({"intake", "mill", put(files).string()}).exit, 1);
  const auto restore = [&](const fs::path& folder) {
    return kw({"restore", "mill", "--at", "1", "--to", (folder / "set.img").string(), "--split", "--accept"});
  };
  const std::size_t before = read_tree(disk()).size();
  const Ran ran = restore(disk());
  EXPECT_EQ(ran.exit, 4) << ran.out << ran.err;
  EXPECT_EQ(read_tree(disk()).size(), before);
  EXPECT_EQ(restore(root()).exit, 0);
  EXPECT_TRUE(fs::exists(root() / "set-4.img"));
}

TEST_F(SmallDisk, FullLeavesNoHalfPagesOrCardsAndAsksForRoomToMark) {
  const fs::path card = disk() / "card.html";
  ASSERT_EQ(keepway({"sheet", "mill", "--to", card.string()}, disk()).exit, 0);
  const std::string older = read_file(card);
  {
    std::ofstream filler(disk() / "filler", std::ios::binary);
    while (filler << std::string(4096, 'x') << std::flush) {
    }
  }
  const Ran mark = keepway({"mark", "mill", "known good"}, disk());
  EXPECT_EQ(mark.exit, 4);
  EXPECT_THAT(mark.err, HasSubstr("No space left"));
  EXPECT_THAT(mark.err, HasSubstr("what to do: free some space"));
  EXPECT_THAT(mark.err, testing::Not(HasSubstr("fsck")));
  for (const Args& args : std::vector<Args>{{"report", "mill", "--to", "pages"},
                                            {"sheet", "mill", "--to", "new.html"},
                                            {"sheet", "mill", "--to", "card.html", "--replace"}}) {
    EXPECT_EQ(keepway(args, disk()).exit, 4) << args.front();
  }
  EXPECT_FALSE(fs::exists(disk() / "pages"));
  EXPECT_FALSE(fs::exists(disk() / "new.html"));
  EXPECT_EQ(read_file(card), older);
  fs::remove(disk() / "filler");
  EXPECT_EQ(keepway({"report", "mill", "--to", "pages"}, disk()).exit, 0);
  EXPECT_EQ(keepway({"mark", "mill", "known good"}, disk()).exit, 0);
  EXPECT_EQ(git(disk() / "mill", {"cat-file", "-t", "known_good"}).out, "tag\n");
}

TEST_F(SmallDisk, ReadOnlyIsExitFourForWritingAndNoneForReading) {
  ASSERT_EQ(::mount("tmpfs", disk().c_str(), "tmpfs", MS_REMOUNT | MS_RDONLY, nullptr), 0);
  const std::string before = refs(disk() / "mill");
  const Ran ran = keepway({"intake", "mill", put(mill_files()).string(), "--again"}, disk());
  EXPECT_EQ(ran.exit, 4) << ran.out << ran.err;
  EXPECT_THAT(ran.err, HasSubstr("what to do: "));
  EXPECT_EQ(keepway({"mark", "mill", "x"}, disk()).exit, 4);
  EXPECT_EQ(keepway({"enroll", "two", "--layout", "rs274ngc"}, disk()).exit, 4);
  EXPECT_EQ(refs(disk() / "mill"), before);
  EXPECT_EQ(keepway({"history", "mill"}, disk()).exit, 0);
  EXPECT_EQ(keepway({"show", "mill", "offsets"}, disk()).exit, 0);
  EXPECT_EQ(keepway({"inspect", "mill", put(mill_files()).string()}, disk()).exit, 0);
  EXPECT_EQ(keepway({"restore", "mill", "--at", "1", "--to", (root() / "back").string()}, disk()).exit, 0);
  ASSERT_EQ(::mount("tmpfs", disk().c_str(), "tmpfs", MS_REMOUNT, nullptr), 0);
}

TEST_F(SmallDisk, AStepThatCannotBeFinishedHindersWritingAndNotReading) {
  // As a program leaves it that is cut off once it has written down what it begins.
  write_file(disk() / "mill" / ".git" / "keepway" / "step",
             fmt::format("begin\twarm-up\t{}\tAna\t\t1767225600\n", object_id(disk() / "mill", "HEAD")));
  const auto reading_goes_on = [&](const std::string& when) {
    SCOPED_TRACE(when);
    EXPECT_EQ(keepway({"history", "mill"}, disk()).exit, 0);
    EXPECT_EQ(keepway({"show", "mill", "offsets"}, disk()).exit, 0);
    EXPECT_EQ(keepway({"trial", "mill", "list"}, disk()).exit, 0);
    EXPECT_EQ(keepway({"restore", "mill", "--at", "1", "--to", (root() / when).string()}, disk()).exit, 0);
    EXPECT_EQ(read_tree(root() / when), mill_files());
  };
  {
    std::ofstream filler(disk() / "filler", std::ios::binary);
    while (filler << std::string(4096, 'x') << std::flush) {
    }
  }
  const std::string before = refs(disk() / "mill");
  reading_goes_on("full");
  for (const Args& args : std::vector<Args>{{"intake", "mill", put(mill_files()).string(), "--again"},
                                            {"mark", "mill", "x"},
                                            {"trial", "mill", "begin", "other"},
                                            {"sync", "mill", "--to", root().string()},
                                            {"tidy", "mill"}}) {
    const Ran ran = keepway(args, disk());
    EXPECT_EQ(ran.exit, 4) << args.front() << ran.out << ran.err;
    EXPECT_THAT(ran.err, HasSubstr("'begin trial warm-up' was interrupted")) << args.front();
    EXPECT_THAT(ran.err, HasSubstr("No space left")) << args.front();
  }
  const Ran audit = keepway({"audit", "mill"}, disk());
  EXPECT_EQ(audit.exit, 1) << audit.out << audit.err;
  EXPECT_THAT(audit.out, HasSubstr("was interrupted"));
  ASSERT_EQ(::mount("tmpfs", disk().c_str(), "tmpfs", MS_REMOUNT | MS_RDONLY, nullptr), 0);
  reading_goes_on("read-only");
  EXPECT_EQ(keepway({"intake", "mill", put(mill_files()).string()}, disk()).exit, 4);
  ASSERT_EQ(::mount("tmpfs", disk().c_str(), "tmpfs", MS_REMOUNT, nullptr), 0);
  EXPECT_EQ(refs(disk() / "mill"), before);
  fs::remove(disk() / "filler");
  EXPECT_THAT(keepway({"trial", "mill", "list"}, disk()).out, HasSubstr("warm-up")) << "now it is finished";
  EXPECT_EQ(keepway({"audit", "mill"}, disk()).exit, 0);
}

TEST_F(Disk, AFolderThatMayNotBeWrittenIsExitFour) {
  if (::geteuid() == 0) GTEST_SKIP() << "root may write everywhere";
  enroll_mill();
  intake("mill", mill_files(), 0);
  const std::string before = refs(repository("mill"));
  const fs::path objects = repository("mill") / ".git" / "objects";
  fs::permissions(objects, fs::perms::owner_read | fs::perms::owner_exec);
  for (const auto& entry : fs::directory_iterator(objects))
    fs::permissions(entry.path(), fs::perms::owner_read | fs::perms::owner_exec);
  const Ran ran = kw({"intake", "mill", put(with(mill_files(), "mill.tbl", "5.1", "5.2")).string()});
  EXPECT_EQ(ran.exit, 4) << ran.out << ran.err;
  for (const auto& entry : fs::directory_iterator(objects))
    fs::permissions(entry.path(), fs::perms::owner_all);
  fs::permissions(objects, fs::perms::owner_all);
  EXPECT_EQ(refs(repository("mill")), before);
}

TEST_F(Disk, AMachineOfAnotherUserIsTrustedOnlyWhenThatIsSaid) {
  if (::geteuid() != 0) GTEST_SKIP() << "nobody but root gives a folder to another user";
  enroll_mill();
  const fs::path folder = repository("mill");
  const auto give_to = [&](uid_t user, gid_t group) {
    for (const fs::path& path : {folder, folder / ".git"})
      EXPECT_EQ(::lchown(path.c_str(), user, group), 0) << path;
  };
  constexpr uid_t nobody = 65534;
  give_to(nobody, nobody);
  const Ran ran = kw({"history", "mill"});
  give_to(::geteuid(), ::getegid());
  if (ran.exit == 0) GTEST_SKIP() << "this computer's own Git configuration trusts all folders";
  EXPECT_EQ(ran.exit, 4) << ran.out << ran.err;
  EXPECT_THAT(ran.err, HasSubstr("it belongs to another user"));
  EXPECT_THAT(ran.err, HasSubstr("safe.directory"));
  EXPECT_EQ(kw({"history", "mill"}).exit, 0);
}

class AtOnce : public ShopTest {};

TEST_F(AtOnce, IntakesOfOneMachineAreStoredOneByOneOrNameTheLock) {
  enroll_mill();
  intake("mill", mill_files(), 0, {"--at", "2026-01-01"});
  std::size_t stored = 1;
  for (int round = 0; round < 6; ++round) {
    std::vector<Started> running;
    for (int i = 0; i < 4; ++i) {
      Tree files = mill_files();
      files[fmt::format("O{}.ngc", 3000 + round * 10 + i)] =
          fmt::format("O{}\nG1 X{} F1\nM30\n", 3000 + round * 10 + i, i);
      files["noise.bin"] = Random(static_cast<std::uint64_t>(round * 10 + i)).bytes(300'000);
      running.push_back(start(
          KEEPWAY_PROGRAM,
          {"intake", "mill", put(files).string(), "--at", fmt::format("2026-02-{:02}", round + 1)}, shop()));
    }
    for (const Started& each : running) {
      const Ran ran = wait_for(each);
      if (ran.exit == 0 || ran.exit == 1) {
        ++stored;
      } else {
        EXPECT_EQ(ran.exit, 4) << ran.out << ran.err;
        EXPECT_THAT(ran.err, HasSubstr("what to do: "));
        EXPECT_THAT(ran.err, testing::AnyOf(HasSubstr("lock"), HasSubstr("another"))) << ran.err;
      }
    }
  }
  EXPECT_TRUE(fsck_clean(repository("mill")));
  const Json backups = json({"history", "mill"}, 0).at("backups");
  EXPECT_EQ(backups.size(), stored) << "every backup that was said to be stored is there, and no other";
  std::set<int> numbers;
  for (const Json& backup : backups) numbers.insert(backup.at("number").get<int>());
  EXPECT_EQ(numbers.size(), backups.size()) << "each has a number of its own";
  EXPECT_EQ(*numbers.rbegin(), static_cast<int>(backups.size()));
}

TEST_F(AtOnce, ReadersAreNotHinderedByAnIntake) {
  enroll_mill();
  intake("mill", mill_files(), 0);
  Tree files = mill_files();
  files["noise.bin"] = Random(5).bytes(5'000'000);
  const Started writing = start(KEEPWAY_PROGRAM, {"intake", "mill", put(files).string()}, shop());
  for (int i = 0; i < 10; ++i) {
    EXPECT_EQ(kw({"history", "mill"}).exit, 0);
    EXPECT_EQ(kw({"show", "mill", "offsets/tool/1/length"}).exit, 0);
  }
  EXPECT_EQ(wait_for(writing).exit / 2, 0);
}

TEST_F(AtOnce, AnIntakeKilledAtAnyMomentLeavesAllOrNothing) {
  enroll_mill();
  intake("mill", mill_files(), 0);
  Random random(9);
  for (int i = 0; i < 25; ++i) {
    Tree files = mill_files();
    files["noise.bin"] = random.bytes(200'000);
    const int before = std::stoi(git(repository("mill"), {"rev-list", "--count", "HEAD"}).out);
    const Started running = start(KEEPWAY_PROGRAM, {"intake", "mill", put(files).string()}, shop());
    ::usleep(static_cast<useconds_t>(random.below(60'000)));
    ::kill(running.pid, SIGKILL);
    const Ran ran = wait_for(running);
    const int after = std::stoi(git(repository("mill"), {"rev-list", "--count", "HEAD"}).out);
    EXPECT_TRUE(after == before || after == before + 1);
    const Ran fsck = git(repository("mill"), {"fsck", "--strict", "--no-progress", "--no-dangling"});
    EXPECT_EQ(fsck.exit, 0) << fsck.out << fsck.err;
    EXPECT_EQ(kw({"history", "mill"}).exit, 0) << "the next command goes on";
    // Git's own lock of a ref outlives a program that is killed while it holds it. Known as left, it is
    // cleared.
    const fs::path left = repository("mill") / ".git" / "refs" / "heads" / "main.lock";
    if (fs::exists(left)) {
      EXPECT_LE(kw({"intake", "mill", put(files).string()}).exit, 1);
      EXPECT_FALSE(fs::exists(left));
    }
  }
  intake("mill", mill_files(), 1, {"--at", "2028-01-01"});  // still to come: doubtful
}

}  // namespace
}  // namespace scenario
