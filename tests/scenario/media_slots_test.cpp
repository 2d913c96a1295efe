// `keepway slots` on sticks and images that mkfs.fat and mcopy wrote.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>

#include "media_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;
using testing::Not;

constexpr std::size_t spacing = 1'572'864;  // 1.5 MiB; nothing depends on it

class MediaSlots : public MediaTest {
 protected:
  void SetUp() override {
    MediaTest::SetUp();
    enroll_lathe();
    enroll_mill();
  }
  Json slots(const fs::path& path, int exit = 0) {
    const Untouched untouched(path);
    return json({"slots", path.string()}, exit);
  }
};

TEST_F(MediaSlots, AMachineIsEnrolledFromASlot) {
  const fs::path lathe = floppy("lathe.img", lathe_files(), "LATHE");
  const fs::path path =
      stick("stick.img", {read_file(floppy("mill.img", mill_files())), read_file(lathe)}, spacing);
  const Ran none = kw({"enroll", "lathe-2", "--from", path.string()});
  EXPECT_EQ(none.exit, 2) << none.out << none.err;
  EXPECT_THAT(none.err, HasSubstr("--slot"));
  const Ran ran = kw({"enroll", "lathe-2", "--from", path.string(), "--slot", "2"});
  EXPECT_LE(ran.exit, 1) << ran.out << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("keepway intake lathe-2 '" + path.string() + "' --slot 2"));
  const std::string layout = (repository("lathe-2") / "layout.toml").string();
  EXPECT_LE(kw({"try", layout, path.string(), "--slot", "2"}).exit, 1);
  EXPECT_LE(kw({"intake", "lathe-2", path.string(), "--slot", "2"}).exit, 1);
  EXPECT_EQ(kw({"enroll", "lathe-3", "--layout", "rs274ngc", "--slot", "2"}).exit, 2);
}

TEST_F(MediaSlots, ASlotOfAnotherMachineIsNotOverwrittenWithoutAWord) {
  const fs::path path =
      stick("stick.img",
            {read_file(floppy("lathe.img", lathe_files())), read_file(floppy("mill.img", mill_files())),
             read_file(floppy("empty.img", {}))},
            spacing);
  intake("mill", mill_files(), 0, {"--at", "2026-03-01"});
  const auto into = [&](const char* slot, const Args& more = {}) {
    Args args = {"restore", "mill", "--at", "#1", "--to", path.string(), "--slot", slot};
    args.insert(args.end(), more.begin(), more.end());
    return kw(args);
  };
  const std::string before = read_file(path);
  const Ran refused = into("1");
  EXPECT_EQ(refused.exit, 5) << refused.out;
  EXPECT_THAT(refused.err, HasSubstr("probably of lathe"));
  EXPECT_THAT(refused.err, HasSubstr("PARAM.TXT"));
  EXPECT_EQ(read_file(path), before);
  const Ran own = into("2");
  EXPECT_EQ(own.exit, 0) << own.err;
  EXPECT_THAT(own.err, HasSubstr("probably of mill, which would be overwritten"));
  EXPECT_EQ(into("3").err, "");
  EXPECT_EQ(into("1", {"--overwrite"}).exit, 0);
}

// Two machines of one builder, whose files differ in the line with the serial. The control is invented.
class SlotsOfTwins : public MediaTest {
 protected:
  static Tree files(const std::string& serial) {
    return {{"ZERO.LST", "MACHINE NO " + serial + "\nG54 X-1.250 Y2.000\nG55 X0.000 Y1.500\nEND\n"},
            {"JOBS.ALL", "%\nO1\nG21 G0 X1.\nM30\n%\n"}};
  }
  void SetUp() override {
    MediaTest::SetUp();
    enroll("north", "2207");
    ASSERT_LE(kw({"intake", "north", put(files("2207")).string(), "--at", "2026-03-01"}).exit, 1);
  }
  void enroll(const std::string& name, const std::string& serial) {
    ASSERT_LE(kw({"enroll", name, "--from", put(files(serial)).string(), "--title", "Mill " + name}).exit, 1);
  }
  fs::path one(const std::string& serial, const std::string& label) {
    ++floppies_;
    const std::string volume = read_file(floppy(fmt::format("{}.img", floppies_), files(serial), label));
    const std::string empty = read_file(floppy(fmt::format("empty-{}.img", floppies_), {}));
    return stick("stick.img", {volume, empty, volume}, spacing);
  }
  Json first_slot() { return json({"slots", (root() / "stick.img").string()}, 0).at("slots").at(0); }
  Ran write(const Args& more = {}, const std::string& machine = "north") {
    Args args = {"restore", machine, "--at", "#1", "--to", (root() / "stick.img").string(), "--slot", "1"};
    args.insert(args.end(), more.begin(), more.end());
    return kw(args);
  }

 private:
  int floppies_ = 0;
};

TEST_F(SlotsOfTwins, AnotherSerialIsRefusedThoughThatMachineIsNotEnrolled) {
  const fs::path path = one("2208", "");
  const std::string before = read_file(path);
  EXPECT_EQ(first_slot().at("machine"), "");
  EXPECT_EQ(first_slot().at("says"), "ZERO.LST:1 says 'MACHINE NO 2208'");
  EXPECT_THAT(kw({"slots", path.string()}).out, HasSubstr("of another machine: ZERO.LST:1 says"));
  const Ran refused = write();
  EXPECT_EQ(refused.exit, 5) << refused.out;
  EXPECT_THAT(refused.err, HasSubstr("the slot is another machine's (ZERO.LST:1 says 'MACHINE NO 2208')"));
  EXPECT_EQ(read_file(path), before);
  EXPECT_EQ(write({"--overwrite"}).exit, 0);
  EXPECT_EQ(first_slot().at("machine"), "north");
  EXPECT_EQ(write().exit, 0) << "it is its own now";
}

TEST_F(SlotsOfTwins, TheSerialsLineDecidesBeforeAnyLikeness) {
  enroll("south", "2208");
  one("2208", "");
  EXPECT_EQ(first_slot().at("machine"), "south");
  EXPECT_EQ(write().exit, 5);
  one("2207", "");
  EXPECT_EQ(first_slot().at("machine"), "north");
}

TEST_F(SlotsOfTwins, AnotherMachinesLabelIsRefused) {
  enroll("south", "2208");
  one("2207", "SOUTH");
  EXPECT_EQ(first_slot().at("machine"), "") << "the files say north, the label does not";
  const Ran refused = write();
  EXPECT_EQ(refused.exit, 5);
  EXPECT_THAT(refused.err, HasSubstr("(label SOUTH)"));
  one("2207", "MILL NORTH");
  EXPECT_EQ(first_slot().at("machine"), "north");
  EXPECT_EQ(write().exit, 0);
  one("2207", "DISK 4");
  EXPECT_EQ(write().exit, 0) << "a label of no machine says nothing";
}

// The names of a floppy have three letters behind the point.
TEST_F(MediaSlots, AnotherSerialInNamesIsAnothersButNotOneThatTheFloppyCut) {
  const Tree files = lathe_files();
  Tree cut = files;
  cut["310.PNL"] = cut.at("3107.PNL");
  cut.erase("3107.PNL");
  Tree other = files;
  other["4108.PNL"] = other.at("3107.PNL");
  other.erase("3107.PNL");
  intake("lathe", files, 0, {"--at", "2026-03-01"});
  const fs::path path =
      stick("stick.img", {read_file(floppy("cut.img", cut)), read_file(floppy("other.img", other))}, spacing);
  const auto into = [&](const char* slot) {
    return kw({"restore", "lathe", "--at", "#1", "--to", path.string(), "--slot", slot});
  };
  const Ran refused = into("2");
  EXPECT_EQ(refused.exit, 5) << refused.out;
  EXPECT_THAT(refused.err, HasSubstr("4108.PNL is named with another serial"));
  EXPECT_EQ(into("1").exit, 0);
}

// The control names a serial of its own, which the nameplate does not have.
TEST_F(SlotsOfTwins, WhatItsOwnBackupsNameIsNotAnothers) {
  std::string layout = read_file(repository("north") / "layout.toml");
  for (std::size_t at = 0; (at = layout.find("\nserial ")) != std::string::npos;)
    layout.erase(at, layout.find('\n', at + 1) - at);
  write_file(root() / "plain.toml", layout);
  ASSERT_EQ(kw({"enroll", "east", "--layout", (root() / "plain.toml").string(), "--serial", "E-77"}).exit, 0);
  ASSERT_LE(kw({"intake", "east", put(files("9001")).string(), "--at", "2026-03-01", "--accept"}).exit, 1);
  one("9001", "");
  EXPECT_EQ(first_slot().at("machine"), "east");
  EXPECT_EQ(write({"--accept"}, "east").exit, 0);
  one("9002", "");
  EXPECT_EQ(first_slot().at("machine"), "");
  EXPECT_EQ(write({"--accept"}, "east").exit, 5);
}

TEST_F(MediaSlots, OfMachinesOfOneLayoutTheSerialDecides) {
  for (const char* serial : {"A417", "B417"})
    ASSERT_EQ(kw({"enroll", std::string("mill-") + serial, "--layout", "rs274ngc", "--serial", serial}).exit,
              0);
  Tree files = mill_files();
  files["mill.ini"] = "; control B417\n" + files.at("mill.ini");
  const fs::path path = stick(
      "stick.img", {read_file(floppy("a.img", files)), read_file(floppy("b.img", mill_files()))}, spacing);
  const Json found = slots(path).at("slots");
  EXPECT_EQ(found[0].at("machine"), "mill-B417");
  EXPECT_EQ(found[1].at("machine"), "") << "nothing decides";
}

TEST_F(MediaSlots, TellFilesDatesRoomAndTheMachine) {
  const fs::path lathe = floppy("lathe.img", lathe_files(), "LATHE");
  const fs::path mill = floppy("mill.img", mill_files());
  const fs::path empty = floppy("empty.img", {});
  const fs::path path = stick(
      "stick.img", {read_file(lathe), "", read_file(mill), read_file(empty), "", read_file(mill)}, spacing);
  const Json found = slots(path).at("slots");
  ASSERT_EQ(found.size(), 4U);  // blanks are no slots, but count
  const std::size_t places[] = {0, 2, 3, 5};
  const char* machines[] = {"lathe", "mill", "", "mill"};
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_EQ(found[i].at("slot"), places[i] + 1);
    EXPECT_EQ(found[i].at("offset"), places[i] * spacing);
    EXPECT_EQ(found[i].at("size"), floppy_bytes);
    EXPECT_EQ(found[i].at("machine"), machines[i]);
    EXPECT_EQ(found[i].at("full"), false);
    EXPECT_TRUE(found[i].at("flaws").empty()) << found[i];
  }
  EXPECT_EQ(found[0].at("label"), "LATHE");
  EXPECT_EQ(found[2].at("free"), floppy_room);
  std::size_t taken = 0;
  ASSERT_EQ(found[0].at("files").size(), lathe_files().size());
  for (const Json& file : found[0].at("files")) {
    const std::string bytes = lathe_files().at(file.at("name"));
    EXPECT_EQ(file.at("size"), bytes.size());
    EXPECT_EQ(file.at("modified"), "2026-03-01T09:00:00Z");
    taken += (bytes.size() + cluster_bytes - 1) / cluster_bytes * cluster_bytes;
  }
  EXPECT_EQ(found[0].at("free"), floppy_room - taken);

  const Ran shown = kw({"slots", path.string()});
  EXPECT_EQ(shown.exit, 0);
  for (const char* said : {"4 slots", "seems to be lathe", "seems to be mill", "label LATHE", "1,457,664",
                           "ALL.PRG", "2026-03-01"}) {
    EXPECT_THAT(shown.out, HasSubstr(said));
  }
}

TEST_F(MediaSlots, PlacesWithoutAVolumeAreListedAndCounted) {
  const std::string one = read_file(floppy("one.img", mill_files()));
  const fs::path holes = stick("holes.img", {one, "", one, one}, spacing);
  const Ran ran = kw({"slots", holes.string()});
  EXPECT_THAT(ran.out, HasSubstr("3 slots; 1 place without a volume"));
  EXPECT_THAT(ran.out, HasSubstr("  slot 2   not formatted, blank"));
  EXPECT_EQ(slots(holes).at("slots").at(1).at("slot"), 3);
  EXPECT_EQ(kw({"inspect", "mill", holes.string(), "--slot", "3"}).exit, 0);
  const Ran hole = kw({"inspect", "mill", holes.string(), "--slot", "2"});
  EXPECT_EQ(hole.exit, 2);
  EXPECT_THAT(hole.err, HasSubstr("slot 2 holds no volume"));
  const std::string empty = read_file(floppy("none.img", {}));
  const fs::path runs =
      stick("runs.img", {one, empty, empty, empty, "", "", std::string(9'000, 'x'), one}, spacing);
  const std::string folded = kw({"slots", runs.string()}).out;
  EXPECT_THAT(folded, HasSubstr("  slots 2-4  formatted, no files\n  slots 5-6  not formatted, blank\n  slot "
                                "7   ! no volume but data"));
  EXPECT_EQ(slots(runs).at("without_volume").size(), 3U);
  EXPECT_TRUE(slots(holes).at("gaps").get<bool>());
  EXPECT_FALSE(slots(stick("whole.img", {one, one, one}, spacing)).at("gaps").get<bool>());
}

TEST_F(MediaSlots, ADamagedSlotIsListedWithWhatIsWrong) {
  const std::string good = read_file(floppy("good.img", lathe_files()));
  std::string no_fat = good;
  no_fat.replace(512, 18 * cluster_bytes, 18 * cluster_bytes, '\xF6');
  std::string crossed = good;
  set_first_cluster(crossed, "PARAM   TXT", first_cluster(good, "ALL     PRG"));
  std::string no_boot = good;
  no_boot.replace(0, cluster_bytes, cluster_bytes, '\0');
  const Json found = slots(stick("stick.img", {good, no_fat, no_boot, crossed}, 1'474'560)).at("slots");
  ASSERT_EQ(found.size(), 3U);  // nothing reports a volume where the boot sector is lost
  EXPECT_TRUE(found[0].at("flaws").empty());
  EXPECT_THAT(found[1].at("flaws").dump(), HasSubstr("FAT"));
  EXPECT_EQ(found[1].at("files").size(), lathe_files().size());
  EXPECT_THAT(found[2].at("flaws").dump(), HasSubstr("shares clusters"));
  std::vector<std::string> flagged;
  for (const Json& flaw : found[2].at("flaws")) flagged.push_back(flaw.at("file"));
  EXPECT_THAT(flagged, testing::IsSupersetOf({"ALL.PRG", "PARAM.TXT"}));
  EXPECT_THAT(flagged, Not(testing::Contains("OFFSETS.TXT")));
}

TEST_F(MediaSlots, WorkWithoutAShop) {
  const fs::path image = floppy("one.img", lathe_files());
  const Ran ran = keepway({"slots", image.string()}, root());
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("1 slot"));
  EXPECT_THAT(ran.out, Not(HasSubstr("seems to be")));
}

TEST_F(MediaSlots, NamesAndLabelsCannotSteerTheTerminal) {
  std::string image = read_file(floppy("odd.img", {{"AAAA.TXT", "1"}}, "XXXX"));
  image.replace(entry_of(image, "AAAA    TXT"), 4, "\x1B[2J");
  image.replace(entry_of(image, "XXXX       "), 4, "\x1B[2J");
  write_file(root() / "odd.img", image);
  for (const Ran& ran :
       {kw({"slots", (root() / "odd.img").string()}),
        run_on_terminal(KEEPWAY_PROGRAM, {"slots", (root() / "odd.img").string(), "--no-color"}, shop())}) {
    EXPECT_EQ(ran.exit, 0);
    EXPECT_TRUE(std::none_of(ran.out.begin(), ran.out.end(), [](char c) {
      const auto byte = static_cast<unsigned char>(c);
      return (byte < 0x20 && c != '\n' && c != '\r') || byte == 0x7F;
    })) << testing::PrintToString(ran.out);
  }
}

TEST_F(MediaSlots, WhereThereIsNone) {
  write_file(root() / "O1.nc", "%\nO1\nM30\n%\n");
  EXPECT_TRUE(slots(root() / "O1.nc", 1).at("slots").empty());
  write_file(root() / "empty", "");
  EXPECT_TRUE(slots(root() / "empty", 1).at("slots").empty());
  EXPECT_EQ(kw({"slots", (root() / "no-such").string()}).exit, 3);
  EXPECT_EQ(kw({"slots", root().string()}).exit, 5);
}

}  // namespace
}  // namespace scenario
