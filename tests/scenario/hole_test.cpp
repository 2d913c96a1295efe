// A commit lost: every other backup is listed and restored, and the rest can be taken out.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <cstdlib>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

class Hole : public ShopTest {
 protected:
  void TearDown() override {}  // broken on purpose

  void store(int count) {
    enroll_mill();
    for (int n = 1; n <= count; ++n) {
      files_.push_back(with(mill_files(), "O1001.ngc", "Z-.5", fmt::format("Z-.{}", 500 + n)));
      if (n % 3 == 0) files_.back()["note.txt"] = fmt::format("{}\n", n);
      const Ran ran = kw({"intake", "mill", put(files_.back()).string(), "--at", date(n)});
      ASSERT_LE(ran.exit, 1) << ran.out << ran.err;
    }
  }
  static std::string date(int n) {
    return fmt::format("2026-{:02}-{:02}", 1 + (n - 1) / 28, 1 + (n - 1) % 28);
  }
  [[nodiscard]] fs::path git_folder() const { return repository("mill") / ".git"; }
  [[nodiscard]] fs::path object(const std::string& id) const {
    return git_folder() / "objects" / id.substr(0, 2) / id.substr(2);
  }
  std::string commit_of(int number) {
    const Ran log = git(repository("mill"), {"log", "--format=%H %(trailers:key=Keepway-Backup,valueonly)"});
    for (const std::string& line : lines_of(log.out)) {
      if (line.ends_with(fmt::format(" {}", number))) return line.substr(0, 40);
    }
    return {};
  }
  Ran restore(const std::string& when) {
    fs::remove_all(root() / "back");
    return kw({"restore", "mill", "--at", when, "--to", (root() / "back").string()});
  }
  void expect_restored(const std::string& when, int number) {
    const Ran ran = restore(when);
    EXPECT_LE(ran.exit, 1) << when << ": " << ran.out << ran.err;
    if (ran.exit <= 1) {
      EXPECT_EQ(read_tree(root() / "back"), files_[static_cast<std::size_t>(number - 1)]) << when;
    }
  }

  std::vector<Tree> files_;
};

TEST_F(Hole, ALostCommitHidesNoOtherBackup) {
  store(3);
  const std::string first = commit_of(1);
  const std::string second = commit_of(2);
  loosen("mill");
  fs::remove(object(second));
  for (const bool remembered : {true, false}) {
    SCOPED_TRACE(remembered);
    if (!remembered) {
      // Neither the index nor Git's logs: only the objects are left.
      fs::remove_all(git_folder() / "keepway");
      fs::remove_all(git_folder() / "logs");
    }
    const Ran history = kw({"history", "mill"});
    EXPECT_EQ(history.exit, 1) << history.err;
    EXPECT_THAT(history.err, HasSubstr(second)) << "it is not said";
    std::vector<int> numbers;
    const Json listed = json({"history", "mill"});
    for (const Json& each : listed.at("backups")) numbers.push_back(each.at("number").get<int>());
    EXPECT_EQ(numbers, (std::vector<int>{3, 1}));
    expect_restored("#1", 1);
    expect_restored("#3", 3);
    expect_restored(first, 1);
    expect_restored(date(1), 1);
    expect_restored(date(3), 3);
    EXPECT_GE(restore("#2").exit, 2);
    const Ran more = kw({"intake", "mill", put(files_[0]).string(), "--at", "2026-05-01"});
    EXPECT_EQ(more.exit, 5) << more.out << more.err;
    EXPECT_THAT(more.err, HasSubstr("audit"));
  }
  const Ran accepted = kw({"intake", "mill", put(files_[0]).string(), "--at", "2026-05-01", "--accept"});
  EXPECT_LE(accepted.exit, 1) << accepted.out << accepted.err;
}

TEST_F(Hole, TheRestIsRescued) {
  store(4);
  const std::string second = commit_of(2);
  const std::string blob = object_id(repository("mill"), commit_of(3) + ":originals/O1001.ngc");
  loosen("mill");
  fs::remove(object(second));
  fs::remove(object(blob));
  fs::remove_all(git_folder() / "logs");
  const fs::path to = root() / "rescued";
  const Ran ran = kw({"audit", "mill", "--rescue", to.string()});
  EXPECT_EQ(ran.exit, 1) << ran.out << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("with a hand on the emergency stop"));
  std::map<int, Tree> got;
  for (const auto& entry : fs::directory_iterator(to)) {
    if (entry.is_directory() && entry.path().filename() != "unnamed")
      got[std::atoi(entry.path().filename().c_str())] = read_tree(entry.path());
  }
  Tree third = files_[2];
  third.erase("O1001.ngc");
  EXPECT_EQ(got, (std::map<int, Tree>{{1, files_[0]}, {3, third}, {4, files_[3]}}));
  EXPECT_THAT(read_file(to / "RESCUED.tsv"), HasSubstr("originals/O1001.ngc"));
  EXPECT_TRUE(fs::exists(to / "machine.toml"));
  // Of the second, the file that no other backup has.
  const std::string program = files_[1].at("O1001.ngc");
  bool found = false;
  for (const auto& entry : fs::directory_iterator(to / "unnamed"))
    found = found || read_file(entry.path()) == program;
  EXPECT_TRUE(found);
  EXPECT_EQ(kw({"audit", "mill", "--rescue", to.string()}).exit, 5) << "a folder with files in it";
}

}  // namespace
}  // namespace scenario
