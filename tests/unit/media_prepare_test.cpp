// Preparing media: what mkfs.fat would make, what is refused, and what a cut leaves. All names are invented.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "media/fat_volume.hpp"
#include "media/medium_use.hpp"
#include "media/prepare.hpp"
#include "media_files.hpp"
#include "media_scratch.hpp"
#include "media_tools.hpp"

namespace keepway::media {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

constexpr std::size_t spacing = 1'572'864;

Set two_files() {
  Set set;
  set.files = {{"ALL.PRG", std::string(200'000, 'a'), 1'000'000'000},
               {"PARAM.TXT", std::string(3'000, 'p'), 1'000'000'000}};
  return set;
}

// Three slots with files.
std::string full_stick() {
  std::string bytes(3 * spacing, '\0');
  for (std::size_t i = 0; i < 3; ++i) {
    const std::string volume =
        make_volume(floppy, {.reserved = {}, .bad = {}, .label = "OLD", .label_time = {}}, two_files());
    bytes.replace(i * spacing, volume.size(), volume);
  }
  return bytes;
}

TEST(Prepare, AVolumeIsWhatMkfsMakes) {
  for (const FloppySize size : {FloppySize::kb1440, FloppySize::kb720}) {
    const Scratch scratch;
    const fs::path image = scratch / "one.img";
    prepare(plan_prepare({.path = image, .size = size, .labels = {"mill-1"}}));
    const fs::path made = scratch / "mkfs.img";
    ASSERT_EQ(run(fmt::format("mkfs.fat -C -n MILL-1 {} {}", made.string(),
                              size == FloppySize::kb720 ? 720 : 1440)),
              0);
    const std::string ours = load(image);
    const std::string theirs = load(made);
    ASSERT_EQ(ours.size(), theirs.size());
    // ECMA-107: the FDC descriptor (bytes 11 to 29), the label and the type in it, and the signature.
    EXPECT_EQ(ours.substr(11, 19), theirs.substr(11, 19));
    EXPECT_EQ(ours.substr(43, 19), theirs.substr(43, 19));
    EXPECT_EQ(ours.substr(510, 2), theirs.substr(510, 2));
    const Geometry& geometry = geometry_of(size);
    const auto fat_at = static_cast<std::size_t>(geometry.fat_at(0));
    EXPECT_EQ(ours.substr(fat_at, 2 * geometry.fat_bytes()), theirs.substr(fat_at, 2 * geometry.fat_bytes()));
    const auto root = static_cast<std::size_t>(geometry.root_at());
    EXPECT_EQ(ours.substr(root, 12), theirs.substr(root, 12)) << "the label's entry; mkfs.fat dates it";
    EXPECT_EQ(run(fmt::format("fsck.fat -n {}", image.string())), 0);
    save(scratch / "ALL.PRG", "O1\n");
    EXPECT_EQ(run(fmt::format("mcopy -i {} {} ::", image.string(), (scratch / "ALL.PRG").string())), 0);
    EXPECT_EQ(run(fmt::format("mdir -i {} ::ALL.PRG", image.string())), 0);
    EXPECT_EQ(run(fmt::format("fsck.fat -n {}", image.string())), 0);
    EXPECT_EQ(read(image).files.at(0).bytes, "O1\n");
  }
}

TEST(Prepare, SlotsHaveTheNumbersAndLabelsThatWereAskedFor) {
  const Scratch scratch;
  const fs::path image = scratch / "stick.img";
  prepare(plan_prepare({.path = image, .count = 4, .spacing = spacing, .labels = {"LATHE", "", "mill 2"}}));
  EXPECT_EQ(load(image).size(), 4 * spacing);
  const auto stick = find_stick(image);
  ASSERT_EQ(stick.slots.size(), 4U);
  EXPECT_FALSE(stick.guessed);
  const char* labels[] = {"LATHE", "", "MILL 2", ""};
  std::set<std::string> numbers;  // of the volumes, in the boot sector
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_EQ(stick.slots[i].number, i + 1);
    EXPECT_EQ(stick.slots[i].label, labels[i]);
    EXPECT_EQ(stick.slots[i].free_bytes, 2847U * 512U);
    EXPECT_TRUE(stick.slots[i].flaws.empty());
    numbers.insert(load(image).substr(i * spacing + 39, 4));
  }
  EXPECT_EQ(numbers.size(), 4U);
  // Single slots of a stick that is in use: the others stay, and its distance is known.
  const Set set = two_files();
  write_slot(set, image, 1, {.keep = false});
  write_slot(set, image, 3, {.keep = false});
  const PreparePlan plan = plan_prepare({.path = image, .count = 1, .first = 3, .labels = {"NEW"}});
  EXPECT_EQ(plan.spacing, spacing);
  ASSERT_EQ(plan.replaced.size(), 1U);
  EXPECT_EQ(plan.replaced[0].number, 3U);
  EXPECT_EQ(plan.left.size(), 3U);
  const auto kept = prepare(plan);
  ASSERT_EQ(kept.size(), 1U);
  expect_same(with_short_names(set), read(kept[0]));
  EXPECT_EQ(find_slots(image)[2].label, "NEW");
  EXPECT_TRUE(find_slots(image)[2].files.empty());
  expect_same(with_short_names(set), read(image, {.slot = 1}));
}

TEST(Prepare, SmallVolumesMayLieFarApart) {
  const Scratch scratch;
  const fs::path image = scratch / "stick.img";
  const PrepareRequest two{
      .path = image, .count = 2, .spacing = spacing, .size = FloppySize::kb720, .labels = {}};
  EXPECT_EQ(code_of([&] { plan_prepare(two); }), ErrorKind::usage) << "two may be the first and the third";
  prepare(plan_prepare(
      {.path = image, .count = 3, .spacing = spacing, .size = FloppySize::kb720, .labels = {"A", "B", "C"}}));
  const auto slots = find_slots(image);
  ASSERT_EQ(slots.size(), 3U);
  for (std::size_t i = 0; i < 3; ++i) EXPECT_EQ(slots[i].number, i + 1);
}

TEST(Prepare, TouchesNothingElse) {
  Random random(5);
  const Scratch scratch;
  const fs::path image = scratch / "stick.img";
  const std::string before = random_bytes(random, 4 * spacing);
  save(image, before);
  prepare(plan_prepare({.path = image, .count = 3, .spacing = spacing}));
  std::string after = load(image);
  ASSERT_EQ(after.size(), before.size());
  for (std::size_t i = 0; i < 3; ++i) {
    const auto system = static_cast<std::size_t>(floppy.data_at());
    EXPECT_NE(after.substr(i * spacing, system), before.substr(i * spacing, system));
    after.replace(i * spacing, system, before, i * spacing, system);
  }
  EXPECT_TRUE(after == before);
  EXPECT_EQ(find_slots(image).size(), 3U);
}

TEST(Prepare, RefusesWhatCannotBe) {
  const Scratch scratch;
  const fs::path image = scratch / "stick.img";
  std::string what;
  const auto kind = [&](const PrepareRequest& request) {
    return code_of([&] { plan_prepare(request); }, &what);
  };
  EXPECT_EQ(kind({.path = image, .count = 3}), ErrorKind::usage);
  EXPECT_THAT(what, HasSubstr("how far the slots lie apart"));
  EXPECT_EQ(kind({.path = image, .count = 3, .spacing = spacing + 1}), ErrorKind::usage);
  EXPECT_EQ(kind({.path = image, .count = 3, .spacing = 512}), ErrorKind::usage);
  EXPECT_EQ(kind({.path = image, .count = 5'000, .spacing = spacing}), ErrorKind::usage);
  EXPECT_EQ(kind({.path = image, .count = 1, .first = 4, .spacing = 2'097'152}), ErrorKind::usage)
      << "a lone volume does not show its number";
  EXPECT_THAT(what, HasSubstr("would show slot 4 as 5"));
  EXPECT_EQ(kind({.path = image, .labels = {"TWELVE CHARS"}}), ErrorKind::usage);
  EXPECT_EQ(kind({.path = image, .labels = {"A/B"}}), ErrorKind::usage);
  EXPECT_EQ(kind({.path = image, .labels = {"M\xC3\xBCHLE"}}), ErrorKind::usage);
  EXPECT_FALSE(fs::exists(image));

  save(image, full_stick());
  const std::string before = load(image);
  EXPECT_EQ(kind({.path = image, .count = 4}), ErrorKind::usage);
  EXPECT_THAT(what, HasSubstr("there is room for 3 such slots"));
  EXPECT_EQ(kind({.path = scratch.path()}), ErrorKind::refused);
  std::string odd(3 * spacing, '\0');
  const std::string volume = make_volume(floppy, {}, two_files());
  odd.replace(1'000'448, volume.size(), volume);
  save(scratch / "odd.img", odd);
  EXPECT_EQ(kind({.path = scratch / "odd.img", .count = 2, .first = 2, .spacing = spacing}),
            ErrorKind::refused);
  EXPECT_THAT(what, HasSubstr("reaches into a slot"));
  fs::permissions(image, fs::perms::owner_read);
  EXPECT_EQ(kind({.path = image, .count = 3}), ErrorKind::refused);
  EXPECT_THAT(what, HasSubstr("read-only"));
  fs::permissions(image, fs::perms::owner_all);
  EXPECT_TRUE(load(image) == before);

  // Changed for another between the plan and the writing.
  const PreparePlan plan = plan_prepare({.path = image, .count = 3});
  Set other;
  other.files = {{"OTHER", "1", std::nullopt}};
  write_slot(other, image, 2, {.keep = false});
  EXPECT_EQ(code_of([&] { prepare(plan); }, &what), ErrorKind::refused);
  EXPECT_THAT(what, HasSubstr("is not as it was shown"));
  EXPECT_EQ(find_slots(image)[0].files.size(), 2U);
}

// The system's own files about a stick, invented.
class UnfitDevice : public testing::Test {
 protected:
  void SetUp() override {
    put("devices/stick/dev", "8:16");
    put("devices/stick/removable", "1");
    put("devices/stick/ro", "0");
    put("devices/stick/part/dev", "8:17");
    put("devices/stick/part/partition", "1");
    put("devices/stick/part/ro", "0");
    fs::create_directories(scratch_ / "sys/dev/block");
    fs::create_directory_symlink("../../devices/stick", scratch_ / "sys/dev/block/8:16");
    fs::create_directory_symlink("../../devices/stick/part", scratch_ / "sys/dev/block/8:17");
    save(scratch_ / "mounts", "22 1 254:0 / / rw - ext4 /dev/x rw\n");
  }
  void put(const fs::path& file, const std::string& text) {
    const fs::path path = scratch_ / "sys" / file;
    fs::create_directories(path.parent_path());
    save(path, text + "\n");
  }
  std::string refusal(const std::string& id, std::uint64_t bytes = 8'000'000'000) {
    std::string what;
    const auto kind = code_of(
        [&] {
          refuse_unfit_device("/dev/of-the-test", id, bytes, {scratch_ / "sys", scratch_ / "mounts"});
        },
        &what);
    EXPECT_TRUE(!kind || *kind == ErrorKind::refused);
    return kind ? what : "";
  }
  Scratch scratch_;
};

TEST_F(UnfitDevice, AStickIsTaken) {
  EXPECT_EQ(refusal("8:16"), "");
  EXPECT_EQ(refusal("8:17"), "");
}

TEST_F(UnfitDevice, MountedItIsNot) {
  save(scratch_ / "mounts",
       "22 1 254:0 / / rw - ext4 /dev/x rw\n30 22 8:17 / /media/stick rw - vfat /dev/y rw\n");
  EXPECT_THAT(refusal("8:16"), HasSubstr("mounted at /media/stick"));
  EXPECT_THAT(refusal("8:17"), HasSubstr("mounted at /media/stick"));
  save(scratch_ / "mounts", "30 22 8:16 / /media/stick rw - vfat /dev/y rw\n");
  EXPECT_THAT(refusal("8:16"), HasSubstr("mounted at /media/stick"));
  EXPECT_THAT(refusal("8:17"), HasSubstr("mounted at /media/stick"));
}

TEST_F(UnfitDevice, NorReadOnlyFixedLargeOrUnknown) {
  put("devices/stick/ro", "1");
  EXPECT_THAT(refusal("8:16"), HasSubstr("read-only"));
  EXPECT_THAT(refusal("8:17"), HasSubstr("read-only"));
  put("devices/stick/ro", "0");
  put("devices/stick/removable", "0");
  EXPECT_THAT(refusal("8:16"), HasSubstr("fixed disk"));
  EXPECT_THAT(refusal("8:17"), HasSubstr("fixed disk"));
  put("devices/stick/removable", "1");
  EXPECT_EQ(refusal("8:16", max_stick_bytes), "");
  EXPECT_THAT(refusal("8:16", max_stick_bytes + 1), HasSubstr("no more than"));
  EXPECT_THAT(refusal("8:99"), HasSubstr("does not say"));
}

TEST(UnfitImage, InUseAsALoopDeviceItIsNotTaken) {
  const Scratch scratch;
  save(scratch / "a stick.img", std::string(2'000'000, '\0'));
  fs::create_directories(scratch / "sys/block/loop3/loop");
  save(scratch / "sys/block/loop3/loop/backing_file", fs::canonical(scratch / "a stick.img").native() + "\n");
  std::string what;
  EXPECT_EQ(code_of(
                [&] {
                  refuse_unfit_image(scratch / "a stick.img", 2'000'000, {scratch / "sys", "/none"});
                },
                &what),
            ErrorKind::refused);
  EXPECT_THAT(what, HasSubstr("in use as /dev/loop3"));
}

struct Cut {};

// The image as each write finds it, and as it is at the end.
std::vector<std::string> states_of(const Scratch& scratch, const std::string& before,
                                   const PrepareRequest& asked) {
  std::vector<std::string> states;
  for (std::size_t stop = 0;; ++stop) {
    const fs::path image = scratch / fmt::format("cut-{}.img", stop);
    save(image, before);
    PrepareRequest request = asked;
    request.path = image;
    std::size_t writes = 0;
    try {
      prepare(plan_prepare(request), {.keep = false}, [&] {
        if (writes++ == stop) throw Cut{};
      });
    } catch (const Cut&) {
      states.push_back(load(image));
      fs::remove(image);
      continue;
    }
    states.push_back(load(image));
    return states;
  }
}

// Old is with both files whole, new without any; what differs between two writes is cut at every sector.
TEST(Prepare, ACutLeavesEachSlotOldOrNew) {
  const std::string old = full_stick();
  for (const FloppySize size : {FloppySize::kb1440, FloppySize::kb720}) {
    const Scratch scratch;
    const auto states = states_of(
        scratch, old, {.path = "", .count = 3, .spacing = spacing, .size = size, .labels = {"A", "B", "C"}});
    ASSERT_EQ(states.size(), 13U) << "four writes a slot";
    std::size_t seen_old = 0;
    std::size_t seen_new = 0;
    const auto check = [&](const std::string& bytes, std::size_t at) {
      const MemoryDisk disk(bytes);
      const auto volumes = find_volumes(disk);
      ASSERT_EQ(volumes.size(), 3U) << "cut at byte " << at;
      for (const Volume& volume : volumes) {
        EXPECT_EQ(volume.offset % spacing, 0U);
        if (volume.files.empty()) {
          ++seen_new;
          continue;
        }
        ++seen_old;
        expect_same(with_short_names(two_files()), read_volume(disk, volume, false));
      }
    };
    for (std::size_t i = 0; i + 1 < states.size(); ++i) {
      std::string mixed = states[i];
      for (std::size_t at = 0; at < mixed.size(); at += 256) {
        if (mixed.compare(at, 256, states[i + 1], at, 256) == 0) continue;
        check(mixed, at);
        mixed.replace(at, 256, states[i + 1], at, 256);
      }
      EXPECT_TRUE(mixed == states[i + 1]);
    }
    check(states.back(), 0);
    EXPECT_GT(seen_old, 3U);
    EXPECT_GT(seen_new, 3U);
    const auto volumes = find_volumes(MemoryDisk(states.back()));
    ASSERT_EQ(volumes.size(), 3U);
    for (const Volume& volume : volumes) EXPECT_TRUE(volume.flaws.empty());
  }
}

TEST(Prepare, AMediumThatDoesNotHoldItIsFound) {
  const Scratch scratch;
  const fs::path image = scratch / "stick.img";
  save(image, std::string(3 * spacing, '\0'));
  const PreparePlan plan = plan_prepare({.path = image, .count = 3, .spacing = spacing});
  std::size_t writes = 0;
  std::string what;
  // As a stick that is smaller than it says: the last write goes over the first place.
  EXPECT_EQ(code_of(
                [&] {
                  prepare(plan, {}, [&] {
                    if (++writes < 3) return;
                    std::fstream out(image, std::ios::binary | std::ios::in | std::ios::out);
                    out.seekp(600);
                    out << "over";
                  });
                },
                &what),
            ErrorKind::store);
  EXPECT_THAT(what, HasSubstr("slot 1 differs"));
}

TEST(Prepare, ANewImageAppearsWholeOrNotAtAll) {
  const Scratch scratch;
  const fs::path image = scratch / "stick.img";
  const PreparePlan plan = plan_prepare({.path = image, .count = 3, .spacing = spacing});
  std::size_t writes = 0;
  EXPECT_THROW(prepare(plan, {},
                       [&] {
                         if (++writes == 3) throw Cut{};
                       }),
               Cut);
  EXPECT_TRUE(fs::is_empty(scratch.path()));
  prepare(plan);
  EXPECT_EQ(find_slots(image).size(), 3U);
  EXPECT_EQ(code_of([&] { prepare(plan); }), ErrorKind::refused) << "it is there now";
}

TEST(MediumUse, AnImageLargerThanAnyStickIsRefused) {
  const Scratch scratch;
  save(scratch / "stick.img", "x");
  EXPECT_FALSE(code_of([&] { refuse_unfit_image(scratch / "stick.img", max_stick_bytes); }));
  EXPECT_EQ(code_of([&] { refuse_unfit_image(scratch / "stick.img", max_stick_bytes + 1); }),
            ErrorKind::refused);
}

}  // namespace
}  // namespace keepway::media
