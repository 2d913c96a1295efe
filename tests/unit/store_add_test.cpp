// Adding backups: what lands in Git, checked with the git program. All data invented.
#include <fmt/format.h>

#include <fstream>
#include <map>
#include <string>

#include "store_fixture.hpp"

namespace keepway::store {
namespace {

class StoreAdd : public StoreTest {};

TEST_F(StoreAdd, CreateMakesASoundRepositoryOnMain) {
  const Repository repository = made();
  EXPECT_EQ(repository.line(), "main");
  EXPECT_EQ(git("symbolic-ref HEAD"), "refs/heads/main\n");
  EXPECT_EQ(git("ls-tree -r --name-only HEAD"), ".gitattributes\nlayout.toml\nmachine.toml\n");
  EXPECT_EQ(on_disk("machine.toml"), "serial = \"1\"\n");
  // No client turns line ends; state is shown and merged by keepway's drivers, originals never.
  EXPECT_EQ(
      git("check-attr text diff merge -- state/offsets.tsv originals/A.TXT machine.toml"),
      "state/offsets.tsv: text: unset\nstate/offsets.tsv: diff: keepway\nstate/offsets.tsv: merge: keepway\n"
      "originals/A.TXT: text: unset\noriginals/A.TXT: diff: unset\noriginals/A.TXT: merge: unset\n"
      "machine.toml: text: unset\nmachine.toml: diff: unspecified\nmachine.toml: merge: unspecified\n");
  expect_sound();
}

TEST_F(StoreAdd, CreateRefusesAFolderThatIsNotEmpty) {
  put_on_disk("precious.txt", "mine");
  EXPECT_EQ(failure_of([&] { made(); }), ErrorKind::refused);
  EXPECT_EQ(on_disk("precious.txt"), "mine");
  EXPECT_FALSE(std::filesystem::exists(folder_ / ".git"));
}

TEST_F(StoreAdd, CreateClearsWhatOneThatWasCutOffLeftBeside) {
  const auto beside = folder_.parent_path() / ("." + folder_.filename().string() + ".new");
  std::filesystem::create_directories(beside / ".git");
  std::ofstream(beside / ".git" / "HEAD") << "";
  const Repository repository = made();
  EXPECT_TRUE(repository.resolve("main"));
  EXPECT_FALSE(std::filesystem::exists(beside));
  expect_sound();
}

TEST_F(StoreAdd, BytesComeBackWholeAndFilesElsewhereStay) {
  Repository repository = made();
  std::string bytes;
  for (int i = 0; i < 256; ++i) bytes += static_cast<char>(i);
  bytes += "\r\nG0X1\r\n\r";
  const Oid id = add(
      repository, {{"originals/A.NC", bytes}, {"originals/sub/empty", ""}, {"state/offsets.tsv", "a\t1\n"}});
  EXPECT_EQ(repository.read_at(id, "originals/A.NC"), bytes);
  EXPECT_EQ(repository.read_at(id, "originals/sub/empty"), "");
  EXPECT_EQ(repository.read_at(id, "machine.toml"), "serial = \"1\"\n");
  EXPECT_EQ(on_disk("originals/A.NC"), bytes);
  EXPECT_EQ(git("rev-parse main"), id + "\n");
  expect_sound();
}

TEST_F(StoreAdd, TellsHowManyObjectsAreStoredAndFilesPutInTheFolder) {
  Repository repository = made();
  std::vector<std::string> texts;
  for (int i = 0; i < 1000; ++i) texts.push_back(fmt::format("G0 X{}\n", i));
  std::vector<TreeFile> files;
  for (std::size_t i = 0; i < texts.size(); ++i)
    files.push_back({fmt::format("originals/F{:04}", i), texts[i]});
  NewCommit commit;
  commit.summary = "many";
  commit.author = "Ida";
  std::map<std::string, std::uint64_t, std::less<>> reported;
  commit.on_progress = [&](std::string_view what, std::uint64_t done, std::uint64_t of) {
    std::uint64_t& last = reported[std::string(what)];
    EXPECT_GE(done, last) << what;
    EXPECT_GE(of, texts.size());
    EXPECT_LE(done, of);
    last = done;
  };
  repository.add("main", {"originals/"}, files, commit);
  EXPECT_EQ(reported.size(), 2U);
  EXPECT_GE(reported["objects stored"], 800U);
  EXPECT_EQ(reported["files put in the machine's folder"], texts.size());
}

TEST_F(StoreAdd, ReplacesWhatThePrefixesHold) {
  Repository repository = made();
  add(repository, {{"originals/a", "1"}, {"originals/deep/b", "2"}, {"state/x", "3"}});
  const Oid id = add(repository, {{"originals/a", "1"}, {"state/y", "4"}});
  EXPECT_EQ(git("ls-tree -r --name-only " + id),
            ".gitattributes\nlayout.toml\nmachine.toml\noriginals/a\nstate/y\n");
  EXPECT_FALSE(std::filesystem::exists(folder_ / "originals/deep"));
  expect_sound();
  const Oid none = repository.add("main", {"state/", "originals", "layout.toml"}, {}, said("Empty"));
  EXPECT_EQ(git("ls-tree -r --name-only " + none), ".gitattributes\nmachine.toml\n");
  EXPECT_FALSE(std::filesystem::exists(folder_ / "layout.toml"));
  expect_sound();
}

TEST_F(StoreAdd, AFileAndAFolderMayChangePlaces) {
  Repository repository = made();
  add(repository, {{"originals/a", "1"}, {"originals/b/c", "2"}});
  add(repository, {{"originals/a/x", "1"}, {"originals/b", "2"}});
  expect_sound();
  add(repository, {{"originals/a", "1"}, {"originals/b/c", "2"}});
  expect_sound();
}

TEST_F(StoreAdd, SortsTreesAsGitDoes) {
  Repository repository = made();
  add(repository, {{"originals/a/b", "1"},
                   {"originals/a-b", "2"},
                   {"originals/a.b", "3"},
                   {"originals/a0", "4"},
                   {"originals/ab/c", "5"},
                   {"originals/\xC3\xA9", "6"}});
  expect_sound();
  add(repository,
      {{"originals/a", "1"}, {"originals/a-b/c", "2"}, {"originals/a.b", "3"}, {"originals/a0/x", "4"}});
  expect_sound();
}

TEST_F(StoreAdd, LeavesUntouchedFoldersTheirIds) {
  Repository repository = made();
  const Oid first = add(repository, {{"originals/p/a", "1"}, {"originals/q/b", "2"}, {"state/s", "3"}});
  const Oid second = add(repository, {{"originals/p/a", "1"}, {"originals/q/b", "9"}, {"state/s", "3"}});
  EXPECT_EQ(repository.id_at(first, "originals/p"), repository.id_at(second, "originals/p"));
  EXPECT_EQ(repository.id_at(first, "state"), repository.id_at(second, "state"));
  EXPECT_NE(repository.id_at(first, "originals/q"), repository.id_at(second, "originals/q"));
  const Oid third = repository.add("main", {}, {{"notes/n", "x"}}, said("Note"));
  EXPECT_EQ(repository.id_at(second, "originals"), repository.id_at(third, "originals"));
}

TEST_F(StoreAdd, TheSameBackupTwiceIsTwoCommits) {
  Repository repository = made();
  const Oid first = add(repository, {{"state/a", "1"}});
  const Oid second = add(repository, {{"state/a", "1"}});
  EXPECT_NE(first, second);
  EXPECT_EQ(repository.id_at(first, ""), repository.id_at(second, ""));
  EXPECT_EQ(repository.info(second).parents, std::vector<Oid>{first});
  expect_sound();
}

TEST_F(StoreAdd, ManyFilesLandAsOnePack) {
  Repository repository = made();
  const std::size_t before = packs();
  std::vector<std::string> texts;
  for (int i = 0; i < 500; ++i) texts.push_back(fmt::format("O{}\nG1 X{} F{}\nM30\n", i, i * 7, i % 90));
  texts.push_back(std::string(3'000'000, 'G'));
  std::vector<TreeFile> files;
  for (std::size_t i = 0; i < texts.size(); ++i)
    files.push_back({fmt::format("originals/{:03}", i), texts[i]});
  const Oid id = add(repository, files);
  EXPECT_EQ(packs(), before + 1);
  EXPECT_EQ(git("cat-file blob " + id + ":originals/123"), texts[123]);
  git("verify-pack .git/objects/pack/pack-*.idx");
  // The index is the one that git itself would make.
  for (const auto& entry : std::filesystem::directory_iterator(folder_ / ".git/objects/pack")) {
    if (entry.path().extension() != ".pack") continue;
    const std::string made_by_git = (top_ / "reference.idx").string();
    git("index-pack --index-version=2 -o '" + made_by_git + "' '" + entry.path().string() + "'");
    std::ifstream reference(made_by_git, std::ios::binary);
    const std::string expected{std::istreambuf_iterator<char>(reference), {}};
    EXPECT_EQ(on_disk(".git/objects/pack/" + entry.path().stem().string() + ".idx"), expected);
    std::filesystem::remove(made_by_git);
  }
  expect_sound();
  EXPECT_EQ(Repository::open(folder_).read_at(id, "originals/500"), texts[500]);
}

TEST_F(StoreAdd, TakesEachCleanPathAndRefusesTheRest) {
  Repository repository = made();
  const Oid tip = *repository.resolve("main");
  for (const std::string& path : std::vector<std::string>{"",
                                                          "/etc/x",
                                                          "a//b",
                                                          "a/",
                                                          "./a",
                                                          "a/../b",
                                                          "..",
                                                          ".git/config",
                                                          "originals/.GIT",
                                                          "originals/.git/x",
                                                          "originals/git~1",
                                                          "originals/.git ",
                                                          "originals/.git.",
                                                          "originals/.git::$INDEX_ALLOCATION/x",
                                                          "originals/.g\xE2\x80\x8Cit",
                                                          "originals/a\\.git\\x",
                                                          "originals/.gitmodules",
                                                          "originals/.gitattributes",
                                                          std::string("a\0b", 3),
                                                          std::string(5000, 'a')}) {
    EXPECT_EQ(failure_of([&] { add(repository, {{path, "x"}}); }), ErrorKind::refused) << path;
  }
  std::string deep = "originals";
  for (int i = 0; i < 200; ++i) deep += "/d";
  EXPECT_EQ(failure_of([&] { add(repository, {{deep, "x"}}); }), ErrorKind::refused);
  EXPECT_EQ(failure_of([&] { add(repository, {{"a", "x"}, {"a", "y"}}); }), ErrorKind::refused);
  EXPECT_EQ(failure_of([&] {
              add(repository, {{"a", "x"}, {"a-", "z"}, {"a/b", "y"}});
            }),
            ErrorKind::refused);
  EXPECT_EQ(repository.resolve("main"), tip);
  add(repository, {{"originals/.github", "1"},
                   {"originals/git~2", "2"},
                   {"originals/...", "3"},
                   {"originals/-n", "4"},
                   {"originals/a\nb", "5"},
                   {"originals/\xFF\xFE", "6"},
                   {"originals/a\\b", "7"},
                   {"originals/ ", "8"}});
  EXPECT_EQ(repository.work_tree_trouble(), "");
  expect_sound();
}

// safe_path() makes no such name of any that comes off a control.
TEST_F(StoreAdd, ANameTooLongForADiskIsRefused) {
  Repository repository = made();
  const auto before = repository.tip();
  const std::string path = "originals/" + std::string(300, 'n');
  EXPECT_EQ(failure_of([&] { add(repository, {{path, "kept"}, {"originals/z", "z"}}); }), ErrorKind::refused);
  EXPECT_EQ(repository.tip(), before);
}

TEST_F(StoreAdd, RefusesALineThatIsNotThereAndTimesThatGitCannotKeep) {
  Repository repository = made();
  EXPECT_EQ(failure_of([&] { repository.add("other", {}, {}, said("x")); }), ErrorKind::usage);
  EXPECT_EQ(failure_of([&] { repository.add("main", {}, {}, said("x", -1)); }), ErrorKind::input);
  EXPECT_EQ(failure_of([&] { repository.add("main", {}, {}, said("x", INT64_MAX - 60)); }), ErrorKind::input);
  repository.add("main", {}, {}, said("First second", 0));
  EXPECT_EQ(git("log -1 --format=%at,%ct"), "0,60\n");
  expect_sound();
}

TEST_F(StoreAdd, OpensARepositoryWithoutACommitAndAddsTheFirst) {
  std::filesystem::create_directories(folder_);
  git("init -q -b main");
  Repository repository = Repository::open(folder_);
  EXPECT_EQ(repository.line(), "main");
  EXPECT_EQ(repository.resolve("main"), std::nullopt);
  EXPECT_EQ(repository.resolve("HEAD"), std::nullopt);
  EXPECT_TRUE(repository.lines().empty());
  EXPECT_TRUE(repository.marks().empty());
  EXPECT_EQ(repository.working_file("machine.toml"), std::nullopt);
  const Oid id = add(repository, {});
  EXPECT_TRUE(repository.info(id).parents.empty());
  EXPECT_TRUE(repository.list(id, "").empty());
  expect_sound();
}

TEST_F(StoreAdd, OpenFailsWhereThereIsNoRepository) {
  EXPECT_EQ(failure_of([&] { Repository::open(folder_); }), ErrorKind::store);
  std::filesystem::create_directories(folder_);
  EXPECT_EQ(failure_of([&] { Repository::open(folder_); }), ErrorKind::store);
  git("init -q --bare .");
  EXPECT_EQ(failure_of([&] { Repository::open(folder_); }), ErrorKind::store);
}

TEST_F(StoreAdd, MergesHaveTheirFurtherParents) {
  Repository repository = made();
  const Oid base = *repository.resolve("main");
  repository.begin_line("trial/feeds", base);
  const Oid side = repository.add("trial/feeds", {}, {{"state/a", "2"}}, said("Try"));
  const Oid main = add(repository, {{"state/a", "1"}});
  NewCommit merge = said("Keep the trial");
  merge.also_parents = {side};
  const Oid id = repository.add("main", {}, {{"state/a", "2"}}, merge);
  EXPECT_EQ(git("log -1 --format=%P " + id), main + " " + side + "\n");
  merge.also_parents = {std::string(40, 'a')};
  EXPECT_EQ(failure_of([&] { repository.add("main", {}, {}, merge); }), ErrorKind::store);
  expect_sound();
}

}  // namespace
}  // namespace keepway::store
