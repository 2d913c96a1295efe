// inspect and intake from floppy images, sticks and archives that the reference programs made.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <functional>

#include "media_fixture.hpp"

namespace scenario {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;
using testing::UnorderedElementsAre;

class MediaIntake : public MediaTest {
 protected:
  void SetUp() override {
    MediaTest::SetUp();
    enroll_lathe();
  }
  // Inspects, then takes in; the medium stays as it is.
  Json take(const fs::path& path, int exit, const Args& more = {}) {
    const Untouched untouched(path);
    Args args = {"inspect", "lathe", path.string()};
    args.insert(args.end(), more.begin(), more.end());
    const Json inspected = json(args, exit);
    args[0] = "intake";
    Json taken = json(args, exit);
    EXPECT_EQ(taken.at("verdict").at("worth"), inspected.at("verdict").at("worth"));
    return taken;
  }
  Json look(const std::string& image, const Args& more = {}) {
    const fs::path path = root() / "looked-at.img";
    write_file(path, image);
    const Untouched untouched(path);
    Args args = {"inspect", "lathe", path.string()};
    args.insert(args.end(), more.begin(), more.end());
    return json(args);
  }
  [[nodiscard]] Tree originals() const { return read_tree(repository("lathe") / "originals"); }
  // What is said to be damaged: "FILE: what", each.
  static std::vector<std::string> damage(const Json& answer) {
    std::vector<std::string> said;
    for (const Json& reason : answer.at("verdict").at("reasons")) {
      if (reason.at("code") == "medium-damaged") said.push_back(reason.at("what"));
    }
    return said;
  }
};

TEST_F(MediaIntake, OfAFloppyImage) {
  const Json taken = take(floppy("lathe.img", lathe_files()), 0);
  EXPECT_EQ(taken.at("at"), "2026-03-01T09:00:00Z") << "the time of the newest file";
  EXPECT_THAT(taken.at("source").get<std::string>(), HasSubstr("floppy image"));
  EXPECT_EQ(originals(), lathe_files());
}

TEST_F(MediaIntake, OfOneSlotOfAStick) {
  Tree second = with(lathe_files(), "PARAM.TXT", "22,7", "22,8");
  const fs::path path =
      stick("stick.img", {read_file(floppy("a.img", lathe_files())), "", read_file(floppy("b.img", second))},
            1'500'672);
  const Ran unsaid = kw({"intake", "lathe", path.string()});
  EXPECT_EQ(unsaid.exit, 2);
  EXPECT_THAT(unsaid.err, HasSubstr("slot 1: 6 files, slot 2: 6 files"));
  EXPECT_THAT(unsaid.err, HasSubstr("--slot"));
  EXPECT_EQ(kw({"intake", "lathe", path.string(), "--slot", "3"}).exit, 2);
  const Json taken = take(path, 0, {"--slot", "2"});
  EXPECT_THAT(taken.at("source").get<std::string>(), HasSubstr("slot 2"));
  EXPECT_EQ(originals(), second);
}

TEST_F(MediaIntake, OfArchives) {
  const fs::path folder = put(lathe_files());
  tool("zip", {"-q", "-r", (root() / "a.zip").string(), "."}, folder);
  tool("tar", {"-cf", (root() / "a.tar").string(), "."}, folder);
  tool("tar", {"-czf", (root() / "a.tar.gz").string(), "."}, folder);
  tool("7zz", {"a", "-bd", (root() / "a.7z").string(), "."}, folder);
  bool first = true;
  int day = 0;
  for (const char* name : {"a.zip", "a.tar", "a.tar.gz", "a.7z"}) {
    SCOPED_TRACE(name);
    const Json taken = take(root() / name, 0, {"--at", fmt::format("2026-03-0{}", ++day)});
    EXPECT_EQ(originals(), lathe_files());
    EXPECT_EQ(taken.at("repeat"), !first) << "the same files, whatever they came in";
    first = false;
  }
  EXPECT_EQ(kw({"inspect", "lathe", (root() / "a.zip").string(), "--slot", "1"}).exit, 2);
}

TEST_F(MediaIntake, AnEncryptedOrCutArchiveIsReportedAndNothingStored) {
  const fs::path folder = put(lathe_files());
  tool("zip", {"-q", "-r", "-P", "secret", (root() / "locked.zip").string(), "."}, folder);
  const Ran locked = kw({"intake", "lathe", (root() / "locked.zip").string()});
  EXPECT_EQ(locked.exit, 3);
  EXPECT_THAT(locked.err, HasSubstr("encrypted"));
  tool("7zz", {"a", "-bd", (root() / "a.7z").string(), "."}, folder);
  write_file(root() / "cut.7z", read_file(root() / "a.7z").substr(0, 100));
  const Ran cut = kw({"intake", "lathe", (root() / "cut.7z").string()});
  EXPECT_EQ(cut.exit, 3);
  EXPECT_THAT(cut.err, HasSubstr("what to do"));
  EXPECT_FALSE(fs::exists(repository("lathe") / "originals"));
}

TEST_F(MediaIntake, EachDamagedFileIsFlaggedAndTheRestIsRead) {
  Tree files = lathe_files();
  files["LONG.PRG"] = "%\nO0300\n" + std::string(2000, ' ') + "\nM30\n%\n";
  const std::string good = read_file(floppy("lathe.img", files));
  EXPECT_THAT(damage(look(good)), testing::IsEmpty());
  const unsigned first = first_cluster(good, "LONG    PRG");
  const unsigned other = first_cluster(good, "PARAM   TXT");
  struct Case {
    const char* what;
    std::function<void(std::string&)> spoil;
    std::vector<std::string> said;  // of LONG.PRG; others must not be spoken of unless named
    const char* also = "LONG.PRG";
  };
  const Case cases[] = {
      {"a loop", [&](std::string& i) { set_fat_entry(i, fat_entry(good, first), first); }, {"loop"}},
      {"crossed",
       [&](std::string& i) { set_fat_entry(i, first, other); },
       {"shares clusters with PARAM.TXT"},
       "PARAM.TXT"},
      {"out of range", [&](std::string& i) { set_fat_entry(i, first, 0xB21); }, {"outside the volume"}},
      {"into a free one", [&](std::string& i) { set_fat_entry(i, first, 0); }, {"free"}},
      {"into a bad one", [&](std::string& i) { set_fat_entry(i, first, 0xFF7); }, {"bad"}},
      {"too short a chain",
       [&](std::string& i) { set_fat_entry(i, first, 0xFFF); },
       {"asks for 4 clusters, it has 1"}},
      {"too long a chain", [&](std::string& i) { set_size(i, "LONG    PRG", 600); }, {"go on past its size"}},
      {"first cluster out of range",
       [&](std::string& i) { set_first_cluster(i, "LONG    PRG", 0xF00); },
       {"outside the volume"}},
      {"FAT copies that differ",
       [&](std::string& i) { set_fat_entry(i, first, 0xFFF, {1}); },
       {"copies differ"}},
  };
  for (const Case& each : cases) {
    SCOPED_TRACE(each.what);
    std::string image = good;
    each.spoil(image);
    const Json answer = look(image);
    EXPECT_EQ(answer.at("verdict").at("worth"), "doubtful");
    const std::vector<std::string> reported = damage(answer);
    for (const std::string& said : each.said) {
      EXPECT_THAT(reported, Contains(testing::AllOf(testing::StartsWith("LONG.PRG: "), HasSubstr(said))));
    }
    for (const std::string& line : reported) {
      for (const auto& [name, bytes] : files) {
        if (name == "LONG.PRG" || name == each.also) continue;
        EXPECT_THAT(line, Not(testing::StartsWith(name)));
      }
    }
    EXPECT_EQ(answer.at("verdict").at("counts").at("files"), files.size());
  }
}

TEST_F(MediaIntake, AVolumeCutShortIsReadAsFarAsItGoes) {
  const std::string good = read_file(floppy("lathe.img", lathe_files()));
  const std::string cut = good.substr(0, 40 * cluster_bytes);
  const Json answer = look(cut);
  EXPECT_THAT(damage(answer), Contains(HasSubstr("the medium ends")));
  EXPECT_EQ(answer.at("verdict").at("counts").at("files"), lathe_files().size());
}

TEST_F(MediaIntake, DeletedFilesAreReadOnlyWhenAsked) {
  const fs::path image = floppy("lathe.img", lathe_files());
  tool("mdel", {"-i", image.string(), "::ALL.PRG"}, root());
  const Untouched untouched(image);
  const Json slots = json({"slots", image.string()}, 0).at("slots");
  ASSERT_EQ(slots[0].at("deleted").size(), 1U);
  EXPECT_EQ(slots[0].at("deleted")[0].at("name"), "_LL.PRG");
  EXPECT_EQ(slots[0].at("deleted")[0].at("recoverable"), true);

  const Json plain = json({"inspect", "lathe", image.string()});
  EXPECT_EQ(plain.at("verdict").at("counts").at("files"), lathe_files().size() - 1);
  const Json recovered = json({"intake", "lathe", image.string(), "--recover"}, 1);
  EXPECT_EQ(recovered.at("verdict").at("counts").at("files"), lathe_files().size());
  EXPECT_THAT(damage(recovered), ElementsAre(HasSubstr("_LL.PRG: was deleted")));
  EXPECT_EQ(originals().at("_LL.PRG"), lathe_files().at("ALL.PRG"));
}

TEST_F(MediaIntake, ADeletedFileWhoseRoomWasUsedAgainIsNotRead) {
  const fs::path image = floppy("lathe.img", {{"ALL.PRG", lathe_files().at("ALL.PRG")}});
  tool("mdel", {"-i", image.string(), "::ALL.PRG"}, root());
  std::string bytes = read_file(image);
  set_fat_entry(bytes, 2, 0xFFF);  // the first cluster of what was the first file
  const Json answer = look(bytes, {"--recover"});
  EXPECT_EQ(answer.at("verdict").at("counts").at("files"), 0);
}

TEST_F(MediaIntake, ABackupThatFilledItsVolumeIsDoubtful) {
  Tree files = lathe_files();
  std::size_t taken = 0;
  for (const auto& [name, bytes] : files) taken += (bytes.size() + cluster_bytes - 1) / cluster_bytes;
  std::string filler = "%\nO0300\n";
  while (filler.size() + 14 < floppy_room - taken * cluster_bytes) filler += "G1 X1.\n";
  filler += "M30\n%\n";
  files["LONG.PRG"] = filler;
  const Json full = look(read_file(floppy("full.img", files)));
  EXPECT_THAT(heavy(full.at("verdict")), Contains("medium-full"));
  files["LONG.PRG"] = filler.substr(0, filler.size() - 2 * cluster_bytes) + "\nM30\n%\n";
  const Json roomy = look(read_file(floppy("roomy.img", files)));
  EXPECT_THAT(heavy(roomy.at("verdict")), Not(Contains("medium-full")));
  // Room enough, but the file that was written last stops where a cluster does.
  files["LONG.PRG"] = filler.substr(0, 20 * cluster_bytes);
  Json cut = look(read_file(floppy("cut.img", {{"ALL.PRG", files.at("LONG.PRG")}})));
  EXPECT_THAT(heavy(cut.at("verdict")), Contains("medium-full"));
}

// The only reason that inspect gives, and what it says to do.
TEST_F(MediaIntake, WhatIsPlainlyNoBackupIsSaidInOneLine) {
  intake("lathe", lathe_files(), 0, {"--at", "2026-02-01"});
  const auto only = [&](const fs::path& path, const Args& more = {}) {
    Args args = {"inspect", "lathe", path.string()};
    args.insert(args.end(), more.begin(), more.end());
    const Json verdict = json(args, 5).at("verdict");
    EXPECT_EQ(verdict.at("worth"), "refused");
    EXPECT_EQ(verdict.at("reasons").size(), 1U) << verdict;
    return verdict.at("reasons").at(0).at("what").get<std::string>();
  };
  const fs::path image = floppy("lathe.img", lathe_files());
  const std::string bare = read_file(floppy("bare.img", {}));
  const fs::path two = stick("two.img", {read_file(image), bare}, 1'572'864);
  EXPECT_THAT(only(two, {"--slot", "2"}), testing::StartsWith("slot 2 of stick"));
  EXPECT_THAT(only(two, {"--slot", "2"}), HasSubstr("is empty: it holds no files"));
  EXPECT_THAT(only(root() / "bare.img"), HasSubstr("bare.img is empty"));
  fs::create_directories(root() / "nothing");
  EXPECT_THAT(only(root() / "nothing"), HasSubstr("nothing is empty"));

  tool("zip", {"-q", "image.zip", "lathe.img"}, root());
  EXPECT_EQ(only(root() / "image.zip"), "lathe.img is a floppy image inside an archive");
  tool("zip", {"-q", "twice.zip", "image.zip"}, root());
  EXPECT_EQ(only(root() / "twice.zip"), "image.zip is an archive inside an archive");
  write_file(root() / "m.eml",
             "From: ana@example.com\r\nTo: ben@example.com\r\nMIME-Version: 1.0\r\n"
             "Content-Type: multipart/mixed; boundary=x\r\n\r\n--x\r\nContent-Type: application/zip\r\n"
             "Content-Disposition: attachment; filename=\"b.zip\"\r\n\r\nUEsDBA==\r\n--x--\r\n");
  EXPECT_EQ(only(root() / "m.eml"), "m.eml is an e-mail with an attachment");
  // With a file of the layout beside it, it is a backup.
  Tree mixed = lathe_files();
  mixed["LATHE.IMG"] = read_file(image);
  EXPECT_EQ(json({"inspect", "lathe", put(mixed).string(), "--at", "2026-03-01"}).at("verdict").at("worth"),
            "good");
}

TEST_F(MediaIntake, AnArchiveWithOneFolderAroundEverythingIsItsInside) {
  intake("lathe", lathe_files(), 0, {"--at", "2026-02-01"});
  write_tree(root() / "BACKUP", lathe_files());
  tool("zip", {"-qr", "one.zip", "BACKUP"}, root());
  const Json taken = json({"intake", "lathe", (root() / "one.zip").string(), "--at", "2026-03-01"}, 0);
  EXPECT_THAT(taken.at("source").get<std::string>(), HasSubstr("one.zip, folder BACKUP"));
  EXPECT_EQ(originals(), lathe_files()) << "no name has the folder in it";
  EXPECT_EQ(kw({"inspect", "lathe", (root() / "one.zip").string()}).out.find(" came"), std::string::npos);
  // In a drawer it is the same.
  fs::create_directories(root() / "drawer");
  fs::copy(root() / "one.zip", root() / "drawer/2026-03-05.zip");
  const Json pile = json({"pile", "lathe", (root() / "drawer").string()});
  ASSERT_EQ(pile.at("entries").size(), 1U) << pile;
  EXPECT_EQ(originals(), lathe_files());
}

TEST_F(MediaIntake, ARecoveredFileGetsItsLetterBack) {
  const fs::path image = floppy("lathe.img", lathe_files());
  tool("mdel", {"-i", image.string(), "::ALL.PRG"}, root());
  const Ran ran = kw({"inspect", "lathe", image.string(), "--recover"});
  EXPECT_THAT(ran.out, HasSubstr("--recovered-as _LL.PRG=XLL.PRG"));
  for (const char* wrong :
       {"_LL.PRG", "_LL.PRG=AL.PRG", "_LL.PRG=ALT.PRG", "PARAM.TXT=QARAM.TXT", "_LL.PRG=/LL.PRG"}) {
    EXPECT_EQ(kw({"inspect", "lathe", image.string(), "--recover", "--recovered-as", wrong}).exit, 2)
        << wrong;
  }
  const Json taken =
      json({"intake", "lathe", image.string(), "--recover", "--recovered-as", "_LL.PRG=ALL.PRG"}, 1);
  EXPECT_THAT(damage(taken), ElementsAre(HasSubstr("ALL.PRG: was deleted")));
  EXPECT_EQ(originals(), lathe_files());
}

}  // namespace
}  // namespace scenario
