// Archives that were cut, split, packed by other programs, or hold one name too long; and volumes of other
// kinds. Everything is invented.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <iterator>

#include "media/archive.hpp"
#include "media_scratch.hpp"
#include "media_tools.hpp"

namespace keepway::media {
namespace {

using testing::HasSubstr;

class ArchiveEnd : public testing::Test {
 protected:
  void SetUp() override {
    std::filesystem::create_directory(scratch_ / "b");
    std::ofstream(scratch_ / "b" / "O1.nc") << "O1\nM30\n";
    std::ofstream(scratch_ / "b" / "t.tbl") << std::string(3000, 't');
  }
  std::string made(const std::string& command, const std::string& name) {
    EXPECT_EQ(run(fmt::format("cd {}/b && {}", scratch_.path().native(), command)), 0) << command;
    std::ifstream in(scratch_ / "b" / name, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
  }
  Set read_bytes(const std::string& bytes) {
    std::ofstream(scratch_ / "it", std::ios::binary) << bytes;
    return read(scratch_ / "it");
  }
  static std::string flaws(const Set& set) {
    std::string all;
    for (const Flaw& flaw : set.flaws) all += flaw.what + "\n";
    return all;
  }
  Scratch scratch_;
};

// GNU tar, bzip2, xz and gzip of Debian are the reference.
TEST_F(ArchiveEnd, ReadsWhatCommonProgramsPack) {
  for (const char* flag : {"", "z", "j", "J"}) {
    const std::string bytes = made(fmt::format("tar -c{}f a.tar O1.nc t.tbl", flag), "a.tar");
    const Set set = read_bytes(bytes);
    ASSERT_EQ(set.files.size(), 2U) << flag;
    EXPECT_EQ(set.files[0].bytes, "O1\nM30\n");
    EXPECT_EQ(flaws(set), "") << flag;
  }
}

TEST_F(ArchiveEnd, ATarWithoutItsEndIsCutOff) {
  const std::string bytes = made("tar -cf a.tar O1.nc t.tbl", "a.tar");
  constexpr std::size_t files_end = 512 + 512 + 512 + 3072;
  for (const std::size_t size : {std::size_t{1024}, files_end, files_end + 512}) {
    const Set set = read_bytes(bytes.substr(0, size));
    EXPECT_THAT(flaws(set), HasSubstr("cut off")) << size;
    EXPECT_EQ(set.files[0].bytes, "O1\nM30\n");
  }
  EXPECT_EQ(flaws(read_bytes(bytes.substr(0, files_end + 1024))), "");
  EXPECT_EQ(flaws(read_bytes(bytes)), "");
  // The same inside what compresses it.
  std::ofstream(scratch_ / "b" / "cut.tar", std::ios::binary) << bytes.substr(0, files_end);
  for (const char* program : {"gzip", "bzip2", "xz"}) {
    EXPECT_THAT(flaws(read_bytes(made(fmt::format("{} -c cut.tar > cut", program), "cut"))),
                HasSubstr("cut off"));
  }
}

TEST_F(ArchiveEnd, ACompressedTarThatIsCutIsDamaged) {
  for (const char* flag : {"z", "j", "J"}) {
    const std::string bytes =
        made(fmt::format("head -c 200000 /dev/urandom > r && tar -c{}f a.tar O1.nc r", flag), "a.tar");
    std::string said;
    try {
      said = flaws(read_bytes(bytes.substr(0, bytes.size() / 2)));
    } catch (const Error& error) {
      said = error.what();
    }
    EXPECT_NE(said, "") << flag;
  }
}

TEST_F(ArchiveEnd, AZipCutInItsDirectoryIsCutOff) {
  write_archive(read(scratch_ / "b"), scratch_ / "a.zip");
  std::ifstream in(scratch_ / "a.zip", std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(in), {}};
  const std::size_t directory = bytes.find("PK\x01\x02");
  ASSERT_NE(directory, std::string::npos);
  EXPECT_EQ(flaws(read_bytes(bytes)), "");
  std::size_t silent = 0;
  for (std::size_t size = directory; size < bytes.size(); ++size) {
    try {
      silent += read_bytes(bytes.substr(0, size)).flaws.empty() ? 1 : 0;
    } catch (const Error&) {
    }
  }
  EXPECT_EQ(silent, 0U);
  EXPECT_THAT(flaws(read_bytes(bytes.substr(0, directory + 10))), HasSubstr("cut off"));
}

TEST_F(ArchiveEnd, APartOfASplitArchiveIsCalledThat) {
  write_archive(read(scratch_ / "b"), scratch_ / "a.zip");
  std::ifstream in(scratch_ / "a.zip", std::ios::binary);
  std::string bytes{std::istreambuf_iterator<char>(in), {}};
  const std::size_t end = bytes.rfind("PK\x05\x06");
  std::string last = bytes;
  last[end + 4] = last[end + 6] = '\x01';  // PKWARE APPNOTE.TXT 6.3, 4.3.16: the number of this disk
  for (const std::string& part : {last, "PK\x07\x08" + bytes}) {
    std::string what;
    EXPECT_EQ(code_of([&] { read_bytes(part); }, &what), ErrorKind::input);
    EXPECT_THAT(what, HasSubstr("several parts"));
  }
  const std::string tar = made("tar -cf a.tar O1.nc t.tbl", "a.tar");
  std::string volume = tar;
  volume[156] = 'M';  // GNU tar: goes on from the volume before; the sum of the head follows
  const auto sum = [&] {
    unsigned total = 8 * ' ';
    for (std::size_t i = 0; i < 512; ++i)
      total += i >= 148 && i < 156 ? 0U : static_cast<unsigned char>(volume[i]);
    return total;
  };
  volume.replace(148, 8, fmt::format("{:06o}", sum()) + std::string("\0 ", 2));
  std::string what;
  EXPECT_EQ(code_of([&] { read_bytes(volume); }, &what), ErrorKind::input);
  EXPECT_THAT(what, HasSubstr("several parts"));
}

TEST_F(ArchiveEnd, OneOverlongNameIsReportedAndTheRestIsRead) {
  const std::string part(200, 'n');
  std::string name;
  for (int i = 0; i < 25; ++i) name += part + "/";
  // 4096 bytes are more than the system lets a program make: tar renames on the way.
  const std::string bytes =
      made(fmt::format("tar --format=pax -cf a.tar --transform \"s,^t.tbl$,{}t.tbl,\" O1.nc t.tbl", name),
           "a.tar");
  const Set set = read_bytes(bytes);
  ASSERT_EQ(set.files.size(), 1U);
  EXPECT_EQ(set.files[0].name, "O1.nc");
  EXPECT_THAT(flaws(set), HasSubstr("longer than a disk can hold"));
  // A name that a disk holds and its stored form does not: each byte that is no text takes three.
  std::string raw;
  for (int i = 0; i < 100; ++i) raw += "\xFF";
  std::ofstream(scratch_ / "b" / raw) << "x";
  const Set folder = read(scratch_ / "b");
  EXPECT_THAT(flaws(folder), HasSubstr("longer than a disk can hold"));
  EXPECT_GE(folder.files.size(), 2U);
}

TEST_F(ArchiveEnd, OtherVolumesAreCalledWhatTheyAre) {
  const std::string image = scratch_ / "stick.img";
  ASSERT_EQ(run("truncate -s 64M " + image + " && PATH=$PATH:/sbin:/usr/sbin mkfs.fat -F 32 " + image +
                " >/dev/null"),
            0);
  for (const bool partitioned : {false, true}) {
    if (partitioned) {
      std::string mbr(512, '\0');
      mbr[446 + 4] = '\x0C';
      mbr[446 + 8 + 1] = '\x08';  // first sector: 2048
      mbr[510] = '\x55';
      mbr[511] = '\xAA';
      ASSERT_EQ(run(fmt::format("truncate -s 1M {0}.p && cat {0} >> {0}.p && mv {0}.p {0}", image)), 0);
      std::fstream(image, std::ios::in | std::ios::out | std::ios::binary) << mbr;
    }
    std::string what;
    EXPECT_EQ(code_of([&] { read(image); }, &what), ErrorKind::input);
    EXPECT_THAT(what, HasSubstr("FAT32"));
    EXPECT_EQ(code_of([&] { (void)find_slots(image); }, &what), ErrorKind::input);
    EXPECT_THAT(what, HasSubstr("FAT32"));
  }
}

}  // namespace
}  // namespace keepway::media
