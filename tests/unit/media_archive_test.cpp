// Archives: what common programs make, and what hostile ones are. Everything is invented.
#include <archive.h>
#include <archive_entry.h>
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <map>
#include <string>

#include "media/archive.hpp"
#include "media_scratch.hpp"
#include "media_tools.hpp"

namespace keepway::media {
namespace {

Set sample() {
  Set set;
  set.files = {{"O1.NC", "O1\nM30\n", 1'000'000'000},
               {"sub/two words.txt", std::string(70'000, 'x'), 1'200'000'000}};
  set.empty_folders = {"none"};
  return set;
}

// An archive made by libarchive itself, with entries of any kind.
struct Member {
  std::string name;
  std::string bytes;
  unsigned type = AE_IFREG;
  std::string link = {};
};
std::string make_archive(const std::vector<Member>& members, bool zip) {
  std::string out(64UL << 20U, '\0');
  std::size_t used = 0;
  archive* to = archive_write_new();
  zip ? archive_write_set_format_zip(to) : archive_write_set_format_pax_restricted(to);
  archive_write_open_memory(to, out.data(), out.size(), &used);
  for (const Member& member : members) {
    archive_entry* entry = archive_entry_new();
    archive_entry_copy_pathname(entry, member.name.c_str());
    archive_entry_set_filetype(entry, member.type);
    archive_entry_set_perm(entry, 0644);
    if (member.type == AE_IFLNK) archive_entry_copy_symlink(entry, member.link.c_str());
    if (member.type == AE_IFREG && !member.link.empty())
      archive_entry_copy_hardlink(entry, member.link.c_str());
    archive_entry_set_size(entry, static_cast<la_int64_t>(member.bytes.size()));
    EXPECT_EQ(archive_write_header(to, entry), ARCHIVE_OK);
    archive_write_data(to, member.bytes.data(), member.bytes.size());
    archive_entry_free(entry);
  }
  archive_write_close(to);
  archive_write_free(to);
  out.resize(used);
  return out;
}

std::optional<ErrorKind> code_of_archive(const std::string& bytes, std::string* what = nullptr) {
  return code_of([&] { read_archive(bytes, archive_kind(bytes), "a"); }, what);
}

TEST(Archive, ReadsWhatCommonProgramsMake) {
  const Scratch scratch;
  write_folder(sample(), scratch / "in");
  const std::string in = scratch / "in";
  const std::string out = scratch / "out";
  ASSERT_EQ(run("cd " + in + " && tar cf " + out + "1 ."), 0);
  ASSERT_EQ(run("cd " + in + " && tar czf " + out + "2 *"), 0);
  ASSERT_EQ(run("cd " + in + " && tar --format=ustar -cf " + out + "3 ."), 0);
  for (const char* number : {"1", "2", "3"}) {
    SCOPED_TRACE(number);
    expect_same(sample(), read(out + number));
  }
}

TEST(Archive, ZipComesBackAsItWasWritten) {
  const Scratch scratch;
  Set set = sample();
  set.files.push_back({"\xC3\x84.nc", "umlaut", 1'000'000'000});
  std::sort(set.files.begin(), set.files.end(), [](const File& a, const File& b) { return a.name < b.name; });
  write_archive(set, scratch / "a.zip");
  expect_same(set, read(scratch / "a.zip"));
  EXPECT_EQ(code_of([&] { write_archive(set, scratch / "a.zip"); }), ErrorKind::refused);
  write_archive({}, scratch / "empty.zip");
  expect_same({}, read(scratch / "empty.zip"));
}

TEST(Archive, TellsHowMuchIsPackedAndUnpacked) {
  constexpr std::size_t files = 20;
  const Scratch scratch;
  Set set;
  std::string large;  // that does not shrink to next to nothing
  for (std::uint32_t i = 0; large.size() < (5U << 20U); ++i) large += fmt::format("{}\n", i * 2'654'435'761U);
  for (std::size_t i = 0; i < files; ++i)
    set.files.push_back({fmt::format("F{:02}", i), i == 0 ? large : "x", std::nullopt});
  // The last number of each, and what it is out of.
  std::map<std::string, std::pair<std::uint64_t, std::uint64_t>, std::less<>> reported;
  const OnProgress on_progress = [&](std::string_view what, std::uint64_t done, std::uint64_t of) {
    auto& [last, all] = reported[std::string(what)];
    EXPECT_GE(done, last) << what;
    last = done;
    all = of;
  };
  write_archive(set, scratch / "a.zip", on_progress);
  EXPECT_EQ(reported["files packed"], std::pair(files, files));
  write_folder(set, scratch / "in", on_progress);
  EXPECT_EQ(reported["files written"], std::pair(files, files));
  EXPECT_EQ(reported["files read back"], std::pair(files, files));
  ASSERT_EQ(run("cd " + (scratch / "in").native() + " && tar czf ../a.tgz * && tar cf ../a.tar *"), 0);
  for (const char* name : {"a.zip", "a.tgz", "a.tar"}) {
    SCOPED_TRACE(name);
    reported.clear();
    EXPECT_EQ(read(scratch / name, {.on_progress = on_progress}).files.size(), files);
    EXPECT_EQ(reported["files unpacked"].first, files);
    EXPECT_GE(reported["MiB unpacked"].first, 5U);
  }
}

TEST(Image, TellsHowMuchIsWrittenAndReadBack) {
  const Scratch scratch;
  Set set;
  for (int i = 0; i < 3; ++i)
    set.files.push_back(
        {fmt::format("F{}", i), std::string(600U << 10U, static_cast<char>('a' + i)), std::nullopt});
  std::map<std::string, std::pair<std::uint64_t, std::uint64_t>, std::less<>> reported;
  std::size_t times = 0;
  const OnProgress on_progress = [&](std::string_view what, std::uint64_t done, std::uint64_t of) {
    auto& [last, all] = reported[std::string(what)];
    EXPECT_GE(done, last) << what;
    last = done;
    all = of;
    ++times;
  };
  EXPECT_EQ(write_images(set, scratch / "a.img", on_progress).size(), 2U);
  EXPECT_EQ(reported.size(), 4U);
  for (const char* image : {"image 1 of 2, ", "image 2 of 2, "}) {
    for (const char* what : {"KiB written", "KiB read back"}) {
      const auto all = std::pair<std::uint64_t, std::uint64_t>(1440, 1440);
      EXPECT_EQ(reported[std::string(image) + what], all) << image << what;
    }
  }
  EXPECT_GT(times, 10U) << "not only at the end";
}

// The flags of the entry so named, in the central directory and before the file (PKWARE APPNOTE.TXT 6.3).
std::pair<unsigned, unsigned> name_flags(const std::string& zip, const std::string& name) {
  const auto flags = [&](std::string_view sign, std::size_t at_flags, std::size_t at_name) {
    for (std::size_t at = zip.find(sign); at != std::string::npos; at = zip.find(sign, at + 1)) {
      if (zip.compare(at + at_name, name.size(), name) == 0)
        return static_cast<unsigned>(static_cast<unsigned char>(zip[at + at_flags])) |
               (static_cast<unsigned>(static_cast<unsigned char>(zip[at + at_flags + 1])) << 8U);
    }
    ADD_FAILURE() << "no entry " << name;
    return 0U;
  };
  return {flags({"PK\x01\x02", 4}, 8, 46), flags({"PK\x03\x04", 4}, 6, 30)};
}

TEST(Archive, ANameThatIsNotAsciiIsSaidToBeUtf8) {
  const Scratch scratch;
  Set set;
  // Plain, composed, apart (an accent of its own), and one that is no UTF-8.
  const std::vector<std::string> names = {"O1.NC",
                                          "Gr\xC3\xB6\xC3\x9F"
                                          "e.nc",
                                          "e\xCC\x81.nc", "\xE9.nc"};
  for (const std::string& name : names) set.files.push_back({name, name, 1'000'000'000});
  set.empty_folders = {"\xC3\x84"};
  std::sort(set.files.begin(), set.files.end(), [](const File& a, const File& b) { return a.name < b.name; });
  write_archive(set, scratch / "a.zip");
  std::ifstream in(scratch / "a.zip", std::ios::binary);
  const std::string zip{std::istreambuf_iterator<char>(in), {}};
  constexpr unsigned utf8 = 1U << 11U;
  const auto said = [&](const std::string& name) {
    const auto [central, local] = name_flags(zip, name);
    EXPECT_EQ(central & utf8, local & utf8) << name;
    return (central & utf8) != 0;
  };
  EXPECT_FALSE(said(names[0]));
  EXPECT_TRUE(said(names[1]));
  EXPECT_TRUE(said(names[2]));
  EXPECT_FALSE(said(names[3])) << "its bytes are written as they are, and nothing is said of them";
  EXPECT_TRUE(said("\xC3\x84/"));
  expect_same(set, read(scratch / "a.zip"));
}

TEST(Archive, AZipWithoutAWholeDirectorySaysNothingOfItsNames) {
  const std::string zip = make_archive({{"\xC3\x84.nc", "x"}}, true);
  EXPECT_EQ(utf8_name_flags(zip).size(), 2U);
  for (std::size_t size = 0; size < zip.size(); ++size) {
    EXPECT_TRUE(utf8_name_flags(std::string_view(zip).substr(0, size)).empty()) << size;
  }
  std::string astray = zip;
  const std::size_t central = zip.find(std::string_view("PK\x01\x02", 4));
  for (std::size_t i = 0; i < 4; ++i) astray[central + 42 + i] = '\xFF';  // where the file would be
  EXPECT_TRUE(utf8_name_flags(astray).empty());
}

TEST(Archive, AFolderThatHoldsSomethingIsNotAnEmptyOne) {
  const Scratch scratch;
  Set set = sample();
  set.empty_folders = {"none", "none", "sub"};
  write_archive(set, scratch / "a.zip");
  expect_same(sample(), read(scratch / "a.zip"));
}

TEST(Archive, KnowsSevenZip) {
  const Scratch scratch;
  Set set = sample();
  std::string bytes(1UL << 20U, '\0');
  std::size_t used = 0;
  archive* to = archive_write_new();
  archive_write_set_format_7zip(to);
  archive_write_open_memory(to, bytes.data(), bytes.size(), &used);
  for (const File& file : set.files) {
    archive_entry* entry = archive_entry_new();
    archive_entry_copy_pathname(entry, file.name.c_str());
    archive_entry_set_filetype(entry, AE_IFREG);
    archive_entry_set_mtime(entry, *file.modified, 0);
    archive_entry_set_size(entry, static_cast<la_int64_t>(file.bytes.size()));
    archive_write_header(to, entry);
    archive_write_data(to, file.bytes.data(), file.bytes.size());
    archive_entry_free(entry);
  }
  archive_write_close(to);
  archive_write_free(to);
  bytes.resize(used);
  set.empty_folders.clear();
  EXPECT_EQ(archive_kind(bytes), ArchiveKind::seven_zip);
  expect_same(set, read_archive(bytes, ArchiveKind::seven_zip, "a"));
}

TEST(Archive, RefusesNamesThatLeaveTheFolder) {
  for (const bool zip : {true, false}) {
    for (const char* name : {"/etc/x", "../x", "a/../../x", "a/.."}) {
      EXPECT_EQ(code_of_archive(make_archive({{name, "x"}}, zip)), ErrorKind::refused) << name;
    }
  }
}

TEST(Archive, RefusesLinksAndDevices) {
  EXPECT_EQ(code_of_archive(make_archive({{"a", "", AE_IFLNK, "/etc/passwd"}}, false)), ErrorKind::refused);
  EXPECT_EQ(code_of_archive(make_archive({{"a", "", AE_IFLNK, "b"}}, true)), ErrorKind::refused);
  EXPECT_EQ(code_of_archive(make_archive({{"a", "x"}, {"b", "", AE_IFREG, "a"}}, false)), ErrorKind::refused);
  EXPECT_EQ(code_of_archive(make_archive({{"a", "", AE_IFIFO}}, false)), ErrorKind::refused);
}

TEST(Archive, RefusesTwoFilesOfOneName) {
  EXPECT_EQ(code_of_archive(make_archive({{"a", "x"}, {"./a", "y"}}, false)), ErrorKind::input);
}

TEST(Archive, StopsAtOneThatUnpacksToTooMuch) {
  const std::string zeros(60UL << 20U, '\0');
  std::string what;
  EXPECT_EQ(code_of_archive(make_archive({{"a", zeros}, {"b", zeros}}, true), &what), ErrorKind::input);
  EXPECT_NE(what.find("unpacks to more than"), std::string::npos) << what;
  // A volume of zeros alone is no trap.
  EXPECT_EQ(code_of_archive(make_archive({{"a", std::string(1'474'560, '\0')}}, true)), std::nullopt);
}

TEST(Archive, TellsWhatIsDamagedAndReadsTheRest) {
  std::string bytes = make_archive({{"a", std::string(3000, 'a')}, {"b", std::string(3000, 'b')}}, false);
  bytes.resize(512 + 3072 + 512 + 1000);
  const Set set = read_archive(bytes, archive_kind(bytes), "a");
  ASSERT_GE(set.files.size(), 1U);
  EXPECT_EQ(set.files[0].bytes, std::string(3000, 'a'));
  EXPECT_FALSE(set.flaws.empty());
  EXPECT_EQ(archive_kind(bytes.substr(0, 300)), ArchiveKind::none);
}

TEST(Archive, WhatFollowsADamagedHeadIsSaidNotToBeRead) {
  std::string bytes = make_archive({{"a", "aa"}, {"b", "bb"}, {"c", "cc"}}, false);
  const std::size_t second = bytes.find("b", 1024);
  bytes.replace(second, 300, 300, '\xFF');
  const Set set = read_archive(bytes, archive_kind(bytes), "a");
  ASSERT_EQ(set.files.size(), 1U);
  EXPECT_EQ(set.files[0].bytes, "aa");
  ASSERT_EQ(set.flaws.size(), 1U);
  EXPECT_NE(set.flaws[0].what.find("what follows is not read"), std::string::npos) << set.flaws[0].what;
}

// GNU tar stores a hole as its length alone.
TEST(Archive, AHoleLargerThanAFileMayBeIsRefused) {
  const Scratch scratch;
  const std::string file = scratch / "hole";
  ASSERT_EQ(run("truncate -s 300M " + file + " && echo x >>" + file), 0);
  ASSERT_EQ(run(fmt::format("tar -S -C {0} -cf {0}/hole.tar hole", scratch.path().native())), 0);
  ASSERT_LT(std::filesystem::file_size(scratch / "hole.tar"), 100'000U);
  std::string what;
  EXPECT_EQ(code_of([&] { read(scratch / "hole.tar"); }, &what), ErrorKind::input);
  EXPECT_NE(what.find("over the limit"), std::string::npos) << what;
}

TEST(Archive, NamesThatCannotBeTogetherAreReportedWithTheArchives) {
  const std::string bytes = make_archive({{"a", "x"}, {"a/b", "y"}}, false);
  try {
    read_archive(bytes, archive_kind(bytes), "all.tar");
    ADD_FAILURE() << "a file and a folder of one name were taken";
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::refused);
    EXPECT_EQ(error.place().file, "all.tar: a");
  }
}

TEST(Archive, SaysThatOneIsEncrypted) {
  const Scratch scratch;
  archive* to = archive_write_new();
  std::string bytes(1UL << 16U, '\0');
  std::size_t used = 0;
  archive_write_set_format_zip(to);
  ASSERT_EQ(archive_write_set_options(to, "zip:encryption=zipcrypt"), ARCHIVE_OK);
  archive_write_set_passphrase(to, "x");
  archive_write_open_memory(to, bytes.data(), bytes.size(), &used);
  archive_entry* entry = archive_entry_new();
  archive_entry_copy_pathname(entry, "a");
  archive_entry_set_filetype(entry, AE_IFREG);
  archive_entry_set_size(entry, 3);
  archive_write_header(to, entry);
  archive_write_data(to, "abc", 3);
  archive_entry_free(entry);
  archive_write_close(to);
  archive_write_free(to);
  bytes.resize(used);
  std::string what;
  EXPECT_EQ(code_of_archive(bytes, &what), ErrorKind::input);
  EXPECT_NE(what.find("encrypted"), std::string::npos) << what;
}

TEST(Archive, AGzipWithoutATarIsBadInput) {
  const Scratch scratch;
  std::ofstream(scratch / "O1.nc") << "O1\nM30\n";
  ASSERT_EQ(run("gzip " + (scratch / "O1.nc").native()), 0);
  EXPECT_EQ(code_of([&] { read(scratch / "O1.nc.gz"); }), ErrorKind::input);
}

TEST(Archive, AFilesNameDoesNotMakeAnArchive) {
  const Scratch scratch;
  std::ofstream(scratch / "a.zip") << "O1\nM30\n";
  EXPECT_EQ(read(scratch / "a.zip").files[0].name, "a.zip");
  write_archive(sample(), scratch / "O1.nc");
  expect_same(sample(), read(scratch / "O1.nc"));
}

}  // namespace
}  // namespace keepway::media
