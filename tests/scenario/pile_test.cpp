// The drawer: folders, images, a stick and archives in any order, taken in by one command.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <map>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

class PileTest : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
    fs::create_directories(drawer());
  }
  [[nodiscard]] fs::path drawer() const { return root() / "drawer"; }

  // The mill's files with a part counter, so that each backup differs from the others.
  static Tree counted(int parts) {
    return with(mill_files(), "mill.var", "302\t7\n", fmt::format("302\t{}\n", parts));
  }
  void folder(const std::string& name, int parts) {
    write_tree(drawer() / name, counted(parts));
    age(drawer() / name, "2001-01-01");
  }
  // Sets the time of every file below.
  static void age(const fs::path& path, const std::string& date) {
    EXPECT_EQ(run("find",
                  {path.string(), "-type", "f", "-exec", "touch", "-d", date + "T12:00:00Z", "{}", "+"}, "/")
                  .exit,
              0);
  }
  // A floppy image whose files have that time, made by mtools.
  void floppy(const fs::path& image, int parts, const std::string& date) {
    const fs::path files = put(counted(parts));
    age(files, date);
    EXPECT_EQ(run("mkfs.fat", {"-C", image.string(), "1440"}, "/").exit, 0);
    for (const auto& [name, bytes] : counted(parts)) {
      EXPECT_EQ(run("mcopy", {"-m", "-i", image.string(), (files / name).string(), "::"}, "/").exit, 0);
    }
  }
  std::vector<std::string> history() {
    std::vector<std::string> lines;
    const Json answer = json({"history", "mill"});
    for (const Json& backup : answer.at("backups")) {
      const Json shown =
          json({"show", "mill", "variables/302", "--at", fmt::format("#{}", backup.at("number").get<int>())});
      lines.push_back(backup.at("at").get<std::string>().substr(0, 10) + " " +
                      shown.at("items").at(0).at("value").get<std::string>());
    }
    std::reverse(lines.begin(), lines.end());
    return lines;
  }
};

TEST_F(PileTest, TakesAllKindsInOldestFirst) {
  folder("2019-03-12", 12);
  folder("mill before screw 20180704", 4);
  folder("13.2.2019", 2);
  folder("03.04.2019", 3);  // day first, as 13.2.2019 shows
  folder("old/May 2017", 1);
  floppy(drawer() / "DISK7.IMG", 7, "2018-12-24");
  write_tree(root() / "for-tar", counted(9));
  age(root() / "for-tar", "2018-08-01");
  ASSERT_EQ(
      run("tar", {"-czf", (drawer() / "copy.tar.gz").string(), "-C", (root() / "for-tar").string(), "."}, "/")
          .exit,
      0);
  write_file(drawer() / "notes.txt", "which one is good?");
  fs::create_symlink("/etc", drawer() / "link");

  const Ran plan = kw({"pile", "mill", drawer().string(), "--dry-run"});
  EXPECT_EQ(plan.exit, 1) << "two things are left aside";
  EXPECT_THAT(plan.out, HasSubstr("notes.txt"));
  EXPECT_THAT(plan.out, HasSubstr("not followed"));
  EXPECT_EQ(json({"history", "mill"}).at("backups").size(), 0U) << "nothing was stored";

  const std::string before = run("find", {drawer().string(), "-printf", "%p %s %T@\n"}, "/").out;
  const Json taken = json({"pile", "mill", drawer().string()}, 1);
  EXPECT_EQ(taken.at("entries").size(), 7U);
  EXPECT_EQ(taken.at("left").size(), 2U);
  EXPECT_THAT(history(), ElementsAre("2017-05-01 1", "2018-07-04 4", "2018-08-01 9", "2018-12-24 7",
                                     "2019-02-13 2", "2019-03-12 12", "2019-04-03 3"));
  EXPECT_EQ(run("find", {drawer().string(), "-printf", "%p %s %T@\n"}, "/").out, before)
      << "the drawer is only read";

  // Again: nothing is new, and nothing is stored.
  const std::string stored = refs(repository("mill"));
  const Json again = json({"pile", "mill", drawer().string()}, 1);
  for (const Json& entry : again.at("entries")) EXPECT_EQ(entry.at("fate"), "stored already");
  EXPECT_EQ(refs(repository("mill")), stored);
}

// The control is failing: what it still holds goes in first, and the drawer after it.
TEST_F(PileTest, OldOnesAfterTheNewestAreNoLessGood) {
  intake("mill", counted(5), 0, {"--at", "2020-06-01"});
  folder("2019-03-12", 3);
  folder("2019-05-02", 4);
  const Ran ran = kw({"pile", "mill", drawer().string(), "--by", "Ana"});
  EXPECT_EQ(ran.exit, 0) << ran.out << ran.err;
  const Json answer = json({"history", "mill"});
  for (const Json& backup : answer.at("backups")) EXPECT_EQ(backup.at("verdict"), "good") << backup;
}

// What came later says nothing of what was before: the table grew since.
TEST_F(PileTest, OldOnesAreJudgedByThoseBeforeThem) {
  const auto tools = [](int parts, const std::string& lost) {
    return with(counted(parts), "mill.tbl", lost, "");
  };
  intake("mill", counted(5), 0, {"--at", "2020-06-01"});
  const std::string last = "4 14 6.0 0.125 spot drill\n";
  write_tree(drawer() / "2019-03-12", tools(1, last));
  write_tree(drawer() / "2019-04-02", tools(2, last));
  write_tree(drawer() / "2019-05-02", tools(3, "3 13 3.875 2.0 face mill\n" + last));
  const Json answer = json({"pile", "mill", drawer().string()}, 1);
  const Json& entries = answer.at("entries");
  EXPECT_EQ(entries.at(0).at("backup").at("verdict"), "good") << entries.at(0).dump(1);
  EXPECT_EQ(entries.at(1).at("backup").at("verdict"), "good") << entries.at(1).dump(1);
  EXPECT_EQ(entries.at(2).at("backup").at("verdict"), "doubtful") << entries.at(2).dump(1);
  // One by itself, with its date, is judged so too, and doubted for its age alone.
  const Json one = json({"inspect", "mill", put(tools(9, last)).string(), "--at", "2019-04-15"}, 1);
  EXPECT_THAT(heavy(one.at("verdict")), ElementsAre("older-than-last"));
  EXPECT_THAT(one.dump(), HasSubstr("keepway pile"));
}

TEST_F(PileTest, AnOldOneLeavesWhatWasAcceptedSince) {
  const Tree odd = with(counted(5), "mill.var", "302\t5\n", "302\t5\nwhat is this\n");
  intake("mill", odd, 1, {"--at", "2020-06-01", "--accept"});
  folder("2019-03-12", 3);
  ASSERT_EQ(kw({"pile", "mill", drawer().string()}).exit, 0);
  EXPECT_EQ(json({"reasons", "mill"}, 0).at("reasons").size(), 1U);
  intake("mill", odd, 0, {"--at", "2020-06-02"});
}

TEST_F(PileTest, ADecadesFirstDayIsAClockThatWasLost) {
  write_tree(drawer() / "june", counted(3));
  age(drawer() / "june", "2000-01-01");
  const Ran ran = kw({"pile", "mill", drawer().string()});
  EXPECT_THAT(ran.out, HasSubstr("its files have no plausible time"));
  EXPECT_EQ(json({"history", "mill"}).at("backups").size(), 0U);
}

TEST_F(PileTest, TakesEachSlotOfAStick) {
  std::string stick;
  for (const int parts : {31, 32, 33}) {
    const fs::path image = root() / fmt::format("slot{}.img", parts);
    floppy(image, parts, fmt::format("2020-0{}-01", parts - 30));
    std::string bytes = read_file(image);
    bytes.resize(1'572'864);
    stick += bytes;
  }
  write_file(drawer() / "stick.img", stick);
  EXPECT_EQ(kw({"pile", "mill", drawer().string()}).exit, 0);
  EXPECT_THAT(history(), ElementsAre("2020-01-01 31", "2020-02-01 32", "2020-03-01 33"));
}

TEST_F(PileTest, ACopyOfABackupIsPassedOver) {
  folder("2019-03-12", 12);
  folder("2019-03-12 copy", 12);
  folder("2019-06-01", 12);  // another day: the machine was backed up again, and nothing had changed
  EXPECT_EQ(kw({"pile", "mill", drawer().string()}).exit, 0);
  EXPECT_THAT(history(), ElementsAre("2019-03-12 12", "2019-06-01 12"));
}

TEST_F(PileTest, AnOrderThatNothingTellsIsAsked) {
  folder("03-04-2019", 3);
  const Ran asked = kw({"pile", "mill", drawer().string()});
  EXPECT_EQ(asked.exit, 1);
  EXPECT_THAT(asked.out, HasSubstr("--dates"));
  EXPECT_TRUE(history().empty());
  EXPECT_EQ(kw({"pile", "mill", drawer().string(), "--dates", "month-first"}).exit, 0);
  EXPECT_THAT(history(), ElementsAre("2019-03-04 3"));
}

TEST_F(PileTest, FilesTimesTellTheOrder) {
  write_tree(drawer() / "03-04-2019", counted(3));
  age(drawer() / "03-04-2019", "2019-04-03");
  EXPECT_EQ(kw({"pile", "mill", drawer().string()}).exit, 0);
  EXPECT_THAT(history(), ElementsAre("2019-04-03 3"));
}

TEST_F(PileTest, ANameOfAnotherYearThanTheFilesIsSaid) {
  write_tree(drawer() / "2019-03-12", counted(1));
  age(drawer() / "2019-03-12", "2021-05-04");
  write_tree(drawer() / "2021" / "25.06", counted(2));
  age(drawer() / "2021" / "25.06", "2021-06-25");
  write_file(drawer() / "2021" / "25.06" / "Thumbs.db", "thumbnails");
  const Ran ran = kw({"pile", "mill", drawer().string(), "--dry-run"});
  EXPECT_THAT(ran.out, HasSubstr("its name says 2019-03-12, its files are of 2021: dated by its name"));
  EXPECT_THAT(ran.out, Not(HasSubstr("Thumbs.db")));
  const Json found = json({"pile", "mill", drawer().string(), "--dry-run"});
  ASSERT_EQ(found.at("entries").size(), 2U);
  EXPECT_EQ(found.at("entries").at(0).at("remark"),
            "its name says 2019-03-12, its files are of 2021: dated by its name");
  EXPECT_EQ(found.at("entries").at(1).at("at"), "2021-06-25T12:00:00Z");
  EXPECT_FALSE(found.at("entries").at(1).contains("remark"));
}

TEST_F(PileTest, AnIntakeSaysThatTheNameIsOfAnotherTime) {
  const fs::path folder = root() / "2019" / "12. M\xC3\xA4rz";
  write_tree(folder, counted(1));
  age(folder, "2021-05-04");
  const Ran ran = kw({"intake", "mill", folder.string()});
  EXPECT_THAT(ran.err,
              HasSubstr("the name says 2019-03-12, and the newest file is of 2021-05-04: dated by the file"));
  EXPECT_EQ(json({"history", "mill"}).at("backups").at(0).at("at"), "2021-05-04T12:00:00Z");
  EXPECT_THAT(kw({"inspect", "mill", folder.string(), "--at", "2019-03-12"}).err,
              Not(HasSubstr("the name says")));
  // A copy has the day of copying; a name has the day on which somebody copied, as often.
  for (const auto& [name, said] : {std::pair("mill 2021-04-20", true),
                                   {"mill 2021-05-02", false},
                                   {"mill 2021-05", false},
                                   {"mill 2021-03", true},
                                   {"04-05-2021", false}}) {
    write_tree(root() / name, counted(2));
    age(root() / name, "2021-05-04");
    const std::string remarks = kw({"inspect", "mill", (root() / name).string()}).err;
    EXPECT_EQ(remarks.find("the name says") != std::string::npos, said) << name << ": " << remarks;
  }
}

TEST_F(PileTest, AGuessIsBorneOutByTheFilesOrSaid) {
  write_tree(drawer() / "25.06.21", counted(1));
  age(drawer() / "25.06.21", "2021-06-25");
  write_tree(drawer() / "2020", counted(2));
  age(drawer() / "2020", "2020-02-03");
  write_tree(drawer() / "mill 2017", counted(3));
  age(drawer() / "mill 2017", "2018-02-03");
  write_tree(drawer() / "210626", counted(3));
  age(drawer() / "210626", "1980-01-01");
  const Json found = json({"pile", "mill", drawer().string(), "--dry-run"});
  ASSERT_EQ(found.at("entries").size(), 3U);
  EXPECT_EQ(found.at("entries").at(0).at("at"), "2018-02-03T12:00:00Z");
  EXPECT_EQ(found.at("entries").at(0).at("remark"),
            "its name may say 2017, its files are of 2018: dated by its files");
  EXPECT_EQ(found.at("entries").at(1).at("at"), "2020-02-03T12:00:00Z");
  EXPECT_FALSE(found.at("entries").at(1).contains("remark"));
  EXPECT_EQ(found.at("entries").at(2).at("at"), "2021-06-25T12:00:00Z");
  EXPECT_FALSE(found.at("entries").at(2).contains("remark"));
  ASSERT_EQ(found.at("left").size(), 1U);
  EXPECT_THAT(found.at("left").at(0).at("why").get<std::string>(), HasSubstr("its name may say 2021-06-26"));
}

TEST_F(PileTest, WithoutAnyDateItIsLeftAside) {
  write_tree(drawer() / "good one", counted(3));
  age(drawer() / "good one", "1980-01-01");
  const Ran ran = kw({"pile", "mill", drawer().string()});
  EXPECT_EQ(ran.exit, 1);
  EXPECT_THAT(ran.out, HasSubstr("intake --at"));
  EXPECT_TRUE(history().empty());
}

TEST_F(PileTest, WhatCannotBeTakenIsReportedAndTheRestGoesIn) {
  folder("2019-03-12", 12);
  write_file(drawer() / "notes", "no backup");
  ASSERT_EQ(run("gzip", {(drawer() / "notes").string()}, "/").exit, 0);
  write_tree(drawer() / "photos", {{"a.jpg", "1"}, {"b.jpg", "2"}});
  const Json answer = json({"pile", "mill", drawer().string()}, 1);
  ASSERT_EQ(answer.at("entries").size(), 1U);
  std::vector<std::string> left;
  for (const Json& each : answer.at("left"))
    left.push_back(each.at("name").get<std::string>() + ": " + each.at("why").get<std::string>());
  EXPECT_THAT(left, testing::UnorderedElementsAre(
                        HasSubstr("notes.gz: the archive cannot be read"),
                        HasSubstr("photos: none of its 2 files matches this machine's layout")));
  EXPECT_THAT(history(), ElementsAre("2019-03-12 12"));
  const Ran none = kw({"pile", "mill", (drawer() / "notes.gz").string()});
  EXPECT_EQ(none.exit, 3);
  EXPECT_THAT(none.err, HasSubstr("is not a folder"));
}

TEST_F(PileTest, AnotherMachinesBackupIsNotTakenUnlessAPersonAcceptsIt) {
  enroll_lathe();
  Tree others = lathe_files();
  others["4711.PNL"] = others.at("3107.PNL");
  others.erase("3107.PNL");
  for (const auto& [name, files] :
       std::map<std::string, Tree>{{"2019-01-01", lathe_files()}, {"2019-02-01", others}}) {
    write_tree(drawer() / name, files);
    age(drawer() / name, name);
  }
  const Json answer = json({"pile", "lathe", drawer().string()}, 1);
  ASSERT_EQ(answer.at("entries").size(), 2U);
  EXPECT_EQ(answer.at("entries").at(0).at("fate"), "stored");
  EXPECT_EQ(answer.at("entries").at(1).at("fate"), "refused");
  EXPECT_THAT(answer.at("entries").at(1).at("why").get<std::string>(), HasSubstr("serial"));
  EXPECT_EQ(json({"history", "lathe"}).at("backups").size(), 1U);
  EXPECT_EQ(kw({"pile", "lathe", drawer().string(), "--accept"}).exit, 1) << "it stays what it is";
  EXPECT_EQ(json({"history", "lathe"}).at("backups").size(), 2U);
}

// mkfs.fat(8), --invariant: a volume made so has a label of a set time.
TEST_F(PileTest, TheLabelTellsTheTimeWhereTheControlsClockWasLost) {
  const fs::path image = drawer() / "disk.img";
  const fs::path files = put(counted(9));
  age(files, "1980-01-01");
  ASSERT_EQ(run("mkfs.fat", {"--invariant", "-n", "MILL", "-C", image.string(), "1440"}, "/").exit, 0);
  for (const auto& [name, bytes] : counted(9))
    ASSERT_EQ(run("mcopy", {"-m", "-i", image.string(), (files / name).string(), "::"}, "/").exit, 0);
  // The same medium with files that are not the machine's.
  const fs::path other = root() / "other.img";
  ASSERT_EQ(run("mkfs.fat", {"-C", other.string(), "1440"}, "/").exit, 0);
  write_file(root() / "PHOTO.JPG", "1");
  ASSERT_EQ(run("mcopy", {"-i", other.string(), (root() / "PHOTO.JPG").string(), "::"}, "/").exit, 0);
  write_file(image, read_file(image) + read_file(other));
  const Json answer = json({"pile", "mill", drawer().string()}, 1);
  ASSERT_EQ(answer.at("entries").size(), 1U);
  EXPECT_EQ(answer.at("entries").at(0).at("dated_by"), "volume label");
  EXPECT_EQ(answer.at("entries").at(0).at("slot"), 1);
  ASSERT_EQ(answer.at("left").size(), 1U);
  EXPECT_EQ(answer.at("left").at(0).at("slot"), 2);
  ASSERT_EQ(history().size(), 1U);
  EXPECT_THAT(history().at(0), testing::EndsWith(" 9"));
  EXPECT_THAT(history().at(0), Not(testing::StartsWith("1980")));
}

TEST_F(PileTest, IsTheSameAsOneByOne) {
  for (int month = 1; month <= 9; ++month) folder(fmt::format("2019-0{}-01", month), month);
  ASSERT_EQ(kw({"enroll", "by-hand", "--layout", "rs274ngc", "--units", "inch"}).exit, 0);
  for (int month = 1; month <= 9; ++month) {
    const std::string date = fmt::format("2019-0{}-01", month);
    ASSERT_EQ(kw({"intake", "by-hand", (drawer() / date).string(), "--at", date}).exit, 0);
  }
  ASSERT_EQ(kw({"pile", "mill", drawer().string()}).exit, 0);
  for (int back = 0; back < 9; ++back) {
    for (const char* part : {"state", "originals"}) {
      const std::string at = fmt::format("HEAD~{}:{}", back, part);
      EXPECT_EQ(object_id(repository("mill"), at), object_id(repository("by-hand"), at)) << at;
    }
  }
}

TEST_F(PileTest, StoppedAnywhereItGoesOnFromThere) {
  constexpr int backups = 30;
  std::vector<std::string> expected;
  for (int i = 0; i < backups; ++i) {
    const std::string date = fmt::format("2019-{:02}-{:02}", 1 + i / 28, 1 + i % 28);
    folder(date, 100 + i);
    expected.push_back(fmt::format("{} {}", date, 100 + i));
  }
  Random random(5);
  std::size_t cut = 0;
  for (unsigned round = 0; round < 60; ++round) {
    const Started started = start(KEEPWAY_PROGRAM, {"pile", "mill", drawer().string()}, shop());
    // A little later each time: while it reads, while it stores, while what came in lands.
    ::usleep(static_cast<useconds_t>(round * 1500 + random.below(1500)));
    ::kill(started.pid, round % 2 == 0 ? SIGINT : SIGKILL);
    const Ran ran = wait_for(started);
    cut += ran.exit == 0 ? 0U : 1U;
    if (round % 2 == 0 && ran.exit == 1) {
      EXPECT_THAT(ran.out, HasSubstr("continues from here"));
    }
    EXPECT_EQ(git(repository("mill"), {"fsck", "--strict", "--no-progress", "--no-dangling"}).exit, 0);
    if (ran.exit == 0) break;
  }
  EXPECT_GT(cut, 0U);
  EXPECT_EQ(kw({"pile", "mill", drawer().string()}).exit, 0);
  EXPECT_EQ(history(), expected);
}

}  // namespace
}  // namespace scenario
