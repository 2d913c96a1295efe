// What an audit says of several causes at once, and behind a hole. All data are invented.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

class AuditFindings : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
    for (int day = 1; day <= 3; ++day) {
      intake("mill", with(mill_files(), "O1001.ngc", "Z-.5", fmt::format("Z-.{}", 600 + day)), 0,
             {"--at", fmt::format("2026-01-0{}", day)});
    }
  }
  void TearDown() override {}  // broken on purpose

  Json findings(int exit, Args more = {}) {
    Args args = {"audit", "mill"};
    args.insert(args.end(), more.begin(), more.end());
    return json(args, exit).at("machines").at(0).at("findings");
  }
  static std::vector<Json> of_code(const Json& findings, const std::string& code) {
    std::vector<Json> found;
    for (const Json& each : findings) {
      if (each.at("code") == code) found.push_back(each);
    }
    return found;
  }
  [[nodiscard]] fs::path folder() const { return repository("mill"); }
  void commit_as_the_newest(const std::string& without) {
    ASSERT_EQ(git(folder(), {"add", "-A"}).exit, 0);
    std::string message = git(folder(), {"log", "-1", "--format=%B"}).out;
    if (const std::size_t at = message.find(without); at != std::string::npos)
      message.erase(at, message.find('\n', at) + 1 - at);
    ASSERT_EQ(git(folder(),
                  {"-c", "user.name=x", "-c", "user.email=x", "commit", "-q", "--no-verify", "-m", message})
                  .exit,
              0);
  }
};

TEST_F(AuditFindings, TwoCausesAtOnePlaceAreTwo) {
  write_file(folder() / "state/programs/O01001.nc", "G80\n");
  commit_as_the_newest("Keepway-Made-Of: ");
  write_file(folder() / "state/variables.tsv", "");
  commit_as_the_newest("Keepway-Made-Of: ");
  const std::vector<Json> differ = of_code(findings(4), "state-differs");
  ASSERT_EQ(differ.size(), 2U);
  EXPECT_EQ(differ[0].at("where"), differ[1].at("where"));
  EXPECT_NE(differ[0].at("what"), differ[1].at("what"));
}

TEST_F(AuditFindings, WhatIsBehindALostCommitIsLookedAtToo) {
  const std::string lost = object_id(folder(), "HEAD~1");
  const std::string original = object_id(folder(), "HEAD~2:originals/O1001.ngc");
  loosen("mill");
  for (const std::string& id : {lost, original})
    fs::remove(folder() / ".git/objects" / id.substr(0, 2) / id.substr(2));
  bool named = false;
  for (const Json& finding : findings(4)) {
    for (const Json& backup : finding.at("backups"))
      named = named || (backup.at("number") == 1 && finding.dump().find("O1001.ngc") != std::string::npos);
  }
  EXPECT_TRUE(named) << findings(4).dump(1);
}

TEST_F(AuditFindings, TheIndexSaysHowManyFilesDiffer) {
  const auto said = [&] { return of_code(findings(1), "git-index").at(0).at("what").get<std::string>(); };
  ASSERT_EQ(git(folder(), {"rm", "-q", "--cached", "originals/mill.tbl"}).exit, 0);
  EXPECT_EQ(said(), "in Git's index, 'originals/mill.tbl' differs from the newest commit");
  ASSERT_EQ(git(folder(), {"reset", "-q"}).exit, 0);
  Args eight = {"add", "-f"};
  for (int n = 0; n < 8; ++n) {
    eight.push_back(fmt::format("own{}", n));
    write_file(folder() / eight.back(), "");
  }
  ASSERT_EQ(git(folder(), eight).exit, 0);
  EXPECT_THAT(said(), HasSubstr("'own7' differ from"));
  write_file(folder() / "own8", "");
  ASSERT_EQ(git(folder(), {"add", "-f", "own8"}).exit, 0);
  EXPECT_THAT(said(), HasSubstr("'own7' and 1 more differ from"));
}

TEST_F(AuditFindings, ADamagedPackIsNamedByItsFile) {
  fs::path pack;
  for (const auto& entry : fs::directory_iterator(folder() / ".git/objects/pack")) {
    if (entry.path().extension() == ".pack") pack = entry.path();
  }
  std::string bytes = read_file(pack);
  bytes.back() = static_cast<char>(bytes.back() ^ 1);
  fs::remove(pack);
  write_file(pack, bytes);
  EXPECT_EQ(of_code(findings(4), "pack-damaged").at(0).at("where"),
            ".git/objects/pack/" + pack.filename().string());
}

TEST_F(AuditFindings, ACopyInTheFolderIsPutBackFromAClone) {
  ASSERT_EQ(git(root(), {"clone", "-q", folder().string(), "clone"}).exit, 0);
  const std::string tool = read_file(folder() / "originals/mill.tbl");
  write_file(folder() / "originals/mill.tbl", "other");
  EXPECT_EQ(of_code(findings(1), "copy-off").size(), 1U);
  (void)json({"audit", "mill", "--from", (root() / "clone").string()});
  EXPECT_EQ(read_file(folder() / "originals/mill.tbl"), tool);
  EXPECT_EQ(findings(0), Json::array());
}

}  // namespace
}  // namespace scenario
