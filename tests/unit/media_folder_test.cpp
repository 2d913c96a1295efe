// Folders and single files: all names and bytes here are invented.
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fstream>
#include <functional>

#include "keepway/media.hpp"
#include "keepway/sha256.hpp"
#include "media/set.hpp"
#include "media_scratch.hpp"

namespace keepway::media {
namespace {

std::optional<ErrorKind> code_of(const std::function<void()>& act) {
  try {
    act();
  } catch (const Error& error) {
    EXPECT_FALSE(std::string(error.what()).empty());
    EXPECT_FALSE(error.remedy().empty());
    return error.kind();
  }
  return std::nullopt;
}

Set sample() {
  Set set;
  set.files = {{"A.NC", "%\nO1\nM30\n%\n", 1'000'000'000},
               {"deep/er/B", std::string("\0\xFF\n", 3), 1'700'000'001},
               {"empty", "", std::nullopt},
               {"na\xFFme \n.txt", "x", 86'400}};
  set.empty_folders = {"deep/none", "nothing"};
  return set;
}

TEST(Sha256, AgreesWithPublishedExamples) {
  // FIPS 180-2, appendix B.1, and the digest of the empty message (NIST CAVP SHA256ShortMsg, Len = 0).
  EXPECT_EQ(sha256_hex("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256_hex(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST(Folder, TellsHowManyFilesAreRead) {
  for (const std::size_t files : {7U, 300U}) {  // one after another, and on two threads
    const Scratch scratch;
    Set set;
    for (std::size_t i = 0; i < files; ++i) set.files.push_back({std::to_string(i), "x", std::nullopt});
    write_folder(set, scratch / "out");
    ReadOptions options;
    std::uint64_t last = 0;
    options.on_progress = [&](std::string_view what, std::uint64_t done, std::uint64_t of) {
      EXPECT_EQ(what, "files read");
      EXPECT_EQ(done, ++last);
      EXPECT_EQ(of, files);
    };
    EXPECT_EQ(read(scratch / "out", options).files.size(), files);
    EXPECT_EQ(last, files);
  }
}

TEST(Folder, GivesBackWhatWasWritten) {
  const Scratch scratch;
  const Set set = sample();
  write_folder(set, scratch / "new/out");
  const Set back = read(scratch / "new/out");
  ASSERT_EQ(back.files.size(), set.files.size());
  for (std::size_t i = 0; i < set.files.size(); ++i) {
    EXPECT_EQ(back.files[i].name, set.files[i].name);
    EXPECT_EQ(back.files[i].bytes, set.files[i].bytes);
    if (set.files[i].modified) {
      EXPECT_EQ(back.files[i].modified, set.files[i].modified);
    }
  }
  EXPECT_EQ(back.empty_folders, set.empty_folders);
  EXPECT_TRUE(back.flaws.empty());
}

TEST(Folder, ManyFilesComeInOrderToo) {
  const Scratch scratch;
  Set set;
  for (int i = 0; i < 1000; ++i) {
    const std::string number = std::to_string(10'000 + i);
    set.files.push_back({(i % 3 == 0 ? "below/" : "") + number,
                         std::string(static_cast<std::size_t>(i), 'x') + number, 86'400});
  }
  sort_set(set);
  write_folder(set, scratch / "out");
  const Set back = read(scratch / "out");
  ASSERT_EQ(back.files.size(), set.files.size());
  for (std::size_t i = 0; i < set.files.size(); ++i) {
    EXPECT_EQ(back.files[i].name, set.files[i].name);
    EXPECT_EQ(back.files[i].bytes, set.files[i].bytes);
  }
  // Bounds hold, whichever thread comes upon what is over them.
  std::filesystem::resize_file(scratch / "out/10400", max_file_bytes + 1);
  EXPECT_EQ(code_of([&] { read(scratch / "out"); }), ErrorKind::input);
}

TEST(Folder, SingleFileIsASetOfOne) {
  const Scratch scratch;
  std::ofstream(scratch / "O1234.nc") << "O1234\nM30\n";
  const Set set = read(scratch / "O1234.nc");
  ASSERT_EQ(set.files.size(), 1U);
  EXPECT_EQ(set.files[0].name, "O1234.nc");
  EXPECT_EQ(set.files[0].bytes, "O1234\nM30\n");
}

TEST(Folder, MissingPathIsBadInput) {
  EXPECT_EQ(code_of([] { read("/there/is/no/such/folder"); }), ErrorKind::input);
}

TEST(Folder, RefusesLinksAndPipesByName) {
  const Scratch scratch;
  std::filesystem::create_directory(scratch / "in");
  std::ofstream(scratch / "in/a") << "a";
  std::filesystem::create_symlink("a", scratch / "in/link");
  EXPECT_EQ(code_of([&] { read(scratch / "in"); }), ErrorKind::refused);
  try {
    read(scratch / "in");
    FAIL();
  } catch (const Error& error) {
    EXPECT_NE(error.place().file.find("in/link"), std::string::npos);
  }
  std::filesystem::remove(scratch / "in/link");
  ASSERT_EQ(::mkfifo((scratch / "in/pipe").c_str(), 0600), 0);
  EXPECT_EQ(code_of([&] { read(scratch / "in"); }), ErrorKind::refused);
  EXPECT_EQ(code_of([&] { read(scratch / "in/pipe"); }), ErrorKind::refused);
}

TEST(Folder, BoundsItsDepth) {
  const Scratch scratch;
  std::filesystem::path deep = scratch / "in";
  for (std::size_t i = 0; i < max_depth + 2; ++i) deep /= "d";
  std::filesystem::create_directories(deep);
  EXPECT_EQ(code_of([&] { read(scratch / "in"); }), ErrorKind::input);
}

TEST(Folder, BoundsAFilesSizeWithoutReadingIt) {
  const Scratch scratch;
  std::ofstream(scratch / "big") << "x";
  std::filesystem::resize_file(scratch / "big", max_file_bytes + 1);
  EXPECT_EQ(code_of([&] { read(scratch / "big"); }), ErrorKind::input);
}

TEST(Folder, NoticesAFileThatGrowsWhileItIsRead) {
  // procfs says 0 bytes of size, then gives more: the same to a reader as a file that grew.
  EXPECT_EQ(code_of([] { read("/proc/version"); }), ErrorKind::input);
}

TEST(Folder, RefusesNamesThatLeaveIt) {
  const Scratch scratch;
  for (const std::string& name :
       {std::string("/etc/x"), std::string("../x"), std::string("a/../x"), std::string("a//x"),
        std::string("a/"), std::string("."), std::string(), std::string("a\0b", 3), std::string(5000, 'n')}) {
    Set set;
    set.files = {{name, "x", std::nullopt}};
    EXPECT_EQ(code_of([&] { write_folder(set, scratch / "out"); }), ErrorKind::refused) << name;
    set = {};
    set.empty_folders = {name};
    EXPECT_EQ(code_of([&] { write_folder(set, scratch / "out"); }), ErrorKind::refused) << name;
    EXPECT_FALSE(std::filesystem::exists(scratch / "out"));
  }
}

TEST(Folder, RefusesNamesThatCannotBeTogether) {
  const Scratch scratch;
  Set set;
  set.files = {{"a", "x", std::nullopt}, {"a", "y", std::nullopt}};
  EXPECT_EQ(code_of([&] { write_folder(set, scratch / "out"); }), ErrorKind::refused);
  set.files = {{"a", "x", std::nullopt}, {"a/b", "y", std::nullopt}};
  EXPECT_EQ(code_of([&] { write_folder(set, scratch / "out"); }), ErrorKind::refused);
  EXPECT_FALSE(std::filesystem::exists(scratch / "out"));
}

TEST(Folder, RefusesAFolderWithSomethingInIt) {
  const Scratch scratch;
  std::filesystem::create_directory(scratch / "out");
  write_folder(sample(), scratch / "out");  // empty: allowed
  EXPECT_EQ(code_of([&] { write_folder(sample(), scratch / "out"); }), ErrorKind::refused);
  EXPECT_EQ(read(scratch / "out").files.size(), sample().files.size());
}

TEST(Folder, TakesAwayWhatItWroteWhenItFails) {
  const Scratch scratch;
  Set set = sample();
  // No Linux file system holds a name part of over 255 bytes (NAME_MAX), so the last file fails.
  set.files.push_back({"z" + std::string(300, 'z'), "x", std::nullopt});
  EXPECT_EQ(code_of([&] { write_folder(set, scratch / "made/out"); }), ErrorKind::store);
  EXPECT_FALSE(std::filesystem::exists(scratch / "made"));
  std::filesystem::create_directory(scratch / "was");
  EXPECT_EQ(code_of([&] { write_folder(set, scratch / "was"); }), ErrorKind::store);
  EXPECT_TRUE(std::filesystem::is_empty(scratch / "was"));
}

}  // namespace
}  // namespace keepway::media
