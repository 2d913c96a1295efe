// 7z archives: what the reference program makes is read, and a head that claims too much is refused before
// any memory is taken for it. Everything is invented; the heads are written after the 7z format description
// of the LZMA SDK.
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <fstream>

#include "media/archive.hpp"
#include "media/fat_format.hpp"
#include "media_scratch.hpp"
#include "media_tools.hpp"

namespace keepway::media {
namespace {

Set sample() {
  Set set;
  Random random(7);
  set.files = {{"O1.NC", "O1\nM30\n", 1'000'000'000},
               {"O2.NC", random_bytes(random, 30'000), 1'000'000'000},
               {"sub/TOOL.TXT", std::string(70'000, 'x'), 1'200'000'000}};
  return set;
}

std::string load(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::optional<ErrorKind> code_of_claim(const std::string& bytes, std::string& what) {
  return code_of([&] { read_archive(bytes, ArchiveKind::seven_zip, "a.7z"); }, &what);
}

// A 7z archive whose head is `head`, behind `packed` streams.
std::string with_head(const std::string& head, const std::string& packed = "") {
  std::string out("7z\xBC\xAF\x27\x1C\0\x04", 8);
  out.append(24, '\0');
  put32(out, 12, static_cast<std::uint32_t>(packed.size()));
  put32(out, 20, static_cast<std::uint32_t>(head.size()));
  return out + packed + head;
}

// The format's own spelling of a large number: FF and eight bytes.
std::string number(std::uint64_t value) {
  std::string out(1, '\xFF');
  for (int i = 0; i < 8; ++i) out += static_cast<char>((value >> (8 * i)) & 0xFFU);
  return out;
}

// Streams of one folder, of one LZMA coder with a dictionary of so many bytes.
std::string lzma_streams(std::uint64_t unpacked, std::uint32_t dictionary) {
  std::string coder("\x23\x03\x01\x01\x05\x5D", 6);
  coder.append(4, '\0');
  put32(coder, 6, dictionary);
  return std::string("\x06\x00\x01\x09\x05\x00", 6) + std::string("\x07\x0B\x01\x00\x01", 5) + coder +
         '\x0C' + number(unpacked) + std::string(2, '\0');
}

TEST(SevenZip, ReadsAllThatTheReferenceProgramMakes) {
  const Scratch scratch;
  write_folder(sample(), scratch / "in");
  const char* switches[] = {"",
                            "-mx=0",
                            "-mx=9",
                            "-m0=LZMA",
                            "-m0=LZMA2",
                            "-m0=PPMd",
                            "-m0=BZip2",
                            "-m0=Deflate",
                            "-ms=off",
                            "-mhc=off",
                            "-m0=BCJ -m1=LZMA",
                            "-m0=BCJ2 -m1=LZMA -m2=LZMA -m3=LZMA -mb0:1 -mb0s1:2 -mb0s2:3"};
  for (const char* how : switches) {
    SCOPED_TRACE(how);
    std::filesystem::remove(scratch / "a.7z");
    ASSERT_EQ(run(fmt::format("cd {} && 7zz a {} {} .", (scratch / "in").native(), how,
                              (scratch / "a.7z").native())),
              0);
    expect_same(sample(), read(scratch / "a.7z"));
  }
}

TEST(SevenZip, ManyFilesAndNone) {
  const Scratch scratch;
  Set set;
  for (int i = 0; i < 3000; ++i)
    set.files.push_back({fmt::format("O{:05}.NC", i), fmt::format("O{}\n", i), 1'000'000'000});
  write_folder(set, scratch / "in");
  ASSERT_EQ(run(fmt::format("cd {} && 7zz a {} .", (scratch / "in").native(), (scratch / "a.7z").native())),
            0);
  expect_same(set, read(scratch / "a.7z"));
  EXPECT_TRUE(read_archive(with_head(""), ArchiveKind::seven_zip, "a.7z").files.empty());
}

TEST(SevenZip, SaysThatItIsEncrypted) {
  const Scratch scratch;
  write_folder(sample(), scratch / "in");
  for (const char* how : {"-psecret", "-psecret -mhe=on"}) {
    std::filesystem::remove(scratch / "a.7z");
    ASSERT_EQ(run(fmt::format("cd {} && 7zz a {} {} .", (scratch / "in").native(), how,
                              (scratch / "a.7z").native())),
              0);
    std::string what;
    EXPECT_EQ(code_of([&] { read(scratch / "a.7z"); }, &what), ErrorKind::input);
    EXPECT_NE(what.find("encrypted"), std::string::npos) << what;
  }
}

TEST(SevenZip, CutAnywhereIsAnErrorOfTheInput) {
  const Scratch scratch;
  write_folder(sample(), scratch / "in");
  ASSERT_EQ(run(fmt::format("cd {} && 7zz a {} .", (scratch / "in").native(), (scratch / "a.7z").native())),
            0);
  const std::string whole = load(scratch / "a.7z");
  for (std::size_t size = 6; size < whole.size(); size += size < 64 ? 1 : 97) {
    std::string what;
    EXPECT_EQ(code_of_claim(whole.substr(0, size), what), ErrorKind::input) << size;
  }
}

TEST(SevenZip, AHeadThatClaimsTooMuchIsRefusedAtOnce) {
  const std::string file_count = std::string("\x01\x05", 2) + number(100'000'000);
  const std::string streams = std::string("\x01\x04", 2);
  struct Case {
    std::string head;
    const char* said;
  };
  const Case cases[] = {
      {file_count, "100000000 files"},
      {streams + std::string("\x06\x00", 2) + number(100'000'000), "100000000 streams"},
      {streams + std::string("\x07\x0B", 2) + number(100'000'000), "100000000 folders"},
      {streams + std::string("\x07\x0B\x01\x00", 4) + number(1'000'000), "1000000 coders"},
      {streams + std::string("\x07\x0B\x01\x00\x01\x10", 6) + number(100'000'000), "100000000 streams"},
      {streams + lzma_streams(1ULL << 40U, 1U << 20U) + '\0', "512 MiB of files"},
      {streams + lzma_streams(300'000'000, 1U << 20U) + '\0', "times its size"},
      {streams + lzma_streams(1000, 0xFFFFFFFF) + '\0', "4095 MiB of memory"},
      {std::string(1, '\x17') + lzma_streams(1ULL << 40U, 1U << 20U), "its header claims"},
      {std::string("\x02\x02", 2), "malformed"},
  };
  rusage before{};
  ::getrusage(RUSAGE_SELF, &before);
  for (const Case& each : cases) {
    std::string what;
    EXPECT_EQ(code_of_claim(with_head(each.head), what), ErrorKind::input) << each.said;
    EXPECT_NE(what.find(each.said), std::string::npos) << what;
  }
  rusage after{};
  ::getrusage(RUSAGE_SELF, &after);
  EXPECT_LT(after.ru_maxrss - before.ru_maxrss, 64 * 1024) << "KiB";
}

}  // namespace
}  // namespace keepway::media
