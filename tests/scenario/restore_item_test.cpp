// Restore by item, its plan, and twins, with the real program.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;
using testing::Not;

class RestoreItem : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_lathe();
    intake("lathe", lathe_files(), 0, {"--at", "2026-03-01"});
    newest =
        with(with(lathe_files(), "PARAM.TXT", "20,0.2", "20,0.3"), "OFFSETS.TXT", "P1 X-4.25", "P1 X-4.99");
    newest = with(newest, "ALL.PRG", "O0200 (GROOVE)\nG1 X.8 F.004\nG0 X1.\nM99\n", "");
    newest = with(newest, "ALL.PRG", "N40 M98 P200\n", "");
    newest = with(newest, "ALL.PRG", "G65 P200\n", "");
    intake("lathe", newest, 1, {"--at", "2026-03-02"});  // a program fewer
  }
  [[nodiscard]] fs::path target() const { return root() / "target"; }
  Ran restore(Args more) {
    Args args = {"restore", "lathe", "--at", "#1", "--to", target().string()};
    args.insert(args.end(), more.begin(), more.end());
    return kw(args);
  }
  Tree newest;
};

TEST_F(RestoreItem, ChangesOneValueInTheNewestOriginalAndNothingElse) {
  const Ran ran = restore({"--only", "parameters/20"});
  EXPECT_EQ(ran.exit, 0) << ran.out << ran.err;
  EXPECT_EQ(read_tree(target()), with(newest, "PARAM.TXT", "20,0.3", "20,0.2"));
  EXPECT_THAT(ran.out, HasSubstr("emergency stop"));
  EXPECT_THAT(ran.out, HasSubstr("X screw lead"));
}

TEST_F(RestoreItem, IsConfirmedAgainstTheNewestWithThatItemInIt) {
  ASSERT_EQ(restore({"--only", "parameters/20"}).exit, 0);
  const std::string loaded = put(read_tree(target())).string();
  const Ran whole = kw({"confirm", "lathe", loaded, "--against", "#1", "--at", "2026-03-03"});
  EXPECT_EQ(whole.exit, 1) << "the machine does not hold all of #1:\n" << whole.out;
  const Ran ran =
      kw({"confirm", "lathe", loaded, "--against", "#1", "--only", "parameters/20", "--at", "2026-03-04"});
  EXPECT_EQ(ran.exit, 0) << ran.out << ran.err;
  const Ran wrong = kw({"confirm", "lathe", put(newest).string(), "--against", "#1", "--only",
                        "parameters/20", "--at", "2026-03-05"});
  EXPECT_EQ(wrong.exit, 1) << wrong.out;
}

TEST_F(RestoreItem, PutsAProgramInWhole) {
  const Ran ran = restore({"--only", "programs/O0200"});
  EXPECT_EQ(ran.exit, 0) << ran.out << ran.err;
  const Tree got = read_tree(target());
  EXPECT_THAT(got.at("ALL.PRG"), HasSubstr("O0200 (GROOVE)\nG1 X.8 F.004\nG0 X1.\nM99\n"));
  EXPECT_EQ(got.at("PARAM.TXT"), newest.at("PARAM.TXT"));
  EXPECT_EQ(got.at("ALL.PRG").size(),
            newest.at("ALL.PRG").size() + std::string("O0200 (GROOVE)\nG1 X.8 F.004\nG0 X1.\nM99\n").size());
}

TEST_F(RestoreItem, PlanWritesNothingAndPutsTheDangerousFirst) {
  const Ran ran = restore({"--plan"});
  EXPECT_FALSE(fs::exists(target()));
  EXPECT_THAT(ran.out, HasSubstr("emergency stop"));
  const std::size_t parameter = ran.out.find("X screw lead");
  const std::size_t offset = ran.out.find("Work G54 X");
  ASSERT_NE(parameter, std::string::npos) << ran.out << ran.err;
  ASSERT_NE(offset, std::string::npos) << ran.out;
  EXPECT_LT(parameter, offset);
}

TEST_F(RestoreItem, AnAddressThatWasNotThereIsAnError) {
  const Ran ran = restore({"--only", "parameters/999"});
  EXPECT_EQ(ran.exit, 2) << ran.out << ran.err;
  EXPECT_FALSE(fs::exists(target()));
}

TEST_F(RestoreItem, AValueTooLongForItsFixedWidthColumnIsRefused) {
  const std::string layout =
      "layout = 1\n[[source]]\ngroup = \"parameters\"\nfiles = [\"P.TXT\"]\nreader = \"columns\"\n"
      "split = \"fixed\"\ncolumns = [{ name = \"number\", at = 0, width = 4 }, { name = \"value\", at = 4, "
      "width = 6 "
      "}]\naddress = \"{number}\"\nfields = { value = \"\" }\n";
  write_file(root() / "fixed.toml", layout);
  ASSERT_EQ(kw({"enroll", "fixed", "--layout", (root() / "fixed.toml").string()}).exit, 0);
  intake("fixed", {{"P.TXT", "0001   1.5\n0002   2.5\n0003123456\n"}}, 0, {"--at", "2026-03-01"});
  intake("fixed", {{"P.TXT", "0001   1.5\n0002     9\n0003     1\n"}}, 0, {"--at", "2026-03-02"});
  const auto only = [&](const char* address) {
    return kw({"restore", "fixed", "--at", "#1", "--only", address, "--to", target().string()});
  };
  EXPECT_EQ(only("parameters/3").exit, 5) << "one digit's place does not take six";
  EXPECT_FALSE(fs::exists(target()));
}

class Twin : public ShopTest {};

TEST_F(Twin, NamesWhatDiffersAndReadiesALineForEach) {
  enroll_lathe();
  const Ran second =
      kw({"enroll", "lathe-2", "--layout", (root() / "lathe.toml").string(), "--serial", "3108"});
  ASSERT_EQ(second.exit, 0) << second.err;
  write_file(repository("lathe-2") / "namebook.tsv", lathe_namebook());
  ASSERT_EQ(git(repository("lathe-2"), {"-c", "user.name=Owner", "-c", "user.email=owner@example.org",
                                        "commit", "-q", "-a", "-m", "Type the namebook"})
                .exit,
            0);
  intake("lathe", lathe_files(), 0, {"--at", "2026-03-01"});
  Tree other = lathe_files();
  other["SET3108.TXT"] = other.at("SET3107.TXT");
  other.erase("SET3107.TXT");
  intake("lathe-2", other, 0, {"--at", "2026-03-01"});
  EXPECT_EQ(kw({"twin", "lathe", "lathe-2"}).exit, 0);
  other = with(other, "PARAM.TXT", "21,400", "21,450");
  intake("lathe-2", other, 0, {"--at", "2026-03-02"});
  const Ran ran = kw({"twin", "lathe", "lathe-2"});
  EXPECT_EQ(ran.exit, 1) << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("Rapid rate"));

  // The line that it readies is run as it stands, but for the folder.
  std::string ready;
  for (const std::string& line : lines_of(ran.out)) {
    if (line.find("keepway restore") != std::string::npos) ready = line;
  }
  ASSERT_THAT(ready, HasSubstr("--only"));
  Args args;
  std::string word;
  for (const char c : ready.substr(ready.find("keepway restore") + 8) + " ") {
    if (c == '\'') continue;
    if (c != ' ') {
      word += c;
    } else if (!word.empty()) {
      args.push_back(word == "DIR" ? (root() / "out").string() : word);
      word.clear();
    }
  }
  const Ran done = kw(args);
  EXPECT_EQ(done.exit, 0) << ready << "\n" << done.out << done.err;
  EXPECT_EQ(read_tree(root() / "out"), with(other, "PARAM.TXT", "21,450", "21,400"));
}

}  // namespace
}  // namespace scenario
