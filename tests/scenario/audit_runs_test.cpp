// An audit looks at its backups in runs, two at a time: what it says does not show where one run ends.
#include "shop_fixture.hpp"

namespace scenario {
namespace {

using AuditRuns = ShopTest;

TEST_F(AuditRuns, SayWhatOneAfterAnotherWouldSay) {
  enroll_mill();
  const Tree files = mill_files();
  intake("mill", files, 0, {"--at", "2026-01-01"});
  intake("mill", with(files, "mill.tbl", "4.25", "4.375"), 0, {"--at", "2026-01-02"});
  // Six more of the second one's files, as another reader made their states.
  const fs::path folder = repository("mill");
  write_file(folder / "state/programs/O01001.nc", "G80\n");
  ASSERT_EQ(git(folder, {"add", "-A"}).exit, 0);
  std::string message = git(folder, {"log", "-1", "--format=%B"}).out;
  message.replace(message.find("Keepway-Reader: ") + 16, 1, "0");
  message.erase(message.find("Keepway-Made-Of: "));
  for (int i = 0; i < 6; ++i) {
    ASSERT_EQ(git(folder, {"-c", "user.name=x", "-c", "user.email=x", "commit", "-q", "--no-verify",
                           "--allow-empty", "-m", message})
                  .exit,
              0);
  }
  const Json machine = json({"audit", "mill"}, 0).at("machines").at(0);
  EXPECT_EQ(machine.at("backups"), 8);
  EXPECT_EQ(machine.at("states"), 2) << "those of the same files are made once";
  ASSERT_EQ(machine.at("findings").size(), 1U) << machine.dump(1);
  const Json& finding = machine.at("findings").at(0);
  EXPECT_EQ(finding.at("code"), "older-reader");
  std::vector<std::string> commits;
  for (const Json& backup : finding.at("backups")) commits.push_back(backup.at("commit").get<std::string>());
  EXPECT_EQ(commits, lines_of(git(folder, {"log", "--reverse", "-6", "--format=%H"}).out));
}

}  // namespace
}  // namespace scenario
