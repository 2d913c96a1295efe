// FAT volumes in memory: the constants against their standards, and damage of every kind. Names and bytes are
// invented.
#include <gtest/gtest.h>

#include "media/fat_name.hpp"
#include "media/fat_volume.hpp"
#include "media_tools.hpp"

namespace keepway::media {
namespace {

TEST(FatFormat, FloppyIsThatOfTheStandards) {
  // ECMA-125: 80 cylinders x 2 sides x 18 sectors x 512 bytes; ECMA-107, usual values: 2880 - 1 - 18 - 14
  // clusters.
  EXPECT_EQ(floppy.bytes(), 80U * 2 * 18 * 512);
  EXPECT_EQ(floppy.bytes(), 1'474'560U);
  EXPECT_EQ(floppy.clusters(), 2847U);
  EXPECT_EQ(floppy.clusters() * floppy.cluster_bytes(), 1'457'664U);
  EXPECT_TRUE(floppy.is_fat12());
  const auto back = parse_boot_sector(make_boot_sector(floppy, 7));
  ASSERT_TRUE(back);
  EXPECT_EQ(back->data_at(), floppy.data_at());
}

TEST(FatFormat, ClusterCountDecidesTheEntrySize) {
  // FAT-1.03, FAT type determination: below 4085 clusters is FAT12, below 65525 is FAT16.
  Geometry geometry;
  geometry.sectors_a_fat = 300;
  geometry.sectors = static_cast<std::uint32_t>(geometry.data_at() / 512) + 4084;
  EXPECT_TRUE(geometry.is_fat12());
  ++geometry.sectors;
  EXPECT_FALSE(geometry.is_fat12());
  EXPECT_TRUE(parse_boot_sector(make_boot_sector(geometry, 0)));
  geometry.sectors += 65525 - 4085;
  EXPECT_EQ(geometry.clusters(), 65525U);
  EXPECT_FALSE(parse_boot_sector(make_boot_sector(geometry, 0)));
}

TEST(FatFormat, TwelveBitEntriesArePackedTwoInThreeBytes) {
  std::vector<std::uint16_t> fat(floppy.clusters() + 2, fat_free);
  fat[0] = 0xFFF0;
  fat[1] = fat_end;
  fat[2] = 0x123;
  fat[3] = 0x456;
  fat[4] = fat_bad;
  const std::string bytes = pack_fat(floppy, fat);
  EXPECT_EQ(bytes.substr(0, 8), std::string("\xF0\xFF\xFF\x23\x61\x45\xF7\x0F", 8));
  const auto back = unpack_fat(floppy, bytes);
  EXPECT_EQ(back[2], 0x123);
  EXPECT_EQ(back[3], 0x456);
  EXPECT_EQ(back[4], fat_bad);
  // FF8 to FFF all end a chain.
  std::string ends = bytes;
  ends[3] = '\xF8';
  ends[4] = '\x6F';
  EXPECT_EQ(unpack_fat(floppy, ends)[2], fat_end);
}

TEST(FatFormat, TimesAreTwoSecondsFrom1980In107Years) {
  EXPECT_EQ(from_dos(0x0021, 0), 315'532'800);  // 1980-01-01T00:00:00Z
  EXPECT_EQ(from_dos(0, 0), std::nullopt);
  EXPECT_EQ(from_dos(0x0021, 0xC000), std::nullopt);  // 24:00
  EXPECT_EQ(from_dos(0x005E, 0), std::nullopt);       // 1980-02-30
  for (const std::int64_t when : {315'532'800LL, 1'000'000'000LL, 4'354'819'198LL}) {
    const DosTime dos = to_dos(when);
    EXPECT_EQ(from_dos(dos.date, dos.time), when);
  }
  EXPECT_EQ(to_dos(315'532'799).date, 0);
  EXPECT_EQ(to_dos(4'354'819'200).date, 0);  // 2108-01-01
  const DosTime odd = to_dos(1'000'000'001);
  EXPECT_EQ(from_dos(odd.date, odd.time), 1'000'000'000);
}

TEST(FatName, OnlyShortNamesPass) {
  EXPECT_EQ(short_name("O1234.NC"), "O1234   NC ");
  EXPECT_EQ(short_name("o1234.nc"), "O1234   NC ");
  EXPECT_EQ(short_name("A"), "A          ");
  for (const char* name :
       {"", ".", "..", ".NC", "A.", "A.B.C", "ABCDEFGHI", "A.ABCD", "A B", "A+B", "\xC3\x84", "a/b"}) {
    EXPECT_EQ(short_name(name), std::nullopt) << name;
  }
}

// The entries of a long name as they are before their short one, the last part first (FAT-1.03, long
// directory entries: 13 units a part, ended by a 0 and filled up with FFFF, and a sum over the short name).
std::vector<std::string> long_entries(std::u16string name, std::string_view eleven) {
  unsigned sum = 0;
  for (const char byte : eleven)
    sum = ((sum & 1U ? 0x80U : 0U) + (sum >> 1U) + static_cast<unsigned char>(byte)) & 0xFFU;
  if (name.size() % 13 != 0) name += u'\0';
  while (name.size() % 13 != 0) name += u'\uFFFF';
  std::vector<std::string> entries;
  for (std::size_t part = name.size() / 13; part > 0; --part) {
    std::string entry(32, '\0');
    entry[0] = static_cast<char>(part | (entries.empty() ? 0x40U : 0U));
    entry[11] = 0x0F;
    entry[13] = static_cast<char>(sum);
    std::size_t unit = (part - 1) * 13;
    for (const std::size_t at : {1, 3, 5, 7, 9, 14, 16, 18, 20, 22, 24, 28, 30})
      put16(entry, at, name[unit++]);
    entries.push_back(entry);
  }
  return entries;
}

std::optional<std::string> long_name(const std::vector<std::string>& entries, std::string_view eleven) {
  LongName name;
  for (const std::string& entry : entries) name.take(entry, false);
  return name.finish(eleven, false);
}

TEST(LongName, OfAnyScriptIsUtf8) {
  const std::string_view eleven = "PART~1  NC ";
  const auto read = [&](const std::u16string& name) { return long_name(long_entries(name, eleven), eleven); };
  EXPECT_EQ(read(u"plain text of 30 characters.nc"), "plain text of 30 characters.nc");
  EXPECT_EQ(read(u"thirteen char"), "thirteen char") << "filled to the last unit, without a 0";
  // RFC 3629, section 7, has these: two, three and four bytes a character.
  EXPECT_EQ(read(u"A\u2262\u0391."), "A\xE2\x89\xA2\xCE\x91.");
  EXPECT_EQ(read(u"\u65E5\u672C\u8A9E"), "\xE6\x97\xA5\xE6\x9C\xAC\xE8\xAA\x9E");
  EXPECT_EQ(read(u"\U000233B4"), "\xF0\xA3\x8E\xB4");
  // Halves of a pair stand for nothing (RFC 2781, 2.2).
  for (const std::u16string& half :
       {std::u16string{0xD84C}, {0xDFB4}, {0xD84C, u'A'}, {u'A', 0xDFB4, 0xD84C}})
    EXPECT_EQ(read(half), std::nullopt);
}

TEST(LongName, IsTakenWholeAndOfItsOwnShortNameOnly) {
  const std::string_view eleven = "PART~1  NC ";
  const auto entries = long_entries(u"a name of three parts, said in 39.nc", eleven);
  ASSERT_EQ(entries.size(), 3U);
  EXPECT_TRUE(long_name(entries, eleven));
  EXPECT_EQ(long_name(entries, "PART~2  NC "), std::nullopt);
  EXPECT_EQ(long_name({entries[0], entries[2], entries[1]}, eleven), std::nullopt);
  EXPECT_EQ(long_name({entries[0], entries[1]}, eleven), std::nullopt);
  EXPECT_EQ(long_name({entries[1], entries[2]}, eleven), std::nullopt);
  EXPECT_EQ(
      long_name({entries[0], long_entries(u"of another name, of two", "X          ")[0], entries[2]}, eleven),
      std::nullopt);
}

// A volume in memory with three files, one of them of several clusters, and a folder.
class FatDamage : public testing::Test {
 protected:
  FatDamage() {
    set_.files = {{"A.NC", std::string(1300, 'a'), 1'000'000'000},
                  {"B.NC", "bb", 1'000'000'000},
                  {"SUB/C.NC", std::string(2000, 'c'), 1'000'000'000}};
    image_ = make_volume(floppy, {}, set_);
  }

  Set taken() const {
    const MemoryDisk disk(image_);
    const auto volume = survey(disk, 0);
    return volume ? read_volume(disk, *volume, true) : Set{};
  }

  // The entry of a root file, to be damaged.
  std::size_t entry(std::string_view eleven) const {
    const std::size_t at = image_.find(eleven, floppy.root_at());
    EXPECT_NE(at, std::string::npos);
    return at;
  }

  void set_fat(std::uint32_t copy, std::uint16_t cluster, std::uint16_t value) {
    auto fat = unpack_fat(floppy, std::string_view(image_).substr(floppy.fat_at(copy), floppy.fat_bytes()));
    fat[0] = 0xFFF0;
    fat[cluster] = value;
    image_.replace(floppy.fat_at(copy), floppy.fat_bytes(), pack_fat(floppy, fat));
  }
  void set_fats(std::uint16_t cluster, std::uint16_t value) {
    set_fat(0, cluster, value);
    set_fat(1, cluster, value);
  }
  std::uint16_t start(std::string_view eleven) const { return get16(image_, entry(eleven) + 26); }

  static bool tells(const Set& set, std::string_view file, std::string_view what) {
    return std::any_of(set.flaws.begin(), set.flaws.end(), [&](const Flaw& flaw) {
      return flaw.file == file && flaw.what.find(what) != std::string::npos && !flaw.remedy.empty();
    });
  }
  static const File* find(const Set& set, std::string_view name) {
    for (const File& file : set.files) {
      if (file.name == name) return &file;
    }
    return nullptr;
  }

  Set set_;
  std::string image_;
};

TEST_F(FatDamage, NoneIsReportedOfASoundVolume) {
  expect_same(set_, taken());
  EXPECT_FALSE(taken().volume_full);
}

TEST_F(FatDamage, ChainThatLeadsOutsideIsReported) {
  const std::uint16_t a = start("A       NC ");
  set_fats(a, 4000);
  const Set got = taken();
  EXPECT_TRUE(tells(got, "A.NC", "outside the volume"));
  EXPECT_EQ(find(got, "A.NC")->bytes, std::string(512, 'a'));
  EXPECT_EQ(find(got, "B.NC")->bytes, "bb");
  EXPECT_TRUE(tells(got, "", "in use by no file"));
}

TEST_F(FatDamage, LoopIsReported) {
  const std::uint16_t a = start("A       NC ");
  set_fats(static_cast<std::uint16_t>(a + 1), a);
  const Set got = taken();
  EXPECT_TRUE(tells(got, "A.NC", "loop"));
  EXPECT_EQ(find(got, "A.NC")->bytes.size(), 1024U);
}

TEST_F(FatDamage, ChainIntoFreeAndBadClustersIsReported) {
  const std::uint16_t a = start("A       NC ");
  set_fats(static_cast<std::uint16_t>(a + 1), fat_free);
  EXPECT_TRUE(tells(taken(), "A.NC", "marked free"));
  set_fats(static_cast<std::uint16_t>(a + 1), fat_bad);
  EXPECT_TRUE(tells(taken(), "A.NC", "marked bad"));
}

TEST_F(FatDamage, CrossedChainsAreReportedOfBothFiles) {
  put16(image_, entry("B       NC ") + 26, start("A       NC "));
  const Set got = taken();
  EXPECT_TRUE(tells(got, "A.NC", "shares clusters with B.NC"));
  EXPECT_TRUE(tells(got, "B.NC", "shares clusters with A.NC"));
}

TEST_F(FatDamage, SizesThatDisagreeWithChainsAreReported) {
  const std::size_t a = entry("A       NC ");
  put32(image_, a + 28, 600);
  EXPECT_TRUE(tells(taken(), "A.NC", "go on past its size"));
  put32(image_, a + 28, 1'000'000);
  EXPECT_TRUE(tells(taken(), "A.NC", "its size asks for"));
  EXPECT_EQ(find(taken(), "A.NC")->bytes.size(), 3U * 512);
  put32(image_, a + 28, 0xFFFFFFFF);
  EXPECT_TRUE(tells(taken(), "A.NC", "its size asks for"));
  put32(image_, a + 28, 0);
  EXPECT_TRUE(tells(taken(), "A.NC", "its size is 0"));
}

TEST_F(FatDamage, FirstClusterOutOfRangeIsReported) {
  for (const std::uint32_t cluster : {0U, 1U, 2849U, 4084U, 0xFFF6U}) {
    put16(image_, entry("B       NC ") + 26, cluster);
    EXPECT_TRUE(tells(taken(), "B.NC", "first cluster")) << cluster;
    EXPECT_EQ(find(taken(), "B.NC")->bytes, "");
  }
}

TEST_F(FatDamage, FatCopiesThatDifferAreReportedAndTheSoundOneIsRead) {
  const std::uint16_t a = start("A       NC ");
  set_fat(0, a, fat_free);
  const Set got = taken();
  EXPECT_TRUE(tells(got, "", "copies of the FAT differ"));
  EXPECT_TRUE(tells(got, "A.NC", "read by another FAT copy"));
  EXPECT_EQ(find(got, "A.NC")->bytes, std::string(1300, 'a'));
  EXPECT_FALSE(tells(got, "B.NC", ""));
}

TEST_F(FatDamage, ALostFirstFatIsReplacedByTheSecond) {
  std::fill_n(image_.begin() + static_cast<std::ptrdiff_t>(floppy.fat_at(0)), floppy.fat_bytes(), '\0');
  const Set got = taken();
  EXPECT_TRUE(tells(got, "", "copy 1 of the FAT does not begin like a FAT"));
  EXPECT_EQ(find(got, "SUB/C.NC")->bytes, std::string(2000, 'c'));
}

TEST_F(FatDamage, FolderLoopsAreReportedAndNotEntered) {
  // C.NC becomes a folder that is SUB itself.
  const std::size_t c = image_.find("C       NC ", floppy.data_at());
  image_[c + 11] = attribute_folder;
  put16(image_, c + 26, start("SUB        "));
  const Set got = taken();
  EXPECT_TRUE(tells(got, "SUB/C.NC", "in the clusters of SUB"));
  EXPECT_EQ(got.files.size(), 2U);
}

TEST_F(FatDamage, AFileCalledFolderIsReportedAndNotEntered) {
  image_[entry("A       NC ") + 11] = attribute_folder;
  const Set got = taken();
  EXPECT_TRUE(tells(got, "A.NC", "its content is not one"));
}

TEST_F(FatDamage, NamesWithBytesThatNoNameHasAreMadeSafeAndReported) {
  image_.replace(entry("A       NC "), 11, std::string("..\x01/\0..  /X ", 11));
  const Set got = taken();
  EXPECT_TRUE(std::any_of(got.flaws.begin(), got.flaws.end(), [](const Flaw& flaw) {
    return flaw.what.find("bytes that are not allowed") != std::string::npos;
  }));
  for (const File& file : got.files) EXPECT_EQ(file.name.find(".."), std::string::npos);
}

TEST_F(FatDamage, AFileWithoutANameIsReadUnderOne) {
  image_.replace(entry("A       NC "), 8, "        ");
  const Set got = taken();
  ASSERT_NE(find(got, "_.NC"), nullptr);
  EXPECT_EQ(find(got, "_.NC")->bytes, std::string(1300, 'a'));
  EXPECT_TRUE(tells(got, "_.NC", "bytes that are not allowed"));
}

TEST_F(FatDamage, FoldersNestedTooDeepAreReportedAndTheRestIsRead) {
  Set deep;
  std::string name;
  for (int i = 0; i < 64; ++i) name += "D/";
  deep.files = {{name + "X.NC", "x", std::nullopt}, {"Z.NC", "z", std::nullopt}};
  image_ = make_volume(floppy, {}, deep);
  // The file at the bottom becomes one folder more.
  const std::size_t x = image_.find("X       NC ", floppy.data_at());
  image_[x + 11] = attribute_folder;
  put32(image_, x + 28, 0);
  const Set got = taken();
  EXPECT_TRUE(tells(got, name + "X.NC", "nested too deep"));
  EXPECT_EQ(find(got, "Z.NC")->bytes, "z");
}

TEST_F(FatDamage, FlawsAreListedUpToABound) {
  Set many;
  for (int i = 0; i < 1500; ++i) many.files.push_back({fmt::format("SUB/F{:04}", i), "x", std::nullopt});
  image_ = make_volume(floppy, {}, many);
  for (std::size_t at = floppy.data_at(); at + 32 <= image_.size(); at += 32) {
    if (image_.compare(at + 5, 6, "      ") == 0 && image_[at] == 'F') put16(image_, at + 26, 1);
  }
  const Set got = taken();
  EXPECT_EQ(got.files.size(), 1500U);
  EXPECT_EQ(got.flaws.size(), 1001U);
  EXPECT_TRUE(tells(got, "SUB/F0999", "first cluster"));
  EXPECT_TRUE(tells(got, "", "more is wrong than what is listed"));
}

TEST_F(FatDamage, SecondFileOfOneNameIsReportedAndKept) {
  image_.replace(entry("A       NC "), 11, "B       NC ");
  const Set got = taken();
  ASSERT_EQ(got.files.size(), 3U);
  EXPECT_TRUE(tells(got, "B.NC~2", "a second B.NC"));
}

TEST_F(FatDamage, AMediumThatEndsTooSoonIsReadAsFarAsItGoes) {
  image_.resize(floppy.cluster_at(start("A       NC ")) + 700);
  const Set got = taken();
  EXPECT_TRUE(tells(got, "", "the medium ends"));
  EXPECT_TRUE(tells(got, "A.NC", "beyond the end of the medium"));
  EXPECT_EQ(find(got, "A.NC")->bytes.size(), 1300U);
}

TEST_F(FatDamage, EveryByteOfTheSystemAreaMayBeWrong) {
  Random random(1);
  for (int round = 0; round < 3000; ++round) {
    std::string damaged = image_;
    for (int i = 0; i < 8; ++i) damaged[below(random, floppy.data_at() + 4096)] = static_cast<char>(random());
    const MemoryDisk disk(damaged);
    if (const auto volume = survey(disk, 0)) {
      EXPECT_LE(read_volume(disk, *volume, true).files.size(), 300U);
    }
  }
}

TEST_F(FatDamage, SectorsThatCannotBeReadAreReported) {
  const std::uint16_t a = start("A       NC ");
  const WornDisk disk(image_, floppy.cluster_at(a) + 512);
  const Set got = read_volume(disk, *survey(disk, 0), false);
  EXPECT_TRUE(tells(got, "A.NC", "cannot be read at byte 512"));
  EXPECT_EQ(find(got, "A.NC")->bytes, std::string(512, 'a') + std::string(512, '\0') + std::string(276, 'a'));
  const WornDisk no_fat(image_, floppy.fat_at(0));
  expect_same(set_, [&] {
    Set set = read_volume(no_fat, *survey(no_fat, 0), false);
    EXPECT_TRUE(tells(set, "", "copy 1 of the FAT cannot be read"));
    set.flaws.clear();
    return set;
  }());
}

TEST_F(FatDamage, ManyEntriesOnOneChainCostNoMoreThanTheVolume) {
  // 224 entries that all claim the same chain of 2800 clusters.
  Set one;
  one.files = {{"A", std::string(2800UL * 512, 'x'), std::nullopt}};
  image_ = make_volume(floppy, {}, one);
  const std::string raw = image_.substr(floppy.root_at(), 32);
  for (std::size_t i = 1; i < 224; ++i) image_.replace(floppy.root_at() + 32 * i, 32, raw);
  const Set got = taken();
  EXPECT_EQ(got.files.size(), 224U);
  std::uint64_t total = 0;
  for (const File& file : got.files) total += file.bytes.size();
  EXPECT_LE(total, 17 * image_.size());
  EXPECT_TRUE(std::any_of(got.flaws.begin(), got.flaws.end(), [](const Flaw& flaw) {
    return flaw.what.find("too many entries share") != std::string::npos;
  }));
}

TEST(VolumeFull, SaysWhenNoClusterIsLeft) {
  Set set;
  set.files = {{"A", std::string(2847UL * 512 - 1, 'x'), std::nullopt}};
  std::string image = make_volume(floppy, {}, set);
  MemoryDisk disk(image);
  EXPECT_TRUE(read_volume(disk, *survey(disk, 0), false).volume_full);
  set.files[0].bytes.resize(2846UL * 512);
  image = make_volume(floppy, {}, set);
  const MemoryDisk roomy(image);
  EXPECT_FALSE(read_volume(roomy, *survey(roomy, 0), false).volume_full);
}

TEST(VolumeFull, AFileWrittenLastThatFillsItsClustersIsNamed) {
  const auto filled = [](std::size_t first, std::size_t last) {
    Set set;
    set.files = {{"A", std::string(first, 'x'), 1'600'000'000}, {"B", std::string(last, 'x'), 1'600'000'002}};
    const std::string image = make_volume(floppy, {}, set);
    const MemoryDisk disk(image);
    return read_volume(disk, *survey(disk, 0), false).filled_file;
  };
  EXPECT_EQ(filled(100, 1024), "B");
  EXPECT_EQ(filled(1024, 1023), "") << "the first one does not matter";
  EXPECT_EQ(filled(100, 0), "");
}

TEST(VolumeFull, SaysWhenTheRootHoldsNoMoreNames) {
  Set set;
  for (int i = 0; i < 224; ++i) set.files.push_back({fmt::format("F{:03}", i), "x", std::nullopt});
  const std::string image = make_volume(floppy, {}, set);
  const MemoryDisk disk(image);
  EXPECT_TRUE(read_volume(disk, *survey(disk, 0), false).volume_full);
}

TEST(MakeVolume, TheSameSetGivesTheSameBytes) {
  Random random(5);
  const Set set = random_short_set(random);
  EXPECT_EQ(make_volume(floppy, {}, set), make_volume(floppy, {}, set));
}

TEST(MakeVolume, SaysByHowManyBytesASetDoesNotFit) {
  Set set;
  set.files = {{"A", std::string(2847UL * 512 + 1, 'x'), std::nullopt}, {"B", "x", std::nullopt}};
  std::string what;
  EXPECT_EQ(code_of([&] { make_volume(floppy, {}, set); }, &what), ErrorKind::refused);
  EXPECT_NE(what.find("by 1024 bytes"), std::string::npos) << what;
  set.files.clear();
  for (int i = 0; i < 226; ++i) set.files.push_back({fmt::format("F{:03}", i), "", std::nullopt});
  EXPECT_EQ(code_of([&] { make_volume(floppy, {}, set); }, &what), ErrorKind::refused);
  EXPECT_NE(what.find("by 64 bytes"), std::string::npos) << what;
}

TEST(MakeVolume, RefusesNamesAndListsThem) {
  Set set;
  set.files = {
      {"good.nc", "", std::nullopt}, {"sub dir/x", "", std::nullopt}, {"waytoolong.nc", "", std::nullopt}};
  std::string what;
  EXPECT_EQ(code_of([&] { make_volume(floppy, {}, set); }, &what), ErrorKind::refused);
  EXPECT_NE(what.find("sub dir/x, waytoolong.nc"), std::string::npos) << what;
  EXPECT_EQ(what.find("good"), std::string::npos);
  set.files = {{"A.NC", "", std::nullopt}, {"a.nc", "", std::nullopt}};
  EXPECT_EQ(code_of([&] { make_volume(floppy, {}, set); }, &what), ErrorKind::refused);
  EXPECT_NE(what.find("a.nc"), std::string::npos) << what;
  set.files = {{"A", "", std::nullopt}, {"a/b", "", std::nullopt}};
  EXPECT_EQ(code_of([&] { make_volume(floppy, {}, set); }), ErrorKind::refused);
}

TEST(MakeVolume, FoldersMayHoldMoreThanTheRoot) {
  Set set;
  for (int i = 0; i < 1000; ++i) set.files.push_back({fmt::format("SUB/F{:03}", i), "x", std::nullopt});
  const std::string image = make_volume(floppy, {}, set);
  const MemoryDisk disk(image);
  expect_same(set, read_volume(disk, *survey(disk, 0), false));
}

TEST(PlanSplit, SharesOutEveryFileOnceAndEveryPartFits) {
  Random random(9);
  for (int round = 0; round < 20; ++round) {
    Set set;
    for (int i = 0; i < 400; ++i) {
      set.files.push_back({fmt::format("{}F{:03}", i % 3 == 0 ? "SUB/" : "", i),
                           std::string(below(random, 30'000), 'x'), std::nullopt});
    }
    set.empty_folders = {"NONE"};
    std::sort(set.files.begin(), set.files.end(),
              [](const File& a, const File& b) { return a.name < b.name; });
    const std::vector<Set> parts = plan_split(set);
    Set joined;
    std::uint64_t bytes = 0;
    for (const Set& part : parts) {
      EXPECT_NO_THROW(make_volume(floppy, {}, part));
      joined.files.insert(joined.files.end(), part.files.begin(), part.files.end());
      joined.empty_folders.insert(joined.empty_folders.end(), part.empty_folders.begin(),
                                  part.empty_folders.end());
    }
    for (const File& file : set.files) bytes += (file.bytes.size() + 511) / 512 * 512;
    std::sort(joined.files.begin(), joined.files.end(),
              [](const File& a, const File& b) { return a.name < b.name; });
    expect_same(set, joined);
    // Files are small beside a volume, so best fit leaves no volume near empty but one.
    EXPECT_LE(parts.size(), bytes / 1'457'664 + 2);
  }
}

TEST(PlanSplit, RefusesAFileThatNoVolumeHolds) {
  Set set;
  set.files = {{"A", std::string(2847UL * 512 + 513, 'x'), std::nullopt}};
  std::string what;
  EXPECT_EQ(code_of([&] { plan_split(set); }, &what), ErrorKind::refused);
  EXPECT_NE(what.find("by 1024 bytes"), std::string::npos) << what;
  set.files[0].bytes.resize(2847UL * 512);
  EXPECT_EQ(plan_split(set).size(), 1U);
}

}  // namespace
}  // namespace keepway::media
