// `keepway slots --prepare`: from a new stick's image to a backup in a slot, what is asked before, and what a
// kill leaves. The volumes are checked with fsck.fat and mtools.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <unistd.h>

#include "killed.hpp"
#include "media_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;
using testing::Not;

constexpr std::size_t spacing = 1'572'864;

class MediaPrepare : public MediaTest {
 protected:
  void SetUp() override {
    MediaTest::SetUp();
    enroll_lathe();
    enroll_mill();
  }
  [[nodiscard]] static Args prepare(const fs::path& path, Args more) {
    Args args = {"slots", path.string(), "--prepare"};
    args.insert(args.end(), more.begin(), more.end());
    return args;
  }
  // Three slots with files.
  fs::path used_stick(const std::string& name) {
    const std::string lathe = read_file(floppy("a.img", lathe_files(), "LATHE"));
    const std::string mill = read_file(floppy("b.img", mill_files()));
    return stick(name, {lathe, mill, mill}, spacing);
  }
};

TEST_F(MediaPrepare, FromANewImageToABackupThatIsSafe) {
  const fs::path image = root() / "new.img";
  const Json made = json(prepare(image, {"4", "--spacing", "1572864"}), 0);
  EXPECT_EQ(made.at("made"), true);
  const Json found = json({"slots", image.string()}).at("slots");
  ASSERT_EQ(found.size(), 4U);
  const char* labels[] = {"LATHE", "MILL", "", ""};
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_EQ(found[i].at("slot"), i + 1);
    EXPECT_EQ(found[i].at("label"), labels[i]) << "whose it is; the slots behind are spare";
    EXPECT_EQ(found[i].at("free"), floppy_room);
    write_file(root() / "slot.img", read_file(image).substr(i * spacing, floppy_bytes));
    fsck_finds_nothing(root() / "slot.img");
  }
  // The control saves its memory to slot 2.
  const fs::path files = put(mill_files());
  for (const auto& [name, bytes] : mill_files())
    tool("mcopy", {"-i", fmt::format("{}@@{}", image.string(), spacing), (files / name).string(), "::"},
         root());
  ASSERT_EQ(kw({"intake", "mill", image.string(), "--slot", "2", "--at", "2026-03-01"}).exit, 0);
  EXPECT_EQ(read_tree(repository("mill") / "originals"), mill_files());
  // And back into slot 4.
  ASSERT_EQ(kw({"restore", "mill", "--at", "#1", "--to", image.string(), "--slot", "4"}).exit, 0);
  write_file(root() / "slot.img", read_file(image).substr(3 * spacing, floppy_bytes));
  EXPECT_EQ(mtools_tree(root() / "slot.img"), in_capitals(mill_files()));
}

TEST_F(MediaPrepare, LabelsAreMadeFromATemplate) {
  const auto labels = [&](Args more) {
    const fs::path image = root() / "labels.img";
    fs::remove(image);
    more.insert(more.begin(), {"3", "--spacing", "1572864"});
    std::vector<std::string> out;
    const Json found = json(prepare(image, more), 0);
    for (const Json& slot : found.at("slots")) out.push_back(slot.at("label"));
    return out;
  };
  using Labels = std::vector<std::string>;
  EXPECT_EQ(labels({"--label", "mill {slot}"}), (Labels{"MILL 1", "MILL 2", "MILL 3"}));
  EXPECT_EQ(labels({"--label", "{machine}-{slot}"}), (Labels{"LATHE-1", "MILL-2", ""}));
  EXPECT_EQ(labels({"--label", ""}), (Labels{"", "", ""}));
  const Ran ran = kw(prepare(root() / "long.img", {"1", "--label", "boring-mill-12"}));
  EXPECT_EQ(ran.exit, 2);
  EXPECT_THAT(ran.err, HasSubstr("up to 11 characters"));
  EXPECT_FALSE(fs::exists(root() / "long.img"));
}

TEST_F(MediaPrepare, ASingleVolumeOfEitherSize) {
  for (const auto& [size, bytes] :
       {std::pair<const char*, std::size_t>{"1440", floppy_bytes}, {"720", 737'280}}) {
    const fs::path image = root() / fmt::format("one-{}.img", size);
    ASSERT_EQ(kw(prepare(image, {"1", "--size", size})).exit, 0);
    EXPECT_EQ(fs::file_size(image), bytes);
    fsck_finds_nothing(image);
    EXPECT_EQ(json({"slots", image.string()}).at("slots").size(), 1U);
  }
}

TEST_F(MediaPrepare, WhatIsThereIsShownAndItsNameHasToBeTyped) {
  const fs::path image = used_stick("stick.img");
  const std::string before = read_file(image);
  const Ran refused = kw(prepare(image, {"2"}));
  EXPECT_EQ(refused.exit, 5);
  for (const char* said : {"slot 1: 6 files, label LATHE", "these would stay", "slot 3: ", "new: slots 1-2",
                           "no terminal to ask at", "--confirm stick.img"}) {
    EXPECT_THAT(refused.err, HasSubstr(said));
  }
  EXPECT_EQ(kw(prepare(image, {"2", "--confirm", "other.img"})).exit, 5);
  const Ran wrong = run_on_terminal(KEEPWAY_PROGRAM, prepare(image, {"2"}), shop(), {}, "yes\n");
  EXPECT_EQ(wrong.exit, 5);
  EXPECT_THAT(wrong.out, HasSubstr("type the name of the medium, stick.img"));
  EXPECT_THAT(wrong.out, HasSubstr("'yes' is not the name of the medium"));
  const Ran nothing = run_on_terminal(KEEPWAY_PROGRAM, prepare(image, {"2"}), shop(), {}, "\x04");
  EXPECT_EQ(nothing.exit, 5) << nothing.out;
  EXPECT_TRUE(read_file(image) == before);

  const Ran done = run_on_terminal(KEEPWAY_PROGRAM, prepare(image, {"2"}), shop(), {}, "stick.img\n");
  EXPECT_EQ(done.exit, 0) << done.out;
  EXPECT_THAT(done.out, HasSubstr("the old content is in "));
  const Json found = json({"slots", image.string()}).at("slots");
  ASSERT_EQ(found.size(), 3U);
  EXPECT_TRUE(found[0].at("files").empty());
  EXPECT_TRUE(found[1].at("files").empty());
  EXPECT_EQ(found[2].at("files").size(), mill_files().size());
  std::vector<fs::path> kept;
  for (const auto& entry : fs::directory_iterator(root())) {
    if (entry.path().filename().string().starts_with("stick.img.slot-")) kept.push_back(entry.path());
  }
  ASSERT_EQ(kept.size(), 2U);
  std::sort(kept.begin(), kept.end());
  EXPECT_EQ(mtools_tree(kept[0]), lathe_files());
  EXPECT_EQ(mtools_tree(kept[1]), mill_files());
}

TEST_F(MediaPrepare, RefusesWhatIsNoStick) {
  const Ran absent = kw(prepare("/dev/no-such-stick", {"2", "--spacing", "1572864"}));
  EXPECT_EQ(absent.exit, 2);
  EXPECT_THAT(absent.err, HasSubstr("does not exist"));
  EXPECT_FALSE(fs::exists("/dev/no-such-stick"));
  EXPECT_EQ(kw(prepare(root(), {"1"})).exit, 5);
  EXPECT_EQ(kw(prepare(repository("mill") / "new.img", {"1"})).exit, 5);
  EXPECT_EQ(kw({"slots", (root() / "x.img").string(), "--first", "2"}).exit, 2) << "without --prepare";
  const fs::path image = used_stick("stick.img");
  fs::permissions(image, fs::perms::owner_read);
  const Ran locked = kw(prepare(image, {"3", "--confirm", "stick.img"}));
  EXPECT_EQ(locked.exit, 5);
  EXPECT_THAT(locked.err, HasSubstr("read-only"));
}

// A loop device is no removable medium: as a fixed disk it is refused. Its image is in use, and refused too.
TEST_F(MediaPrepare, RefusesAFixedDisk) {
  if (::getuid() != 0) GTEST_SKIP() << "loop devices need root";
  const fs::path image = used_stick("stick.img");
  const Env paths = {{"PATH", "/usr/sbin:/sbin:/usr/bin:/bin"}};
  const Ran made = run("losetup", {"-f", "--show", image.string()}, root(), paths);
  if (made.exit != 0) GTEST_SKIP() << "losetup: " << made.err;
  const std::string device = lines_of(made.out).at(0);
  const std::string before = read_file(image);
  const Ran fixed = kw(prepare(device, {"3", "--device", "--confirm", fs::path(device).filename().string()}));
  const Ran used = kw(prepare(image, {"3", "--confirm", "stick.img"}));
  EXPECT_EQ(run("losetup", {"-d", device}, root(), paths).exit, 0);
  EXPECT_EQ(fixed.exit, 5);
  EXPECT_THAT(fixed.err, HasSubstr("fixed disk"));
  EXPECT_EQ(used.exit, 5);
  EXPECT_THAT(used.err, HasSubstr("in use as /dev/loop"));
  EXPECT_TRUE(read_file(image) == before);
}

// Killed on the way into each call that changes something: every slot has its old files or none, and the same
// command finishes the work.
TEST_F(MediaPrepare, KilledAtEachWriteEverySlotIsOldOrNew) {
  if (!can_trace()) GTEST_SKIP() << "this system lets no program be traced";
  const fs::path whole = used_stick("whole.img");
  const std::string before = read_file(whole);
  const Json old = json({"slots", whole.string()}).at("slots");
  std::size_t mixed = 0;
  for (std::size_t last = 0;; ++last) {
    const fs::path folder = root() / "cut";
    fs::remove_all(folder);
    fs::create_directories(folder);
    const fs::path image = folder / "stick.img";
    write_file(image, before);
    const Args args = prepare(image, {"3", "--confirm", "stick.img", "--shop", shop().string()});
    const Killed killed = keepway_killed(args, folder, last);
    const Json now = json({"slots", image.string()}).at("slots");
    ASSERT_EQ(now.size(), 3U) << last;
    std::size_t fresh = 0;
    for (std::size_t i = 0; i < 3; ++i) {
      EXPECT_EQ(now[i].at("slot"), i + 1);
      if (now[i].at("files").empty()) {
        ++fresh;
        EXPECT_EQ(now[i].at("label"), i == 0 ? "LATHE" : i == 1 ? "MILL" : "") << last;
      } else {
        EXPECT_EQ(now[i], old[i]) << last;
      }
    }
    if (fresh > 0 && fresh < 3) ++mixed;
    if (killed.finished) {
      EXPECT_EQ(killed.ran.exit, 0) << killed.ran.err;
      EXPECT_EQ(fresh, 3U);
      break;
    }
    if (fresh == 0) continue;
    ASSERT_EQ(kw(args).exit, 0) << last;
    for (const Json& slot : json({"slots", image.string()}).at("slots")) {
      EXPECT_TRUE(slot.at("files").empty() && slot.at("flaws").empty()) << last;
    }
  }
  EXPECT_GE(mixed, 4U);
}

}  // namespace
}  // namespace scenario
