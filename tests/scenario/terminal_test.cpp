// Nothing that a terminal would obey or hide comes through on any way; and repositories of other forms are
// called what they are.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;
using testing::Not;

// Direction marks, line separators, a byte order mark, zero widths, a C1 control (Unicode: Cf, Zl, Zp, Cc).
const std::vector<std::string> hidden = {"\xE2\x80\xAE", "\xE2\x80\xA8", "\xE2\x80\xA9", "\xE2\x81\xA6",
                                         "\xE2\x81\xA7", "\xE2\x81\xA8", "\xE2\x81\xA9", "\xEF\xBB\xBF",
                                         "\xE2\x80\x8B", "\xE2\x80\x8F", "\xD8\x9C",     "\xC2\xAD",
                                         "\xC2\x9B"};

class Terminal : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
  }
  static void expect_clean(const Ran& ran, const std::string& what) {
    for (const std::string& each : hidden) {
      EXPECT_THAT(ran.out, Not(HasSubstr(each))) << what;
      EXPECT_THAT(ran.err, Not(HasSubstr(each))) << what;
    }
    EXPECT_THAT(ran.out, Not(HasSubstr("\x1b]"))) << what;
    EXPECT_THAT(ran.err, Not(HasSubstr("\x1b"))) << what;
  }
};

TEST_F(Terminal, NothingHiddenComesThroughOnAnyWay) {
  std::string evil = "a\x1b]0;x\x07";
  for (const std::string& each : hidden) evil += each;
  Tree files = mill_files();
  files["n" + hidden[0] + hidden[1] + ".ngc"] = "(" + evil + ")\nG0 X1\nM2\n";
  const std::string folder = put(files).string();
  std::vector<std::pair<Args, Env>> all = {
      {{"intake", "mill", folder, "--at", "2026-03-01", "--by", evil, "--note", evil}, {}},
      {{"inspect", "mill", folder}, {}},
      {{"history", "mill", "--reasons"}, {}},
      {{"mark", "mill", "m" + hidden[0]}, {}},
      {{"withdraw", "mill", "1", "--why", evil, "--by", evil}, {}},
      {{"correct", "mill", "1", "--note", evil, "--by", evil}, {}},
      {{"show", "mill", "--at", "1"}, {}},
      {{"show", "mill", "programs", "--at", "1"}, {}},
      {{"show", "mill", evil}, {}},
      {{"show", "mill", "--at", evil}, {}},
      {{"history", evil}, {}},
      {{evil}, {}},
      {{"intake", "mill", "/nowhere/" + evil}, {}},
      {{"restore", "mill", "--at", "1", "--to", (root() / ("out" + hidden[0])).string(), "--accept"}, {}},
      {{"trial", "mill", "begin", evil}, {}},
      {{"status"}, {{"KEEPWAY_SHOP", "/nowhere/" + evil}}},
      {{"sync", "mill", "--to", (root() / evil).string()}, {}},
      {{"audit", "mill"}, {}},
      {{"when", "mill", evil}, {}},
  };
  for (auto& [args, env] : all) {
    for (const bool json : {false, true}) {
      if (json) args.emplace_back("--json");
      const std::string what = fmt::format("{}", fmt::join(args, " "));
      const Ran ran = kw(args, env);
      expect_clean(ran, what);
      if (json && !ran.out.empty()) {
        EXPECT_FALSE(Json::parse(ran.out, nullptr, false).is_discarded()) << what;
      }
      expect_clean(run_on_terminal(KEEPWAY_PROGRAM, args, shop(), env), what);
    }
  }
}

TEST_F(Terminal, JsonStillSaysWhatIsThere) {
  intake("mill", mill_files(), 0);
  write_file(repository("mill") / "namebook.tsv",
             "address\tname\nvariables/300\tParts " + hidden[0] + "made\n");
  const Ran ran = kw({"names", "mill", "--json"});
  expect_clean(ran, "names");
  EXPECT_EQ(Json::parse(ran.out, nullptr, false).is_discarded(), false);
  intake("mill", mill_files(), 0);  // takes the namebook along
}

TEST_F(Terminal, ADetachedHeadIsCalledThat) {
  intake("mill", mill_files(), 0, {"--at", "2026-03-01"});
  ASSERT_EQ(git(repository("mill"), {"checkout", "-q", "--detach"}).exit, 0);
  const Ran taken = kw({"intake", "mill", put(mill_files()).string(), "--at", "2026-03-02"});
  EXPECT_EQ(taken.exit, 5);
  EXPECT_THAT(taken.err, HasSubstr("no branch is checked out"));
  const Ran begun = kw({"trial", "mill", "begin", "t"});
  EXPECT_EQ(begun.exit, 5);
  EXPECT_THAT(begun.err, HasSubstr("no branch, but a commit of its own, is checked out"));
  EXPECT_THAT(begun.err, HasSubstr("git checkout main"));
  EXPECT_EQ(json({"status"}).at("machines").at(0).at("newest").at("number"), 1);
  EXPECT_EQ(json({"show", "mill"}).at("at").at("number"), 1);
  ASSERT_EQ(git(repository("mill"), {"checkout", "-q", "main"}).exit, 0);
}

TEST_F(Terminal, ARepositoryOfAnotherFormIsCalledWhatItIs) {
  const fs::path folder = shop() / "sha";
  ASSERT_EQ(git(shop(), {"init", "-q", "--object-format=sha256", folder.string()}).exit, 0);
  write_file(folder / "machine.toml", "machine = \"sha\"\n");
  ASSERT_EQ(git(folder, {"add", "-A"}).exit, 0);
  ASSERT_EQ(
      git(folder, {"-c", "user.name=O", "-c", "user.email=o@example.org", "commit", "-q", "-m", "x"}).exit,
      0);
  const Ran sha = kw({"history", "sha"});
  EXPECT_EQ(sha.exit, 4);
  EXPECT_THAT(sha.err, HasSubstr("SHA-256"));
  EXPECT_THAT(sha.err, Not(HasSubstr("git fsck")));
  fs::remove_all(folder);

  intake("mill", mill_files(), 0);
  ASSERT_EQ(git(repository("mill"), {"config", "core.repositoryformatversion", "1"}).exit, 0);
  ASSERT_EQ(git(repository("mill"), {"config", "extensions.worktreeConfig", "true"}).exit, 0);
  const Ran config = kw({"history", "mill"});
  if (config.exit != 0) {  // a later libgit2 knows the setting
    EXPECT_THAT(config.err, HasSubstr("extensions.worktreeConfig"));
    EXPECT_THAT(config.err, Not(HasSubstr("git fsck")));
  }
  ASSERT_EQ(git(repository("mill"), {"config", "--unset", "extensions.worktreeConfig"}).exit, 0);
  EXPECT_EQ(kw({"history", "mill"}).exit, 0);
}

}  // namespace
}  // namespace scenario
