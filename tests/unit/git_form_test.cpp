// What a tree of a machine's repository may hold, name by name. Sources: git-config(1), core.protectHFS and
// core.protectNTFS; git-fsck(1), "Fsck messages".
#include <git2.h>
#include <gtest/gtest.h>

#include "git/form.hpp"
#include "git/path.hpp"
#include "store_fixture.hpp"

namespace keepway::store {
namespace {

TEST(GitForm, GitsOwnNamesAreKnownInAnySpelling) {
  for (const char* part : {".git",
                           ".GIT",
                           ".Git.",
                           ".git ",
                           ".git. . ",
                           "git~1",
                           "GIT~1",
                           ".git:x",
                           ".git::$DATA",
                           ".g\xE2\x80\x8Cit",
                           "\xEF\xBB\xBF.git",
                           ".git\xE2\x81\xAF",
                           "a\\.git",
                           ".git\\config",
                           "..",
                           ".",
                           "",
                           "a\\..",
                           ".gitmodules",
                           ".GITMODULES ",
                           "gitmod~1",
                           "a\\.gitmodules"}) {
    EXPECT_NE(part_fault(part, false), nullptr) << part;
    EXPECT_NE(part_fault(part, true), nullptr) << part;
  }
  EXPECT_EQ(part_fault(".gitattributes", true), nullptr);
  EXPECT_NE(part_fault(".gitattributes", false), nullptr);
  EXPECT_NE(part_fault(".GitAttributes", true), nullptr);
  for (const char* part : {"git", ".gitignore.txt", "a.git", "...", "O1234.nc", "gitter", "\xC3\xA9"}) {
    EXPECT_EQ(part_fault(part, false), nullptr) << part;
  }
  EXPECT_EQ(part_fault(std::string(255, 'n'), false), nullptr);
  EXPECT_NE(part_fault(std::string(256, 'n'), false), nullptr);
}

// libgit2 reads on to a NUL: what stands behind a part is no part of it.
TEST(GitForm, APartIsJudgedByItsOwnBytesAlone) {
  EXPECT_NE(path_fault("gitmod~1"), nullptr);
  EXPECT_NE(path_fault("gitmod~1/x"), nullptr);
  EXPECT_NE(path_fault("originals/gitmod~1/x"), nullptr);
  EXPECT_EQ(part_fault(std::string_view("gitmod~1").substr(0, 6), false), nullptr);
}

TEST(GitForm, OnlyPlainFilesAndFoldersMayCome) {
  EXPECT_FALSE(harm_in_entry("originals/a", "100644"));
  EXPECT_FALSE(harm_in_entry("originals", "40000"));
  for (const char* mode :
       {"100755", "100664", "120000", "160000", "040000", "0100644", "", "644", "40000 "}) {
    EXPECT_TRUE(harm_in_entry("originals/a", mode)) << mode;
  }
}

TEST(GitForm, RefsHaveNamesThatAreTakenForNoOther) {
  for (const char* ref : {"refs/heads/main", "refs/heads/trial/warm-up", "refs/tags/known_good",
                          "refs/keepway/archive/laid/0123456789ab", "refs/heads/trial/a/b"}) {
    EXPECT_EQ(harm_in_ref(ref), nullptr) << ref;
  }
  for (const std::string& ref :
       {std::string("refs/heads/HEAD"), std::string("refs/heads/trial/HEAD"),
        std::string("refs/tags/FETCH_HEAD"), std::string("refs/tags/refs/heads/main"),
        "refs/tags/" + std::string(40, 'a'), std::string("refs/tags/-f"),
        std::string("refs/heads/trial/a..b"), std::string("refs/heads/trial/.git"),
        std::string("refs/tags/x.lock"), std::string("refs/tags/a\0b", 13),
        "refs/tags/" + std::string(251, 'n')}) {
    EXPECT_NE(harm_in_ref(ref), nullptr) << ref;
  }
}

class GitFormOf : public StoreTest {};

TEST_F(GitFormOf, AMarkOfACommitThatIsTooLargeIsNone) {
  std::filesystem::create_directory(folder_);
  git("init -q");
  const auto commit = [&](std::size_t size) {
    std::ofstream(folder_ / "words") << std::string(size, 'w');
    git("-c user.name=me -c user.email=me@shop commit -q --allow-empty -F words");
    return git("rev-parse HEAD").substr(0, 40);
  };
  const std::string small = commit(1000);
  const std::string large = commit((std::size_t{1} << 20U) + 1);
  git_libgit2_init();
  git_repository* repo = nullptr;
  ASSERT_EQ(git_repository_open(&repo, folder_.c_str()), 0);
  const auto harm_of = [&](const std::string& text) {
    git_oid id;
    git_oid_fromstr(&id, text.c_str());
    return FormCheck(*repo).tag(id);
  };
  EXPECT_FALSE(harm_of(small));
  EXPECT_TRUE(harm_of(large)) << "over 1 MiB";
  EXPECT_TRUE(harm_of(std::string(40, 'a'))) << "missing";
  git_repository_free(repo);
  git_libgit2_shutdown();
}

}  // namespace
}  // namespace keepway::store
