// The work tree is derived: clean after each add, repaired after a cut, never a way out. Invented data.
#include <sys/stat.h>

#include <chrono>
#include <functional>

#include "store/worktree.hpp"
#include "store_fixture.hpp"

namespace keepway::store {
namespace {

class StoreWorkTree : public StoreTest {
 protected:
  // Puts the work tree and index back as they were before the last commit, as if the program had been cut off
  // between moving the line and writing the work tree.
  void cut_off(const std::vector<std::string>& folders) const {
    git("read-tree HEAD~1");
    git("checkout-index -q -a -f");
    git("clean -qfd");
    for (const char* path : {"state", "originals"}) std::filesystem::remove_all(folder_ / path);
    git("checkout-index -q -a -f");
    git_repository* raw = nullptr;
    ASSERT_EQ(git_repository_open(&raw, folder_.c_str()), 0);
    const RepoHandle repo(raw);
    const git_oid before = parse_oid(git("rev-parse HEAD~1").substr(0, 40));
    WorkTree(*repo, folder_).set_pending({before, folders});
  }
};

TEST_F(StoreWorkTree, ManyFilesAreWrittenToo) {
  Repository repository = made();
  std::vector<std::pair<std::string, std::string>> contents;
  for (int i = 0; i < 700; ++i) {
    contents.emplace_back(std::string(i % 2 == 0 ? "state/" : "originals/a/") + std::to_string(i),
                          std::string(static_cast<std::size_t>(i * 20), 'x') + std::to_string(i));
  }
  std::vector<TreeFile> files;
  for (const auto& [path, bytes] : contents) files.push_back({path, bytes});
  repository.add("main", {"state/", "originals/"}, files, said("Many"));
  for (const auto& [path, bytes] : contents) EXPECT_EQ(on_disk(path), bytes);
  expect_sound();
  // A folder with something in it where a file belongs: the others are written all the same.
  std::filesystem::remove(folder_ / "state/10");
  put_on_disk("state/10/somebodys", "x");
  for (auto& [path, bytes] : contents) bytes += "!";
  files.clear();
  for (const auto& [path, bytes] : contents) files.push_back({path, bytes});
  repository.add("main", {"state/", "originals/"}, files, said("Many more"));
  EXPECT_NE(repository.work_tree_trouble(), "");
  for (const auto& [path, bytes] : contents) {
    if (path != "state/10") {
      EXPECT_EQ(on_disk(path), bytes);
    }
  }
  EXPECT_EQ(git("fsck --strict --no-progress --no-dangling"), "");
}

TEST_F(StoreWorkTree, OpenRepairsWhatACutOffAddLeft) {
  {
    Repository repository = made();
    add(repository, {{"state/a", "1"}, {"originals/gone", "1"}});
    repository.add("main", {"state/", "originals/"},
                   {{"state/a", "2"}, {"state/b", "3"}, {"machine.toml", "new\n"}}, said("Second"));
  }
  cut_off({"state/", "originals/"});
  ASSERT_NE(git("status --porcelain"), "");
  ASSERT_EQ(on_disk("state/a"), "1");
  const Repository repository = Repository::open(folder_);
  EXPECT_EQ(repository.work_tree_trouble(), "");
  EXPECT_EQ(on_disk("state/a"), "2");
  EXPECT_EQ(on_disk("state/b"), "3");
  EXPECT_EQ(on_disk("machine.toml"), "new\n");
  EXPECT_FALSE(std::filesystem::exists(folder_ / "originals"));
  expect_sound();
}

TEST_F(StoreWorkTree, RepairSparesAnEditMadeByHand) {
  {
    Repository repository = made();
    repository.add("main", {"state/"}, {{"state/a", "2"}, {"machine.toml", "new\n"}}, said("Second"));
  }
  cut_off({"state/"});
  put_on_disk("machine.toml", "by hand\n");
  put_on_disk("layout.toml", "by hand too\n");
  put_on_disk("state/a", "nonsense");
  Repository::open(folder_);
  EXPECT_EQ(on_disk("machine.toml"), "by hand\n");
  EXPECT_EQ(on_disk("layout.toml"), "by hand too\n");
  EXPECT_EQ(on_disk("state/a"), "2");
  EXPECT_EQ(git("status --porcelain"), " M layout.toml\n M machine.toml\n");
}

TEST_F(StoreWorkTree, AddRepairsToo) {
  Repository repository = made();
  add(repository, {{"state/a", "1"}});
  add(repository, {{"state/a", "2"}});
  cut_off({"state/", "originals/"});
  repository.add("main", {}, {{"machine.toml", "x\n"}}, said("Third"));
  EXPECT_EQ(on_disk("state/a"), "2");
  expect_sound();
}

TEST_F(StoreWorkTree, AddPutsRightWhatPeopleDidToItsFolders) {
  Repository repository = made();
  add(repository, {{"state/a", "1"}, {"state/b", "2"}, {"originals/c", "3"}});
  put_on_disk("state/a", "9");
  std::filesystem::remove(folder_ / "state/b");
  put_on_disk("originals/extra", "stray");
  git("add originals/extra");
  add(repository, {{"state/a", "1"}, {"state/b", "2"}, {"originals/c", "3"}});
  EXPECT_EQ(on_disk("state/a"), "1");
  EXPECT_EQ(on_disk("state/b"), "2");
  EXPECT_EQ(git("status --porcelain"), "?? originals/extra\n");
}

// Whatever people did to the work tree before it was looked at, an add that knows of the look ends as one
// that looks for itself.
TEST_F(StoreWorkTree, RepairPutsFoldersBack) {
  Repository repository = made();
  add(repository, {{"state/a", "1"}, {"originals/c", "3"}});
  std::filesystem::remove_all(folder_ / "state");
  put_on_disk("originals/c", "x");
  put_on_disk("machine.toml", "by hand\n");
  repository.repair({"state/", "originals/"});
  EXPECT_EQ(on_disk("state/a"), "1");
  EXPECT_EQ(on_disk("originals/c"), "3");
  EXPECT_EQ(on_disk("machine.toml"), "by hand\n");
  EXPECT_EQ(git("status --porcelain"), " M machine.toml\n");
}

TEST_F(StoreWorkTree, ADamagedIndexIsMadeAgain) {
  Repository repository = made();
  put_on_disk(".git/index", "not an index");
  add(repository, {{"state/a", "1"}});
  EXPECT_EQ(repository.work_tree_trouble(), "");
  expect_sound();
}

TEST_F(StoreWorkTree, AnEditByHandIsReadAndTakenUp) {
  Repository repository = made();
  EXPECT_EQ(repository.working_file("machine.toml"), "serial = \"1\"\n");
  put_on_disk("machine.toml", "serial = \"2\"\n");
  EXPECT_EQ(repository.working_file("machine.toml"), "serial = \"2\"\n");
  add(repository, {{"state/a", "1"}});
  EXPECT_EQ(on_disk("machine.toml"), "serial = \"2\"\n");
  const std::string edited = *repository.working_file("machine.toml");
  add(repository, {{"state/a", "1"}, {"machine.toml", edited}});
  expect_sound();
  std::filesystem::remove(folder_ / "machine.toml");
  EXPECT_EQ(repository.working_file("machine.toml"), "serial = \"2\"\n");
  EXPECT_EQ(repository.working_file("nothing"), std::nullopt);
}

TEST_F(StoreWorkTree, ALinkLeadsNowhere) {
  Repository repository = made();
  const auto outside = top_ / "outside";
  std::filesystem::create_directories(outside);
  std::ofstream(outside / "a") << "outside";
  std::filesystem::create_directory_symlink(outside, folder_ / "state");
  std::filesystem::create_directories(folder_ / "originals");
  std::filesystem::create_symlink(outside / "a", folder_ / "originals/x");
  std::filesystem::create_hard_link(outside / "a", folder_ / "originals/y");
  add(repository, {{"state/a", "1"}, {"state/deep/b", "2"}, {"originals/x", "3"}, {"originals/y", "4"}});
  EXPECT_EQ(repository.work_tree_trouble(), "");
  std::ifstream in(outside / "a");
  EXPECT_EQ((std::string{std::istreambuf_iterator<char>(in), {}}), "outside");
  EXPECT_FALSE(std::filesystem::exists(outside / "deep"));
  expect_sound();
  std::filesystem::remove(folder_ / "machine.toml");
  std::filesystem::create_symlink(outside / "a", folder_ / "machine.toml");
  EXPECT_EQ(repository.working_file("machine.toml"), "serial = \"1\"\n");
  // Removing, too, stays inside.
  std::filesystem::remove_all(folder_ / "state");
  std::filesystem::create_directory_symlink(outside, folder_ / "state");
  repository.add("main", {"state/"}, {}, said("No state"));
  EXPECT_TRUE(std::filesystem::exists(outside / "a"));
}

TEST_F(StoreWorkTree, APipeInTheWorkTreeDoesNotHang) {
  Repository repository = made();
  std::filesystem::remove(folder_ / "machine.toml");
  ASSERT_EQ(mkfifo((folder_ / "machine.toml").c_str(), 0600), 0);
  EXPECT_EQ(repository.working_file("machine.toml"), "serial = \"1\"\n");
}

TEST_F(StoreWorkTree, StaysCleanThroughQuickAdds) {
  Repository repository = made();
  for (int i = 0; i < 30; ++i) {
    const std::string text = std::to_string(i % 7);
    add(repository, {{"state/a", text}, {"originals/" + text, text}});
    ASSERT_EQ(on_disk("state/a"), text);
    ASSERT_EQ(git("status --porcelain"), "");
  }
}

TEST_F(StoreWorkTree, ClonesAndPlainGitCommitsGoTogether) {
  Repository repository = made();
  const std::string text = "G0X1\r\nM30\r\n";
  add(repository, {{"originals/A.NC", text}});
  put_on_disk("machine.toml", "by git\r\n");
  git("-c user.name=G -c user.email=g@example.com commit -qam 'By hand'");
  const Oid id = add(repository, {{"originals/A.NC", text}, {"state/a", "1"}});
  EXPECT_EQ(repository.read_at(id, "machine.toml"), "by git\r\n");
  expect_sound();
  git("-c core.autocrlf=true clone -q . ../copy");
  EXPECT_EQ(git_in(top_, "diff --no-index mill/originals copy/originals"), "");
}

TEST_F(StoreWorkTree, AnEditOfTheSameSizeIsPutRightHoweverOldItsTimeIs) {
  Repository repository = made();
  add(repository, {{"state/a", "1"}});
  put_on_disk("state/a", "2");
  std::filesystem::last_write_time(folder_ / "state/a",
                                   std::filesystem::file_time_type::clock::now() - std::chrono::hours(1000));
  repository.repair({"state/", "originals/"});
  EXPECT_EQ(on_disk("state/a"), "1");
}

}  // namespace
}  // namespace keepway::store
