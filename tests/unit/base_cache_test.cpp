// The cache: what is put is got, and what is damaged is absent. Invented data.
#include <gtest/gtest.h>
#include <sys/file.h>
#include <unistd.h>

#include <fstream>
#include <iterator>

#include "base/cache.hpp"

namespace keepway {
namespace {

namespace fs = std::filesystem;

class CacheTest : public testing::Test {
 protected:
  void SetUp() override {
    std::string name = (fs::temp_directory_path() / "keepway-cache-XXXXXX").string();
    ASSERT_NE(::mkdtemp(name.data()), nullptr);
    git_folder_ = name;
  }
  void TearDown() override { fs::remove_all(git_folder_); }
  [[nodiscard]] fs::path file(const std::string& name) const {
    return git_folder_ / "keepway" / "cache" / name;
  }
  [[nodiscard]] std::string bytes(const std::string& name) const {
    std::ifstream in(file(name), std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
  }
  void write(const std::string& name, const std::string& bytes) const {
    std::ofstream(file(name), std::ios::binary) << bytes;
  }
  fs::path git_folder_;
};

std::vector<std::string> list(const Cache::Records& records) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < records.size(); ++i) out.emplace_back(records[i]);
  return out;
}

TEST_F(CacheTest, GivesWhatWasPut) {
  const Cache cache(git_folder_);
  EXPECT_FALSE(cache.get("a"));
  EXPECT_TRUE(cache.verify("a")) << "absent is whole";
  cache.put("a", "one");
  EXPECT_EQ(cache.get("a"), "one");
  cache.put("a", std::string("\0", 1));
  EXPECT_EQ(cache.get("a"), std::string("\0", 1));
  cache.put("a", "");
  EXPECT_EQ(cache.get("a"), "");
  cache.append("a", "two");
  EXPECT_EQ(list(cache.records("a")), (std::vector<std::string>{"", "two"}));
  EXPECT_FALSE(cache.get("a")) << "not one record";
  cache.drop("a");
  EXPECT_FALSE(fs::exists(file("a")));
}

TEST_F(CacheTest, WhatIsDamagedIsAbsent) {
  const Cache cache(git_folder_);
  cache.put("a", {"first", "second record", "third"});
  const std::string sound = bytes("a");
  const std::vector<std::string> all = {"first", "second record", "third"};
  ASSERT_EQ(list(cache.records("a")), all);
  for (std::size_t at = 0; at < sound.size(); ++at) {
    std::string damaged = sound;
    damaged[at] = static_cast<char>(damaged[at] ^ (1 << (at % 8)));
    write("a", damaged);
    EXPECT_FALSE(cache.verify("a")) << at;
    const auto left = list(cache.records("a"));
    EXPECT_TRUE(std::equal(left.begin(), left.end(), all.begin())) << at;
    EXPECT_LT(left.size(), all.size());
    write("a", sound.substr(0, at));
    const auto cut = list(cache.records("a"));
    EXPECT_TRUE(std::equal(cut.begin(), cut.end(), all.begin())) << "cut at " << at;
  }
  write("a", std::string(64, '\0'));
  EXPECT_FALSE(cache.verify("a")) << "zeros are no records";
}

TEST_F(CacheTest, NeverFails) {
  const Cache cache(git_folder_);
  fs::create_directories(file("folder"));
  fs::create_symlink("/dev/zero", file("link"));
  for (const char* name : {"folder", "link"}) {
    cache.put(name, "x");
    cache.append(name, "x");
    EXPECT_FALSE(cache.get(name)) << name;
  }
  const Cache nowhere(file("link"));
  nowhere.put("a", "x");
  EXPECT_FALSE(nowhere.get("a"));
}

TEST_F(CacheTest, LeavesAFileThatAnotherProgramWrites) {
  const Cache cache(git_folder_);
  cache.put("a", "one");
  const int other = ::open(file("a").c_str(), O_RDONLY);
  ASSERT_EQ(::flock(other, LOCK_EX), 0);
  cache.put("a", "two");
  cache.append("a", "three");
  EXPECT_EQ(cache.get("a"), "one");
  ::close(other);
  cache.put("a", "two");
  EXPECT_EQ(cache.get("a"), "two");
}

TEST_F(CacheTest, ClearsAwayWhatVersionsBeforeKeptElsewhere) {
  fs::create_directories(git_folder_ / "keepway");
  for (const char* old :
       {"keepway/index", "keepway/index-heads", "keepway/blobs", "keepway/readings", "keepway-status"})
    std::ofstream(git_folder_ / old) << "old";
  std::ofstream(git_folder_ / "keepway" / "settings") << "stays";
  Cache(git_folder_).put("a", "one");
  EXPECT_FALSE(fs::exists(git_folder_ / "keepway-status"));
  std::vector<std::string> left;
  for (const auto& entry : fs::directory_iterator(git_folder_ / "keepway"))
    left.push_back(entry.path().filename());
  std::sort(left.begin(), left.end());
  EXPECT_EQ(left, (std::vector<std::string>{"cache", "settings"}));
}

}  // namespace
}  // namespace keepway
