// FAT volumes against dosfstools and mtools: what keepway writes they read, and the other way round. All
// names and bytes are invented, by a fixed seed.
#include <gtest/gtest.h>

#include <fstream>

#include "media/fat_volume.hpp"
#include "media_scratch.hpp"
#include "media_tools.hpp"

namespace keepway::media {
namespace {

TEST(FatCross, ReferenceProgramsReadWhatIsWritten) {
  Random random(1440);
  for (int round = 0; round < 200; ++round) {
    SCOPED_TRACE(round);
    const Scratch scratch;
    const Set set = random_short_set(random);
    const std::string image = scratch / "A.img";
    write_image(set, image);
    EXPECT_EQ(std::filesystem::file_size(image), 1'474'560U);
    ASSERT_EQ(run("fsck.fat -n " + image), 0);
    std::filesystem::create_directory(scratch / "out");
    ASSERT_EQ(run(fmt::format("mcopy -s -m -n -i {} \"::*\" {}", image, (scratch / "out").native())), 0);
    expect_same(set, read(scratch / "out"));
    expect_same(set, read(image));
    if (HasFailure()) return;
  }
}

// Adds a file to a volume with mcopy, and to what is expected.
void put(Set& set, const Scratch& scratch, const std::string& image, const std::string& name,
         const std::string& bytes, std::int64_t when) {
  Set one;
  const std::string leaf = name.substr(name.rfind('/') + 1);
  one.files = {{leaf, bytes, when}};
  std::filesystem::remove_all(scratch / "one");
  write_folder(one, scratch / "one");
  ASSERT_EQ(
      run(fmt::format("mcopy -m -n -i {} \"{}\" \"::{}\"", image, (scratch / "one" / leaf).native(), name)),
      0)
      << name;
  set.files.push_back({name, bytes, when});
}

// How many files of a volume do not lie in one piece.
std::size_t pieces_apart(const std::string& image) {
  const FileDisk disk(image, FileDisk::Use::read);
  const std::optional<Volume> volume = survey(disk, 0);
  std::size_t count = 0;
  for (const VolumeFile& file : volume->files) {
    const auto gap = std::adjacent_find(file.chain.begin(), file.chain.end(),
                                        [](std::uint16_t a, std::uint16_t b) { return b != a + 1; });
    if (gap != file.chain.end()) ++count;
  }
  return count;
}

TEST(FatCross, ReadsWhatReferenceProgramsWrite) {
  Random random(720);
  // Sizes and formats: 1.44 MB, 720 KB, other clusters, 1 FAT, large sectors, FAT16. With a root folder that
  // does not fill its last sector (224 entries in sectors of 4096 bytes) the reference programs disagree with
  // one another.
  const char* formats[] = {
      "-F 12 {} 1440",         "-F 12 -r 112 -s 2 {} 720",     "-F 12 -s 4 {} 2880", "-F 12 -f 1 {} 1440",
      "-F 12 -S 1024 {} 1440", "-F 12 -r 256 -S 4096 {} 2880", "-F 16 {} 16384",     "-F 16 -s 8 {} 40000",
      "-F 12 -R 5 {} 1440",    "-F 12 -n LABEL {} 1440"};
  constexpr std::string_view small = "abcdefghijkmnopqrstuvwxyz0123456789";
  constexpr std::string_view mixed = "abcXYZ019 +,;=.";
  std::size_t fragmented = 0;
  for (int round = 0; round < 200; ++round) {
    SCOPED_TRACE(round);
    const Scratch scratch;
    const std::string image = scratch / "B.img";
    const char* format = formats[static_cast<std::size_t>(round) % std::size(formats)];
    ASSERT_EQ(run("mkfs.fat -C " + fmt::format(fmt::runtime(format), image)), 0);
    Set set;
    ASSERT_EQ(run("mmd -i " + image + " ::SUB ::SUB/DEEP"), 0);
    std::set<std::string> used;
    const auto fill = [&](std::size_t count) {
      for (std::size_t i = 0; i < count; ++i) {
        const std::string folder = std::array{"", "SUB/", "SUB/DEEP/"}[below(random, 3)];
        // Short in small letters, short in capitals, or long.
        std::string leaf = below(random, 2) == 0 ? random_word(random, small, 8) + ".nc"
                                                 : "X" + random_word(random, mixed, 40) + "z";
        if (below(random, 3) == 0) leaf = fmt::format("O{}", below(random, 10000));
        std::string folded;
        for (const char byte : leaf) folded += static_cast<char>(std::tolower(byte));
        if (!used.insert(folder + folded).second) continue;
        const auto when = static_cast<std::int64_t>(1'000'000'000 + 2 * below(random, 300'000'000));
        put(set, scratch, image, folder + leaf, random_bytes(random, below(random, 40) * 700), when);
      }
    };
    fill(8);
    // Holes of several sizes, then larger files into them.
    for (std::size_t i = set.files.size(); i-- > 0;) {
      if (below(random, 2) != 0) continue;
      ASSERT_EQ(run(fmt::format("mdel -i {} \"::{}\"", image, set.files[i].name)), 0);
      set.files.erase(set.files.begin() + static_cast<std::ptrdiff_t>(i));
    }
    fill(8);
    std::sort(set.files.begin(), set.files.end(),
              [](const File& a, const File& b) { return a.name < b.name; });
    const auto has = [&](std::string_view prefix) {
      return std::any_of(set.files.begin(), set.files.end(),
                         [&](const File& f) { return f.name.starts_with(prefix); });
    };
    if (!has("SUB/DEEP/")) set.empty_folders.push_back("SUB/DEEP");
    const Set got = read(image);
    expect_same(set, got);
    fragmented += pieces_apart(image);
    EXPECT_FALSE(got.volume_full);
    if (round % 10 == 9) {
      EXPECT_EQ(got.label, "LABEL");
      EXPECT_TRUE(got.label_time.has_value());
    }
    if (HasFailure()) return;
  }
  fmt::print("{} files lay in several pieces\n", fragmented);
  EXPECT_GT(fragmented, 100U);
}

TEST(FatCross, ReadsLongNamesThatAreNotAscii) {
  const Scratch scratch;
  const std::string image = scratch / "C.img";
  ASSERT_EQ(run("mkfs.fat -C -F 12 " + image + " 1440"), 0);
  Set set;
  for (const char* name : {"Gr\u00F6\u00DFe 12\u00B5.nc",
                           "\u0444\u0440\u0435\u0437\u0430 \u20AC 5, zweite.nc", "\u5DE5\u5177\u8868.nc"}) {
    set.files.push_back({name, name, 1'000'000'000});
  }
  std::sort(set.files.begin(), set.files.end(), [](const File& a, const File& b) { return a.name < b.name; });
  write_folder(set, scratch / "in");
  ASSERT_EQ(run(fmt::format("LC_ALL=C.UTF-8 mcopy -m -n -i {} {}/* ::", image, (scratch / "in").native())),
            0);
  expect_same(set, read(image));
}

TEST(FatCross, DeletedFilesComeBackByTheirNames) {
  const Scratch scratch;
  const std::string image = scratch / "C.img";
  ASSERT_EQ(run("mkfs.fat -C -F 12 " + image + " 1440"), 0);
  Set set;
  put(set, scratch, image, "O1234.NC", "O1234\nM30\n", 1'000'000'000);
  put(set, scratch, image, "a long name of mine.txt", std::string(5000, 'a'), 1'000'000'000);
  put(set, scratch, image, "OVER.NC", std::string(700, 'b'), 1'000'000'000);
  put(set, scratch, image, "STAY.NC", "stay", 1'000'000'000);
  ASSERT_EQ(run("mdel -i " + image + " ::O1234.NC \"::a long name of mine.txt\" ::OVER.NC"), 0);
  const Set plain = read(image);
  ASSERT_EQ(plain.files.size(), 1U);
  EXPECT_TRUE(plain.flaws.empty());
  ASSERT_EQ(plain.deleted.size(), 3U);
  const Set back = read(image, {.slot = std::nullopt, .recover = true});
  ASSERT_EQ(back.files.size(), 4U);
  EXPECT_EQ(back.flaws.size(), 3U);
  EXPECT_EQ(back.files[0].name, "STAY.NC");
  EXPECT_FALSE(back.files[0].recovered);
  EXPECT_EQ(back.files[1].name, "_1234.NC");
  EXPECT_EQ(back.files[1].bytes, "O1234\nM30\n");
  EXPECT_TRUE(back.files[1].recovered);
  EXPECT_EQ(back.files[2].name, "_VER.NC");
  EXPECT_EQ(back.files[3].name, "a long name of mine.txt");
  EXPECT_EQ(back.files[3].bytes, std::string(5000, 'a'));
}

TEST(FatCross, DeletedFilesWhoseClustersAreUsedAgainAreNotRead) {
  const Scratch scratch;
  const std::string image = scratch / "D.img";
  Set set;
  // Fill the volume, free it, and write a file over its first clusters.
  Set full;
  full.files = {{"FULL.NC", std::string(2847UL * 512, 'f'), 1'000'000'000}};
  write_image(full, image);
  ASSERT_EQ(run("mdel -i " + image + " ::FULL.NC"), 0);
  put(set, scratch, image, "SUBST", std::string(1000, 's'), 1'000'000'000);
  put(set, scratch, image, "SUBST2", std::string(1000, 's'), 1'000'000'000);
  const Set back = read(image, {.slot = std::nullopt, .recover = true});
  ASSERT_EQ(back.files.size(), 2U);
  for (const Deleted& deleted : back.deleted) EXPECT_FALSE(deleted.recoverable);
}

}  // namespace
}  // namespace keepway::media
