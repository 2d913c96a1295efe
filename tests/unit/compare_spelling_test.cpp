// Files that differ in bytes and not in what they say, and points that came or went. Files are invented.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "keepway/spelling.hpp"
#include "restore_support.hpp"

namespace keepway {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

const std::string layout_text = R"(
layout = 1
[[source]]
group = "programs"
files = ["*.NC"]
reader = "blocks"
comment = ["("]
least_increment = "0.0001"
[[source]]
group = "offsets"
files = ["*.OFF"]
reader = "words"
comment = [";"]
increment_of = { Z = "0.0001" }
address = "tool/{T}"
fields = { Z = "length", D = "diameter" }
)";

using Files = std::vector<std::pair<std::string, std::string>>;

struct Compared {
  Changes changes;
  std::vector<SpelledFile> files;
  [[nodiscard]] std::vector<std::string> gists() const {
    std::vector<std::string> out;
    for (const SpelledFile& file : files) out.push_back(gist(file));
    return out;
  }
};

media::Set set_of(const Files& files) {
  std::vector<media::File> list;
  for (const auto& [name, bytes] : files) list.push_back({name, bytes});
  return test::make_set(std::move(list));
}

Compared compared(const Files& before, const Files& after, const std::string& text = layout_text) {
  const Layout layout = parse_layout(text, "test.toml");
  const ReadContext context;
  const media::Set was = set_of(before);
  const media::Set is = set_of(after);
  Compared out;
  out.changes =
      compare(test::read_set(was, layout, context).state, test::read_set(is, layout, context).state);
  out.files = compare_spelling({was, layout, context}, {is, layout, context}, out.changes);
  return out;
}

TEST(Spelling, OfTheSameBytesThereIsNone) {
  EXPECT_THAT(compared({{"A.NC", "O1\nM30\n"}}, {{"A.NC", "O1\nM30\n"}}).files, IsEmpty());
}

TEST(Spelling, LinesThatSayTheSameAreListedBySide) {
  const Compared out = compared({{"A.NC", "O1\nG1 X1.0\nM30\n"}}, {{"A.NC", "O1\nG01 X1.\nM30\n"}});
  EXPECT_TRUE(out.changes.empty());
  EXPECT_THAT(out.gists(), ElementsAre("A.NC is spelled otherwise in 1 line"));
  ASSERT_EQ(out.files[0].lines.size(), 1U);
  EXPECT_EQ(out.files[0].lines[0].before, "G1 X1.0\n");
  EXPECT_EQ(out.files[0].lines[0].after, "G01 X1.\n");
  EXPECT_EQ(out.files[0].lines[0].after_line, 2U);
  EXPECT_EQ(gist(out.files), "the values are the same; A.NC is spelled otherwise in 1 line");
}

TEST(Spelling, LineEndsBlankLinesAndCommentsThatAreNotKeptCount) {
  EXPECT_THAT(compared({{"A.NC", "O1\r\nM30\r\n"}}, {{"A.NC", "O1\nM30\n"}}).gists(),
              ElementsAre("A.NC is spelled otherwise in 2 lines"));
  EXPECT_THAT(compared({{"A.NC", "O1\nM30\n"}}, {{"A.NC", "O1\n\nM30\n"}}).gists(),
              ElementsAre("A.NC is spelled otherwise in 1 line"));
  EXPECT_THAT(compared({{"T.OFF", "T1 Z1. ; old\n"}}, {{"T.OFF", "T1 Z1. ; older\n"}}).gists(),
              ElementsAre("T.OFF is spelled otherwise in 1 line"));
  EXPECT_THAT(compared({{"A.NC", "O1\nM30"}}, {{"A.NC", "O1\nM30\n"}}).gists(),
              ElementsAre("A.NC is spelled otherwise in 1 line"));
}

TEST(Spelling, LinesAreInTheLayoutsCharacterSet) {
  const std::string latin =
      "layout = 1\n[[source]]\ngroup = \"variables\"\nfiles = [\"V.TXT\"]\nreader = \"assign\"\n"
      "comment = [\";\"]\nencoding = \"ISO-8859-1\"\n";
  const Compared out = compared({{"V.TXT", "#1=2 ; GER\xc4T\n"}}, {{"V.TXT", "#1=2 ; GER\xc4TE\n"}}, latin);
  EXPECT_EQ(out.files.at(0).lines.at(0).before, "#1=2 ; GER\u00c4T\n");
  EXPECT_EQ(out.files.at(0).lines.at(0).after, "#1=2 ; GER\u00c4TE\n");
}

TEST(Spelling, RowsInAnotherOrderAreListedToo) {
  const Compared out = compared({{"T.OFF", "T1 Z1.\nT2 Z2.\n"}}, {{"T.OFF", "T2 Z2.\nT1 Z1.\n"}});
  EXPECT_TRUE(out.changes.empty());
  EXPECT_THAT(out.files, testing::SizeIs(1));
}

TEST(Spelling, OfAFileThatNoSourceReadsOnlyTheChangeIsKnown) {
  EXPECT_THAT(compared({{"A.TXT", "x"}}, {{"B.TXT", "x"}}).gists(),
              ElementsAre("the file A.TXT is gone, and no source of the layout reads it",
                          "the file B.TXT came, and no source of the layout reads it"));
  const Compared out = compared({{"A.TXT", "x\ny\n"}}, {{"A.TXT", "x\nz\n"}});
  EXPECT_EQ(gist(out.files),
            "A.TXT changed, and no source of the layout reads it: what changed in it is not known");
  EXPECT_EQ(out.files.at(0).read, SpelledFile::Read::no_source);
  EXPECT_EQ(out.files.at(0).lines.at(0).after, "z\n");
  EXPECT_EQ(gist_beside(out.files), "beside that, " + gist(out.files));
}

TEST(Spelling, OfAFileInWhichNothingWasUnderstoodOnlyTheChangeIsKnown) {
  const Compared out = compared({{"T.OFF", "; of 3 May\n"}}, {{"T.OFF", "; of 4 May\n"}});
  EXPECT_EQ(gist(out.files),
            "T.OFF changed, and nothing in it was understood: what changed in it is not known");
  const Compared row = compared({{"T.OFF", "?? 1\n"}}, {{"T.OFF", "  ?? 1\n"}});
  EXPECT_EQ(gist(row.files),
            "T.OFF changed, and nothing in it was understood: what changed in it is not known");
}

TEST(Spelling, ValuesAreTheSameOnlyWhereTheyAreRead) {
  const Files before = {{"A.NC", "O1\nX1.0\nM30\n"}, {"LOG.BIN", "a"}, {"MAP.BIN", "b"}};
  EXPECT_EQ(
      gist(compared(before, {{"A.NC", "O1\nX1.\nM30\n"}, {"LOG.BIN", "c"}, {"MAP.BIN", "b"}}).files),
      "the values that are read are the same; A.NC is spelled otherwise in 1 line; LOG.BIN changed, and "
      "no source of the layout reads it: what changed in it is not known");
  EXPECT_EQ(gist(compared(before, {{"A.NC", "O1\nX1.0\nM30\n"}, {"LOG.BIN", "c"}, {"MAP.BIN", "d"}}).files),
            "2 files that are not read changed, came or are gone (LOG.BIN, MAP.BIN): what they say is not "
            "known");
}

TEST(Spelling, LinesThatHoldWhatChangedAreLeftOut) {
  const Compared out = compared({{"T.OFF", "T1 Z1.0\nT2 Z2.\n"}, {"A.NC", "O1\nX1.\nY1.0\nM30\n"}},
                                {{"T.OFF", "T1 Z1.\nT2 Z3.\n"}, {"A.NC", "O1\nX2.\nY1.\nM30\n"}});
  EXPECT_EQ(out.changes.values.size(), 1U);
  EXPECT_EQ(out.changes.programs.size(), 1U);
  ASSERT_EQ(out.files.size(), 2U);
  ASSERT_EQ(out.files[0].lines.size(), 1U);
  EXPECT_EQ(out.files[0].lines[0].after, "Y1.\n");
  ASSERT_EQ(out.files[1].lines.size(), 1U);
  EXPECT_EQ(out.files[1].lines[0].after, "T1 Z1.\n");
}

TEST(Spelling, ARowThatDoesNotCountIsNoSpelling) {
  const Compared row =
      compared({{"T.OFF", "T1 Z5.\nT2 Z2.\nT1 Z6.\n"}}, {{"T.OFF", "T1 Z5.1\nT2 Z2.\nT1 Z6.\n"}});
  EXPECT_TRUE(row.changes.empty());
  EXPECT_EQ(gist(row.files),
            "what counts is the same; a row that does not count, T.OFF:1, says 5.1 where it said 5 for "
            "offsets/tool/1/length: 6 of T.OFF:3 is in force");
  ASSERT_EQ(row.files.size(), 1U);
  EXPECT_EQ(row.files[0].count, 0U) << "its line is not spelled otherwise";
  ASSERT_EQ(row.files[0].overruled.size(), 1U);
  EXPECT_EQ(row.files[0].overruled[0].before, "5");
  EXPECT_EQ(row.files[0].overruled[0].after, "5.1");

  const Files two = {{"A.OFF", "T1 Z5.\nT3 Z3.\n"}, {"B.OFF", "T1 Z6.\n"}};
  EXPECT_EQ(gist(compared(two, {{"A.OFF", "T1 Z5.1\nT3 Z3.0\n"}, {"B.OFF", "T1 Z6.\n"}}).files),
            "what counts is the same; a row that does not count, A.OFF:1, says 5.1 where it said 5 for "
            "offsets/tool/1/length: 6 of B.OFF:1 is in force; A.OFF is spelled otherwise in 1 line");
  EXPECT_EQ(gist(compared(two, {{"A.OFF", "T3 Z3.\n"}, {"B.OFF", "T1 Z6.\n"}}).files),
            "what counts is the same; a row that does not count, A.OFF:1, is gone; it said 5 for "
            "offsets/tool/1/length: 6 of B.OFF:1 is in force");
  const Compared beside = compared(two, {{"A.OFF", "T1 Z5.1\nT3 Z4.\n"}, {"B.OFF", "T1 Z6.\n"}});
  EXPECT_EQ(beside.changes.values.size(), 1U);
  EXPECT_EQ(gist_beside(beside.files),
            "beside that, a row that does not count, A.OFF:1, says 5.1 where it said 5 for "
            "offsets/tool/1/length: 6 of B.OFF:1 is in force");
}

TEST(Spelling, OfManyRowsThatDoNotCountTheFirstIsNamed) {
  std::string before;
  std::string after;
  for (int i = 0; i < 1200; ++i) {
    before += fmt::format("T{} Z5.\n", i);
    after += fmt::format("T{} Z5.1\n", i);
  }
  std::string last;
  for (int i = 0; i < 1200; ++i) last += fmt::format("T{} Z6.\n", i);
  const Compared out = compared({{"T.OFF", before + last}}, {{"T.OFF", after + last}});
  ASSERT_EQ(out.files.size(), 1U);
  EXPECT_EQ(out.files[0].overruled_count, 1200U);
  EXPECT_EQ(out.files[0].overruled.size(), SpelledFile::most_lines);
  EXPECT_EQ(
      gist(out.files),
      "what counts is the same; a row that does not count, T.OFF:1, says 5.1 where it said 5 for "
      "offsets/tool/0/length: 6 of T.OFF:1201 is in force; 1199 more values that do not count changed too");
}

TEST(Spelling, ARowThatDoesNotCountMaySayTheSame) {
  EXPECT_EQ(gist(compared({{"T.OFF", "T1 Z5.\nT1 Z6.\n"}}, {{"T.OFF", "T1 Z5.0\nT1 Z6.\n"}}).files),
            "the values are the same; T.OFF is spelled otherwise in 1 line");
  EXPECT_THAT(compared({{"A1.OFF", "T1 Z5.\nT1 Z6.\n"}}, {{"A2.OFF", "T1 Z5.\nT1 Z6.\n"}}).gists(),
              ElementsAre("the file A1.OFF is gone", "the file A2.OFF came"))
      << "under another name";
  EXPECT_THAT(compared({{"T.OFF", "T1 Z5.\nT1 Z6.\n"}}, {{"T.OFF", "\nT1 Z5.\nT1 Z6.\n"}}).gists(),
              ElementsAre("T.OFF is spelled otherwise in 1 line"));
}

TEST(Spelling, APointThatIsGoneIsExplained) {
  const Compared known = compared({{"T.OFF", "T1 Z7. D7.\n"}, {"A.NC", "O1\nX7.\nF7.\nM30\n"}},
                                  {{"T.OFF", "T1 Z7 D7\n"}, {"A.NC", "O1\nX7\nF7\nM30\n"}});
  ASSERT_EQ(known.changes.values.size(), 2U);
  EXPECT_EQ(known.changes.values[0].before, "7.");  // diameter: no increment is known
  EXPECT_EQ(known.changes.values[0].after, "7");
  EXPECT_EQ(known.changes.values[1].note,
            "7. -> 7: the decimal point is gone; counted in 0.0001 in this is 0.0007");
  ASSERT_EQ(known.changes.programs.size(), 1U);
  const auto& meaning = known.changes.programs[0].blocks.at(0).meaning;
  EXPECT_THAT(meaning, testing::Contains(
                           "X 7. -> X 7: the decimal point is gone; counted in 0.0001 in this is 0.0007"));
  EXPECT_THAT(meaning, testing::Contains("F 7. -> F 7: the decimal point is gone; without one it is counted "
                                         "in the control's least increment"));
  const Compared came = compared({{"T.OFF", "T1 Z7\n"}}, {{"T.OFF", "T1 Z7.\n"}});
  EXPECT_EQ(came.changes.values.at(0).note,
            "7 -> 7.: a decimal point came; counted in 0.0001 in this was 0.0007");
}

}  // namespace
}  // namespace keepway
