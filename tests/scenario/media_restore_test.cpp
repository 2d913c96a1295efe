// `keepway restore` onto floppy images, slots of sticks and zips, read back by the reference programs.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <numeric>
#include <regex>

#include "media_fixture.hpp"

namespace scenario {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::Not;

class MediaRestore : public MediaTest {
 protected:
  void SetUp() override {
    MediaTest::SetUp();
    enroll_lathe();
  }
  void store(const Tree& files, int exit = 0) {
    intake("lathe", files, exit, {"--at", "2026-03-01T09:00:00Z"});
  }
  Ran restore(const fs::path& to, Args more = {}) {
    Args args = {"restore", "lathe", "--at", "#1", "--to", to.string()};
    args.insert(args.end(), more.begin(), more.end());
    return kw(args);
  }
  // What lies beside `file` besides itself.
  static std::vector<fs::path> beside(const fs::path& file) {
    std::vector<fs::path> found;
    for (const auto& entry : fs::directory_iterator(file.parent_path())) {
      if (entry.path() != file) found.push_back(entry.path());
    }
    return found;
  }
};

TEST_F(MediaRestore, ToANewImage) {
  store(lathe_files());
  const fs::path image = root() / "new.img";
  const Ran ran = restore(image);
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_EQ(fs::file_size(image), floppy_bytes);
  fsck_finds_nothing(image);
  EXPECT_EQ(mtools_tree(image), lathe_files());
  const Ran listed = tool("mdir", {"-i", image.string(), "-a", "::"}, root());
  EXPECT_THAT(listed.out, HasSubstr("2026-03-01   9:00"));
  EXPECT_EQ(restore(image).exit, 5) << "never overwritten";
}

TEST_F(MediaRestore, NamesAreInCapitals) {
  enroll_mill();
  intake("mill", mill_files(), 0, {"--at", "2026-03-01T09:00:00Z"});
  const fs::path image = root() / "mill.img";
  const Ran ran = kw({"restore", "mill", "--at", "#1", "--to", image.string()});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  fsck_finds_nothing(image);
  EXPECT_EQ(mtools_tree(image), in_capitals(mill_files()));
}

TEST_F(MediaRestore, ANameThatIsNot8Point3IsRefusedAndNothingWritten) {
  Tree files = lathe_files();
  files["A LONG NAME.PRG"] = "%\nO0300\nM30\n%\n";
  store(files);
  const Ran ran = restore(root() / "new.img");
  EXPECT_EQ(ran.exit, 5);
  EXPECT_THAT(ran.err, HasSubstr("A LONG NAME.PRG"));
  EXPECT_FALSE(fs::exists(root() / "new.img"));
}

TEST_F(MediaRestore, ToASlotTouchesThatSlotAloneAndKeepsTheOld) {
  store(lathe_files());
  const std::string old = read_file(floppy("old.img", mill_files(), "OLD"));
  constexpr std::size_t spacing = 1'572'864;
  fs::create_directory(root() / "media");
  const fs::path path = stick("media/stick.img", {old, old, old}, spacing);
  const std::string before = read_file(path);

  const Ran unsaid = restore(path);
  EXPECT_EQ(unsaid.exit, 5);
  EXPECT_THAT(unsaid.err, HasSubstr("--slot"));
  EXPECT_EQ(restore(path, {"--slot", "4"}).exit, 2);
  EXPECT_TRUE(read_file(path) == before);
  EXPECT_TRUE(beside(path).empty());

  const Json answer = json({"restore", "lathe", "--at", "#1", "--to", path.string(), "--slot", "2"}, 0);
  const std::string after = read_file(path);
  ASSERT_EQ(after.size(), before.size());
  EXPECT_TRUE(after.substr(0, spacing) == before.substr(0, spacing));
  EXPECT_TRUE(after.substr(spacing + floppy_bytes) == before.substr(spacing + floppy_bytes));
  write_file(root() / "slot.img", after.substr(spacing, floppy_bytes));
  fsck_finds_nothing(root() / "slot.img");
  EXPECT_EQ(mtools_tree(root() / "slot.img"), lathe_files());
  EXPECT_THAT(tool("mlabel", {"-s", "-i", (root() / "slot.img").string(), "::"}, root()).out,
              HasSubstr("OLD"));

  ASSERT_EQ(beside(path).size(), 1U);
  const fs::path kept = beside(path).front();
  EXPECT_EQ(answer.at("kept"), kept.string());
  EXPECT_THAT(kept.filename().string(), testing::MatchesRegex("stick\\.img\\.slot-2\\.before-.*\\.img"));
  EXPECT_TRUE(read_file(kept) == old);

  EXPECT_EQ(restore(path, {"--slot", "1", "--no-keep"}).exit, 0);
  EXPECT_EQ(beside(path).size(), 1U);
}

TEST_F(MediaRestore, ToAnImageThatIsThere) {
  store(lathe_files());
  const fs::path image = floppy("there.img", mill_files());
  const std::string old = read_file(image);
  const Ran ran = restore(image, {"--slot", "1"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("What was there before is stored as"));
  fsck_finds_nothing(image);
  EXPECT_EQ(mtools_tree(image), lathe_files());
  EXPECT_NE(read_file(image), old);
}

TEST_F(MediaRestore, ASlotThatCannotBeIsWrongUsageAndNothingWritten) {
  store(lathe_files());
  const fs::path image = floppy("there.img", mill_files());
  fs::create_directory(root() / "folder");
  const Tree before = kept_tree(root());
  const Untouched untouched(image);
  EXPECT_EQ(restore(root() / "none.img", {"--slot", "1"}).exit, 2);
  EXPECT_EQ(restore(root() / "folder", {"--slot", "1"}).exit, 2);
  EXPECT_EQ(restore(image, {"--slot", "1", "--split"}).exit, 2);
  EXPECT_EQ(restore(root() / "new.img", {"--no-keep"}).exit, 2);
  EXPECT_EQ(restore(root() / "new", {"--device"}).exit, 2);
  EXPECT_EQ(kept_tree(root()), before);
}

TEST_F(MediaRestore, ToAZip) {
  store(lathe_files());
  const fs::path zip = root() / "new.zip";
  const Ran ran = restore(zip);
  EXPECT_EQ(ran.exit, 0) << ran.err;
  tool("unzip", {"-q", zip.string(), "-d", (root() / "unzipped").string()}, root());
  EXPECT_EQ(read_tree(root() / "unzipped"), lathe_files());
  EXPECT_THAT(tool("unzip", {"-l", zip.string()}, root()).out, HasSubstr("2026-03-01 09:00"));
  const Ran there = restore(zip);
  EXPECT_EQ(there.exit, 5) << "never overwritten";
  EXPECT_THAT(there.err, testing::Not(testing::HasSubstr("--slot"))) << "an archive has none";
}

TEST_F(MediaRestore, ToAnArchiveThatIsNotWrittenIsWrongUsageAndNoFolderOfThatName) {
  store(lathe_files());
  for (const char* name : {"set.tar", "set.tar.gz", "SET.TGZ", "set.7z"}) {
    const Ran ran = restore(root() / name);
    EXPECT_EQ(ran.exit, 2) << name;
    EXPECT_THAT(ran.err, HasSubstr("a restore set is written to a folder, NAME.img or NAME.zip"));
    EXPECT_FALSE(fs::exists(root() / name)) << name;
  }
  fs::create_directory(root() / "there.tar");
  EXPECT_EQ(restore(root() / "there.tar").exit, 0) << "a folder that is there is one, whatever its name";
}

// Five files of 600,000 bytes besides the others: two go on an image.
class MediaTooBig : public MediaRestore {
 protected:
  void SetUp() override {
    MediaRestore::SetUp();
    files_ = lathe_files();
    for (int i = 1; i <= 5; ++i) {
      std::string text = fmt::format("%\nO{:04}\n", 300 + i);
      while (text.size() < 600'000 - 12) text += "G1 X1.\n";
      text.resize(600'000 - 6, ' ');
      files_[fmt::format("BIG{}.PRG", i)] = text + "\nM30\n%";
    }
    for (const auto& [name, bytes] : files_) clusters_ += (bytes.size() + cluster_bytes - 1) / cluster_bytes;
    store(files_);
  }
  Tree files_;
  std::size_t clusters_ = 0;
};

TEST_F(MediaTooBig, ForOneImageWritesNothingAndTellsByHowMuchAndWhatGoesWhere) {
  const Tree before = kept_tree(root());
  const Ran ran = restore(root() / "new.img");
  EXPECT_EQ(ran.exit, 5);
  EXPECT_EQ(kept_tree(root()), before);
  EXPECT_THAT(ran.err, HasSubstr(fmt::format("by {} bytes", clusters_ * cluster_bytes - floppy_room)));
  for (const char* said : {"3 images", "image 1:", "image 3:", "programs", "BIG1.PRG", "--split"}) {
    EXPECT_THAT(ran.err, HasSubstr(said));
  }
  EXPECT_THAT(ran.err, Not(HasSubstr("image 4:")));
  for (const char* group : {"parameters", "settings", "offsets", "variables"})
    EXPECT_THAT(ran.err, HasSubstr(group));
}

TEST_F(MediaTooBig, GroupsGetNamesInSmallLettersToo) {
  Tree small;
  for (const auto& [name, bytes] : files_) {
    std::string each = name;
    std::transform(name.begin(), name.end(), each.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    small[each] = bytes;
  }
  const Ran taken = kw({"intake", "lathe", put(small).string(), "--at", "2026-03-02"});
  ASSERT_LE(taken.exit, 1) << taken.err;
  const Ran ran = kw({"restore", "lathe", "--at", "#2", "--to", (root() / "new.img").string(), "--accept"});
  EXPECT_EQ(ran.exit, 5);
  for (const char* said :
       {"image 3:", "programs", "parameters", "settings", "offsets", "variables", "BIG1.PRG"})
    EXPECT_THAT(ran.err, HasSubstr(said));
  EXPECT_THAT(ran.err, Not(HasSubstr("other files")));
}

TEST_F(MediaTooBig, SplitWritesAllImages) {
  const Ran ran = restore(root() / "new.img", {"--split"});
  EXPECT_EQ(ran.exit, 0) << ran.err;
  Tree all;
  for (int i = 1; i <= 3; ++i) {
    const fs::path image = root() / fmt::format("new-{}.img", i);
    fsck_finds_nothing(image);
    EXPECT_THAT(ran.out, HasSubstr(image.string()));
    for (auto& [name, bytes] : mtools_tree(image)) {
      EXPECT_FALSE(all.contains(name)) << name << " is on two images";
      all[name] = bytes;
    }
  }
  EXPECT_FALSE(fs::exists(root() / "new-4.img"));
  EXPECT_EQ(all, files_);
  const Tree before = kept_tree(root());
  fs::remove(root() / "new-1.img");
  EXPECT_EQ(restore(root() / "new.img", {"--split"}).exit, 5) << "one of the names is taken";
  EXPECT_FALSE(fs::exists(root() / "new-1.img"));
}

TEST_F(MediaTooBig, ForASlotLeavesItAndKeepsNothing) {
  fs::create_directory(root() / "media");
  const fs::path path = stick("media/stick.img", {read_file(floppy("old.img", mill_files()))}, floppy_bytes);
  {
    const Untouched untouched(path);
    const Ran ran = restore(path, {"--slot", "1"});
    EXPECT_EQ(ran.exit, 5);
    EXPECT_THAT(ran.err, HasSubstr(fmt::format("by {} bytes", clusters_ * cluster_bytes - floppy_room)));
  }
  EXPECT_TRUE(beside(path).empty());
}

TEST_F(MediaTooBig, AFileThatFitsNoVolumeIsNamed) {
  Tree files = files_;
  std::string text = "%\nO0900\n";
  while (text.size() < 1'500'000) text += "G1 X1.\n";
  files["HUGE.PRG"] = text + "M30\n%\n";
  intake("lathe", files, 0, {"--at", "2026-03-02"});
  for (const Args& more : {Args{}, Args{"--split"}}) {
    Args args = {"restore", "lathe", "--at", "#2", "--to", (root() / "new.img").string()};
    args.insert(args.end(), more.begin(), more.end());
    const Ran ran = kw(args);
    EXPECT_EQ(ran.exit, 5);
    EXPECT_THAT(ran.err, HasSubstr("HUGE.PRG"));
    EXPECT_FALSE(fs::exists(root() / "new.img"));
    EXPECT_FALSE(fs::exists(root() / "new-1.img"));
  }
}

// The machine's folder is its repository: what is written there would be in the way of its own files.
TEST_F(MediaRestore, NeverIntoAMachinesOwnFolder) {
  store(lathe_files());
  enroll_mill();
  fs::create_directory_symlink(repository("lathe"), root() / "link");
  const Tree before = kept_tree(shop());
  for (const fs::path& to :
       {repository("lathe") / "out", repository("lathe") / "out.img", repository("lathe") / "a/b",
        repository("mill") / "out.zip", repository("lathe") / ".git" / "out", root() / "link" / "out",
        shop() / "x" / ".." / "lathe" / "out"}) {
    SCOPED_TRACE(to);
    const Ran ran = restore(to);
    EXPECT_EQ(ran.exit, 5) << ran.out;
    EXPECT_THAT(ran.err, HasSubstr("what to do"));
    EXPECT_EQ(restore(to, {"--split"}).exit == 0, false);
  }
  EXPECT_EQ(keepway({"restore", "lathe", "--at", "#1", "--to", "out"}, repository("lathe")).exit, 5);
  EXPECT_EQ(kept_tree(shop()), before);
  EXPECT_EQ(restore(shop() / "out").exit, 0) << "beside the machines is fine";
}

TEST_F(MediaRestore, NamesThatAFloppyCannotHoldAreShortenedByATableWhenAsked) {
  Tree files = lathe_files();
  files["Operator notes.txt"] = "one\n";
  files["Operator notes of May.txt"] = "two\n";
  files["OPERATOR.TXT"] = "three\n";
  files["M\xC3\xA4rz.jpeg"] = "four\n";
  intake("lathe", files, 0, {"--at", "2026-03-05"});
  const fs::path image = root() / "short.img";
  Args args = {"restore", "lathe", "--at", "HEAD", "--to", image.string()};
  const Ran refused = kw(args);
  EXPECT_EQ(refused.exit, 5);
  EXPECT_THAT(refused.err, HasSubstr("--short-names"));
  EXPECT_FALSE(fs::exists(image));
  args.push_back("--short-names");
  const Ran ran = kw(args);
  ASSERT_EQ(ran.exit, 0) << ran.err;
  Tree wanted = lathe_files();
  wanted["OPERATO1.TXT"] = files.at("Operator notes of May.txt");
  wanted["OPERATO2.TXT"] = files.at("Operator notes.txt");
  wanted["OPERATOR.TXT"] = files.at("OPERATOR.TXT");
  wanted["M_RZ.JPE"] = files.at("M\xC3\xA4rz.jpeg");
  EXPECT_EQ(mtools_tree(image), wanted);
  const std::string table = read_file(root() / "short.img.names.txt");
  EXPECT_EQ(table,
            "# on the floppy\tin the backup\nM_RZ.JPE\tM\xC3\xA4rz.jpeg\nOPERATO1.TXT\tOperator notes of "
            "May.txt\nOPERATO2.TXT\tOperator notes.txt\n");
  for (const char* said : {"M_RZ.JPE      for M\xC3\xA4rz.jpeg", "OPERATO2.TXT  for Operator notes.txt",
                           "short.img.names.txt"}) {
    EXPECT_THAT(ran.out, HasSubstr(said));
  }
  EXPECT_EQ(
      kw({"restore", "lathe", "--at", "HEAD", "--to", (root() / "folder").string(), "--short-names"}).exit,
      2);
}

}  // namespace
}  // namespace scenario
