// Indexes that point outside their packs, in each form that git writes (git index-pack --index-version, git
// multi-pack-index write: gitformat-pack(5)).
#include <fmt/format.h>

#include "git/pack_bounds.hpp"
#include "store_fixture.hpp"

namespace keepway::store {
namespace {

class PackBounds : public StoreTest {
 protected:
  // A repository with one pack of three objects, its index of the form asked for.
  void pack_with(const std::string& index_version) {
    std::filesystem::create_directory(folder_);
    git("init -q");
    std::ofstream(folder_ / "a.txt") << "G54 X-300.5\n";
    git("add a.txt");
    git("-c user.name=me -c user.email=me@shop commit -q -m first");
    git("repack -adq");
    for (const auto& entry : std::filesystem::directory_iterator(packs())) {
      if (entry.path().extension() == ".pack") pack_ = entry.path();
    }
    index_ = std::filesystem::path(pack_).replace_extension(".idx");
    std::filesystem::remove(index_);
    git("index-pack --index-version=" + index_version + " '" + pack_.string() + "'");
  }
  [[nodiscard]] std::filesystem::path packs() const { return folder_ / ".git/objects/pack"; }
  [[nodiscard]] std::optional<std::filesystem::path> bad_index() const {
    const auto fault = fault_in_packs(packs());
    return fault ? std::optional(fault->index) : std::nullopt;
  }
  static void turn(const std::filesystem::path& file, std::size_t byte, unsigned bit) {
    std::filesystem::permissions(file, std::filesystem::perms::owner_write,
                                 std::filesystem::perm_options::add);
    std::fstream bytes(file, std::ios::in | std::ios::out | std::ios::binary);
    bytes.seekg(static_cast<std::streamoff>(byte));
    const int was = bytes.get();
    bytes.seekp(static_cast<std::streamoff>(byte));
    bytes.put(static_cast<char>(static_cast<unsigned>(was) ^ (1U << bit)));
  }

  static constexpr std::size_t objects = 3;
  std::filesystem::path pack_;
  std::filesystem::path index_;
};

TEST_F(PackBounds, AWholeIndexOfEachFormIsSound) {
  for (const char* version : {"1", "2", "2,0x0"}) {  // the last: all places in the table of long ones
    std::filesystem::remove_all(folder_);
    pack_with(version);
    EXPECT_EQ(bad_index(), std::nullopt) << version;
    EXPECT_EQ(sound_indexes(packs()), std::vector<std::filesystem::path>{index_}) << version;
  }
}

TEST_F(PackBounds, APlaceOutsideIsSeenInEachForm) {
  constexpr std::size_t fanout = 1024;
  constexpr std::size_t head = 8;
  const std::vector<std::pair<const char*, std::size_t>> forms = {
      {"1", fanout + 2 * 24},                           // the third row: place, then id
      {"2", head + fanout + objects * 24 + 2 * 4},      // the third place
      {"2,0x0", head + fanout + objects * 24 + 2 * 4},  // the third row of the long ones is another
      {"2,0x0", head + fanout + objects * 28 + 8}};     // a long place
  for (const auto& [version, byte] : forms) {
    std::filesystem::remove_all(folder_);
    pack_with(version);
    turn(index_, byte, 6);
    EXPECT_EQ(bad_index(), index_) << version << " byte " << byte;
    EXPECT_TRUE(sound_indexes(packs()).empty()) << version << " byte " << byte;
  }
}

TEST_F(PackBounds, TheLastPlaceInAPackIsWithin) {
  pack_with("2");
  // The pack's checksum is 20 bytes; the byte before it is the last that a place may name.
  const auto size = static_cast<std::uint32_t>(std::filesystem::file_size(pack_));
  std::filesystem::permissions(index_, std::filesystem::perms::owner_write,
                               std::filesystem::perm_options::add);
  for (const std::uint32_t place : {size - 21, size - 20}) {
    std::fstream bytes(index_, std::ios::in | std::ios::out | std::ios::binary);
    bytes.seekp(8 + 1024 + objects * 24);
    for (const unsigned shift : {24U, 16U, 8U, 0U}) bytes.put(static_cast<char>(place >> shift));
    bytes.close();
    EXPECT_EQ(bad_index().has_value(), place == size - 20) << place;
  }
}

TEST_F(PackBounds, TheIndexOverAllIsLookedAtToo) {
  pack_with("2");
  git("multi-pack-index write");
  const std::filesystem::path over_all = packs() / "multi-pack-index";
  EXPECT_EQ(bad_index(), std::nullopt);
  std::ifstream file(over_all, std::ios::binary);
  const std::string bytes((std::istreambuf_iterator<char>(file)), {});
  const std::size_t row = bytes.find("OOFF");
  ASSERT_NE(row, std::string::npos);
  const auto begin = static_cast<std::size_t>(static_cast<unsigned char>(bytes[row + 10])) * 256 +
                     static_cast<unsigned char>(bytes[row + 11]);
  for (const std::size_t byte : {std::size_t{2}, std::size_t{5}}) {  // which pack; where in it
    turn(over_all, begin + byte, 6);
    EXPECT_EQ(bad_index(), over_all) << byte;
    EXPECT_EQ(sound_indexes(packs()), std::vector<std::filesystem::path>{index_});
    turn(over_all, begin + byte, 6);
  }
  EXPECT_EQ(bad_index(), std::nullopt);
  // The table's closing row is not believed: libgit2 takes the last chunk for all that is there.
  const std::size_t closing = 12 + 12 * static_cast<std::size_t>(static_cast<unsigned char>(bytes[6]));
  ASSERT_EQ(row, closing - 12) << "the places are in the last chunk";
  std::fstream out(over_all, std::ios::in | std::ios::out | std::ios::binary);
  out.seekp(static_cast<std::streamoff>(closing + 4));
  out.write(bytes.data() + row + 4, 8);
  out.close();
  turn(over_all, begin + 5, 6);
  EXPECT_EQ(bad_index(), over_all);
}

TEST_F(PackBounds, OfFilesCutOffNothingIsReadBeyondTheirEnd) {
  pack_with("2");
  git("multi-pack-index write");
  for (const std::filesystem::path& file : {index_, packs() / "multi-pack-index"}) {
    std::filesystem::permissions(file, std::filesystem::perms::owner_write,
                                 std::filesystem::perm_options::add);
    for (auto size = std::filesystem::file_size(file); size > 0; size -= std::min<std::uintmax_t>(size, 7)) {
      std::filesystem::resize_file(file, size);
      (void)bad_index();  // its form is libgit2's to refuse
    }
  }
  EXPECT_EQ(bad_index(), std::nullopt);
}

TEST_F(PackBounds, APackIsFollowedAgainOnceItsFilesChanged) {
  pack_with("2");
  const std::filesystem::path git_folder = folder_ / ".git";
  std::filesystem::create_directory(git_folder / "keepway");
  FollowedPacks first(git_folder);
  EXPECT_FALSE(first.knows(index_, pack_));
  EXPECT_FALSE(fault_in_packs(packs(), any_size, &first));
  first.save();
  EXPECT_TRUE(FollowedPacks(git_folder).knows(index_, pack_));

  const std::filesystem::path copied = folder_ / "copied";
  std::filesystem::copy(git_folder, copied, std::filesystem::copy_options::recursive);
  const auto in_copy = [&](const std::filesystem::path& file) {
    return copied / "objects/pack" / file.filename();
  };
  EXPECT_FALSE(FollowedPacks(copied).knows(in_copy(index_), in_copy(pack_))) << "the cache came with it";

  turn(pack_, 40, 0);
  EXPECT_FALSE(FollowedPacks(git_folder).knows(index_, pack_)) << "as long as before";
}

TEST_F(PackBounds, InARepositoryOfNoMachineNothingIsKept) {
  pack_with("2");
  FollowedPacks followed(folder_ / ".git");
  EXPECT_FALSE(fault_in_packs(packs(), any_size, &followed));
  followed.save();
  EXPECT_FALSE(std::filesystem::exists(folder_ / ".git/keepway"));
}

}  // namespace
}  // namespace keepway::store
