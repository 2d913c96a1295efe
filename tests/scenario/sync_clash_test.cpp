// Two PCs that edit the same thing: nothing goes in silence, and every PC says it until a person chooses. The
// remote is a bare repository of Git's own. All data are invented.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "two_pcs.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;
using testing::Not;

class SyncClash : public TwoPcs {
 protected:
  // A backup stores what was edited before it.
  void take_value(const fs::path& in, int day) {
    take(in, day, with(mill_files(), "mill.var", "300\t1.25", fmt::format("300\t{}.5", day)));
  }
  void name(const fs::path& in, const std::string& address, const std::string& name) {
    ASSERT_EQ(keepway({"names", "mill", "edit", address, "--name", name}, in).exit, 0);
  }
  void edit(const fs::path& in, const std::string& file, const std::string& from, const std::string& to) {
    std::string text = read_file(in / "mill" / file);
    const std::size_t at = text.find(from);
    ASSERT_NE(at, std::string::npos) << text;
    write_file(in / "mill" / file, text.replace(at, from.size(), to));
  }
  // Both, until each has what the other has.
  void sync_both() {
    for (const fs::path& in : {shop(), second(), shop()}) {
      const Ran ran = keepway({"sync", "mill"}, in);
      ASSERT_LE(ran.exit, 1) << ran.err;
    }
  }
  std::string said(const fs::path& in, const Args& args, int exit) {
    const Ran ran = keepway(args, in);
    EXPECT_EQ(ran.exit, exit) << ran.out << ran.err;
    return ran.out;
  }
};

TEST_F(SyncClash, OneNameOnTwoPcsIsReportedOnBothUntilOneIsChosen) {
  name(shop(), "variables/300", "Spindle hours");
  name(second(), "variables/300", "Spindle time");
  name(second(), "variables/301", "Part counter");
  take_value(shop(), 2);
  take_value(second(), 3);
  sync_both();
  for (const fs::path& in : {shop(), second()}) {
    const std::string out = said(in, {"sync", "mill"}, 1);
    EXPECT_THAT(out, HasSubstr("namebook.tsv: variables/300"));
    EXPECT_THAT(out, HasSubstr("name Spindle hours"));
    EXPECT_THAT(out, HasSubstr("name Spindle time"));
    EXPECT_THAT(out, Not(HasSubstr("variables/301")));
    EXPECT_THAT(out, HasSubstr("keepway clashes mill"));
    EXPECT_THAT(said(in, {"status"}, 1), HasSubstr("1 clash of edits"));
  }
  const Json open = Json::parse(said(shop(), {"clashes", "mill", "--json"}, 1));
  EXPECT_EQ(open.at("clashes").size(), 1U);
  EXPECT_THAT(said(shop(), {"clashes", "mill", "--take", "variables/300", "--by", "Ana"}, 0),
              HasSubstr("no edits clash"));
  const std::string line = git(shop() / "mill", {"rev-parse", "main"}).out;
  EXPECT_EQ(keepway({"clashes", "mill", "--take", "variables/300"}, shop()).exit, 2) << "settled already";
  EXPECT_EQ(git(shop() / "mill", {"rev-parse", "main"}).out, line);
  sync_both();
  for (const fs::path& in : {shop(), second()}) {
    EXPECT_THAT(said(in, {"sync", "mill"}, 0), HasSubstr("both sides are the same"));
    EXPECT_THAT(read_file(in / "mill/namebook.tsv"), HasSubstr("variables/300\tSpindle hours"));
    EXPECT_THAT(read_file(in / "mill/namebook.tsv"), HasSubstr("variables/301\tPart counter"));
    EXPECT_FALSE(fs::exists(in / "mill/clashes.tsv"));
    EXPECT_EQ(keepway({"audit", "mill"}, in).exit, 0);
  }
  EXPECT_THAT(git(hub(), {"log", "-1", "--format=%an %s", "main"}).out,
              HasSubstr("Ana namebook.tsv variables/300"));
}

TEST_F(SyncClash, FactsAreJoinedKeyByKey) {
  edit(shop(), "machine.toml", "serial = ", "backup_every_days = 7\nserial = ");
  ASSERT_EQ(keepway({"battery", "mill", "--changed", "2026-02-01"}, second()).exit, 0);
  take_value(shop(), 2);
  take_value(second(), 3);
  sync_both();
  for (const fs::path& in : {shop(), second()}) {
    EXPECT_THAT(said(in, {"sync", "mill"}, 0), HasSubstr("both sides are the same"));
    EXPECT_THAT(read_file(in / "mill/machine.toml"), HasSubstr("backup_every_days = 7"));
    EXPECT_THAT(read_file(in / "mill/machine.toml"), HasSubstr("changed = 2026-02-01"));
  }
}

TEST_F(SyncClash, AFactThatBothSetIsChosenOnEitherPc) {
  ASSERT_EQ(keepway({"battery", "mill", "--changed", "2026-02-01"}, shop()).exit, 0);
  ASSERT_EQ(keepway({"battery", "mill", "--changed", "2026-02-03"}, second()).exit, 0);
  take_value(shop(), 2);
  take_value(second(), 3);
  sync_both();
  EXPECT_THAT(said(shop(), {"clashes", "mill"}, 1), HasSubstr("machine.toml: battery.changed"));
  EXPECT_THAT(read_file(shop() / "mill/machine.toml"), HasSubstr("changed = 2026-02-03"))
      << "the later on the line";
  EXPECT_EQ(keepway({"clashes", "mill", "--keep", "battery"}, second()).exit, 2);
  EXPECT_EQ(
      keepway({"clashes", "mill", "--keep", "battery.changed", "--take", "battery.changed"}, second()).exit,
      2);
  EXPECT_THAT(said(second(), {"clashes", "mill", "--keep", "machine.toml: battery.changed"}, 0),
              HasSubstr("is kept"));
  sync_both();
  EXPECT_THAT(said(shop(), {"sync", "mill"}, 0), HasSubstr("both sides are the same"));
  EXPECT_THAT(read_file(shop() / "mill/machine.toml"), HasSubstr("changed = 2026-02-03"));
}

TEST_F(SyncClash, AnEditAfterwardsIsAChoiceToo) {
  name(shop(), "variables/300", "Spindle hours");
  name(second(), "variables/300", "Spindle time");
  take_value(shop(), 2);
  take_value(second(), 3);
  sync_both();
  name(shop(), "variables/300", "Hours of the spindle");
  take_value(shop(), 4);
  EXPECT_THAT(said(shop(), {"clashes", "mill"}, 0), HasSubstr("no edits clash"));
  sync_both();
  EXPECT_THAT(said(second(), {"sync", "mill"}, 0), HasSubstr("both sides are the same"));
}

TEST_F(SyncClash, ALayoutIsChosenWhole) {
  const std::string before = read_file(shop() / "mill/layout.toml");
  write_file(shop() / "mill/layout.toml", "# Ana's\n" + before);
  write_file(second() / "mill/layout.toml", "# Bob's\n" + before);
  take_value(shop(), 2);
  take_value(second(), 3);
  sync_both();
  EXPECT_EQ(read_file(shop() / "mill/layout.toml"), "# Bob's\n" + before);
  EXPECT_THAT(said(shop(), {"clashes", "mill"}, 1), HasSubstr("layout.toml"));
  // Edited by hand and not stored: the choice would lose it.
  write_file(shop() / "mill/layout.toml", "# by hand\n" + before);
  EXPECT_EQ(keepway({"clashes", "mill", "--take", "layout.toml"}, shop()).exit, 5);
  write_file(shop() / "mill/layout.toml", "# Bob's\n" + before);
  said(shop(), {"clashes", "mill", "--take", "layout.toml"}, 0);
  EXPECT_EQ(read_file(shop() / "mill/layout.toml"), "# Ana's\n" + before);
  sync_both();
  EXPECT_EQ(read_file(second() / "mill/layout.toml"), "# Ana's\n" + before);
  EXPECT_EQ(keepway({"audit", "mill"}, second()).exit, 0);
}

TEST_F(SyncClash, ARowThatAStrangerWroteTakesNothingFromElsewhere) {
  const std::string heading = "file\tkey\tkept\tother\n";
  const std::string kept = git(shop() / "mill", {"rev-parse", "HEAD:layout.toml"}).out.substr(0, 40);
  const auto commit = [&](const std::string& rows) {
    write_file(shop() / "mill/clashes.tsv", heading + rows);
    ASSERT_EQ(git(shop() / "mill", {"add", "clashes.tsv"}).exit, 0);
    ASSERT_EQ(git(shop() / "mill",
                  {"-c", "user.name=O", "-c", "user.email=o@o", "commit", "-q", "--no-verify", "-m", "x"})
                  .exit,
              0);
  };
  // Paths that are no owner's file: not even listed.
  commit("../x\t\t\t\n.git/config\t\t\t\nstate/offsets.tsv\t\t\t\n");
  EXPECT_THAT(said(shop(), {"clashes", "mill"}, 0), HasSubstr("no edits clash"));
  // An id that is none, a layout that is none, and no layout at all.
  for (const std::string& other :
       {std::string("HEAD"), std::string(40, 'f'),
        git(shop() / "mill", {"rev-parse", "HEAD:namebook.tsv"}).out.substr(0, 40), std::string()}) {
    commit(fmt::format("layout.toml\t\t{}\t{}\n", kept, other));
    EXPECT_EQ(keepway({"clashes", "mill", "--take", "layout.toml"}, shop()).exit, 3) << other;
  }
  commit("nonsense\n");
  const Ran ran = kw({"clashes", "mill"});
  EXPECT_EQ(ran.exit, 3);
  EXPECT_THAT(ran.err, HasSubstr("clashes.tsv:2"));
}

TEST_F(SyncClash, ABackupThatGetsAnotherNumberIsNamed) {
  take_value(shop(), 2);
  take_value(second(), 3);
  ASSERT_EQ(keepway({"sync", "mill"}, shop()).exit, 0);
  EXPECT_THAT(said(second(), {"sync", "mill"}, 0), HasSubstr("backup #2 of this PC is #3 now"));
}

TEST_F(SyncClash, IsOpenAsLongAsWhatIsStoredCannotBeRead) {
  name(shop(), "variables/300", "Spindle hours");
  name(second(), "variables/300", "Spindle time");
  take_value(shop(), 2);
  take_value(second(), 3);
  sync_both();
  const fs::path book = shop() / "mill/namebook.tsv";
  const std::string sound = read_file(book);
  const auto store = [&](const std::string& text) {
    write_file(book, text);
    const Ran stored = git(shop() / "mill", {"-c", "user.name=Ana", "-c", "user.email=ana@shop", "commit",
                                             "-q", "--no-verify", "-am", "a slip"});
    ASSERT_EQ(stored.exit, 0) << stored.err;
  };
  store("no such columns\n");
  write_file(book, sound);
  EXPECT_THAT(said(shop(), {"clashes", "mill"}, 1), HasSubstr("variables/300"));
  store(sound);
}

TEST_F(SyncClash, AFileThatOnePcTookAwayIsJoinedWithNothing) {
  name(shop(), "variables/300", "Spindle hours");
  take_value(shop(), 2);
  sync_both();
  name(shop(), "variables/300", "Hours of the spindle");
  take_value(shop(), 3);
  ASSERT_EQ(git(second() / "mill", {"rm", "-q", "namebook.tsv"}).exit, 0);
  const Ran stored = git(second() / "mill", {"-c", "user.name=Ana", "-c", "user.email=ana@shop", "commit",
                                             "-q", "-m", "no names any more"});
  ASSERT_EQ(stored.exit, 0) << stored.err;
  sync_both();
  EXPECT_THAT(said(second(), {"clashes", "mill"}, 1), HasSubstr("namebook.tsv"));
  EXPECT_THAT(said(shop(), {"sync", "mill"}, 1), HasSubstr("both sides are the same"));
}

}  // namespace
}  // namespace scenario
