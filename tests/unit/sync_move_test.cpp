// Refs moved by a sync: only from where it saw them, whatever another program did meanwhile. Invented data.
#include "store_fixture.hpp"
#include "sync/move.hpp"

namespace keepway::store {
namespace {

class SyncMove : public StoreTest {
 protected:
  void SetUp() override {
    StoreTest::SetUp();
    Repository repository = made();
    repository.add("main", {}, {{"a", "1"}}, said("One"));
    repository.add("main", {}, {{"a", "2"}}, said("Two"));
    git_repository* raw = nullptr;
    ASSERT_EQ(git_repository_open(&raw, folder_.c_str()), 0);
    repo_ = RepoHandle(raw);
    one_ = parse_oid(git("rev-parse HEAD~1").substr(0, 40));
    two_ = parse_oid(git("rev-parse HEAD").substr(0, 40));
  }
  std::string at(const std::string& ref) {
    return git("for-each-ref --format='%(objectname)' " + ref).substr(0, 40);
  }

  RepoHandle repo_;
  git_oid one_{};
  git_oid two_{};
};

TEST_F(SyncMove, GoesFromWhereItWasSeen) {
  const std::string ref = "refs/tags/today";
  move_ref(*repo_, {ref, std::nullopt, one_});
  EXPECT_EQ(at(ref), oid_text(one_));
  move_ref(*repo_, {ref, one_, two_});
  EXPECT_EQ(at(ref), oid_text(two_));
  move_ref(*repo_, {ref, two_, std::nullopt});
  EXPECT_EQ(git("for-each-ref " + ref), "");
}

TEST_F(SyncMove, LeavesWhatAnotherProgramMadeMeanwhile) {
  const std::string ref = "refs/tags/today";
  git("tag today HEAD~1");
  EXPECT_THROW(move_ref(*repo_, {ref, std::nullopt, two_}), Error) << "it was not there";
  EXPECT_THROW(move_ref(*repo_, {ref, two_, std::nullopt}), Error) << "it was elsewhere";
  EXPECT_EQ(at(ref), oid_text(one_));
  EXPECT_THROW(move_ref(*repo_, {"refs/tags/gone", one_, std::nullopt}), Error);
  EXPECT_THROW(move_ref(*repo_, {"refs/tags/gone", one_, two_}), Error);
}

TEST_F(SyncMove, WhatIsThereAlreadyIsLeft) {
  git("tag today HEAD~1");
  move_ref(*repo_, {"refs/tags/today", std::nullopt, one_});  // a sync that is run again after it was cut off
  EXPECT_EQ(at("refs/tags/today"), oid_text(one_));
}

}  // namespace
}  // namespace keepway::store
