// Reading an object gives Git's bytes, or says that it cannot. git is the reference. Invented data.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "git/git.hpp"
#include "git/read_object.hpp"
#include "store_fixture.hpp"

namespace keepway::store {
namespace {

class StoreRead : public StoreTest {
 protected:
  [[nodiscard]] std::filesystem::path loose(const Oid& id) const {
    return folder_ / ".git/objects" / id.substr(0, 2) / id.substr(2);
  }
  // What reading it says is wrong.
  static std::string fault(const Repository& repository, const Oid& id) {
    try {
      (void)repository.read(id);
      return "";
    } catch (const Error& error) {
      EXPECT_EQ(error.kind(), ErrorKind::store);
      EXPECT_FALSE(error.remedy().empty());
      return error.what();
    }
  }
};

TEST_F(StoreRead, GivesWhatGitGivesLooseAndPacked) {
  Repository repository = made();
  std::vector<std::string> texts;
  for (int i = 0; i < 20; ++i)
    texts.push_back(std::string(static_cast<std::size_t>(i * i * 50), 'a') + std::to_string(i));
  texts.emplace_back();
  texts.emplace_back("a\0b\n", 4);
  std::vector<TreeFile> files;
  for (std::size_t i = 0; i < texts.size(); ++i) files.push_back({fmt::format("state/{}", i), texts[i]});
  const Oid tip = add(repository, files);
  for (const bool packed : {false, true}) {
    packed ? (void)git("gc -q") : loosen();
    const Repository again = Repository::open(folder_);
    for (const Blob& blob : again.list(tip, "state/")) {
      EXPECT_EQ(again.read(blob.id), texts[std::stoul(blob.path.substr(6))]);
      EXPECT_EQ(again.read(blob.id) + "|", git("cat-file blob " + blob.id) + "|");
    }
    const ReadObject commit = read_object(*open_repository(folder_), parse_oid(tip), "read it");
    EXPECT_EQ(commit.type, GIT_OBJECT_COMMIT);
    EXPECT_EQ(commit.bytes, git("cat-file commit " + tip));
  }
}

TEST_F(StoreRead, AnotherObjectUnderItsNameIsReported) {
  Repository repository = made();
  const Oid tip = add(repository, {{"state/a", "one\n"}, {"state/b", "two\n"}});
  const Oid a = *repository.id_at(tip, "state/a");
  const Oid b = *repository.id_at(tip, "state/b");
  loosen();
  ASSERT_TRUE(std::filesystem::exists(loose(a)) && std::filesystem::exists(loose(b)));
  std::filesystem::remove(loose(a));
  std::filesystem::copy(loose(b), loose(a));
  const Repository again = Repository::open(folder_);
  EXPECT_EQ(again.read(b), "two\n");
  EXPECT_THAT(fault(again, a), testing::HasSubstr("is damaged"));
  std::filesystem::remove(loose(a));
  EXPECT_THAT(fault(again, a), testing::HasSubstr("is missing"));
}

TEST_F(StoreRead, WhatAnotherProgramPackedMeanwhileIsFound) {
  Repository repository = made();
  const Oid tip = add(repository, {{"state/a", "one\n"}});
  const Oid a = *repository.id_at(tip, "state/a");
  EXPECT_EQ(repository.read(a), "one\n");
  git("gc -q --prune=now");
  ASSERT_FALSE(std::filesystem::exists(loose(a)));
  EXPECT_EQ(repository.read(a), "one\n");
}

}  // namespace
}  // namespace keepway::store
