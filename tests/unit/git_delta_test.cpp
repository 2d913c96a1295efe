// Deltas and packs of them; git is the reference. Invented data.
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <chrono>
#include <random>

#include "../fuzz/apply_delta.hpp"
#include "git/delta.hpp"
#include "git/git.hpp"
#include "git/pack.hpp"
#include "store_fixture.hpp"

namespace keepway::store {
namespace {

using fuzz::apply_delta;

std::string table(std::mt19937& random, int rows) {
  std::string text;
  for (int i = 0; i < rows; ++i)
    text += fmt::format("tool/{}/length\t{}.{:04}\n", i, random() % 90, random() % 10000);
  return text;
}

TEST(Delta, SaysNoMoreThanTheRowsThatChanged) {
  std::mt19937 random(7);
  const std::string before = table(random, 950);
  std::string after = before;
  for (const int row : {3, 400, 401, 949}) {
    const std::size_t at = after.find(fmt::format("tool/{}/length\t", row));
    after.replace(after.find('\t', at) + 1, 3, "777");
  }
  const auto delta = make_delta(before, after, SIZE_MAX);
  ASSERT_TRUE(delta);
  EXPECT_EQ(apply_delta(before, *delta), after);
  EXPECT_LT(delta->size(), 70U);
}

TEST(Delta, FindsWhatMovedAndHoldsItsLimit) {
  std::mt19937 random(8);
  const std::string one = table(random, 300);
  const std::string two = table(random, 300);
  const auto delta = make_delta(one + two, "new\n" + two + one, SIZE_MAX);
  ASSERT_TRUE(delta);
  EXPECT_EQ(apply_delta(one + two, *delta), "new\n" + two + one);
  EXPECT_LT(delta->size(), 64U);
  EXPECT_TRUE(make_delta(one + two, "new\n" + two + one, delta->size()));
  EXPECT_FALSE(make_delta(one + two, "new\n" + two + one, delta->size() - 1));
}

RC_GTEST_PROP(Delta, MakesAnyTargetOutOfAnyBase, ()) {
  const auto letters = [] {
    return *rc::gen::container<std::string>(rc::gen::element('a', 'b', '\n', '\0'));
  };
  const std::string part = letters() + letters() + letters();
  const std::string base = letters() + part + letters() + part;
  const std::string target = part + letters() + base + letters();
  for (const auto& [from, to] : {std::pair{base, target}, std::pair{target, base}, std::pair{part, target}}) {
    const auto delta = make_delta(from, to, SIZE_MAX);
    RC_ASSERT(delta.has_value());
    RC_ASSERT(apply_delta(from, *delta) == to);
  }
}

// Texts whose blocks are all the same are where a search by blocks could take the square of their size.
TEST(Delta, IsLinearInEqualBlocks) {
  std::string alike;
  for (int i = 0; i < 400'000; ++i) alike += "G1 X1.0 Y1.0\n";
  std::string other = alike;
  for (std::size_t at = 1000; at < other.size(); at += 97) other[at] = '#';
  const auto start = std::chrono::steady_clock::now();
  const auto delta = make_delta(alike, other, SIZE_MAX);
  const auto took = std::chrono::steady_clock::now() - start;
  ASSERT_TRUE(delta);
  EXPECT_TRUE(apply_delta(alike, *delta) == other);
  EXPECT_LT(took, std::chrono::seconds(60)) << "the square of 5 MB would take hours";
}

class StoreDelta : public StoreTest {};

TEST_F(StoreDelta, GitReadsAPackOfDeltas) {
  start_library();
  std::filesystem::create_directories(folder_);
  git("init -q -b main");
  std::mt19937 random(9);
  std::vector<std::string> texts = {table(random, 300), ""};
  for (int i = 0; i < 300; ++i) {
    std::string next = texts[static_cast<std::size_t>(i == 0 ? 0 : i + 1)];
    next.replace(next.find('\t', random() % (next.size() / 2)) + 1, 2, fmt::format("{}", 1000 + i));
    texts.push_back(std::move(next));
  }
  std::vector<PackedObject> objects;
  for (std::size_t i = 0; i < texts.size(); ++i) {
    git_oid id{};
    ASSERT_EQ(git_odb_hash(&id, texts[i].data(), texts[i].size(), GIT_OBJECT_BLOB), 0);
    const std::size_t base = i == 2 ? 0 : i - 1;
    objects.push_back(i < 2 ? pack_object(id, GIT_OBJECT_BLOB, texts[i])
                            : pack_delta(id, *make_delta(texts[base], texts[i], SIZE_MAX), base,
                                         i % 2 == 0 ? Compression::fast : Compression::best));
  }
  const PackFile made = write_pack(folder_ / ".git/objects/pack", objects);
  git("index-pack -o '" + (top_ / "git.idx").string() + "' '" + made.stem.string() + ".pack'");
  EXPECT_EQ(git("hash-object --no-filters '" + (top_ / "git.idx").string() + "'"),
            git("hash-object --no-filters '" + made.stem.string() + ".idx'"));
  for (std::size_t i = 0; i < texts.size(); i += 50) {
    EXPECT_EQ(git("cat-file blob " + oid_text(objects[i].id)), texts[i]) << i;
  }
  EXPECT_EQ(made.bytes, std::filesystem::file_size(made.stem.string() + ".pack"));
  EXPECT_LT(made.bytes, 30'000U);
}

}  // namespace
}  // namespace keepway::store
