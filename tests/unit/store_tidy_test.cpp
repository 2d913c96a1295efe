// Putting packs together: nothing goes, whatever happens meanwhile; git is the reference. Invented data.
#include <fmt/format.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>

#include "git/lock.hpp"
#include "git/pack.hpp"
#include "git/pack_files.hpp"
#include "git/sha1.hpp"
#include "store_fixture.hpp"

namespace keepway::store {
namespace {

// The most memory that this process has had, in KiB.
long peak_memory() {
  rusage used{};
  return ::getrusage(RUSAGE_SELF, &used) == 0 ? used.ru_maxrss : 0;
}

// A pack of one object that is none: `bytes` stand for it as they are.
void put_pack(const std::filesystem::path& folder, unsigned char id, std::string bytes) {
  PackedObject object;
  object.id.id[0] = id;
  object.stream = std::move(bytes);
  write_pack(folder, {std::move(object)});
}

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
        // Changed by one backup in 17, and then as it is until it changes again.
        const int changed = number - (number - row % 17 + 17) % 17;
        text += fmt::format("{}\t{}\n", row, changed * 7919 % 1000 + row * i);
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
  // What plain Git commits lies in files of its own.
  git("-c user.name=A -c user.email=a@b commit -q --allow-empty -m note");
  const std::string before = objects();
  const auto tidied = repository.tidy();
  EXPECT_EQ(objects(), before);
  EXPECT_EQ(packs(), 1U);
  EXPECT_GT(tidied.packs_before, 10U);
  EXPECT_EQ(tidied.loose, 1U);
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

TEST_F(StoreTidy, KeepsAWholePackThatLostItsIndex) {
  Repository repository = made();
  backup(repository, 0);
  ASSERT_EQ(packs(), 2U);
  const std::string stem = pack_files(pack_folder()).front().stem.string();
  for (int i = 1; i < 4; ++i) backup(repository, i);
  const std::string before = objects();
  std::filesystem::remove(stem + ".idx");
  ASSERT_NE(objects(), before) << "it is the only place of its objects";
  const auto long_ago = std::filesystem::file_time_type::clock::now() - std::chrono::hours(2);
  std::filesystem::last_write_time(stem + ".pack", long_ago);
  repository = Repository::open(folder_);
  repository.tidy();
  ASSERT_TRUE(std::filesystem::exists(stem + ".pack"));
  git("index-pack '" + stem + ".pack'");
  EXPECT_EQ(objects(), before);
  expect_sound();
}

TEST_F(StoreTidy, LeavesDamageAsItIs) {
  Repository repository = made();
  for (int i = 0; i < 26; ++i) backup(repository, i);
  const auto all = pack_files(pack_folder());
  ASSERT_EQ(all.size(), 27U);
  const std::string name = ".git/objects/pack/" + all[3].stem.filename().string() + ".pack";
  std::string bytes = on_disk(name);
  bytes[bytes.size() / 2] = static_cast<char>(bytes[bytes.size() / 2] ^ 1);
  std::filesystem::remove(folder_ / name);
  put_on_disk(name, bytes);
  repository = Repository::open(folder_);
  EXPECT_EQ(failure_of([&] { repository.tidy(); }), ErrorKind::store);
  EXPECT_EQ(pack_files(pack_folder()).size(), 27U);
  repository.tidy_when_due();
  EXPECT_EQ(pack_files(pack_folder()).size(), 2U) << "the sound ones are packed without it";
  EXPECT_EQ(on_disk(name), bytes) << "the damaged pack stays as it is";
}

TEST_F(StoreTidy, PacksNoLooseObjectThatIsNotWhatItsNameSays) {
  Repository repository = made();
  const Oid blob = repository.blob_ids({"1.5\n"}).front();
  const Oid other = repository.blob_ids({"9.5\n"}).front();
  add(repository, {{"state/a.tsv", "1.5\n"}});
  add(repository, {{"state/a.tsv", "9.5\n"}});
  const auto file = [&](const Oid& id) { return folder_ / ".git/objects" / id.substr(0, 2) / id.substr(2); };
  loosen();
  std::filesystem::remove(file(blob));
  std::filesystem::copy_file(file(other), file(blob));  // whole, but another's
  const std::string loose = git("count-objects");
  repository = Repository::open(folder_);
  EXPECT_EQ(failure_of([&] { repository.tidy(); }), ErrorKind::store);
  EXPECT_EQ(packs(), 0U) << "no pack that holds it";
  EXPECT_EQ(git("count-objects"), loose) << "and nothing gone";
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

TEST_F(StoreTidy, JoinsPacksOfAnySizeInLittleMemory) {
  const std::filesystem::path folder = pack_folder();
  std::filesystem::create_directories(folder);
  constexpr std::size_t size = std::size_t{40} << 20U;
  put_pack(folder, 1, "small");
  put_pack(folder, 2, std::string(size, 'x'));
  const auto all = pack_files(folder);
  ASSERT_EQ(all.size(), 2U);
  const pid_t child = fork();
  if (child == 0) {
    const long before = peak_memory();
    std::size_t joined = 0;
    try {
      joined = join_packs(folder, all).size();
    } catch (...) {
      _exit(1);
    }
    if (joined != all.size()) _exit(2);
    _exit(peak_memory() - before < (long{32} << 10U) ? 0 : 3);
  }
  int status = -1;
  ASSERT_EQ(::waitpid(child, &status, 0), child);
  ASSERT_TRUE(WIFEXITED(status));
  EXPECT_EQ(WEXITSTATUS(status), 0) << "3: it took more than 32 MiB for a pack of 40";

  const auto after = pack_files(folder);
  ASSERT_EQ(after.size(), 3U);
  const PackFile& joined = after.back();
  EXPECT_EQ(joined.bytes, all[0].bytes + all[1].bytes - 12 - 20) << "one head and one checksum less";
  EXPECT_TRUE(is_whole(joined));
  const auto entries = read_pack_index(joined);
  ASSERT_TRUE(entries && entries->size() == 2);
  EXPECT_EQ(entries->front().offset, 12U);
  EXPECT_EQ(entries->back().offset, 12U + 1U + std::string("small").size());
}

TEST_F(StoreTidy, JoinsNoPackThatIsNotWholeOrNotAsItsIndexSays) {
  const std::filesystem::path folder = pack_folder();
  std::filesystem::create_directories(folder);
  put_pack(folder, 1, "small");
  put_pack(folder, 2, "larger than that");
  const auto all = pack_files(folder);
  ASSERT_EQ(all.size(), 2U);
  const std::string stem = ".git/objects/pack/" + all[1].stem.filename().string();
  const auto put_anew = [&](const std::string& ending, const std::string& bytes) {
    std::filesystem::remove(folder_ / (stem + ending));
    put_on_disk(stem + ending, bytes);
  };
  const std::string sound = on_disk(stem + ".pack");
  for (const std::size_t at : {std::size_t{0}, std::size_t{20}, sound.size() - 1}) {
    std::string odd = sound;
    odd[at] = static_cast<char>(odd[at] ^ 1);
    put_anew(".pack", odd);
    EXPECT_TRUE(is_damaged(all[1])) << at;
    EXPECT_TRUE(join_packs(folder, all).empty()) << at;
  }
  std::filesystem::remove(folder_ / (stem + ".pack"));
  EXPECT_FALSE(is_damaged(all[1])) << "what cannot be read may be whole";
  EXPECT_FALSE(is_whole(all[1]));
  put_anew(".pack", sound);

  std::vector<PackedObject> two(2);
  two[0].id.id[0] = 3;
  two[1].id.id[0] = 4;
  const std::filesystem::path other = top_ / "other";
  std::filesystem::create_directories(other);
  write_pack(other, two);
  const std::string index = on_disk(stem + ".idx");
  std::filesystem::remove(folder_ / (stem + ".idx"));
  std::filesystem::copy_file(pack_files(other).front().stem.string() + ".idx", folder_ / (stem + ".idx"));
  EXPECT_TRUE(join_packs(folder, all).empty()) << "the pack has one object, its index two";
  put_anew(".idx", index);
  EXPECT_EQ(join_packs(folder, all).size(), 2U);
}

TEST_F(StoreTidy, LeavesPacksThatSomebodyKeepsAndWaitsForNobody) {
  Repository repository = made();
  for (int i = 0; i < 30; ++i) backup(repository, i);
  const std::string kept = pack_files(pack_folder()).front().stem.string();
  put_on_disk(".git/objects/pack/" + std::filesystem::path(kept).filename().string() + ".keep", "");
  {
    const Lock lock(folder_ / ".git");
    EXPECT_EQ(failure_of([&] { repository.tidy(); }), ErrorKind::store);
    repository.tidy_when_due();
    EXPECT_EQ(packs(), 31U);
  }
  repository.tidy();
  EXPECT_EQ(packs(), 2U);
  EXPECT_TRUE(std::filesystem::exists(kept + ".pack"));
  expect_sound();
}

TEST_F(StoreTidy, AnIndexThatEndsWithinItsSumsIsNone) {
  constexpr std::size_t tables = 8 + 256 * 4;  // gitformat-pack(5): the head, and how many of each first byte
  constexpr std::size_t sum = 20;              // of the pack, and one of all before it
  std::filesystem::create_directories(pack_folder());
  PackFile pack;
  pack.stem = pack_folder() / "pack-short";
  const auto index_of = [&](std::size_t size) {  // of no object, with the sum that it should have
    std::string bytes("\377tOc\0\0\0\2", 8);
    bytes.resize(size - sum);
    Sha1 all;
    all.put(bytes);
    put_on_disk(".git/objects/pack/pack-short.idx", bytes + all.finish());
    return read_pack_index(pack);
  };
  const auto whole = index_of(tables + 2 * sum);
  ASSERT_TRUE(whole && whole->empty());
  EXPECT_FALSE(index_of(tables + 2 * sum - 1));
  EXPECT_FALSE(index_of(tables + sum));
}

}  // namespace
}  // namespace keepway::store
