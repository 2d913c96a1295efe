// What is said of an audit. All names are invented.
#include <gtest/gtest.h>

#include "keepway/show.hpp"

namespace keepway::show {
namespace {

TEST(ShowAudit, ManyBackupsAreLinesOfOneWidthBelowEachOther) {
  Audit audit;
  audit.machine = "mill";
  Finding finding{Concern::damage, "original-missing", "originals/A.NC", "is missing",
                  "take it from a clone"};
  for (int number = 1; number < 60; number += 2) finding.backups.push_back({"main", number, 0, ""});
  audit.findings.push_back(finding);
  const std::string text = show::audit({audit}, {}, {}).text;
  const std::size_t begin = text.find("    backups: #1, #3");
  ASSERT_NE(begin, std::string::npos) << text;
  const std::size_t end = text.find("    what to do: ", begin);
  ASSERT_NE(end, std::string::npos) << text;
  std::size_t lines = 0;
  for (std::size_t at = begin; at < end; at = text.find('\n', at) + 1, ++lines) {
    EXPECT_EQ(text.find_first_not_of(' ', at), at + 4) << text;
    EXPECT_LE(text.find('\n', at) - at, 100U) << text;
  }
  EXPECT_GT(lines, 1U);
}

}  // namespace
}  // namespace keepway::show
