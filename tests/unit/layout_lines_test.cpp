// What a layout says of lines and texts that are no data, and of rows in a shape of their own. Every table
// here is invented.
#include <gtest/gtest.h>

#include "keepway/error.hpp"
#include "layout/glob.hpp"
#include "reader_support.hpp"

namespace keepway {
namespace {

using test::count;
using test::read;
using test::spelled;
using test::unread;
using test::value;

std::string source(const std::string& keys, const std::string& group = "parameters") {
  return "layout = 1\n[[source]]\ngroup = \"" + group + "\"\nfiles = [\"*\"]\n" + keys;
}

std::string remedy_of(const std::string& toml) {
  try {
    parse_layout(toml, "test.toml");
  } catch (const Error& error) {
    return std::string(error.what()) + " / " + error.remedy();
  }
  return "(none)";
}

TEST(LinePattern, TakesAnyBlanksForOneAndNoCaseForAnother) {
  const layout::LinePattern pattern("Page * of ?");
  EXPECT_TRUE(pattern.fits("   PAGE    12 of  3  "));
  EXPECT_TRUE(pattern.fits("page\t1 of 9"));
  EXPECT_FALSE(pattern.fits("page 1 of 10"));
  EXPECT_FALSE(pattern.fits("pages 1 of 9"));
  EXPECT_TRUE(layout::LinePattern("---*").fits("-----/----"));
  EXPECT_FALSE(layout::LinePattern("a*b*c").fits("a b"));
}

const char* const pages =
    "reader = \"columns\"\nsplit = \"fixed\"\nskip = [\"NO   VALUE\", \"---*\", \"PAGE *\"]\n"
    "columns = [{ name = \"no\", at = 0, width = 4 }, { name = \"value\", at = 4, width = 8 }]\n"
    "address = \"{no}\"\nfields = { value = \"\" }\n";

TEST(Skip, PassesOverHeadingsRulesAndFeetOfEveryPage) {
  const test::Files files = {{"A",
                              " NO   VALUE\n-----------\n   1   -0.25\n   2    1.50\nPAGE 1\n\f\n"
                              " NO   VALUE\n-----------\n   3    7.00\nPAGE 2\n"}};
  const Reading reading = read(source(pages), files);
  EXPECT_EQ(value(reading, "parameters/1"), "-0.25");
  EXPECT_EQ(value(reading, "parameters/3"), "7.");
  EXPECT_TRUE(unread(reading, Group::parameters).empty());
  EXPECT_EQ(reading.state.table(Group::parameters)->size(), 3U);
  EXPECT_EQ(spelled(reading, files, "parameters/2"), "1.50");
}

TEST(Skip, IsNeverAllLines) {
  EXPECT_NE(remedy_of(source(std::string(pages) + "x=1")).find("has no key 'x'"), std::string::npos);
  std::string all = pages;
  all.replace(all.find("PAGE *"), 6, "*  *");
  EXPECT_NE(remedy_of(source(all)).find("is no pattern of a line"), std::string::npos);
}

TEST(Between, IsWhatMayLieOutsideOfTheColumns) {
  const std::string keys =
      "reader = \"columns\"\nsplit = \"fixed\"\n"
      "columns = [{ name = \"no\", at = 1, width = 3 }, { name = \"value\", at = 6, width = 8 }]\n"
      "address = \"{no}\"\nfields = { value = \"\" }\n";
  const test::Files files = {{"A", "R  1 = -0.250\nR 12 =  1.000\n"}};
  const Reading without = read(source(keys), files);
  ASSERT_EQ(count(without, OddityKind::unread), 2U);
  EXPECT_EQ(test::first(without, OddityKind::unread)->detail,
            "not understood: R  1 = -0.250; the columns leave `R` and `=` uncovered: say skip or between");
  const Reading with = read(source(keys + "between = [\"R\", \"=\"]\n"), files);
  EXPECT_EQ(value(with, "parameters/12"), "1.");
  EXPECT_EQ(value(with, "parameters/1"), "-0.25");
  EXPECT_EQ(count(with, OddityKind::unread), 0U);
  const Reading other = read(source(keys + "between = [\"R\", \"=\"]\n"), {{"A", "R  1 ~ -0.250\n"}});
  EXPECT_EQ(count(other, OddityKind::unread), 1U);
}

TEST(Shape, ReadsAnyLettersBeforeTheNumber) {
  const std::string keys = "reader = \"assign\"\nshape = \"R{key} = {value}\"\n";
  const test::Files files = {{"A", "R012=+000.25\nr 13 = -4.  R14=7\nR15=1 2\nQ1=3\n"}};
  const Reading reading = read(source(keys, "variables"), files);
  EXPECT_EQ(value(reading, "variables/12"), "0.25");
  EXPECT_EQ(spelled(reading, files, "variables/12"), "+000.25");
  EXPECT_EQ(value(reading, "variables/13"), "-4.");
  EXPECT_EQ(value(reading, "variables/14"), "7");
  EXPECT_EQ(unread(reading, Group::variables), (std::vector<std::string>{"R15=1 2", "Q1=3"}));
}

TEST(Shape, KeepsLettersThatTellRowsApart) {
  const std::string keys = "reader = \"assign\"\nshape = \"{letter}{key}[=]{value};\"\n";
  const Reading reading = read(source(keys, "variables"), {{"A", "R1 [=] 2.5;\nQQ01[=]-3; Q2[=]4;\n"}});
  EXPECT_EQ(value(reading, "variables/R1"), "2.5");
  EXPECT_EQ(value(reading, "variables/QQ1"), "-3");
  EXPECT_EQ(value(reading, "variables/Q2"), "4");
  EXPECT_EQ(count(reading, OddityKind::unread), 0U);
}

TEST(Shape, SaysWhatItNeeds) {
  const auto with = [](const char* shape) {
    return remedy_of(source("reader = \"assign\"\nshape = \"" + std::string(shape) + "\"\n", "variables"));
  };
  for (const char* wrong :
       {"R={value}", "{key}{value}", "{value}={key}", "{part}{key}={value}", "{key}X{value}"})
    EXPECT_NE(with(wrong).find("write a row with {key} and {value}"), std::string::npos) << wrong;
}

TEST(Encoding, GivesTextInUtf8AndLeavesTheBytes) {
  const std::string keys =
      "reader = \"columns\"\nsplit = \"comma\"\nencoding = \"CP850\"\ncolumns = [\"no\", \"name\"]\n"
      "address = \"{no}\"\nfields = { name = { name = \"\", kind = \"text\" } }\n";
  const test::Files files = {{"A", "1,Fr\x84ser 8\n2,M\x81hle \x94\n"}};
  const Reading reading = read(source(keys), files);
  EXPECT_EQ(value(reading, "parameters/1"), "Fr\u00e4ser 8");
  EXPECT_EQ(value(reading, "parameters/2"), "M\u00fchle \u00f6");
  EXPECT_EQ(spelled(reading, files, "parameters/1"), "Fr\x84ser 8");
}

TEST(Encoding, ReachesProgramsAndRowsNotUnderstood) {
  const Reading program =
      read(source("reader = \"blocks\"\ncomment = [\"(\"]\nencoding = \"ISO-8859-1\"\n", "programs"),
           {{"A", "O7 (TR\xC4GER)\nG0 X1.\nM30\n"}});
  ASSERT_EQ(program.state.programs.size(), 1U);
  EXPECT_NE(program.state.programs.front().text.str().find("TR\u00c4GER"), std::string::npos);
  const Reading table = read(source("reader = \"assign\"\nencoding = \"ISO-8859-1\"\n", "variables"),
                             {{"A", "#1=2\nK\xFChlung\n"}});
  EXPECT_EQ(unread(table, Group::variables), std::vector<std::string>{"K\u00fchlung"});
}

TEST(Encoding, IsOneThatIconvKnowsAndAsciiStaysIn) {
  const auto with = [](const char* name) {
    return remedy_of(source("reader = \"assign\"\nencoding = \"" + std::string(name) + "\"\n", "variables"));
  };
  EXPECT_EQ(with("CP437"), "(none)");
  for (const char* wrong : {"UTF-16", "klingon", "", "EBCDIC-US", "CP850//IGNORE"})
    EXPECT_NE(with(wrong).find("iconv -l"), std::string::npos) << wrong;
}

TEST(Serial, OfALineIsComparedWithTheMachines) {
  const std::string keys = "reader = \"assign\"\nserial = \"CONTROL {serial} *\"\n";
  const test::Files files = {{"A", "CONTROL 5512 PAGE 1\n#1=2\n"}};
  const auto with = [&](const char* serial) {
    return read(source(keys, "variables"), files, {serial, Units::inch});
  };
  for (const char* right : {"5512", ""}) {
    EXPECT_EQ(count(with(right), OddityKind::other_serial), 0U) << right;
    EXPECT_EQ(count(with(right), OddityKind::unread), 0U);
  }
  const Reading other = with("4471");
  ASSERT_EQ(count(other, OddityKind::other_serial), 1U);
  EXPECT_EQ(test::first(other, OddityKind::other_serial)->place.line, 1U);
  EXPECT_EQ(value(other, "variables/1"), "2");
  EXPECT_NE(remedy_of(source("reader = \"assign\"\nserial = \"CONTROL\"\n", "variables")).find("{serial}"),
            std::string::npos);
}

const std::string two_parts =
    "layout = 1\n[[source]]\ngroup = \"offsets\"\nfiles = [\"*\"]\nreader = \"columns\"\n"
    "under = \"TOOLS *\"\nskip = [\"COPY OF *\"]\ncolumns = [\"no\", \"length\"]\naddress = \"tool/{no}\"\n"
    "fields = { length = \"length\" }\n"
    "[[source]]\ngroup = \"variables\"\nfiles = [\"*\"]\nreader = \"assign\"\nunder = \"CELLS *\"\n";

TEST(Under, GivesEachSourceItsPartOfAStream) {
  const test::Files files = {
      {"A",
       "COPY OF MAY\nTOOLS PAGE 1\n1 75.2\nTOOLS PAGE 2\n2 80.\nCELLS PAGE 3\n#1=5\nTOOLS PAGE 4\n3 9.5\n"}};
  const Reading reading = read(two_parts, files);
  EXPECT_EQ(value(reading, "offsets/tool/2/length"), "80.");
  EXPECT_EQ(value(reading, "offsets/tool/3/length"), "9.5");
  EXPECT_EQ(value(reading, "variables/1"), "5");
  EXPECT_EQ(count(reading, OddityKind::unread), 0U);
  EXPECT_EQ(spelled(reading, files, "offsets/tool/3/length"), "9.5");
}

TEST(Under, LeavesUnreadWhatIsAboveTheFirstHeading) {
  const Reading reading = read(two_parts, {{"A", "7 8\nTOOLS PAGE 1\n1 75.2\n"}});
  EXPECT_EQ(unread(reading, Group::offsets), std::vector<std::string>{"7 8"});
  EXPECT_EQ(value(reading, "offsets/tool/1/length"), "75.2");
}

TEST(Cure, NamesTheKeyForEachReader) {
  const auto first_detail = [](const std::string& keys, const std::string& group, const std::string& text) {
    const Reading reading = read(source(keys, group), {{"A", text + "\n"}});
    const Oddity* oddity = test::first(reading, OddityKind::unread);
    return oddity == nullptr ? std::string("(none)") : oddity->detail;
  };
  EXPECT_NE(first_detail("reader = \"assign\"\n", "variables", "R1=2").find("say skip or shape"),
            std::string::npos);
  const std::string table =
      "reader = \"columns\"\ncolumns = [\"no\", \"a\"]\naddress = \"{no}\"\nfields = { a = \"\" }\n";
  EXPECT_NE(first_detail(table, "parameters", "1 2 3").find("has 3 cells and the layout 2 columns"),
            std::string::npos);
  EXPECT_NE(first_detail(table, "parameters", "NO VALUE").find("column a has `VALUE`, which is no number"),
            std::string::npos);
  EXPECT_NE(first_detail("reader = \"sections\"\n", "settings", "hello").find("say skip or comment"),
            std::string::npos);
}

const char* const comma_table =
    "reader = \"columns\"\nsplit = \"semicolon\"\ncolumns = [\"no\", \"length\"]\n"
    "address = \"{no}\"\nfields = { length = \"\" }\n";

TEST(Numbers, AreReadWithADecimalCommaWhereTheLayoutSaysSo) {
  const std::string keys = std::string(comma_table) + "decimal = \"comma\"\n";
  const test::Files files = {{"A", "1;75,20\n2;-0,5\n3;12\n4;1.5\n"}};
  const Reading reading = read(source(keys), files);
  EXPECT_EQ(value(reading, "parameters/1"), "75.2");
  EXPECT_EQ(value(reading, "parameters/2"), "-0.5");
  EXPECT_EQ(value(reading, "parameters/3"), "12");
  EXPECT_EQ(spelled(reading, files, "parameters/1"), "75,20");
  EXPECT_EQ(unread(reading, Group::parameters).size(), 1U)
      << "4;1.5: a point parts thousands there, or is wrong";
  const Reading usual = read(source(comma_table), files);
  EXPECT_EQ(unread(usual, Group::parameters).size(), 2U);
  EXPECT_NE(usual.oddities.front().detail.find("say decimal = \"comma\""), std::string::npos)
      << usual.oddities.front().detail;
}

TEST(Numbers, AreReadWithTheirSignBehind) {
  const test::Files files = {{"A", "1;75.20-\n2;0.5\n3;12+\n4;-3\n5;-3-\n"}};
  const Reading reading = read(source(std::string(comma_table) + "sign = \"behind\"\n"), files);
  EXPECT_EQ(value(reading, "parameters/1"), "-75.2");
  EXPECT_EQ(value(reading, "parameters/2"), "0.5");
  EXPECT_EQ(value(reading, "parameters/3"), "12");
  EXPECT_EQ(value(reading, "parameters/4"), "-3");
  EXPECT_EQ(unread(reading, Group::parameters).size(), 1U);
  const Reading both = read(source("reader = \"assign\"\ndecimal = \"comma\"\nsign = \"behind\"\n"),
                            {{"A", "#1=0,25-\n#2=7\n"}});
  EXPECT_EQ(value(both, "parameters/1"), "-0.25");
}

TEST(Numbers, AreReadWithAnExponentWhereTheLayoutSaysSo) {
  const test::Files files = {
      {"A", "1;7.52E+01\n2;-1.25e-03\n3;4E3\n4;12\n5;0.0E+00\n6;+.5E1\n7;125E-1\n8;1E100\n9;E5\n10;1.5E\n"}};
  const Reading reading = read(source(std::string(comma_table) + "exponent = true\n"), files);
  const std::pair<const char*, const char*> wanted[] = {
      {"1", "75.2"}, {"2", "-0.00125"}, {"3", "4000."}, {"4", "12"}, {"5", "0"}, {"6", "5."}, {"7", "12.5"}};
  for (const auto& [key, number] : wanted)
    EXPECT_EQ(value(reading, std::string("parameters/") + key), number) << key;
  EXPECT_EQ(spelled(reading, files, "parameters/2"), "-1.25e-03");
  EXPECT_EQ(unread(reading, Group::parameters).size(), 3U) << "too large, and no numbers";
  EXPECT_EQ(unread(read(source(comma_table), files), Group::parameters).size(), 9U);
  const Reading comma = read(source(std::string(comma_table) + "decimal = \"comma\"\nexponent = true\n"),
                             {{"A", "1;1,25E-01\n"}});
  EXPECT_EQ(value(comma, "parameters/1"), "0.125");
}

TEST(Sections, AreReadWithoutQuotesWhereTheLayoutSaysSo) {
  const test::Files files = {{"A", "[\"P 1\"]\n\"name\" = \"mill 7\"\ndisk = 5.25\"\nn = \"\n"}};
  const Reading reading = read(source("reader = \"sections\"\nquoted = true\n"), files);
  EXPECT_EQ(value(reading, "parameters/\"P 1\"/name"), "mill 7");
  EXPECT_EQ(spelled(reading, files, "parameters/\"P 1\"/name"), "mill 7");
  EXPECT_EQ(value(reading, "parameters/\"P 1\"/disk"), "5.25\"");
  EXPECT_EQ(value(reading, "parameters/\"P 1\"/n"), "\"");
  const Reading usual = read(source("reader = \"sections\"\n"), files);
  EXPECT_EQ(value(usual, "parameters/\"P 1\"/\"name\""), "\"mill 7\"");
}

TEST(Numbers, AreNotWrittenInTwoWaysAtOnce) {
  std::string commas = comma_table;
  commas.replace(commas.find("semicolon"), 9, "comma");
  EXPECT_NE(remedy_of(source(commas + "decimal = \"comma\"\n")).find("correct split or decimal"),
            std::string::npos);
  EXPECT_NE(remedy_of(source(std::string(comma_table) + "sign = \"left\"\n")).find("\"behind\""),
            std::string::npos);
}

TEST(EmptyRows, AreNoItemsAndNotUnreadWhereTheLayoutSaysSo) {
  const test::Files files = {{"A", "1;75.20\n2;\n"}};
  EXPECT_EQ(unread(read(source(comma_table), files), Group::parameters).size(), 1U);
  const Reading reading = read(source(std::string(comma_table) + "empty_rows = true\n"), files);
  EXPECT_TRUE(unread(reading, Group::parameters).empty());
  EXPECT_EQ(reading.state.table(Group::parameters)->size(), 1U);
  std::string blanks = comma_table;
  blanks.replace(blanks.find("semicolon"), 9, "blanks");
  EXPECT_NE(remedy_of(source(blanks + "empty_rows = true\n")).find("fixed"), std::string::npos);
}

TEST(NoValue, IsASignThatStandsInACellWithoutOne) {
  const std::string table =
      "layout = 1\n[[source]]\ngroup = \"offsets\"\nfiles = \"A\"\nreader = \"columns\"\n"
      "columns = [\"nr\", \"x\", \"y\"]\naddress = \"work/{nr}\"\nfields = { x = \"x\", y = \"y\" }\n";
  const test::Files files = {{"A", "1 - 2.5\n2 3.5 ---\n3 - -\n4 -5 -6\n"}};
  EXPECT_EQ(unread(read(table, files), Group::offsets).size(), 3U);
  const std::string known = table + "no_value = [\"-\", \"---\"]\n";
  const Reading reading = read(known, files);
  EXPECT_EQ(unread(reading, Group::offsets).size(), 1U) << "a row without a value";
  EXPECT_TRUE(unread(read(known + "empty_rows = true\n", files), Group::offsets).empty());
  EXPECT_EQ(value(reading, "offsets/work/1/y"), "2.5");
  EXPECT_EQ(value(reading, "offsets/work/2/x"), "3.5");
  EXPECT_EQ(value(reading, "offsets/work/4/x"), "-5");
  EXPECT_EQ(find_item(*reading.state.table(Group::offsets), "work/1/x"), nullptr);
  // A line that breaks off may have lost the rest of a number.
  EXPECT_EQ(unread(read(known, {{"A", "1 - 2.5\n2 3.5 -"}}), Group::offsets).size(), 1U);
  EXPECT_NE(remedy_of(table + "no_value = [\"a b\"]\n").find("no_value = [\"-\"]"), std::string::npos);
}

constexpr const char* variables = "layout = 1\n[[source]]\ngroup = \"variables\"\nfiles = \"A\"\n";

TEST(EmptyRows, AreOfAssignToo) {
  const std::string assign = std::string(variables) + "reader = \"assign\"\n";
  const test::Files files = {{"A", "#1=7.5\n#2=\n#3=\n"}};
  EXPECT_EQ(unread(read(assign, files), Group::variables).size(), 2U);
  const Reading reading = read(assign + "empty_rows = true\n", files);
  EXPECT_TRUE(unread(reading, Group::variables).empty());
  EXPECT_EQ(reading.state.table(Group::variables)->size(), 1U);
  const Reading shaped =
      read(assign + "shape = \"V{key}={value};\"\nempty_rows = true\n", {{"A", "V1=7.5;\nV2=;\n"}});
  EXPECT_TRUE(unread(shaped, Group::variables).empty());
  EXPECT_EQ(value(shaped, "variables/1"), "7.5");
  // Side by side: the next setting is no value, though a value may be a parameter.
  const Reading beside =
      read(assign + "empty_rows = true\n", {{"A", "#500=1.5  #550=  #600=2.5\n#501=  #551=#550\n"}});
  EXPECT_EQ(beside.state.table(Group::variables)->size(), 3U);
  EXPECT_EQ(value(beside, "variables/551"), "#550");
  // Where the file breaks off, a value may be lost.
  EXPECT_EQ(unread(read(assign + "empty_rows = true\n", {{"A", "#1=7.5\n#2="}}), Group::variables).size(),
            1U);
}

TEST(Between, IsOfColumnsPartedByBlanksToo) {
  const std::string table =
      std::string(variables) +
      "reader = \"columns\"\nacross = 2\ncolumns = [\"no\", \"value\"]\naddress = \"{no}\"\n"
      "fields = { value = \"\" }\n";
  const test::Files files = {{"A", "1  0.5  |  3  1.5\n2  7.5  |\n"}};
  EXPECT_FALSE(unread(read(table, files), Group::variables).empty());
  const Reading reading = read(table + "between = [\"|\"]\n", files);
  EXPECT_TRUE(unread(reading, Group::variables).empty());
  EXPECT_EQ(value(reading, "variables/3"), "1.5");
  EXPECT_EQ(value(reading, "variables/2"), "7.5");
}

TEST(Columns, HaveTheKeysThatAssignHasForVariables) {
  const std::string table =
      std::string(variables) +
      "reader = \"columns\"\ncolumns = [\"no\", \"value\"]\naddress = \"{no}\"\nfields = { value = \"\" }\n";
  const Reading reading = read(table, {{"A", "#100  0.5\n#007  1.5\n#A1  2.5\n"}});
  EXPECT_EQ(value(reading, "variables/100"), "0.5");
  EXPECT_EQ(value(reading, "variables/7"), "1.5");
  EXPECT_EQ(value(reading, "variables/#A1"), "2.5");
}

TEST(Skip, IsWrittenInUtf8AndMeetsTheFilesOwnCharacters) {
  const std::string assign = std::string(variables) +
                             "reader = \"assign\"\nencoding = \"CP866\"\n"
                             "skip = [\"\u041b\u0438\u0441\u0442 *\"]\n";
  EXPECT_TRUE(unread(read(assign, {{"A", "\x8b\xa8\xe1\xe2 1\n#1=7.5\n"}}), Group::variables).empty());
  EXPECT_EQ(unread(read(assign, {{"A", "\x8b\xa8\xe1\xe1 1\n#1=7.5\n"}}), Group::variables).size(), 1U);
}

}  // namespace
}  // namespace keepway
