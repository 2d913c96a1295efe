// A received set as files of the tree and back: every name, nothing that clashes.
#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <set>

#include "keepway/originals.hpp"

namespace keepway {
namespace {

media::Set set_of(std::vector<std::string> names, std::vector<std::string> folders = {}) {
  media::Set set;
  std::sort(names.begin(), names.end());
  for (std::string& name : names) set.files.push_back({std::move(name), "x", std::nullopt});
  set.empty_folders = std::move(folders);
  return set;
}

// Names as they come back, sorted; folders with a slash behind.
std::vector<std::string> back(const std::vector<OriginalFile>& files) {
  std::vector<std::string> names;
  for (const OriginalFile& file : files) {
    std::string folder;
    const auto name = original_name(file.path, &folder);
    names.push_back(name ? *name : folder + "/");
  }
  std::sort(names.begin(), names.end());
  return names;
}

std::string lower(std::string text) {
  for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return text;
}

TEST(Originals, SumsWithAMemoryAreAsWithout) {
  SumMemory memory;
  media::Set set = set_of({"A", "B", "C/D"}, {"E"});
  const auto expect_same = [&](const char* what) {
    const SetSums with = memory.sums_of(set);
    const SetSums without = sums_of(set);
    EXPECT_EQ(with.files, without.files) << what;
    EXPECT_EQ(with.digest, without.digest) << what;
  };
  expect_same("the first");
  expect_same("the same again");
  set.files[1].bytes += "x";
  expect_same("one is otherwise");
  set.files.erase(set.files.begin());
  expect_same("one is gone");
  set.files.insert(set.files.begin(), media::File{"A", "", std::nullopt});
  expect_same("and back, empty");
}

TEST(Originals, NamesThatDifferInCaseAreKeptApartAndComeBack) {
  const auto files = original_files(set_of({"A.NC", "a.nc", "A.nc", "a.NC", "%41.nc", "sub/A", "sub/a"}));
  std::set<std::string> paths;
  for (const OriginalFile& file : files) paths.insert(lower(file.path));
  EXPECT_EQ(paths.size(), files.size());
  EXPECT_EQ(back(files),
            (std::vector<std::string>{"%41.nc", "A.NC", "A.nc", "a.NC", "a.nc", "sub/A", "sub/a"}));
}

TEST(Originals, FoldersThatDifferInCaseAreKeptApartToo) {
  const std::vector<std::string> names = {"A", "D/X", "D/x", "a/b", "d/X", "d/x"};
  const auto files = original_files(set_of(names, {"E", "e"}));
  std::set<std::string> paths;
  for (const OriginalFile& file : files) paths.insert(lower(file.path));
  EXPECT_EQ(paths.size(), 8U);
  for (const std::string& path : paths) {
    for (std::size_t slash = 0; (slash = path.find('/', slash)) != std::string::npos; ++slash)
      EXPECT_FALSE(paths.contains(path.substr(0, slash))) << path << " lies below a file";
  }
  EXPECT_EQ(back(files), (std::vector<std::string>{"A", "D/X", "D/x", "E/", "a/b", "d/X", "d/x", "e/"}));
}

TEST(Originals, EmptyFoldersComeBack) {
  EXPECT_EQ(back(original_files(set_of({"a"}, {"empty", "deep/er", "%"}))),
            (std::vector<std::string>{"%/", "a", "deep/er/", "empty/"}));
}

TEST(Originals, AFileNamedLikeTheMarkOfAnEmptyFolderIsAFile) {
  EXPECT_EQ(back(original_files(set_of({"%", "a/%", "a/%25"}, {"b"}))),
            (std::vector<std::string>{"%", "a/%", "a/%25", "b/"}));
}

TEST(Originals, EqualNamesAndAFileThatIsAFolderAreRefused) {
  EXPECT_THROW(original_files(set_of({"a", "a"})), Error);
  EXPECT_THROW(original_files(set_of({"a", "a/b"})), Error);
  EXPECT_THROW(original_files(set_of({"a", "a!", "a/b"})), Error) << "also where another name sorts between";
  EXPECT_THROW(original_files(set_of({"../a"})), Error);
  EXPECT_THROW(original_files(set_of({"/a"})), Error);
  EXPECT_THROW(original_files(set_of({"a//b"})), Error);
}

TEST(Originals, RandomNamesComeBackUnderDistinctCleanPaths) {
  std::mt19937_64 random(11);
  for (int round = 0; round < 300; ++round) {
    std::set<std::string> names;
    for (int i = 0; i < 20; ++i) {
      std::string name;
      for (std::size_t length = 1 + random() % 6; length > 0; --length) {
        static constexpr std::string_view likely = "aAbB%.4~ ";
        const char c =
            random() % 4 != 0 ? likely[random() % likely.size()] : static_cast<char>(random() & 0xffU);
        if (c != '/' && c != '\0') name += c;
      }
      if (!name.empty() && name != "." && name != "..") names.insert(name);
    }
    const std::vector<std::string> given(names.begin(), names.end());
    const auto files = original_files(set_of(given));
    std::set<std::string> paths;
    for (const OriginalFile& file : files) paths.insert(lower(file.path));
    EXPECT_EQ(paths.size(), files.size());
    std::vector<std::string> sorted = given;
    std::sort(sorted.begin(), sorted.end());
    EXPECT_EQ(back(files), sorted);
  }
}

TEST(Originals, ManyNamesThatDifferOnlyInCaseTakeNoLongTime) {
  std::vector<std::string> names;
  for (unsigned bits = 0; bits < 4096; ++bits) {
    std::string name = "abcdefghijkl";
    for (unsigned i = 0; i < 12; ++i) {
      if ((bits >> i & 1U) != 0) name[i] = static_cast<char>(name[i] - 32);
    }
    names.push_back(name);
  }
  const auto files = original_files(set_of(names));
  std::set<std::string> paths;
  for (const OriginalFile& file : files) paths.insert(lower(file.path));
  EXPECT_EQ(paths.size(), names.size());
}

TEST(Digest, DoesNotDependOnTheOrderButOnEveryNameAndByte) {
  media::Set one = set_of({"a", "b"});
  media::Set other = one;
  std::swap(other.files[0], other.files[1]);
  EXPECT_EQ(set_digest(one), set_digest(other));
  other.files[0].bytes = "y";
  EXPECT_NE(set_digest(one), set_digest(other));
  media::Set renamed = set_of({"a", "c"});
  EXPECT_NE(set_digest(one), set_digest(renamed));
  media::Set with_folder = set_of({"a", "b"}, {"e"});
  EXPECT_NE(set_digest(one), set_digest(with_folder));
}

}  // namespace
}  // namespace keepway
