// Edits of two PCs joined by rows and keys, and what of them clashes. All data are invented.
#include <gmock/gmock.h>

#include "shop/clashes.hpp"
#include "shop/machine_toml.hpp"

namespace keepway {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;

const std::string facts =
    "# Ours\nmachine = \"mill\"\nserial = \"A-17\" # plate on the cabinet\nunits = \"inch\"\n\n"
    "[battery]\nevery_months = 12\n";

std::string with(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

TEST(Facts, AreReadByKey) {
  EXPECT_EQ(fact_text(facts, "machine.toml", "units"), "\"inch\"");
  EXPECT_EQ(fact_text(facts, "machine.toml", "battery.every_months"), "12");
  EXPECT_EQ(fact_text(facts, "machine.toml", "title"), "");
}

TEST(Facts, AreSetOneByOneAndTheRestStays) {
  EXPECT_EQ(set_fact(facts, "machine.toml", "units", "\"mm\""), with(facts, "\"inch\"", "\"mm\""));
  EXPECT_EQ(set_fact(facts, "machine.toml", "title", "\"Big\""),
            with(facts, "\n[battery]", "title = \"Big\"\n\n[battery]"))
      << "above the first table, behind what is there";
  EXPECT_EQ(set_fact(facts, "machine.toml", "serial", ""),
            with(facts, "serial = \"A-17\" # plate on the cabinet\n", ""));
  EXPECT_EQ(set_fact(facts, "machine.toml", "battery.changed", "2026-01-31"),
            with(facts, "[battery]\n", "[battery]\nchanged = 2026-01-31\n"));
}

TEST(Facts, AreNotSetWhereMoreWouldChange) {
  // A value that would bring a second key, one that is none, and a key that is none.
  for (const auto& [key, value] :
       std::vector<std::pair<std::string, std::string>>{{"units", "\"mm\"\ntitle = \"x\""},
                                                        {"units", "mm"},
                                                        {"units\"", "1"},
                                                        {"a.b.c", "1"},
                                                        {"", "1"}}) {
    EXPECT_THROW((void)set_fact(facts, "machine.toml", key, value), Error) << key << value;
  }
}

TEST(JoinedFacts, TakeEachSidesKeys) {
  const auto joined = join_edits("machine.toml", facts, with(facts, "A-17", "A-18"),
                                 with(facts, "every_months = 12", "every_months = 6"));
  ASSERT_TRUE(joined);
  EXPECT_EQ(joined->text, with(with(facts, "A-17", "A-18"), "= 12", "= 6"));
  EXPECT_THAT(joined->clashes, IsEmpty());
}

TEST(JoinedFacts, KeepTheLaterOfTwoAndSayIt) {
  const auto joined =
      join_edits("machine.toml", facts, with(facts, "A-17", "A-18"), with(facts, "A-17", "A-19"));
  ASSERT_TRUE(joined);
  EXPECT_EQ(joined->text, with(facts, "A-17", "A-19"));
  ASSERT_EQ(joined->clashes.size(), 1U);
  EXPECT_EQ(joined->clashes[0].key, "serial");
  EXPECT_EQ(joined->clashes[0].kept, "\"A-19\"");
  EXPECT_EQ(joined->clashes[0].other, "\"A-18\"");
  // The same on both sides is no clash.
  const auto same = join_edits("machine.toml", facts, "# Theirs\n" + with(facts, "A-17", "A-18"),
                               with(facts, "A-17", "A-18"));
  ASSERT_TRUE(same);
  EXPECT_THAT(same->clashes, IsEmpty());
}

TEST(JoinedFacts, AreNoneWhereOneSideIsBroken) {
  EXPECT_FALSE(join_edits("machine.toml", facts, "units = ", facts + "title = 'x'\n"));
  EXPECT_FALSE(join_edits("layout.toml", "a", "b", "c"));
}

TEST(JoinedNamesOfTwo, GiveBothRowsOfAClash) {
  const std::string base = "address\tname\nvariables/1\tOne\nvariables/2\tTwo\n";
  const auto joined = join_edits("namebook.tsv", base, with(base, "One", "Uno"),
                                 with(with(base, "One", "Eins"), "Two", "Zwei"));
  ASSERT_TRUE(joined);
  EXPECT_EQ(joined->text, with(with(base, "One", "Eins"), "Two", "Zwei"));
  ASSERT_EQ(joined->clashes.size(), 1U);
  EXPECT_EQ(joined->clashes[0].key, "variables/1");
  EXPECT_THAT(joined->clashes[0].other, HasSubstr("Uno"));
  // What the row says puts it back.
  EXPECT_EQ(with_said("namebook.tsv", joined->text, "variables/1", joined->clashes[0].other),
            with(joined->text, "Eins", "Uno"));
  EXPECT_EQ(with_said("namebook.tsv", joined->text, "variables/1", ""),
            with(joined->text, "variables/1\tEins\n", ""));
  EXPECT_THROW((void)with_said("namebook.tsv", joined->text, "variables/2", joined->clashes[0].other), Error)
      << "a row of another address";
}

TEST(JoinedReasons, AreThoseThatEitherAcceptedAndNeitherTookBack) {
  const auto row = [](const std::string& code) { return code + "\tspot\t1\t2\tAna\twhat\n"; };
  const std::string heading = "code\tspot\tsince\tat\tby\twhat\n";
  const auto joined = join_edits("reasons.tsv", heading + row("a") + row("b"), heading + row("a") + row("c"),
                                 heading + row("b") + row("d"));
  ASSERT_TRUE(joined);
  EXPECT_EQ(joined->text, heading + row("c") + row("d"));
}

TEST(Clashes, AreWrittenAndReadBack) {
  const std::vector<EditClash> clashes = {
      {"namebook.tsv", "variables/1", "address\tname\nvariables/1\ta\n", ""},
      {"layout.toml", "", std::string(40, 'a'), std::string(40, 'b')}};
  const std::string text = write_clashes(clashes);
  const auto read = parse_clashes(text);
  ASSERT_EQ(read.size(), 2U);
  EXPECT_EQ(read[0].file, "layout.toml") << "in order";
  EXPECT_EQ(read[1].kept, clashes[0].kept);
  EXPECT_EQ(write_clashes(read), text);
}

TEST(Clashes, AnythingElseIsRefusedWithItsLine) {
  const std::string heading = "file\tkey\tkept\tother\n";
  EXPECT_THAT(parse_clashes(heading), IsEmpty());
  for (const std::string& text :
       {std::string(), std::string("file\n"), heading + "a\tb\tc\n", heading + "a\tb\tc\td",
        heading + "a\tb\tc\td\te\n", heading + "a\tb\tc\t\\q\n", heading + "\n"}) {
    EXPECT_THROW((void)parse_clashes(text), Error) << text;
  }
}

TEST(Clashes, WhatOneSideSettledIsSettled) {
  const EditClash one{"machine.toml", "units", "1", "2"};
  const EditClash two{"machine.toml", "serial", "1", "2"};
  const EditClash three{"machine.toml", "title", "1", "2"};
  const auto joined = join_clashes({one, two}, {one, two, three}, {two});
  ASSERT_EQ(joined.size(), 2U);
  EXPECT_EQ(joined[0].key, "serial");
  EXPECT_EQ(joined[1].key, "title");
}

}  // namespace
}  // namespace keepway
