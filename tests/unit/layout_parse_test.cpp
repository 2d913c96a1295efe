// Layouts are invented.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "keepway/layout.hpp"

namespace keepway {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

std::string source(const std::string& lines) {
  return "layout = 1\n[[source]]\ngroup = \"offsets\"\nfiles = \"*.OFFSETS\"\n" + lines;
}
const std::string columns =
    "reader = \"columns\"\ncolumns = [\"n\", \"v\"]\naddress = \"{n}\"\nfields = { v = \"\" }\n";

std::string programs(const std::string& lines) {
  return "layout = 1\n[[source]]\ngroup = \"programs\"\nfiles = \"*.NC\"\nreader = \"blocks\"\n" + lines;
}

struct Failure {
  std::string what;
  std::string remedy;
  std::uint64_t line = 0;
};

Failure failure(const std::string& toml) {
  try {
    parse_layout(toml, "shop/mill.toml");
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::input);
    EXPECT_EQ(error.place().file, "shop/mill.toml");
    EXPECT_TRUE(error.place().line.has_value());
    EXPECT_FALSE(error.remedy().empty());
    return {error.what(), error.remedy(), error.place().line.value_or(0)};
  }
  ADD_FAILURE() << "no error for:\n" << toml;
  return {};
}

TEST(Layout, ReadsEveryKey) {
  const Layout layout = parse_layout(R"(
layout = 1
title = "Mill in bay 2"
units = "inch"
[[source]]
group = "offsets"
files = ["ZEROS.{serial}", "*.OFFSETS"]
reader = "words"
required = true
comment = [";", "("]
comment_field = "comment"
least_increment = { inch = "0.0001", mm = "0.001" }
order = 2
begins = "G10"
ascending = true
must = ["1-3"]
limits = { "2" = { min = "1", max = "9.5", whole = true } }
places = { "5-6" = "variables/{A,B}" }
repeats = "number"
[[source.row]]
match = "g10 L02"
address = "work/{p}"
rename = { P = { 1 = "G54", "02" = "G55" } }
fields = { x = "X", Q = { name = "code", kind = "whole" } }
[[source.row]]
match = "M30"
[[source]]
group = "settings"
files = "*.SETTINGS"
reader = "columns"
split = "fixed"
header = 3
columns = [{ name = "n", at = 0, width = 4, kind = "whole" }, { name = "v", at = 4, width = 8 }]
address = "{n}"
fields = { v = { kind = "text" } }
[[source]]
group = "programs"
files = "*.NC"
reader = "blocks"
protected = ["700-799"]
calls = ["m098", "G120", "M71.50"]
flow = ["thus", "Leap"]
increment_letters = "xyz"
)",
                                     "shop/mill.toml");
  EXPECT_EQ(layout.name, "mill");
  EXPECT_EQ(layout.title, "Mill in bay 2");
  EXPECT_EQ(layout.units, Units::inch);
  ASSERT_EQ(layout.sources.size(), 3U);
  const Source& words = layout.sources[0];
  EXPECT_EQ(words.group, Group::offsets);
  EXPECT_THAT(words.files, ElementsAre("ZEROS.{serial}", "*.OFFSETS"));
  EXPECT_TRUE(words.required && words.number_repeats && words.ascending);
  EXPECT_THAT(words.comments, ElementsAre(";", "("));
  EXPECT_EQ(words.comment_field, "comment");
  EXPECT_EQ(words.increment->mm->text(), "0.001");
  EXPECT_EQ(words.order, 2U);
  EXPECT_EQ(words.begins, "G10");
  EXPECT_EQ(words.must.at(0).last, 3);
  EXPECT_EQ(words.limits.at(0).max->text(), "9.5");
  EXPECT_THAT(words.places.at(0).keys, ElementsAre("A", "B"));
  ASSERT_EQ(words.rows.size(), 2U);
  EXPECT_THAT(words.rows[0].match, ElementsAre("G10", "L2"));
  EXPECT_EQ(words.rows[0].address, "work/{P}");
  EXPECT_EQ(words.rows[0].rename.at("P").at("2"), "G55");
  const auto& fields = words.rows[0].fields;
  ASSERT_EQ(fields.size(), 2U);
  EXPECT_EQ(fields[0].from + fields[0].name, "Qcode");
  EXPECT_EQ(fields[0].kind, FieldKind::whole);
  EXPECT_EQ(fields[1].from + fields[1].name, "XX");
  const Source& settings = layout.sources[1];
  EXPECT_EQ(settings.header, Header::lines);
  EXPECT_EQ(settings.header_lines, 3U);
  EXPECT_EQ(settings.columns.at(1).at, 4U);
  EXPECT_EQ(settings.columns.at(0).kind, FieldKind::whole);
  const Source& programs = layout.sources[2];
  EXPECT_EQ(programs.protected_programs.at(0).first, 700);
  EXPECT_THAT(programs.calls, ElementsAre("M98", "G120", "M71.5"));
  EXPECT_THAT(programs.flow, ElementsAre("THUS", "LEAP"));
  EXPECT_EQ(programs.increment_letters, "XYZ");
}

TEST(Layout, AnUnknownKeyIsAnErrorAtItsLine) {
  const Failure near = failure(source("reader = \"assign\"\nrequierd = true\n"));
  EXPECT_EQ(near.line, 6U);
  EXPECT_EQ(near.what, "[[source]] has no key 'requierd'");
  EXPECT_EQ(near.remedy, "did you mean required?");
  EXPECT_THAT(failure(source("reader = \"assign\"\ncolour = 1\n")).remedy,
              HasSubstr("known keys: group, files"));
  EXPECT_EQ(failure("layout = 1\ntitel = \"x\"\n").remedy, "did you mean title?");
}

TEST(Layout, BrokenTomlIsAnErrorAtItsLine) {
  EXPECT_EQ(failure("layout = 1\ntitle = \n").line, 2U);
  EXPECT_EQ(failure("layout = 1\nlayout = 2\n").line, 2U);
  EXPECT_EQ(failure(std::string("layout = 1\n\0\n", 13)).line, 2U);
}

TEST(Layout, FloatsAreRefusedWithTheReason) {
  const Failure failed = failure(source("reader = \"assign\"\nleast_increment = 0.0001\n"));
  EXPECT_EQ(failed.line, 6U);
  EXPECT_THAT(failed.what, HasSubstr("binary"));
  EXPECT_THAT(failed.remedy, HasSubstr("\"0.0001\""));
}

// Each is one slip in a layout that reads otherwise, with a word of the message.
TEST(Layout, SaysWhatIsWrong) {
  std::string many_words = "\"LAP\"";
  for (int i = 1; i < 33; ++i) many_words += ", \"LAP\"";
  const std::vector<std::pair<std::string, std::string>> slips = {
      {"title = \"x\"\n", "does not give its form"},
      {"layout = 2\n", "form of layout is not known"},
      {"layout = 1\n", "no source"},
      {"layout = 1\nunits = \"feet\"\n", "'feet' is not a unit"},
      {"layout = 1\nsource = 3\n", "source holds a whole number"},
      {source(""), "has no reader"},
      {source("reader = \"word\"\n"), "reader is 'word'"},
      {source("reader = \"blocks\"\n"), "not read by blocks"},
      {source("reader = \"words\"\n"), "the reader words needs rules"},
      {source("reader = \"words\"\naddress = \"{TT}\"\nfields = { Z = \"z\" }\n"),
       "'TT' in address is not a letter"},
      {source("reader = \"words\"\naddress = \"{T\"\nfields = { Z = \"z\" }\n"), "do not pair"},
      {source("reader = \"words\"\nmatch = \"G1O\"\naddress = \"{T}\"\nfields = { Z = \"z\" }\n"),
       "in match is not a word"},
      {source("reader = \"words\"\naddress = \"{T}\"\nfields = { Z = \"a\", X = \"a\" }\n"), "one name"},
      {source("reader = \"words\"\naddress = \"{T}\"\nfields = { Z = \"unread\" }\n"), "named unread"},
      {source("reader = \"words\"\naddress = \"{T}\"\nfields = { Z = { kind = \"float\" } }\n"),
       "is not a kind"},
      {source("reader = \"columns\"\n"), "columns are not named"},
      {source("reader = \"columns\"\ncolumns = [\"n\"]\naddress = \"{m}\"\n"), "'m' in address"},
      {source("reader = \"columns\"\ncolumns = [\"n\", \"n\"]\n"), "have one name"},
      {source("reader = \"columns\"\nsplit = \"fixed\"\ncolumns = [\"n\"]\n"), "has no width"},
      {source("reader = \"columns\"\ncolumns = [\"n\", \"v\"]\naddress = \"{n}\"\n"),
       "need address and fields"},
      {source("reader = \"assign\"\nrequired = 1\n"), "required holds a whole number"},
      {source("reader = \"assign\"\nheader = -1\n"), "not a count"},
      {source("reader = \"assign\"\nrepeats = \"all\"\n"), "repeats is 'all'"},
      {source("reader = \"assign\"\nleast_increment = \"0\"\n"), "not above zero"},
      {source("reader = \"assign\"\nleast_increment = \"1e-4\"\n"), "not a decimal"},
      {source("reader = \"assign\"\ncomment = \"\"\n"), "comment opener is empty"},
      {source("reader = \"assign\"\nprotected = \"1-2\"\n"), "has no key 'protected'"},
      {source("reader = \"assign\"\ncalls = \"M98\"\n"), "has no key 'calls'"},
      {programs("calls = [\"M98\", \"M\"]\n"), "'M' is not a G or M word"},
      {programs("calls = \"\"\n"), "'' is not a G or M word"},
      {programs("calls = \"T98\"\n"), "'T98' is not a G or M word"},
      {programs("flow = [\"LAP\", \"LAP2\"]\n"), "'LAP2' is not a word"},
      {programs("flow = \"A\"\n"), "'A' is not a word"},
      {programs("ends = [\"RETURN\", \"\"]\n"), "'' does not end a program"},
      {source("reader = \"columns\"\nsplit = \"x\"\n"), "split is 'x'"},
      {source(columns + "carried = true\n"), "fixed columns alone"},
      {programs("flow = [" + many_words + "]\n"), "flow has 33 words"},
      {programs("increment_letters = \"XY1\"\n"), "only letters"},
      {source(columns + "places = { \"1-3\" = \"offsets/{X,Y}\" }\n"), "3 keys"},
      {source(columns + "places = { \"1-2\" = \"offsets/{X,Y\" }\n"), "braces"},
      {source(columns + "places = { \"1-2\" = \"{1-2}\" }\n"), "is not the address"},
      {source(columns + "places = { \"1\" = \"programs/1\" }\n"), "is not the address"},
      {source(columns + "places = { \"1\" = \"offsets/unread/1\" }\n"), "is not the address"},
      {source(columns + "places = { \"3-1\" = \"offsets/x\" }\n"), "is not a range"},
      {source(columns + "places = { \"1-2\" = \"offsets/{1-2}\", \"2\" = \"offsets/x\" }\n"), "two places"},
      {source(columns + "must = [\"1-90000\", \"1-90000\"]\n"), "too many keys"},
      {source(columns + "limits = { \"1\" = 3 }\n"), "not a table"},
  };
  for (const auto& [toml, word] : slips) EXPECT_THAT(failure(toml).what, HasSubstr(word)) << toml;
}

TEST(Layout, BuiltInsReadAndAreNamed) {
  for (const std::string_view name : builtin_layout_names()) {
    ASSERT_TRUE(builtin_layout(name));
    EXPECT_TRUE(builtin_namebook(name));
    const Layout layout = parse_layout(*builtin_layout(name), std::string(name));
    EXPECT_EQ(layout.name, name);
    EXPECT_FALSE(layout.sources.empty());
  }
  EXPECT_FALSE(builtin_layout("no such"));
}

NameMatch match(const std::string& pattern, std::string_view name, std::string_view serial = "77") {
  Source one;
  one.files = {pattern};
  return match_name(one, name, serial);
}

TEST(Match, StarsAndQuestionMarksInAnyCase) {
  EXPECT_EQ(match("*.offsets", "A.OFFSETS"), NameMatch::yes);
  EXPECT_EQ(match("*.offsets", "sub/A.OFFSETS"), NameMatch::yes);
  EXPECT_EQ(match("*.offsets", "A.OFFSETS2"), NameMatch::no);
  EXPECT_EQ(match("T?OL", "tool"), NameMatch::yes);
  EXPECT_EQ(match("T?OL", "tol"), NameMatch::no);
  EXPECT_EQ(match("*a*b*c", "xxaxxbxbxc"), NameMatch::yes);
  EXPECT_EQ(match("*", ""), NameMatch::yes);
  EXPECT_EQ(match("a[b].c", "a[b].c"), NameMatch::yes);
}

TEST(Match, PatternsWithASlashAreHeldAgainstTheWholeName) {
  EXPECT_EQ(match("sub/*.offsets", "sub/a.offsets"), NameMatch::yes);
  EXPECT_EQ(match("sub/*.offsets", "a.offsets"), NameMatch::no);
  EXPECT_EQ(match("sub/*.offsets", "sub/deep/a.offsets"), NameMatch::no);
}

TEST(Match, SerialsAreTakenAsTheyAre) {
  EXPECT_EQ(match("ZEROS.{serial}", "zeros.77"), NameMatch::yes);
  EXPECT_EQ(match("ZEROS.{serial}", "ZEROS.78"), NameMatch::wrong_serial);
  EXPECT_EQ(match("ZEROS.{serial}", "PANEL.77"), NameMatch::no);
  EXPECT_EQ(match("ZEROS.{serial}", "ZEROS.78", ""), NameMatch::yes);
  EXPECT_EQ(match("ZEROS.{serial}", "ZEROS.xx", "*"), NameMatch::wrong_serial);
}

TEST(Match, HostilePatternsTakeBoundedTime) {
  std::string pattern;
  for (int i = 0; i < 120; ++i) pattern += "*a";
  EXPECT_EQ(match(pattern + "b", std::string(4096, 'a')), NameMatch::no);
}

}  // namespace
}  // namespace keepway
