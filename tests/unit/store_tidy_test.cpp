// Putting packs together: nothing goes, whatever happens meanwhile; git is the reference. Invented data.
#include <fmt/format.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>

#include "store/lock.hpp"
#include "store/pack_files.hpp"
#include "store_fixture.hpp"

namespace keepway::store {
namespace {

class StoreTidy : public StoreTest {
 protected:
  // A backup of a dozen files, each a little other than the last time: it comes as one pack.
  static Oid backup(Repository& repository, int number, int files = 12) {
    std::vector<std::string> texts;
    std::vector<TreeFile> all;
    all.reserve(static_cast<std::size_t>(files));
    texts.reserve(static_cast<std::size_t>(files));
    for (int i = 0; i < files; ++i) {
      std::string text;
      for (int row = 0; row < 200; ++row) {
        text += fmt::format("{}\t{}\n", row, row % 17 == number % 17 ? number * 7 + i : row * i);
      }
      texts.push_back(std::move(text));
    }
    for (int i = 0; i < files; ++i)
      all.push_back({fmt::format("state/t{}.tsv", i), texts[static_cast<std::size_t>(i)]});
    return add(repository, all, fmt::format("Backup {}", number));
  }
  [[nodiscard]] std::string objects() const {
    return git("cat-file --batch-all-objects --batch-check='%(objectname) %(objecttype) %(objectsize)'");
  }
  [[nodiscard]] std::filesystem::path pack_folder() const { return folder_ / ".git/objects/pack"; }
};

TEST_F(StoreTidy, PacksAllIntoOneAndDropsNothing) {
  Repository repository = made();
  for (int i = 0; i < 30; ++i) backup(repository, i, i % 3 == 0 ? 2 : 12);
  repository.begin_line("trial/a", *repository.resolve("main~4"));
  repository.add("trial/a", {}, {{"state/x", "only on a trial that is dropped"}}, said("Trial"));
  repository.drop_line("trial/a");
  repository.mark("known good", *repository.resolve("main~2"), "Ida", 5);
  const std::string before = objects();
  const auto tidied = repository.tidy();
  EXPECT_EQ(objects(), before);
  EXPECT_EQ(packs(), 1U);
  EXPECT_GT(tidied.packs_before, 10U);
  EXPECT_GT(tidied.loose, 10U);
  EXPECT_EQ(tidied.packs_after, 1U);
  EXPECT_LT(tidied.bytes_after, tidied.bytes_before / 2);
  EXPECT_EQ(git("count-objects"), "0 objects, 0 kilobytes\n");
  expect_sound();
  EXPECT_EQ(repository.marks().size(), 1U);
  EXPECT_EQ(repository.list(*repository.resolve("main~19"), "state/").size(), 12U)
      << "the same Repository reads on";
  backup(repository, 99);
  expect_sound();
  EXPECT_EQ(repository.tidy().packs_after, 1U);
  expect_sound();
}

TEST_F(StoreTidy, ComesToAboutTheSizeOfGitsOwn) {
  Repository repository = made();
  for (int i = 0; i < 60; ++i) backup(repository, i);
  const auto mine = repository.tidy().bytes_after;
  std::filesystem::copy(folder_, top_ / "copy", std::filesystem::copy_options::recursive);
  git_in(top_ / "copy", "repack -q -a -d -f");
  const auto theirs = pack_files(top_ / "copy/.git/objects/pack").front().bytes;
  EXPECT_LT(static_cast<double>(mine), static_cast<double>(theirs) * 1.15);
}

TEST_F(StoreTidy, KeepsThePacksFewAsBackupsComeIn) {
  Repository repository = made();
  std::size_t most = 0;
  for (int i = 0; i < 500; ++i) {
    backup(repository, i);
    repository.tidy_when_due();
    most = std::max(most, packs());
  }
  EXPECT_LE(most, 40U);
  EXPECT_EQ(git("rev-list --count main"), "501\n");
  expect_sound();
  for (int i = 0; i < 500; i += 37) {
    EXPECT_EQ(repository.list(*repository.resolve(fmt::format("main~{}", i)), "state/").size(), 12U);
  }
}

TEST_F(StoreTidy, LosesNothingWhereverItIsKilled) {
  Repository repository = made();
  for (int i = 0; i < 30; ++i) backup(repository, i);
  const std::string before = objects();
  for (int wait = 0; wait < 40; ++wait) {
    const pid_t child = fork();
    if (child == 0) {
      try {
        Repository again = Repository::open(folder_);
        if (wait % 2 == 0) {
          again.tidy_when_due();
        } else {
          again.tidy();
        }
      } catch (...) {
        _exit(1);
      }
      _exit(0);
    }
    ::usleep(static_cast<useconds_t>(wait) * 1500);
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
    ASSERT_EQ(objects(), before) << "killed after " << wait;
    ASSERT_EQ(git("fsck --strict --no-progress --no-dangling"), "");
  }
  put_on_disk(".git/objects/pack/tmp_pack_1", "half a pack");
  put_on_disk(".git/objects/pack/pack-1.pack", "a pack that lost its index");
  const auto long_ago = std::filesystem::file_time_type::clock::now() - std::chrono::hours(2);
  for (const auto& entry : std::filesystem::directory_iterator(pack_folder())) {
    std::filesystem::last_write_time(entry.path(), long_ago);
  }
  repository = Repository::open(folder_);
  repository.tidy();
  EXPECT_EQ(objects(), before);
  std::size_t files = 0;
  for (const auto& entry : std::filesystem::directory_iterator(pack_folder())) {
    files += entry.is_regular_file() ? 1 : 0;
  }
  EXPECT_EQ(files, 2U) << "one pack, its index, and nothing that was left";
  expect_sound();
}

TEST_F(StoreTidy, LeavesDamageAsItIs) {
  Repository repository = made();
  for (int i = 0; i < 26; ++i) backup(repository, i);
  const auto all = pack_files(pack_folder());
  ASSERT_EQ(all.size(), 26U);
  const std::string name = ".git/objects/pack/" + all[3].stem.filename().string() + ".pack";
  std::string bytes = on_disk(name);
  bytes[bytes.size() / 2] = static_cast<char>(bytes[bytes.size() / 2] ^ 1);
  std::filesystem::remove(folder_ / name);
  put_on_disk(name, bytes);
  repository = Repository::open(folder_);
  EXPECT_EQ(failure_of([&] { repository.tidy(); }), Exit::store);
  EXPECT_EQ(pack_files(pack_folder()).size(), 26U);
  repository.tidy_when_due();
  EXPECT_EQ(pack_files(pack_folder()).size(), 2U) << "the sound ones are packed without it";
  EXPECT_EQ(on_disk(name), bytes) << "the damaged pack stays as it is";
}

TEST_F(StoreTidy, JoinsPacksEndToEndAsGitReadsThem) {
  Repository repository = made();
  for (int i = 0; i < 20; ++i) backup(repository, i);
  repository.tidy();  // a pack with deltas among them
  for (int i = 20; i < 24; ++i) backup(repository, i);
  const std::string before = objects();
  const auto all = pack_files(pack_folder());
  const auto joined = join_packs(pack_folder(), all);
  EXPECT_EQ(joined.size(), all.size());
  remove_packs(pack_folder(), joined);
  EXPECT_EQ(packs(), 1U);
  EXPECT_EQ(objects(), before);
  EXPECT_EQ(git("fsck --strict --full --no-progress --no-dangling"), "");
  const std::string stem = pack_files(pack_folder()).front().stem.string();
  git("index-pack --strict -o " + (top_ / "again.idx").string() + " " + stem + ".pack");
  EXPECT_EQ(git_in(top_, "hash-object again.idx"), git_in(top_, "hash-object " + stem + ".idx"));
}

TEST_F(StoreTidy, LeavesPacksThatSomebodyKeepsAndWaitsForNobody) {
  Repository repository = made();
  for (int i = 0; i < 30; ++i) backup(repository, i);
  const std::string kept = pack_files(pack_folder()).front().stem.string();
  put_on_disk(".git/objects/pack/" + std::filesystem::path(kept).filename().string() + ".keep", "");
  {
    const Lock lock(folder_ / ".git");
    EXPECT_EQ(failure_of([&] { repository.tidy(); }), Exit::store);
    repository.tidy_when_due();
    EXPECT_EQ(packs(), 30U);
  }
  repository.tidy();
  EXPECT_EQ(packs(), 2U);
  EXPECT_TRUE(std::filesystem::exists(kept + ".pack"));
  expect_sound();
}

}  // namespace
}  // namespace keepway::store
