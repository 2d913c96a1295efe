// Adds that land together; git is the reference. All data invented.
#include <fmt/format.h>

#include "git/pack_files.hpp"
#include "store_fixture.hpp"

namespace keepway::store {
namespace {

class StoreSeries : public StoreTest {
 protected:
  static std::string table(int number) {
    std::string text;
    for (int row = 0; row < 300; ++row)
      text += fmt::format("{}\t{}\n", row, row % 50 == number % 50 ? number : row * 3);
    return text;
  }
  static Oid backup(Repository& repository, int number) {
    const std::string now = table(number);
    return add(repository, {{"state/offsets.tsv", now}, {"state/same.tsv", "always\n"}, {"originals/A", now}},
               fmt::format("Backup {}", number));
  }
};

TEST_F(StoreSeries, LandsAsOnePackAndTheSameCommits) {
  Repository one_by_one = made();
  std::vector<Oid> wanted;
  for (int i = 0; i < 30; ++i) wanted.push_back(backup(one_by_one, i));
  const auto first = folder_;
  folder_ = top_ / "series";
  Repository repository = made();
  repository.begin_series();
  std::vector<Oid> got;
  got.reserve(30);
  for (int i = 0; i < 30; ++i) {
    got.push_back(backup(repository, i));
    EXPECT_EQ(repository.tip(), got.back());
    EXPECT_EQ(repository.read_at(got.back(), "state/offsets.tsv"), table(i)) << "seen before it has landed";
  }
  EXPECT_GT(repository.series_bytes(), 80'000U);
  EXPECT_EQ(git("rev-list --count main"), "1\n") << "and by nobody else";
  repository.land_series();
  EXPECT_EQ(got, wanted);
  EXPECT_EQ(git("rev-parse main"), wanted.back() + "\n");
  EXPECT_EQ(packs(), 2U) << "that of the repository's first commit, and one";
  for (const PackFile& pack : pack_files(folder_ / ".git/objects/pack"))
    EXPECT_LT(pack.bytes, 15'000U) << "of 85 kB";
  EXPECT_EQ(on_disk("state/offsets.tsv"), table(29));
  expect_sound();
  backup(repository, 30);
  EXPECT_EQ(git("rev-list --count main"), "32\n");
  expect_sound();
}

TEST_F(StoreSeries, LeavesNothingWhenItIsDropped) {
  Repository repository = made();
  backup(repository, 1);
  const std::string before = git("rev-parse main") + git("count-objects -v");
  repository.begin_series();
  const Oid gone = backup(repository, 2);
  repository.drop_series();
  EXPECT_EQ(git("rev-parse main") + git("count-objects -v"), before);
  EXPECT_EQ(failure_of([&] { (void)repository.info(gone); }), ErrorKind::store);
  repository.land_series();
  const Oid next = backup(repository, 2);
  EXPECT_EQ(next, gone) << "the same commit, stored this time";
  expect_sound();
}

TEST_F(StoreSeries, HoldsTheLockAndGivesItBack) {
  Repository repository = made();
  Repository other = Repository::open(folder_);
  repository.begin_series();
  EXPECT_EQ(failure_of([&] { backup(other, 1); }), ErrorKind::store);
  backup(repository, 2);
  repository.land_series();
  backup(other, 3);
  EXPECT_EQ(git("rev-list --count main"), "3\n");
  expect_sound();
}

TEST_F(StoreSeries, StoresNothingWhereTheLineMovedMeanwhile) {
  Repository repository = made();
  repository.begin_series();
  backup(repository, 1);
  git("-c user.name=x -c user.email=x@localhost commit -q --allow-empty -m 'by another program'");
  EXPECT_EQ(failure_of([&] { repository.land_series(); }), ErrorKind::store);
  EXPECT_EQ(git("log -1 --format=%s"), "by another program\n");
  backup(repository, 2);
  EXPECT_EQ(git("rev-list --count main"), "3\n") << "the series is over";
}

TEST_F(StoreSeries, AddsToOneLineOnly) {
  Repository repository = made();
  repository.begin_line("trial/a", *repository.resolve("main"));
  repository.begin_series();
  backup(repository, 1);
  EXPECT_EQ(failure_of([&] {
              repository.add("trial/a", {}, {{"state/x", "1"}}, said("x"));
            }),
            ErrorKind::usage);
  repository.land_series();
  expect_sound();
}

}  // namespace
}  // namespace keepway::store
