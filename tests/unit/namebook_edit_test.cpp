// Editing a namebook in place, and carrying it through a spreadsheet. Every name and number is invented.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "keepway/namebook.hpp"

namespace keepway {
namespace {

using testing::HasSubstr;

constexpr std::string_view owners =
    "# typed from the manual, page 40\n"
    "name\taddress\tstep\n"
    "X screw lead\tparameters/12\t0.0001\n"
    "\n"
    "# offsets\n"
    "Tool * length\toffsets/tool/*/length\t0.05\n";

Entry entry(const std::string& address, const std::string& name) {
  Entry made;
  made.address = address;
  made.name = name;
  return made;
}

TEST(NamebookEdit, LeavesWhatTheOwnerTyped) {
  Entry changed = entry("parameters/12", "X screw");
  changed.step = Decimal::parse("0.0002");
  EXPECT_EQ(set_entries(owners, "n", {changed}),
            "# typed from the manual, page 40\n"
            "name\taddress\tstep\n"
            "X screw\tparameters/12\t0.0002\n"
            "\n"
            "# offsets\n"
            "Tool * length\toffsets/tool/*/length\t0.05\n");
}

TEST(NamebookEdit, AddsRowsAndColumnsAtTheEnd) {
  Entry added = entry("variables/310", "Parts made");
  added.living = true;
  const std::string text = set_entries(owners, "n", {added});
  EXPECT_THAT(text, HasSubstr("name\taddress\tstep\tflags\n"));
  EXPECT_TRUE(text.ends_with("offsets/tool/*/length\t0.05\nParts made\tvariables/310\t\tliving\n")) << text;
  EXPECT_EQ(set_entries(text, "n", {added}), text);
}

TEST(NamebookEdit, BeginsABookWhereThereIsNone) {
  const std::string text = set_entries("", "n", {entry("settings/1", "Work light")});
  const Namebook book = Namebook::parse(text, "n");
  ASSERT_EQ(book.entries().size(), 1U);
  EXPECT_EQ(book.name(Group::settings, "1"), "Work light");
}

TEST(NamebookEdit, RefusesWhatWouldNotReadBack) {
  EXPECT_THROW(set_entries(owners, "n", {entry("settings/1", "two\nlines")}), Error);
  EXPECT_THROW(set_entries(owners, "n", {entry("settings/1", "a\ttab")}), Error);
  EXPECT_THROW(set_entries(owners, "n", {entry("settings/1", "# reads as a comment in front")}), Error);
  EXPECT_NO_THROW(set_entries("", "n", {entry("settings/1", "# but not here")}));
}

TEST(NamebookEdit, RemovesOneRow) {
  const auto text = remove_entry(owners, "n", "parameters/12");
  ASSERT_TRUE(text);
  EXPECT_EQ(text->find("screw"), std::string::npos);
  EXPECT_THAT(*text, HasSubstr("page 40"));
  EXPECT_FALSE(remove_entry(owners, "n", "parameters/13"));
}

TEST(NamebookCsv, IsReadAsSpreadsheetsWriteIt) {
  const auto entries = read_namebook_csv(
      "\xEF\xBB\xBF"
      "name,address,caution\r\n\"Lead, X\",parameters/12,\"say \"\"stop\"\" first\"\r\n\r\n"
      "Work light,settings/61\n",
      "names.csv");
  ASSERT_EQ(entries.size(), 2U);
  EXPECT_EQ(entries[0].name, "Lead, X");
  EXPECT_EQ(entries[0].caution, "say \"stop\" first");
  EXPECT_EQ(entries[1].address, "settings/61");
  EXPECT_EQ(entries[1].caution, "");
}

TEST(NamebookCsv, IsReadAsSpreadsheetsOfOtherCountriesWriteIt) {
  const auto entries = read_namebook_csv(
      "address;name;min;step;meaning\r\nparameters/12;\"Z\xE4hler; X, Y\";-0,25;1;\r\n"
      "settings/61;Light;;0.5;\"0=off;1=on\"\r\n",
      "names.csv");
  ASSERT_EQ(entries.size(), 2U);
  EXPECT_EQ(entries[0].name, "Z\xC3\xA4hler; X, Y") << "it was Latin-1";
  EXPECT_EQ(entries[0].min->text(), "-0.25");
  EXPECT_EQ(entries[1].step->text(), "0.5");
  ASSERT_EQ(entries[1].meanings.size(), 2U);
  const auto utf8 = read_namebook_csv(
      "\xEF\xBB\xBF"
      "address;name\nvariables/12;Z\xC3\xA4hler\n",
      "names.csv");
  EXPECT_EQ(utf8.at(0).name, "Z\xC3\xA4hler");
}

TEST(NamebookCsv, NamesLineAndByteOfWhatIsWrong) {
  struct Wrong {
    std::string text;
    std::uint64_t line;
    std::uint64_t byte;
  };
  for (const Wrong& wrong : std::vector<Wrong>{
           {"address,nome\n", 1, 8},
           {"address,name\nsettings/1,a\nsetings/2,b\n", 3, 26},
           {"address,name,min\nsettings/1,a,five\n", 2, 30},
           {"address,name\nsettings/1,a\nsettings/1,b\n", 3, 26},
           {"address,name\nsettings/1,a,b\n", 2, 26},
           {"address,name\nsettings/1,\"a\n", 2, 24},
           {"address,name\nsettings/1,a\"b\n", 2, 25},
           {"address,name\nsettings/1,\"a\"b\n", 2, 27},
           {"address,name\nsettings/1,\"two\nlines\"\nsettings/2,c\n", 2, 24},
           {"address,name\nsettings/1,a\rsettings/2,b\n", 2, 25},
           {"address,name,kind\n\"settings/1\",\"a\",\"float\"\n", 2, 35},
           {"", 1, 0},
           {"address;name;min\nsettings/1;\xE4;1,2,3\n", 2, 30},
           {"address,name\nsettings/1,\xC3\xA4\nsettings/2,\xE4\n", 3, 38},
           {"address,name\nsettings/1,\x84\n", 2, 24},
           {"address,name\nsettings/1,a\x01\n", 2, 25},
           {std::string("\xFF\xFE"
                        "a\0",
                        4),
            1, 3},
           {"\xEF\xBB\xBF"
            "address,name\nsettings/1,\xE4\n",
            2, 27},
       }) {
    try {
      read_namebook_csv(wrong.text, "names.csv");
      ADD_FAILURE() << wrong.text;
    } catch (const Error& error) {
      EXPECT_EQ(error.kind(), ErrorKind::input);
      EXPECT_EQ(error.place().file, "names.csv");
      EXPECT_EQ(error.place().line, wrong.line) << wrong.text << error.what();
      EXPECT_EQ(error.place().byte, wrong.byte) << wrong.text << error.what();
      EXPECT_FALSE(error.remedy().empty());
    }
  }
}

Entry random_entry(std::size_t number) {
  const auto text = [](const std::string& alphabet) {
    std::string made;
    for (int i = *rc::gen::inRange(0, 12); i > 0; --i)
      made += alphabet[*rc::gen::inRange<std::size_t>(0, alphabet.size())];
    while (!made.empty() && made.back() == ' ') made.pop_back();
    while (!made.empty() && made.front() == ' ') made.erase(0, 1);
    return made;
  };
  Entry made;
  made.address = "settings/" + std::to_string(number) + (*rc::gen::inRange(0, 4) == 0 ? "/*" : "");
  made.name = text("ab,\"'#*; =");
  if (*rc::gen::inRange(0, 3) == 0) made.name += "\xC3\xA4";
  made.unit = text("lenght/%");
  made.kind =
      *rc::gen::element(Kind::number, Kind::yesno, Kind::bits, Kind::binary, Kind::choice, Kind::text);
  if (*rc::gen::inRange(0, 2) == 0) made.min = Decimal::parse("-0.25");
  if (*rc::gen::inRange(0, 2) == 0) made.step = Decimal::parse("1000");
  for (int i = *rc::gen::inRange(0, 3); i > 0; --i)
    made.meanings.push_back({std::to_string(i), text("ab,\"# ")});
  made.living = *rc::gen::inRange(0, 2) == 0;
  made.own = *rc::gen::inRange(0, 2) == 0;
  made.power_cycle = *rc::gen::inRange(0, 2) == 0;
  made.caution = text("mind,\" the\"");
  return made;
}

RC_GTEST_PROP(NamebookCsv, ComesBackAsItWent, ()) {
  std::vector<Entry> entries;
  const auto count = *rc::gen::inRange<std::size_t>(0, 8);
  for (std::size_t i = 0; i < count; ++i) entries.push_back(random_entry(i));
  const Namebook book = Namebook::of(entries);
  const std::string csv = namebook_csv(book);
  const std::vector<Entry> back = read_namebook_csv(csv, "n");
  RC_ASSERT(namebook_csv(Namebook::of(back)) == csv);
  RC_ASSERT(Namebook::of(back).write() == book.write());
  // Into the book that it came from, an import changes no byte.
  RC_ASSERT(set_entries(book.write(), "n", back) == book.write());
}

TEST(NamebookJoin, NamesThatBothAddedAreAllThere) {
  const std::string base = "address\tname\nsettings/1\tOne\nsettings/9\tNine\n";
  const JoinedNames joined =
      join_namebooks(base, base + "settings/2\tTwo\n", base + "# mine\nsettings/3\tThree\n", "n");
  EXPECT_EQ(joined.text, base + "settings/2\tTwo\nsettings/3\tThree\n");
  EXPECT_TRUE(joined.clashing.empty());
}

TEST(NamebookJoin, TheLaterWinsWhereBothNamedOne) {
  const std::string base = "address\tname\nsettings/1\tOne\nsettings/2\tTwo\nsettings/3\tThree\n";
  const std::string first = "address\tname\nsettings/1\tUno\nsettings/2\tTwo\nsettings/3\tDrei\n";
  const std::string later = "address\tname\nsettings/1\tEins\n";  // took two rows out
  const JoinedNames joined = join_namebooks(base, first, later, "n");
  EXPECT_EQ(joined.text, "address\tname\nsettings/1\tEins\nsettings/3\tDrei\n")
      << "what the first changed stays";
  EXPECT_EQ(joined.clashing, std::vector<std::string>{"settings/1"});
}

}  // namespace
}  // namespace keepway
