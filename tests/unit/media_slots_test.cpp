// Sticks with many volumes: finding slots, and reading one of them. Everything is invented.
#include <gtest/gtest.h>

#include <chrono>
#include <set>

#include "media/fat_volume.hpp"
#include "media/slot_write.hpp"
#include "media/slots.hpp"
#include "media_files.hpp"
#include "media_scratch.hpp"
#include "media_tools.hpp"

namespace keepway::media {
namespace {

struct Stick {
  std::string bytes;
  std::vector<std::uint64_t> good;     // offsets of sound slots
  std::vector<std::uint64_t> damaged;  // offsets of slots with nothing left but boot sector and root folder
};

// Slots of a 1.44 MB volume, each `spacing` apart; some blank (NUL or FF bytes), some damaged past knowing,
// some damaged past use, some holding an image as a file.
Stick make_stick(std::size_t count, std::size_t spacing, Random& random) {
  Stick stick;
  stick.bytes.assign(count * spacing, '\0');
  Set nested;
  nested.files = {
      {"IMAGE.IMG",
       make_volume(Geometry{.sectors_a_cluster = 2, .root_entries = 112, .sectors = 1440, .sectors_a_fat = 3},
                   {}, named_set("INNER")),
       std::nullopt}};
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t at = i * spacing;
    // Where the outer boot sector is gone (case 6), an image in a file would be a sound volume like any
    // other.
    const Set set =
        i % 7 == 3 && i % 10 != 6 ? nested : named_set(fmt::format("S{:03}", i), below(random, 200'000));
    std::string volume = make_volume(floppy, {}, set);
    switch (i % 10) {
      case 4:  // blank
        break;
      case 5:  // blank, as flash memory is
        std::fill_n(stick.bytes.begin() + static_cast<std::ptrdiff_t>(at), spacing, '\xFF');
        break;
      case 6: {  // the boot sector is gone
        volume.replace(0, 512, random_bytes(random, 512));
        stick.bytes.replace(at, volume.size(), volume);
        break;
      }
      case 7: {  // both FATs are gone
        volume.replace(floppy.fat_at(0), 2 * floppy.fat_bytes(),
                       random_bytes(random, 2 * floppy.fat_bytes()));
        stick.bytes.replace(at, volume.size(), volume);
        stick.damaged.push_back(at);
        break;
      }
      case 8: {  // a boot sector with nothing behind it, on NUL or on FF bytes
        if (i % 20 == 8) std::fill_n(stick.bytes.begin() + static_cast<std::ptrdiff_t>(at), spacing, '\xFF');
        stick.bytes.replace(at, 512, volume, 0, 512);
        break;
      }
      default:
        stick.bytes.replace(at, volume.size(), volume);
        stick.good.push_back(at);
    }
  }
  return stick;
}

TEST(FindSlots, FindsEverySoundSlotAndInventsNone) {
  Random random(3);
  // 1.5 MiB, one volume right after the other, and an odd number of sectors.
  for (const std::size_t spacing :
       {std::size_t{1'572'864}, std::size_t{1'474'560}, std::size_t{3133} * 512}) {
    SCOPED_TRACE(spacing);
    const Scratch scratch;
    const Stick stick = make_stick(100, spacing, random);
    save(scratch / "stick.img", stick.bytes);
    const auto begin = std::chrono::steady_clock::now();
    const std::vector<Slot> slots = find_slots(scratch / "stick.img");
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begin;
    std::vector<std::uint64_t> expected = stick.good;
    expected.insert(expected.end(), stick.damaged.begin(), stick.damaged.end());
    std::sort(expected.begin(), expected.end());
    std::vector<std::uint64_t> found;
    std::vector<std::uint64_t> flawed;
    for (const Slot& slot : slots) {
      EXPECT_EQ(slot.number, slot.offset / spacing + 1) << "its place, whatever the places before hold";
      found.push_back(slot.offset);
      if (!slot.flaws.empty()) flawed.push_back(slot.offset);
      EXPECT_EQ(slot.files.size(), 1U);
      EXPECT_EQ(slot.size, floppy.bytes());
    }
    EXPECT_EQ(found, expected);
    EXPECT_EQ(flawed, stick.damaged);
    fmt::print("{} slots found in {} MB at a spacing of {} bytes: {:.3f} s\n", slots.size(),
               stick.bytes.size() / 1'000'000, spacing, took.count());
    RecordProperty(fmt::format("seconds_{}", spacing), fmt::format("{:.3f}", took.count()));
  }
}

TEST(FindSlots, SectorsThatCannotBeReadHideNoOtherSlot) {
  std::string bytes;
  const std::vector<std::string> names = {"ONE", "TWO", "THREE"};
  const std::size_t spacing = floppy.bytes() + 98'304;
  for (const std::string& name : names) {
    bytes += make_volume(floppy, {}, named_set(name, 300'000));
    bytes.resize(spacing * (bytes.size() / spacing + 1), '\0');
  }
  const auto found = [&](std::uint64_t bad) {
    std::vector<std::string> out;
    for (const Volume& volume : find_volumes(WornDisk(bytes, bad))) out.push_back(volume.files.at(0).name);
    return out;
  };
  EXPECT_EQ(found(0), (std::vector<std::string>{"TWO", "THREE"})) << "where the first one's boot sector is";
  EXPECT_EQ(found(spacing), (std::vector<std::string>{"ONE", "THREE"}));
  EXPECT_EQ(found(floppy.cluster_at(300)), names);
  EXPECT_EQ(found(floppy.bytes() + 512), names) << "between two slots";
}

TEST(FindSlots, BoundsTheCostOfHostileMedia) {
  // A boot sector with a plausible root folder in every sector: damaged volumes all, none hiding another.
  std::string boot = make_boot_sector(Geometry{.root_entries = 16, .sectors = 2880}, 1);
  std::string image;
  while (image.size() < (16U << 20U)) image += boot;
  const MemoryDisk disk(image);
  EXPECT_LE(find_volumes(disk).size(), 256U);  // work without a bound would run into the test's time-out
}

// The same bytes over and over, so that a large medium takes no memory.
class RepeatedDisk final : public Disk {
 public:
  RepeatedDisk(const std::string& bytes, std::uint64_t times) : bytes_(bytes), times_(times) {}
  using Disk::read;
  [[nodiscard]] std::uint64_t size() const override { return bytes_.size() * times_; }
  [[nodiscard]] bool read(std::uint64_t offset, char* out, std::size_t count) const override {
    if (offset > size() || count > size() - offset) return false;
    while (count > 0) {
      const std::size_t at = offset % bytes_.size();
      const std::size_t part = std::min(count, bytes_.size() - at);
      std::copy_n(bytes_.data() + at, part, out);
      offset += part;
      out += part;
      count -= part;
    }
    return true;
  }

 private:
  const std::string& bytes_;
  std::uint64_t times_;
};

TEST(FindSlots, BoundsWhatAllVolumesTogetherHold) {
  // Sound volumes of 35 KiB with nothing but a thousand names in them.
  constexpr std::size_t names = 1000;
  const Geometry geometry{.fats = 1, .root_entries = 1024, .sectors = 70, .sectors_a_fat = 1};
  Set set;
  for (std::size_t i = 0; i < names; ++i) set.files.push_back({fmt::format("F{:04}", i), "", std::nullopt});
  const std::string files = make_volume(geometry, {}, set);
  std::string deleted = files;
  std::string flawed = files;
  for (std::size_t i = 0; i < names; ++i) {
    const std::size_t at = geometry.root_at() + i * entry_bytes;
    deleted[at] = static_cast<char>(entry_deleted);
    put32(deleted, at + at_size, 1);
    put16(flawed, at + at_start, first_cluster);  // of a file whose size is 0
  }
  const std::vector<std::pair<std::string, std::size_t>> sticks = {
      {files, max_names / names}, {deleted, max_names / names}, {flawed, max_names / names / 2}};
  for (const auto& each : sticks) {
    const std::string& volume = each.first;
    const std::size_t most = each.second;
    EXPECT_EQ(find_volumes(RepeatedDisk(volume, most)).size(), most);
    std::string what;
    EXPECT_EQ(code_of([&] { (void)find_volumes(RepeatedDisk(volume, most + 1)); }, &what), ErrorKind::input);
    EXPECT_NE(what.find("more than 500000 files"), std::string::npos) << what;
  }
}

TEST(FindSlots, BoundsTheNumberOfVolumes) {
  const Geometry geometry{.fats = 1, .root_entries = 16, .sectors = 4, .sectors_a_fat = 1};
  const std::string volume = make_volume(geometry, {}, Set{});
  ASSERT_EQ(find_volumes(RepeatedDisk(volume, 3)).size(), 3U);
  std::string what;
  EXPECT_EQ(code_of([&] { (void)find_volumes(RepeatedDisk(volume, 100'001)); }, &what), ErrorKind::input);
  EXPECT_NE(what.find("more than 100000 volumes"), std::string::npos) << what;
}

TEST(FindStick, TellsHowMuchIsLookedThrough) {
  const Scratch scratch;
  save(scratch / "stick.img", std::string(5 << 20, '\0'));
  std::vector<std::uint64_t> done;
  (void)find_stick(scratch / "stick.img",
                   [&](std::string_view what, std::uint64_t mebibytes, std::uint64_t of) {
                     EXPECT_EQ(what, "MiB looked through");
                     EXPECT_EQ(of, 5U);
                     done.push_back(mebibytes);
                   });
  EXPECT_EQ(done, (std::vector<std::uint64_t>{0, 1, 2, 3, 4}));
}

TEST(FindStick, NumbersThePlacesWhetherFormattedOrNot) {
  constexpr std::size_t spacing = 1'572'864;
  const Scratch scratch;
  std::string bytes(50 * spacing, '\0');
  const auto put = [&](std::size_t place, const std::string& volume) {
    bytes.replace((place - 1) * spacing, volume.size(), volume);
  };
  put(3, make_volume(floppy, {}, named_set("THREE")));
  put(43, make_volume(floppy, {}, named_set("LAST")));
  put(5, std::string(40'000, 'x'));
  save(scratch / "stick.img", bytes);
  const auto stick = find_stick(scratch / "stick.img");
  ASSERT_EQ(stick.slots.size(), 2U);
  EXPECT_EQ(stick.slots[0].number, 3U);
  EXPECT_EQ(stick.slots[1].number, 43U);
  EXPECT_TRUE(stick.guessed) << "forty places apart, with nothing between";
  ASSERT_EQ(stick.empty.size(), 48U);
  EXPECT_EQ(stick.empty[0].number, 1U);
  EXPECT_EQ(stick.empty[0].holds, EmptyPlace::Holds::nothing);
  EXPECT_EQ(stick.empty[3].number, 5U);
  EXPECT_EQ(stick.empty[3].holds, EmptyPlace::Holds::data);
  EXPECT_EQ(stick.empty.back().number, 50U);
  EXPECT_EQ(read(scratch / "stick.img", {.slot = 43}).files[0].name, "LAST");
  EXPECT_EQ(code_of([&] { read(scratch / "stick.img", {.slot = 2}); }), ErrorKind::usage);
  const Set set = named_set("NEW");
  EXPECT_NE(write_slot(set, scratch / "stick.img", 43).native().find(".slot-43."), std::string::npos);
  EXPECT_EQ(read(scratch / "stick.img", {.slot = 43}).files[0].name, "NEW");
  // A neighbour says how far they lie apart.
  put(4, make_volume(floppy, {}, named_set("FOUR")));
  save(scratch / "stick.img", bytes);
  EXPECT_FALSE(find_stick(scratch / "stick.img").guessed);
  EXPECT_EQ(find_stick(scratch / "stick.img").slots[2].number, 43U);
}

TEST(ReadStick, AsksForASlotAndListsThem) {
  const Scratch scratch;
  save(scratch / "stick.img", make_volume(floppy, {}, named_set("ONE")) + std::string(512, '\0') +
                                  make_volume(floppy, {}, named_set("TWO")));
  std::string what;
  EXPECT_EQ(code_of([&] { read(scratch / "stick.img"); }, &what), ErrorKind::usage);
  EXPECT_NE(what.find("slot 1: 1 files, slot 2: 1 files"), std::string::npos) << what;
  EXPECT_EQ(read(scratch / "stick.img", {.slot = 2}).files[0].name, "TWO");
  EXPECT_EQ(read(scratch / "stick.img", {.slot = 1}).files[0].name, "ONE");
  EXPECT_EQ(code_of([&] { read(scratch / "stick.img", {.slot = 3}); }), ErrorKind::usage);
  EXPECT_EQ(code_of([&] { read(scratch / "stick.img", {.slot = 0}); }), ErrorKind::usage);
}

TEST(ReadStick, ABlankFirstSlotHidesNothing) {
  const Scratch scratch;
  save(scratch / "stick.img", std::string(1'572'864, '\0') + make_volume(floppy, {}, named_set("TWO")));
  EXPECT_EQ(read(scratch / "stick.img").files[0].name, "TWO");
}

TEST(ReadStick, ThereIsNoSlotInAFolderOrAnArchive) {
  const Scratch scratch;
  write_folder(named_set("ONE"), scratch / "folder");
  write_archive(named_set("ONE"), scratch / "a.zip");
  for (const char* name : {"folder", "a.zip"}) {
    EXPECT_EQ(read(scratch / name).files[0].name, "ONE");
    EXPECT_EQ(code_of([&] { read(scratch / name, {.slot = 1}); }), ErrorKind::usage) << name;
  }
}

TEST(ReadFile, AProgramIsNeverTakenForAMedium) {
  const Scratch scratch;
  const std::string texts[] = {"%\nO1234\nG0 X0\nM30\n%\n", std::string(2048, '\0') + "\n%\nO1\n%\n",
                               "#mtree\n./a type=file\n",   "PK\nG0\n",
                               "!<arch>\nG0 X1\n",          "WARC/1.0\n",
                               std::string(100'000, ' '),   ""};
  for (const std::string& text : texts) {
    save(scratch / "O1.nc", text);
    const Set set = read(scratch / "O1.nc");
    ASSERT_EQ(set.files.size(), 1U);
    EXPECT_EQ(set.files[0].name, "O1.nc");
    EXPECT_EQ(set.files[0].bytes, text);
  }
}

TEST(WriteImages, NumbersTheImagesAndLeavesNoneOnFailure) {
  const Scratch scratch;
  Set set;
  for (int i = 0; i < 5; ++i)
    set.files.push_back({fmt::format("F{}", i), std::string(900'000, 'x'), std::nullopt});
  const auto paths = write_images(set, scratch / "set.img");
  ASSERT_EQ(paths.size(), 5U);
  EXPECT_EQ(paths[4].filename(), "set-5.img");
  EXPECT_EQ(read(paths[0]).files.size(), 1U);
  EXPECT_EQ(code_of([&] { write_images(set, scratch / "set.img"); }), ErrorKind::refused);
  EXPECT_EQ(code_of([&] { write_image(set, scratch / "one.img"); }), ErrorKind::refused);
  EXPECT_FALSE(std::filesystem::exists(scratch / "one.img"));
  EXPECT_EQ(code_of([&] { write_image(named_set("A"), scratch / "no/one.img"); }), ErrorKind::store);
}

TEST(FindSlots, ARootFolderIsNoFatWhateverItBeginsWith) {
  std::string bytes = make_volume(floppy, {}, named_set("ONE"));
  for (std::uint32_t copy = 0; copy < floppy.fats; ++copy) bytes.replace(floppy.fat_at(copy), 3, 3, '\0');
  bytes[floppy.root_at()] = static_cast<char>(floppy.media);
  bytes.replace(floppy.root_at() + 1, 2, 2, '\xFF');
  EXPECT_EQ(condition_at(MemoryDisk(bytes), floppy, 0), VolumeCondition::damaged);
}

TEST(ReadStick, TheMediaByteOfASecondFatIsNoDifference) {
  const Scratch scratch;
  std::string bytes = make_volume(floppy, {}, named_set("ONE"));
  bytes[floppy.fat_at(1)] = '\0';
  save(scratch / "floppy.img", bytes);
  const auto flaws = [&] {
    std::string all;
    for (const auto& flaw : read(scratch / "floppy.img").flaws) all += flaw.what + "\n";
    return all;
  };
  EXPECT_EQ(flaws(), "copy 2 of the FAT does not begin like a FAT\n");
  bytes[floppy.fat_at(1) + 40] = '\x7';
  save(scratch / "floppy.img", bytes);
  EXPECT_NE(flaws().find("the copies of the FAT differ"), std::string::npos) << flaws();
}

}  // namespace
}  // namespace keepway::media
