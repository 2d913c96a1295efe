// Block devices: read at will, written only with --device. The device is a loop device over a file; where
// none can be had (no root, no losetup, a container without them) the tests say so and are skipped.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <unistd.h>

#include "media_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

class MediaDevice : public MediaTest {
 protected:
  static constexpr std::size_t spacing = 1'572'864;

  void SetUp() override {
    MediaTest::SetUp();
    enroll_lathe();
    intake("lathe", lathe_files(), 0, {"--at", "2026-03-01T09:00:00Z"});
    if (::getuid() != 0) GTEST_SKIP() << "loop devices need root";
    second_ = with(lathe_files(), "PARAM.TXT", "22,7", "22,8");
    old_ = read_file(floppy("old.img", second_));
    file_ = stick("stick.img", {read_file(floppy("first.img", lathe_files())), old_}, spacing);
    before_ = read_file(file_);
    const Ran made = losetup({"-f", "--show", file_.string()});
    if (made.exit != 0) GTEST_SKIP() << "losetup: " << made.err;
    device_ = lines_of(made.out).at(0);
  }
  void TearDown() override {
    if (!device_.empty()) {
      EXPECT_EQ(losetup({"-d", device_}).exit, 0);
    }
    MediaTest::TearDown();
  }
  [[nodiscard]] Ran losetup(const Args& args) const {
    return run("losetup", args, root(), {{"PATH", "/usr/sbin:/sbin:/usr/bin:/bin"}});
  }
  Ran restore(Args more) {
    Args args = {"restore", "lathe", "--at", "#1", "--to", device_};
    args.insert(args.end(), more.begin(), more.end());
    return kw(args);
  }

  Tree second_;
  std::string old_;
  fs::path file_;
  std::string before_;
  std::string device_;
};

TEST_F(MediaDevice, IsReadLikeItsImage) {
  const Json of_device = json({"slots", device_}, 0).at("slots");
  EXPECT_EQ(of_device, json({"slots", file_.string()}, 0).at("slots"));
  EXPECT_EQ(of_device.size(), 2U);
  EXPECT_EQ(kw({"inspect", "lathe", device_}).exit, 2) << "which slot?";
  const Json looked = json({"inspect", "lathe", device_, "--slot", "2"});
  EXPECT_THAT(looked.at("source").get<std::string>(), HasSubstr("slot 2"));
  EXPECT_EQ(
      json({"intake", "lathe", device_, "--slot", "2", "--at", "2026-03-02"}, 0).at("verdict").at("worth"),
      "good");
  EXPECT_EQ(read_tree(repository("lathe") / "originals"), second_);
  EXPECT_TRUE(read_file(device_) == before_);
}

TEST_F(MediaDevice, IsNotWrittenUnasked) {
  for (const Args& more : {Args{}, Args{"--slot", "2"}, Args{"--device"}, Args{"--slot", "3", "--device"},
                           Args{"--slot", "2", "--no-keep"}}) {
    const Ran ran = restore(more);
    EXPECT_TRUE(ran.exit == 5 || ran.exit == 2) << ran.exit << ran.out;
    EXPECT_THAT(ran.err, HasSubstr("what to do"));
    EXPECT_TRUE(read_file(device_) == before_);
  }
  const Ran asked = restore({"--slot", "2"});
  EXPECT_EQ(asked.exit, 5);
  for (const char* said :
       {"block device of 3145728 bytes", "slot 2 holds 6 files", "PARAM.TXT", "--device"}) {
    EXPECT_THAT(asked.err, HasSubstr(said));
  }
}

TEST_F(MediaDevice, IsWrittenWhenAskedAndShowsWhatGoes) {
  fs::create_directory(root() / "here");
  const Ran ran = keepway({"restore", "lathe", "--shop", shop().string(), "--at", "#1", "--to", device_,
                           "--slot", "2", "--device"},
                          root() / "here");
  ASSERT_EQ(ran.exit, 0) << ran.err;
  for (const char* said : {"block device of 3145728 bytes", "slot 2 holds 6 files", "PARAM.TXT"}) {
    EXPECT_THAT(ran.err, HasSubstr(said));
  }
  const std::string after = read_file(device_);
  ASSERT_EQ(after.size(), before_.size());
  EXPECT_TRUE(after.substr(0, spacing) == before_.substr(0, spacing));
  EXPECT_TRUE(after.substr(spacing + floppy_bytes) == before_.substr(spacing + floppy_bytes));
  write_file(root() / "slot.img", after.substr(spacing, floppy_bytes));
  fsck_finds_nothing(root() / "slot.img");
  EXPECT_EQ(mtools_tree(root() / "slot.img"), lathe_files());
  const Tree kept = read_tree(root() / "here");
  ASSERT_EQ(kept.size(), 1U);
  EXPECT_TRUE(kept.begin()->second == old_) << kept.begin()->first;
}

TEST_F(MediaDevice, ItsOldContentDoesNotGoIntoAMachinesFolder) {
  const Tree before = kept_tree(repository("lathe"));
  const Ran ran = keepway({"restore", "lathe", "--at", "#1", "--to", device_, "--slot", "2", "--device"},
                          repository("lathe"));
  EXPECT_EQ(ran.exit, 5);
  EXPECT_EQ(kept_tree(repository("lathe")), before);
  EXPECT_TRUE(read_file(device_) == before_);
}

}  // namespace
}  // namespace scenario
