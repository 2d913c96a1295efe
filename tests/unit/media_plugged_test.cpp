// Sticks that are plugged in, as a system would list them in files. All devices are invented.
#include <gtest/gtest.h>

#include <cstdint>
#include <fstream>
#include <system_error>

#include "media/plugged.hpp"
#include "media_scratch.hpp"

namespace keepway::media {
namespace {

namespace fs = std::filesystem;

class PluggedIn : public testing::Test {
 protected:
  void SetUp() override { fs::create_directories(files_.sys / "block"); }
  void say(const fs::path& file, const std::string& text) const {
    fs::create_directories((files_.sys / "block" / file).parent_path());
    std::ofstream(files_.sys / "block" / file) << text << "\n";
  }
  void device(const std::string& name, const std::string& number, const std::string& removable,
              const std::string& sectors) const {
    say(name + "/dev", number);
    say(name + "/removable", removable);
    say(name + "/size", sectors);
  }
  Scratch scratch_;
  SystemFiles files_{scratch_ / "sys", scratch_ / "mountinfo", "/dev"};
};

TEST_F(PluggedIn, ListsRemovableMediaAlone) {
  device("sdb", "8:16", "1", "7831552");
  say("sdb/device/vendor", "INVENTED");
  say("sdb/device/model", "Small Stick     ");
  say("sdb/sdb1/dev", "8:17");
  device("sda", "8:0", "0", "1000215216");  // a fixed disk
  device("sr0", "11:0", "1", "1048575");    // a disc
  device("sdc", "8:32", "1", "0");          // a reader without a card
  device("mmcblk0!x", "179:0", "1", "2880");
  say("sdd/removable", "1");  // says no more of itself
  std::ofstream(files_.mounts) << "30 1 8:0 / / rw - ext4 /dev/sda rw\n"
                                  "31 30 8:17 / /media/ana/MILL rw - vfat /dev/sdb1 rw\n";
  const std::vector<Plugged> found = plugged_in(files_);
  ASSERT_EQ(found.size(), 2U);
  EXPECT_EQ(found[0].path, "/dev/mmcblk0/x");
  EXPECT_EQ(found[0].bytes, 1'474'560U);
  EXPECT_EQ(found[0].model, "");
  EXPECT_TRUE(found[0].mounted_at.empty());
  EXPECT_EQ(found[1].path, "/dev/sdb");
  EXPECT_EQ(found[1].bytes, 7'831'552ULL * 512);
  EXPECT_EQ(found[1].model, "INVENTED Small Stick");
  EXPECT_EQ(found[1].mounted_at, std::vector<std::string>{"/media/ana/MILL"});
}

TEST_F(PluggedIn, AnotherStickInItsPlaceIsAnother) {
  device("sdb", "8:16", "1", "2880");
  say("sdb/diskseq", "7");
  const std::string first = plugged_in(files_).at(0).identity;
  EXPECT_EQ(plugged_in(files_).at(0).identity, first);
  say("sdb/diskseq", "9");
  const std::string again = plugged_in(files_).at(0).identity;
  EXPECT_NE(again, first) << "the same one, plugged in again";
  say("sdb/size", "1440");
  EXPECT_NE(plugged_in(files_).at(0).identity, again);
}

TEST_F(PluggedIn, NothingIsKnownWhereTheSystemSaysNothing) {
  EXPECT_TRUE(plugged_in(files_).empty());
  fs::remove_all(files_.sys);
  EXPECT_TRUE(plugged_in(files_).empty());
}

TEST(MediumAt, IsAnImageOrADevice) {
  const Scratch scratch;
  std::ofstream(scratch / "stick.img") << std::string(2048, ' ');
  const auto image = medium_at(scratch / "stick.img");
  ASSERT_TRUE(image);
  EXPECT_EQ(image->bytes, 2048U);
  EXPECT_FALSE(medium_at(scratch / "none"));
  EXPECT_FALSE(medium_at("/dev/null"));
  std::error_code failed;
  for (fs::directory_iterator each("/sys/block", failed), end; !failed && each != end;
       each.increment(failed)) {
    std::ifstream size(each->path() / "size");
    std::uint64_t sectors = 0;
    const fs::path device = fs::path("/dev") / each->path().filename();
    if (!(size >> sectors) || sectors == 0 || !fs::is_block_file(device, failed)) continue;
    const auto found = medium_at(device);
    ASSERT_TRUE(found) << device;
    EXPECT_EQ(found->bytes, sectors * 512) << device;
  }
}

}  // namespace
}  // namespace keepway::media
