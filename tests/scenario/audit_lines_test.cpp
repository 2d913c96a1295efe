// The audit beside other programs: what they did to the branches is reported, what they do for tidiness is
// not.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <atomic>
#include <cstdlib>
#include <iostream>
#include <thread>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::Contains;
using testing::HasSubstr;

class AuditLines : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
    for (int n = 1; n <= 3; ++n)
      intake("mill", with(mill_files(), "O1001.ngc", "Z-.5", fmt::format("Z-.{}", 500 + n)), 0,
             {"--at", fmt::format("2026-01-0{}", n)});
  }
  std::vector<std::string> codes(int exit) {
    std::vector<std::string> out;
    const Json answer = json({"audit", "mill"}, exit);
    for (const Json& finding : answer.at("machines").at(0).at("findings"))
      out.push_back(finding.at("code").get<std::string>());
    return out;
  }
  Ran as_someone(Args args) {
    args.insert(args.begin(), {"-c", "user.name=A", "-c", "user.email=a@b"});
    return git(repository("mill"), args);
  }
};

TEST_F(AuditLines, ABackupThatALineHadIsMissedOnIt) {
  EXPECT_THAT(codes(0), testing::IsEmpty());
  EXPECT_EQ(as_someone({"reset", "-q", "--hard", "HEAD~1"}).exit, 0);
  EXPECT_THAT(codes(1), Contains("backup-off-line"));
  const Ran reported = kw({"audit", "mill"});
  EXPECT_THAT(reported.out, HasSubstr("#3"));
  EXPECT_EQ(kw({"audit", "mill", "--settle"}).exit, 0);
  EXPECT_THAT(codes(0), testing::IsEmpty());
}

TEST_F(AuditLines, ItIsMissedAlsoWhenOthersHaveComeSince) {
  EXPECT_EQ(as_someone({"reset", "-q", "--hard", "HEAD~1"}).exit, 0);
  intake("mill", with(mill_files(), "O1001.ngc", "Z-.5", "Z-.509"), 0, {"--at", "2026-01-04"});
  intake("mill", with(mill_files(), "O1001.ngc", "Z-.5", "Z-.510"), 0, {"--at", "2026-01-05"});
  EXPECT_THAT(codes(1), Contains("backup-off-line"));
  // Taken in again it is there.
  intake("mill", with(mill_files(), "O1001.ngc", "Z-.5", "Z-.503"), 1, {"--at", "2026-01-03"});
  EXPECT_THAT(codes(0), testing::IsEmpty());
}

// Two PCs may each begin a trial of one name before they hear of each other's.
TEST_F(AuditLines, ATrialThatHasTheNameOfOneThatEndedIsNoFault) {
  const fs::path other = root() / "other";
  fs::copy(shop(), other, fs::copy_options::recursive | fs::copy_options::copy_symlinks);
  ASSERT_EQ(kw({"trial", "mill", "begin", "t"}).exit, 0);
  ASSERT_EQ(keepway({"trial", "mill", "begin", "t", "--note", "theirs"}, other).exit, 0);
  ASSERT_EQ(keepway({"trial", "mill", "drop", "t"}, other).exit, 0);
  constexpr const char* archive = "refs/keepway/archive/trial/*:refs/keepway/archive/trial/*";
  ASSERT_EQ(git(repository("mill"), {"fetch", "-q", (other / "mill").string(), archive}).exit, 0);
  EXPECT_THAT(codes(0), testing::IsEmpty());
  intake("mill", with(mill_files(), "O1001.ngc", "Z-.5", "Z-.504"), 0, {"--at", "2026-01-04", "--again"});
  EXPECT_THAT(codes(0), testing::IsEmpty());
  ASSERT_EQ(kw({"trial", "mill", "drop", "t"}).exit, 0);
  EXPECT_THAT(codes(0), testing::IsEmpty());
}

TEST_F(AuditLines, ACommitThatIsNoBackupAndChangesWhatBackupsHoldIsReported) {
  const fs::path table = repository("mill") / "originals" / "mill.tbl";
  write_file(table, read_file(table) + "\n");
  EXPECT_EQ(as_someone({"commit", "-q", "--no-verify", "-am", "quick fix"}).exit, 0);
  EXPECT_THAT(codes(1), Contains("not-a-backup"));
  EXPECT_EQ(as_someone({"revert", "--no-edit", "HEAD"}).exit, 0);
  EXPECT_THAT(codes(1), testing::ElementsAre("not-a-backup")) << "of the one that did it, not of the other";
  EXPECT_EQ(kw({"audit", "mill", "--settle"}).exit, 0) << "it is known";
  EXPECT_THAT(codes(0), testing::IsEmpty());
  intake("mill", with(mill_files(), "O1001.ngc", "Z-.5", "Z-.509"), 0, {"--at", "2026-01-04"});
  EXPECT_THAT(codes(0), testing::IsEmpty());
  EXPECT_EQ(as_someone({"rm", "-rq", "originals"}).exit, 0);
  EXPECT_EQ(as_someone({"commit", "-q", "--no-verify", "-m", "tidy up"}).exit, 0);
  EXPECT_THAT(codes(4), Contains("originals-gone"));
}

TEST_F(AuditLines, ObjectsBorrowedFromAnotherCloneAreThere) {
  ASSERT_EQ(git(shop(), {"clone", "-qs", "mill", "borrower"}).exit, 0);
  const Json answer = json({"audit", "borrower"});
  for (const Json& finding : answer.at("machines").at(0).at("findings"))
    EXPECT_NE(finding.at("concern"), "damage") << finding;
}

TEST_F(AuditLines, ABrokenConfigurationOfTheUsersIsNoDamage) {
  const fs::path home = root() / "home";
  fs::create_directory(home);
  write_file(home / ".gitconfig", "[user\n");
  const Ran ran =
      kw({"audit", "mill"}, {{"HOME", home.string()}, {"GIT_CONFIG_GLOBAL", (home / ".gitconfig").string()}});
  EXPECT_EQ(ran.exit, 1) << ran.out << ran.err;
  EXPECT_THAT(ran.out, HasSubstr(".gitconfig"));
}

TEST_F(AuditLines, AListOfRefsThatGitIsWritingIsNoSetting) {
  const fs::path info = repository("mill") / ".git/info";
  fs::create_directories(info);
  write_file(info / "refs_C3scRs", "");
  EXPECT_EQ(kw({"audit", "mill"}).exit, 0);
  write_file(info / "refs_of_mine", "");
  const Ran ran = kw({"audit", "mill"});
  EXPECT_EQ(ran.exit, 1);
  EXPECT_THAT(ran.out, HasSubstr("refs_of_mine: it is new"));
}

// gc, repack and an intake now and then beside it: every audit finds nothing.
TEST_F(AuditLines, BesideGitsOwnTidyingFindsNothing) {
  const char* asked = std::getenv("KEEPWAY_AUDIT_ROUNDS");
  const int rounds = asked != nullptr ? std::atoi(asked) : 40;
  std::atomic<bool> over{false};
  std::size_t tidied = 0;
  std::thread tidying([&] {
    const std::vector<Args> ways = {{"gc", "--quiet"},
                                    {"repack", "-adq"},
                                    {"pack-refs", "--all"},
                                    {"gc", "--quiet", "--prune=now"},
                                    {"repack", "-dq"}};
    for (; !over; ++tidied) {
      (void)git(repository("mill"), ways[tidied % ways.size()]);
      if (tidied % 4 == 0)
        (void)kw({"intake", "mill",
                  put(with(mill_files(), "O1001.ngc", "Z-.5", fmt::format("Z-.{}", 100 + tidied % 800)))
                      .string()});
    }
  });
  int busy = 0;
  int n = 0;
  for (; n < rounds && !HasFailure(); ++n) {
    const Ran ran = keepway({"audit", "mill"}, shop());
    if (ran.exit == 4 && ran.err.find("another program is writing") != std::string::npos) {
      ++busy;
      continue;
    }
    EXPECT_EQ(ran.exit, 0) << ran.out << ran.err;
  }
  over = true;
  tidying.join();
  std::cout << fmt::format("[ audits   ] {} audits beside {} tidyings, {} while an intake had the lock\n", n,
                           tidied, busy);
  EXPECT_LT(busy, rounds);
}

}  // namespace
}  // namespace scenario
