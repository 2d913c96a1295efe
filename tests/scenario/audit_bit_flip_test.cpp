// One bit turned in any stored file of a small repository: the audit reports it, and no command crashes.
#include <fmt/format.h>

#include <cstdlib>
#include <iostream>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

class BitFlip : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    ASSERT_EQ(kw({"enroll", "mill", "--layout", "rs274ngc"}).exit, 0);
    Tree files = {{"O1.ngc", "O1\nG1 X1 F5\nM30\n"}, {"m.tbl", mill_files().at("mill.tbl")}};
    intake("mill", files, 1, {"--at", "2026-01-01", "--accept"});
    files["O1.ngc"] = "O1\nG1 X2 F5\nG1 X2 F5\nG1 X2 F5\nG1 X2 F5\nM30\n";
    intake("mill", files, 0, {"--at", "2026-01-02", "--accept"});
    ASSERT_EQ(kw({"mark", "mill", "known good"}).exit, 0);
    ASSERT_EQ(kw({"trial", "mill", "begin", "a"}).exit, 0);
    files["O1.ngc"] = "O1\nG1 X3 F5\nM30\n";
    intake("mill", files, 0, {"--at", "2026-01-03", "--accept"});
    ASSERT_EQ(kw({"trial", "mill", "keep", "a"}).exit, 0);
  }

  // Turns bits one by one. Each has to be reported in any finding, or to be harmless for a reason given here.
  void turn_bits() {
    const bool every = std::getenv("KEEPWAY_LONG_TESTS") != nullptr;
    ASSERT_EQ(kw({"audit", "mill"}).exit, 0);
    Random random(5);
    std::size_t turned = 0;
    std::size_t files = 0;
    std::vector<fs::path> all;
    for (const auto& entry : fs::recursive_directory_iterator(repository("mill"))) {
      if (entry.is_regular_file() && entry.file_size() > 0) all.push_back(entry.path());
    }
    std::sort(all.begin(), all.end());
    for (const fs::path& file : all) {
      const std::string name = file.lexically_relative(repository("mill")).string();
      // For Git's dumb transport alone; out of date by nature, and read by nothing here.
      if (name == ".git/info/refs" || name == ".git/objects/info/packs") continue;
      ++files;
      const std::string whole = read_file(file);
      const fs::perms kept = fs::status(file).permissions();
      std::vector<std::size_t> bits;
      if (every || whole.size() <= 8) {
        for (std::size_t bit = 0; bit < whole.size() * 8; ++bit) bits.push_back(bit);
      } else {
        for (const std::size_t byte : {std::size_t{0}, whole.size() / 2, whole.size() - 1})
          bits.push_back(byte * 8 + random.below(8));
        for (int i = 0; i < 9; ++i) bits.push_back(random.below(whole.size() * 8));
      }
      fs::permissions(file, fs::perms::owner_write, fs::perm_options::add);
      for (const std::size_t bit : bits) {
        if (name.starts_with(".git/logs/") && in_free_text(whole, bit / 8)) continue;
        if (name == ".git/packed-refs" && in_ref_name(whole, bit / 8)) continue;
        std::string bytes = whole;
        bytes[bit / 8] = static_cast<char>(static_cast<unsigned char>(bytes[bit / 8]) ^ (1U << (bit % 8)));
        write_file(file, bytes);
        SCOPED_TRACE(fmt::format("{} bit {} of byte {}", name, bit % 8, bit / 8));
        const Ran ran = kw({"--json", "audit", "mill"});
        ++turned;
        ASSERT_TRUE(ran.exit == 0 || ran.exit == 1 || ran.exit == 4) << ran.exit << ran.out << ran.err;
        const Json answer = Json::parse(ran.out);
        ASSERT_TRUE(answer.contains("machines")) << ran.out << ran.err;
        EXPECT_FALSE(answer.at("machines").at(0).at("findings").empty()) << "not reported";
        if (turned % 5 == 0) expect_no_crash();
        write_file(file, whole);
      }
      fs::permissions(file, kept);
      if (HasFailure()) break;
    }
    std::cout << fmt::format("[ bits     ] {} turned in {} files\n", turned, files);
    // What stands again is as it was.
    EXPECT_EQ(kw({"audit", "mill"}).exit, 0);
  }

  // What a mark or an archived trial is called has no sum over it: another name is a mark renamed.
  static bool in_ref_name(const std::string& packed, std::size_t byte) {
    const std::size_t begin = byte == 0 ? 0 : packed.rfind('\n', byte - 1) + 1;
    return byte - begin > 40 && packed[begin] != '#' && packed[byte] != '\n';
  }

  // Name, time and message of a log's line: Git's notes for people, of which nothing is a backup's.
  static bool in_free_text(const std::string& log, std::size_t byte) {
    const std::size_t begin = byte == 0 ? 0 : log.rfind('\n', byte - 1) + 1;
    return byte - begin >= 82 && log[byte] != '\n';
  }

  static std::size_t number_at(const std::string& bytes, std::size_t at) {
    std::size_t value = 0;
    for (std::size_t i = at; i < at + 4; ++i) value = value << 8U | static_cast<unsigned char>(bytes[i]);
    return value;
  }

  // The places of single packs' indexes (gitformat-pack(5), version 2): head, fan-out, ids, checksums,
  // places.
  static std::size_t first_place(const std::string& index) {
    constexpr std::size_t tables = 8 + 1024;
    return tables + number_at(index, tables - 4) * (20 + 4);
  }

  void expect_no_crash() {
    for (const Args& args :
         std::vector<Args>{{"history", "mill"},
                           {"show", "mill", "offsets"},
                           {"changes", "mill"},
                           {"restore", "mill", "--at", "1", "--to", (root() / "out").string()}}) {
      const Ran ran = kw(args);
      EXPECT_LT(ran.exit, 6) << args.front() << ran.out << ran.err;
      if (args.front() == "restore" && ran.exit == 0) {
        EXPECT_EQ(read_file(root() / "out" / "O1.ngc"), "O1\nG1 X1 F5\nM30\n")
            << "wrong bytes, given as right";
      }
    }
    fs::remove_all(root() / "out");
  }
};

TEST_F(BitFlip, InLooseFilesIsReported) {
  turn_bits();
}

TEST_F(BitFlip, InPacksIsReported) {
  ASSERT_EQ(git(repository("mill"), {"gc", "-q", "--prune=now"}).exit, 0);
  turn_bits();
}

// libgit2 would read there, and end the program.
TEST_F(BitFlip, APlaceBeyondItsPackEndsNoCommand) {
  const fs::path packs = repository("mill") / ".git" / "objects" / "pack";
  std::vector<fs::path> indexes;
  for (const auto& entry : fs::directory_iterator(packs)) {
    if (entry.path().extension() == ".idx") indexes.push_back(entry.path());
  }
  ASSERT_GE(indexes.size(), 3U) << "each backup is a pack";
  std::size_t restored = 0;
  for (const fs::path& index : indexes) {
    const std::string whole = read_file(index);
    fs::permissions(index, fs::perms::owner_write, fs::perm_options::add);
    // The highest bit leads to the table of long places, of which there is none; the others beyond the end.
    for (const unsigned bit : {0U, 3U, 7U}) {
      std::string bytes = whole;
      for (std::size_t at = first_place(whole); at + 40 < whole.size(); at += 4)
        bytes[at] = static_cast<char>(static_cast<unsigned char>(bytes[at]) ^ (1U << bit));
      write_file(index, bytes);
      SCOPED_TRACE(fmt::format("{} bit {}", index.filename().string(), bit));
      const Ran ran = kw({"--json", "audit", "mill"});
      ASSERT_TRUE(ran.exit == 1 || ran.exit == 4) << ran.exit << ran.out << ran.err;
      EXPECT_NE(ran.out.find("pack-index-damaged"), std::string::npos) << ran.out;
      expect_no_crash();
      const Ran first = kw({"restore", "mill", "--at", "1", "--to", (root() / "one").string(), "--accept"});
      if (first.exit <= 1) {
        EXPECT_EQ(read_file(root() / "one" / "O1.ngc"), "O1\nG1 X1 F5\nM30\n");
        ++restored;
      } else {
        EXPECT_EQ(first.exit, 4) << first.out << first.err;
      }
      fs::remove_all(root() / "one");
      const Ran from_it = kw({"sync", "again", "--to", repository("mill").string()});
      EXPECT_EQ(from_it.exit, 4) << from_it.out << from_it.err;
      EXPECT_NE(from_it.err.find("points outside its pack"), std::string::npos) << from_it.err;
      EXPECT_FALSE(fs::exists(shop() / "again")) << from_it.err;
    }
    write_file(index, whole);
  }
  EXPECT_GT(restored, 0U) << "a pack that the first backup needs nothing of must not hide it";
  EXPECT_EQ(kw({"audit", "mill"}).exit, 0);
}

TEST_F(BitFlip, APlaceBeyondAnyPackInTheIndexOverAllEndsNoCommand) {
  ASSERT_EQ(git(repository("mill"), {"multi-pack-index", "write"}).exit, 0);
  const fs::path index = repository("mill") / ".git" / "objects" / "pack" / "multi-pack-index";
  const std::string whole = read_file(index);
  fs::permissions(index, fs::perms::owner_write, fs::perm_options::add);
  // Rows of 12 bytes behind a head of 12: a chunk's name, and eight bytes that say where it begins.
  std::size_t row = 12;
  while (row < 200 && whole.compare(row, 4, "OOFF") != 0) row += 12;
  ASSERT_EQ(whole.compare(row, 4, "OOFF"), 0);
  const std::size_t begin = number_at(whole, row + 8);
  const std::size_t end = number_at(whole, row + 20);
  ASSERT_LT(begin, end);
  for (const std::size_t within : {std::size_t{0}, std::size_t{4}}) {  // which pack, and where in it
    std::string bytes = whole;
    for (std::size_t at = begin + within; at < end; at += 8) bytes[at] = static_cast<char>(bytes[at] ^ 8);
    write_file(index, bytes);
    SCOPED_TRACE(within);
    const Ran ran = kw({"--json", "audit", "mill"});
    EXPECT_EQ(ran.exit, 1) << ran.out << ran.err;
    EXPECT_NE(ran.out.find("derived-damaged"), std::string::npos) << ran.out;
    expect_no_crash();
    // All is there without it.
    EXPECT_EQ(kw({"restore", "mill", "--at", "1", "--to", (root() / "one").string(), "--accept"}).exit, 0);
    fs::remove_all(root() / "one");
  }
  write_file(index, whole);
}

}  // namespace
}  // namespace scenario
