// Ids remembered by SHA-256: right or not used, whatever the file holds. git is the reference. Invented data.
#include <fmt/format.h>

#include <thread>

#include "git/git.hpp"
#include "git/known_blobs.hpp"
#include "store_fixture.hpp"

namespace keepway::store {
namespace {

class StoreKnown : public StoreTest {
 protected:
  static constexpr const char* file = ".git/keepway/cache/blobs";
  static std::vector<std::string> texts(int number) {
    std::vector<std::string> out;
    out.reserve(21);
    for (int i = 0; i < 20; ++i) out.push_back(fmt::format("file {} of {}\n", i, i == 3 ? number : 0));
    out.emplace_back();
    return out;
  }
  static void backup(Repository& repository, const std::vector<std::string>& contents) {
    std::vector<TreeFile> files;
    for (std::size_t i = 0; i < contents.size(); ++i)
      files.push_back({fmt::format("state/{}", i), contents[i]});
    add(repository, files);
  }
};

TEST_F(StoreKnown, IdsAreGitsOwn) {
  const Repository repository = made();
  const auto contents = texts(1);
  const std::vector<std::string_view> views(contents.begin(), contents.end());
  for (int round = 0; round < 2; ++round) {
    const auto ids = repository.blob_ids(views);
    for (std::size_t i = 0; i < contents.size(); ++i) {
      put_on_disk("x", contents[i]);
      EXPECT_EQ(ids[i] + "\n", git("hash-object x"));
    }
  }
}

TEST_F(StoreKnown, SumsThatAreKnownAlreadyGiveTheSame) {
  Repository repository = made();
  backup(repository, texts(0));
  const auto contents = texts(1);
  const std::vector<std::string_view> views(contents.begin(), contents.end());
  std::vector<std::optional<Sha256>> sums;
  for (const std::string_view text : views)
    sums.push_back(sums.size() % 3 == 0 ? std::nullopt : std::optional(sha256(text)));
  EXPECT_EQ(repository.blob_ids(views, sums), Repository::open(folder_).blob_ids(views));
}

TEST_F(StoreKnown, WhatIsHashedAheadIsNotHashedAgain) {
  const Repository repository = made();
  KnownBlobs known;
  known.hash_ahead({"a\n"}, {sha256("b\n")});
  put_on_disk("x", "a\n");
  EXPECT_EQ(oid_text(known.ids(top_, {"b\n"}, {sha256("b\n")}).front()) + "\n", git("hash-object x"));
}

TEST_F(StoreKnown, HashingAheadDisturbsNobodyWhoAsks) {
  start_library();
  KnownBlobs known;
  std::thread ahead([&] {
    for (int number = 1; number <= 50; ++number) {
      const auto contents = texts(number);
      std::vector<Sha256> sums;
      for (const std::string& text : contents) sums.push_back(sha256(text));
      known.hash_ahead({contents.begin(), contents.end()}, sums);
    }
  });
  for (int number = 0; number < 50; ++number) {
    const auto contents = texts(number);
    const std::vector<std::string_view> views(contents.begin(), contents.end());
    EXPECT_EQ(oid_text(known.ids(top_, views)[3]), oid_text(KnownBlobs().ids(top_, views)[3]));
  }
  ahead.join();
}

TEST_F(StoreKnown, DamageIsFoundOutAtEveryByte) {
  Repository repository = made();
  backup(repository, texts(0));
  const std::string sound = on_disk(file);
  ASSERT_GT(sound.size(), 20U * 52);
  const auto contents = texts(1);
  const std::vector<std::string_view> views(contents.begin(), contents.end());
  const auto expected = repository.blob_ids(views);
  for (std::size_t at = 0; at < sound.size(); ++at) {
    std::string damaged = sound;
    damaged[at] = static_cast<char>(damaged[at] ^ (1 << (at % 8)));
    put_on_disk(file, damaged);
    ASSERT_EQ(Repository::open(folder_).blob_ids(views), expected) << at;
    put_on_disk(file, sound.substr(0, at));
    ASSERT_EQ(Repository::open(folder_).blob_ids(views), expected) << "cut at " << at;
  }
}

TEST_F(StoreKnown, SoundMeansWholeAndTrueOfEachContent) {
  Repository repository = made();
  EXPECT_TRUE(KnownBlobs::sound(top_, [](const git_oid&) { return std::nullopt; }))
      << "nothing is remembered";
  backup(repository, texts(0));
  const auto stored = [&](const git_oid& id) { return std::optional(repository.read(oid_text(id))); };
  EXPECT_TRUE(KnownBlobs::sound(folder_ / ".git", stored));
  EXPECT_TRUE(KnownBlobs::sound(folder_ / ".git", [](const git_oid&) { return std::nullopt; }));
  EXPECT_FALSE(KnownBlobs::sound(folder_ / ".git",
                                 [](const git_oid&) { return std::optional<std::string>("other"); }));
  std::string damaged = on_disk(file);
  damaged[100] = static_cast<char>(damaged[100] ^ 1);
  put_on_disk(file, damaged);
  EXPECT_FALSE(KnownBlobs::sound(folder_ / ".git", stored));
  KnownBlobs::drop(folder_ / ".git");
  EXPECT_TRUE(KnownBlobs::sound(folder_ / ".git", stored));
}

TEST_F(StoreKnown, ABlobThatIsKnownAndGoneIsWrittenAgain) {
  Repository repository = made();
  backup(repository, texts(0));
  const std::string remembered = on_disk(file);
  std::filesystem::remove_all(folder_);
  repository = made();
  put_on_disk(file, remembered);
  repository = Repository::open(folder_);
  backup(repository, texts(0));
  expect_sound();
  backup(repository, texts(1));
  expect_sound();
}

}  // namespace
}  // namespace keepway::store
