// Writing one slot of a stick, broken off at every write and every sector. Everything is invented.
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <signal.h>  // kill is POSIX
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <set>

#include "keepway/sha256.hpp"
#include "media/fat_format.hpp"
#include "media/fat_volume.hpp"
#include "media/fat_write.hpp"
#include "media/slot_write.hpp"
#include "media_files.hpp"
#include "media_scratch.hpp"
#include "media_tools.hpp"

namespace keepway::media {
namespace {

class WriteSlot : public testing::Test {
 protected:
  WriteSlot() {
    for (const char* name : {"ONE", "TWO", "THREE"}) {
      bytes_ += make_volume(floppy, {}, named_set(name, 300'000)) + std::string(98'304, '\xAA');
    }
    save(stick_, bytes_);
  }
  Scratch scratch_;
  std::filesystem::path stick_ = scratch_ / "stick.img";
  std::string bytes_;
  static constexpr std::size_t spacing = 1'572'864;

  // The stored file of the old content, if there is one.
  std::filesystem::path kept() const {
    for (const auto& entry : std::filesystem::directory_iterator(scratch_.path())) {
      const std::string name = entry.path().filename();
      if (name.starts_with("stick.img.slot-2.before-") && name.ends_with(".img")) return entry.path();
    }
    return {};
  }
};

TEST_F(WriteSlot, TouchesThatSlotAloneAndKeepsTheOld) {
  Random random(4);
  const Set set = random_short_set(random);
  const std::filesystem::path old = write_slot(set, stick_, 2);
  EXPECT_EQ(old, kept());
  EXPECT_EQ(load(old), bytes_.substr(spacing, floppy.bytes()));
  const std::string after = load(stick_);
  ASSERT_EQ(after.size(), bytes_.size());
  EXPECT_TRUE(after.substr(0, spacing) == bytes_.substr(0, spacing));
  EXPECT_TRUE(after.substr(spacing + floppy.bytes()) == bytes_.substr(spacing + floppy.bytes()));
  expect_same(set, read(stick_, {.slot = 2}));
  save(scratch_ / "slot.img", after.substr(spacing, floppy.bytes()));
  EXPECT_EQ(run("fsck.fat -n " + (scratch_ / "slot.img").native()), 0);
  EXPECT_EQ(write_slot(set, stick_, 1, {.keep = false}), "");
}

TEST_F(WriteSlot, KeepsBootSectorLabelAndBadMarks) {
  const std::string image = scratch_ / "own.img";
  ASSERT_EQ(run("mkfs.fat -C -F 12 -n MYLABEL -s 2 " + image + " 720"), 0);
  std::string before = load(image);
  const Geometry geometry = *parse_boot_sector(before);
  for (std::uint32_t copy = 0; copy < 2; ++copy) {
    auto fat =
        unpack_fat(geometry, std::string_view(before).substr(geometry.fat_at(copy), geometry.fat_bytes()));
    fat[0] = static_cast<std::uint16_t>(0xFF00U | geometry.media);
    fat[3] = fat_bad;
    before.replace(geometry.fat_at(copy), geometry.fat_bytes(), pack_fat(geometry, fat));
  }
  save(image, before);
  const Set set = named_set("NEW.NC", 5000);
  write_slot(set, image, 1);
  const Set got = read(image);
  expect_same(set, got);
  EXPECT_EQ(got.label, "MYLABEL");
  const std::string after = load(image);
  EXPECT_EQ(after.substr(0, 512), before.substr(0, 512));
  EXPECT_EQ(unpack_fat(geometry, std::string_view(after).substr(geometry.fat_at(1), geometry.fat_bytes()))[3],
            fat_bad);
  EXPECT_EQ(run("fsck.fat -n " + image), 0);
}

TEST_F(WriteSlot, OfSixteenBitEntriesIsReadByTheReferencePrograms) {
  const std::string image = scratch_ / "large.img";
  ASSERT_EQ(run("mkfs.fat -C -F 16 -s 2 " + image + " 16384"), 0);
  ASSERT_FALSE(parse_boot_sector(load(image))->is_fat12());
  Random random(16);
  const Set set = random_short_set(random);
  write_slot(set, image, 1);
  expect_same(set, read(image));
  EXPECT_EQ(run("fsck.fat -n " + image), 0);
  std::filesystem::create_directory(scratch_ / "out");
  ASSERT_EQ(run(fmt::format("mcopy -s -m -n -i {} \"::*\" {}", image, (scratch_ / "out").native())), 0);
  expect_same(set, read(scratch_ / "out"));
}

// Most often within one second, so that the names in which the old contents are kept would be the same.
TEST_F(WriteSlot, EachWritingKeepsWhatItFound) {
  std::set<std::filesystem::path> all;
  for (const char* name : {"A", "B", "C", "D"}) {
    const std::string before = load(stick_).substr(spacing, floppy.bytes());
    const std::filesystem::path old = write_slot(named_set(name), stick_, 2);
    EXPECT_TRUE(load(old) == before) << name;
    all.insert(old);
  }
  EXPECT_EQ(all.size(), 4U);
}

TEST_F(WriteSlot, AMediumWithoutAVolumeIsLeftAlone) {
  const std::string blank(2'000'000, '\0');
  save(stick_, blank);
  EXPECT_EQ(code_of([&] { write_slot(named_set("X"), stick_, 1); }), ErrorKind::input);
  EXPECT_TRUE(load(stick_) == blank);
}

TEST_F(WriteSlot, WritesNothingWhenTheSetDoesNotFit) {
  EXPECT_EQ(code_of([&] { write_slot(named_set("BIG", 1'500'000), stick_, 2); }), ErrorKind::refused);
  EXPECT_TRUE(load(stick_) == bytes_);
  EXPECT_EQ(kept(), "");
  EXPECT_EQ(code_of([&] { write_slot(named_set("X"), stick_, 4); }), ErrorKind::usage);
}

// Power cut: the process is killed before its Nth write, for every N that there is.
TEST_F(WriteSlot, OldContentIsStoredWheneverTheWritingIsBrokenOff) {
  const Set set = named_set("NEW.NC", 1'200'000);
  const std::string old = bytes_.substr(spacing, floppy.bytes());
  std::size_t torn = 0;
  std::size_t writes = 0;
  for (bool finished = false; !finished; ++writes) {
    ASSERT_LT(writes, 200U);
    save(stick_, bytes_);
    while (!kept().empty()) std::filesystem::remove(kept());
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
      std::size_t left = writes;
      write_slot(set, stick_, 2, {}, [&] {
        if (left-- == 0) ::kill(::getpid(), SIGKILL);
      });
      ::_exit(0);
    }
    int status = 0;
    ASSERT_EQ(::waitpid(child, &status, 0), child);
    finished = WIFEXITED(status) && WEXITSTATUS(status) == 0;
    ASSERT_TRUE(finished || (WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL));
    const std::string now = load(stick_).substr(spacing, floppy.bytes());
    if (now == old) continue;  // not begun: the old content is still in its place
    ++torn;
    ASSERT_NE(kept(), "") << writes;
    EXPECT_TRUE(load(kept()) == old) << writes;
    EXPECT_EQ(read(kept()).files[0].name, "TWO");
  }
  fmt::print("broken off before each of {} writes; in {} the slot was no longer its old self\n", writes - 1,
             torn);
  EXPECT_GT(torn, 15U);
  expect_same(set, read(stick_, {.slot = 2}));
}

struct Cut {};

// The stick as each write finds it, and as it is at the end.
std::vector<std::string> states_of(const std::filesystem::path& stick, const std::string& before,
                                   const Set& set) {
  std::vector<std::string> states;
  for (std::size_t stop = 0;; ++stop) {
    save(stick, before);
    std::size_t writes = 0;
    bool is_cut = false;
    try {
      write_slot(set, stick, 2, {.keep = false}, [&] {
        if (writes++ == stop) throw Cut{};
      });
    } catch (const Cut&) {
      is_cut = true;
    }
    states.push_back(load(stick));
    if (!is_cut) return states;
  }
}

// The files of slot 2, and whether it says that their writing was broken off; the others are as they were.
class CutSlot {
 public:
  CutSlot(Set old, Set fresh) : old_(std::move(old)), fresh_(std::move(fresh)) {}
  void check(const std::string& bytes) {
    const MemoryDisk disk(bytes);
    const auto volumes = find_volumes(disk);
    ASSERT_EQ(volumes.size(), 3U);
    for (const std::size_t other : {std::size_t{0}, std::size_t{2}}) {
      EXPECT_EQ(volumes[other].files.size(), 1U);
      EXPECT_TRUE(volumes[other].flaws.empty());
    }
    const Set got = read_volume(disk, volumes[1], false);
    if (got.files.empty()) {
      ++unfinished_;
      ASSERT_FALSE(got.flaws.empty());
      EXPECT_EQ(got.flaws[0].what,
                "the writing of its files was broken off: it has none until they are written again");
      return;
    }
    EXPECT_TRUE(got.flaws.empty());
    const bool is_old = got.files[0].name == old_.files[0].name && got.files[0].bytes == old_.files[0].bytes;
    ++(is_old ? olds_ : news_);
    expect_same(is_old ? old_ : fresh_, got);
  }
  [[nodiscard]] std::vector<std::size_t> seen() const { return {olds_, unfinished_, news_}; }

 private:
  Set old_;
  Set fresh_;
  std::size_t olds_ = 0;
  std::size_t unfinished_ = 0;
  std::size_t news_ = 0;
};

// What differs between two writes is cut at every sector of it. The new files have the names, sizes and times
// of the old ones in the one case, and are many and in folders in the other.
TEST_F(WriteSlot, ACutLeavesTheOldFilesOrNoneOrTheNew) {
  Set many;
  for (int i = 0; i < 60; ++i)
    many.files.push_back({fmt::format("D{}/F{:03}.NC", i % 3, i), std::string(900, 'n'), 1'000'000'000});
  std::sort(many.files.begin(), many.files.end(),
            [](const File& a, const File& b) { return a.name < b.name; });
  Set alike = named_set("TWO", 300'000);
  alike.files[0].bytes.assign(300'000, 'u');
  for (const Set& set : {alike, many}) {
    const auto states = states_of(stick_, bytes_, set);
    ASSERT_GE(states.size(), 4U);
    CutSlot slot(named_set("TWO", 300'000), set);
    for (std::size_t i = 0; i + 1 < states.size(); ++i) {
      std::string mixed = states[i];
      for (std::size_t at = spacing; at < 2 * spacing; at += boot_bytes) {
        if (mixed.compare(at, boot_bytes, states[i + 1], at, boot_bytes) == 0) continue;
        slot.check(mixed);
        mixed.replace(at, boot_bytes, states[i + 1], at, boot_bytes);
      }
      ASSERT_TRUE(mixed == states[i + 1]);
    }
    slot.check(states.back());
    EXPECT_EQ(slot.seen()[0], 1U) << "before the first write alone";
    EXPECT_GT(slot.seen()[1], 100U);
    EXPECT_EQ(slot.seen()[2], 1U) << "after the last write alone";
    // What was broken off is written again as if nothing had been.
    save(stick_, states[states.size() - 2]);
    write_slot(set, stick_, 2);
    expect_same(set, read(stick_, {.slot = 2}));
    EXPECT_TRUE(load(stick_) == states.back());
  }
}

TEST_F(WriteSlot, ShowsNoFilesThatTheMediumDoesNotHold) {
  const Set set = named_set("NEW.NC", 200'000);
  std::size_t writes = 0;
  write_slot(set, stick_, 2, {}, [&] { ++writes; });
  std::filesystem::remove(kept());
  save(stick_, bytes_);
  std::size_t at = 0;
  Error error(ErrorKind::usage, "", "");
  try {
    write_slot(set, stick_, 2, {}, [&] {
      // Before the last part of the files: what was put into the first is not held.
      if (++at + 1 != writes) return;
      std::fstream out(stick_, std::ios::binary | std::ios::in | std::ios::out);
      out.seekp(static_cast<std::streamoff>(spacing + floppy.cluster_at(10)));
      out << "worn";
    });
  } catch (const Error& thrown) {
    error = thrown;
  }
  EXPECT_EQ(error.kind(), ErrorKind::store);
  EXPECT_NE(error.remedy().find("the old content is in " + kept().native()), std::string::npos)
      << error.remedy();
  const auto slots = find_slots(stick_);
  ASSERT_EQ(slots.size(), 3U);
  EXPECT_TRUE(slots[1].files.empty());
  ASSERT_FALSE(slots[1].flaws.empty());
  EXPECT_NE(slots[1].flaws[0].what.find("broken off"), std::string::npos);
}

TEST_F(WriteSlot, IsRefusedWhereTheSlotIsNotAsItWasShown) {
  const std::string seen = describe_target(stick_, 2).digest;
  const Set set = named_set("NEW.NC");
  save(stick_, bytes_.substr(0, spacing) + bytes_.substr(2 * spacing) + bytes_.substr(spacing, spacing));
  const std::string other = load(stick_);
  EXPECT_EQ(code_of([&] { write_slot(set, stick_, 2, {.seen = seen}); }), ErrorKind::refused);
  EXPECT_TRUE(load(stick_) == other);
  EXPECT_EQ(kept(), "");
  write_slot(set, stick_, 3, {.seen = seen});
  EXPECT_EQ(code_of([&] { write_slot(set, stick_, 3, {.seen = seen}); }), ErrorKind::refused) << "once";
}

TEST(DescribeTarget, SaysWhatWouldBeOverwritten) {
  const Scratch scratch;
  EXPECT_FALSE(describe_target(scratch / "none").exists);
  save(scratch / "stick.img", make_volume(floppy, {}, named_set("ONE")));
  const Target target = describe_target(scratch / "stick.img");
  EXPECT_TRUE(target.exists);
  EXPECT_FALSE(target.device);
  ASSERT_EQ(target.slots.size(), 1U);
  EXPECT_EQ(target.slots[0].files[0].name, "ONE");
  EXPECT_EQ(describe_target(scratch / "stick.img", 1).digest, sha256_hex(load(scratch / "stick.img")));
  EXPECT_EQ(code_of([&] { (void)describe_target(scratch / "stick.img", 2); }), ErrorKind::usage);
}

}  // namespace
}  // namespace keepway::media
