// Files of program text. Test data are invented.
#include <gmock/gmock.h>

#include "reader/parts.hpp"

namespace keepway::reader {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

struct File {
  Source source;
  Output output;
  std::string text;

  explicit File(std::string bytes, std::string_view name = "part.nc",
                std::vector<std::string> calls = Source().calls)
      : text(std::move(bytes)) {
    source.comments = {"(", ";"};
    source.calls = std::move(calls);
    source.point = Point::free;
    read_blocks({7, name, text, 1000, 11, source, 3, Units::inch}, output);
  }
  [[nodiscard]] std::vector<std::string> names() const {
    std::vector<std::string> out;
    for (const RawProgram& program : output.programs) out.push_back(program.facts.name);
    return out;
  }
  [[nodiscard]] std::vector<std::string> texts() const {
    std::vector<std::string> out;
    for (const RawProgram& program : output.programs) out.push_back(program.text.str());
    return out;
  }
  // What the spans of programs hold.
  [[nodiscard]] std::vector<std::string> spans() const {
    std::vector<std::string> out;
    for (const RawProgram& program : output.programs) out.push_back(at(program.facts.span));
    return out;
  }
  [[nodiscard]] std::string at(const Span& span) const { return text.substr(span.at - 1000, span.length); }
  [[nodiscard]] std::vector<std::string> unread() const {
    std::vector<std::string> out;
    for (const Unread& row : output.unread) {
      EXPECT_EQ(at(row.span), row.text);
      out.push_back(row.text);
    }
    return out;
  }
  [[nodiscard]] std::vector<OddityKind> oddities() const {
    std::vector<OddityKind> out;
    for (const Oddity& oddity : output.oddities) out.push_back(oddity.kind);
    return out;
  }
};

TEST(BlocksFile, ANameBehindAWordAndANumberIsNoBlock) {
  File file("");
  file.text = "PROGRAM 12 flange, left?\nG1 X1\nM30\nPROGRAM 13\nM30\n";
  file.source.number_forms = {"PROGRAM"};
  file.output = {};
  read_blocks({7, "part.nc", file.text, 1000, 11, file.source, 3, Units::inch}, file.output);
  EXPECT_THAT(file.names(), ElementsAre("O12", "O13"));
  EXPECT_THAT(file.oddities(), IsEmpty());
  EXPECT_EQ(file.output.programs[0].facts.unread, 0U);
}

TEST(BlocksFile, AFileThatIsAProgramMayBeInWordsOfItsOwn) {
  File file("");
  file.text = "BEGIN 12\nDRILL DEPTH 12.5: SLOW!\nEND\n";
  file.source.program = ProgramIs::file;
  file.source.mark = Mark::none;
  file.source.endless = true;
  file.output = {};
  read_blocks({7, "part.nc", file.text, 1000, 11, file.source, 3, Units::inch}, file.output);
  EXPECT_EQ(file.output.programs.at(0).facts.unread, 0U);
  file.text = "BEGIN 12\nDRILL \x01 12.5: SLOW!\nEND\n";
  file.output = {};
  read_blocks({7, "part.nc", file.text, 1000, 11, file.source, 3, Units::inch}, file.output);
  EXPECT_EQ(file.output.programs.at(0).facts.unread, 1U) << "what no control writes is reported";
  file.text = "BEGIN 12\nG1 GARBLE HERE ((\nEND\n";
  file.output = {};
  read_blocks({7, "part.nc", file.text, 1000, 11, file.source, 3, Units::inch}, file.output);
  EXPECT_EQ(file.output.programs.at(0).facts.unread, 1U) << "what begins as a block and is none is damage";
}

TEST(BlocksFile, HoldsOneProgramBetweenMarks) {
  const File file("%\nO0123 (part)\nG1 X1\nM30\n%\n");
  EXPECT_THAT(file.texts(), ElementsAre("O123 (part)\nG1 X1\nM30\n"));
  EXPECT_THAT(file.spans(), ElementsAre("O0123 (part)\nG1 X1\nM30\n"));
  ASSERT_THAT(file.names(), ElementsAre("O123"));
  const ProgramFacts& facts = file.output.programs[0].facts;
  EXPECT_TRUE(facts.numbered);
  EXPECT_TRUE(facts.ended);
  EXPECT_EQ(facts.source, 3U);
  EXPECT_EQ(facts.span.file, 7U);
  EXPECT_EQ(facts.span.at, 1002U);
  EXPECT_EQ(facts.span.line, 12U);  // the file's part began on line 11
  EXPECT_THAT(file.oddities(), IsEmpty());
}

TEST(BlocksFile, HoldsManyProgramsWithoutMarks) {
  const File file("O1\nM30\n:2\nM99\n(last) o0003\nG0\n");
  EXPECT_THAT(file.names(), ElementsAre("O1", "O2", "O3"));
  EXPECT_THAT(file.spans(), ElementsAre("O1\nM30\n", ":2\nM99\n", "(last) o0003\nG0\n"));
  EXPECT_THAT(file.oddities(), ElementsAre(OddityKind::no_end));
  EXPECT_EQ(file.output.oddities[0].place.text(), "part.nc:15 (byte 1014)");
}

TEST(BlocksFile, HoldsManyProgramsWithMarksInPairsOrShared) {
  for (const std::string text :
       {"%\nO1\nM30\n%\n%\nO2\nM30\n%\n", "%\nO1\nM30\n%\nO2\nM30\n%\n", "%\nO1\nM30\nO2\nM30\n%\n",
        "%O1\nM30\n% O2\nM30\n%", "O1\nM30\n%\nO2\nM30\n%\n", "%\n%\nO1\nM30\n%\nO2\nM30\n%\n%\n"}) {
    const File file(text);
    EXPECT_THAT(file.texts(), ElementsAre("O1\nM30\n", "O2\nM30\n")) << text;
    EXPECT_THAT(file.unread(), IsEmpty()) << text;
    for (const OddityKind kind : file.oddities()) EXPECT_EQ(kind, OddityKind::no_final_newline) << text;
  }
}

TEST(BlocksFile, WithoutNumberIsOneProgramCalledByItsPath) {
  const File file("G0 X1\n\nM2\n", "drawer/fixture.ngc");
  EXPECT_THAT(file.names(), ElementsAre("drawer/fixture.ngc"));
  EXPECT_FALSE(file.output.programs[0].facts.numbered);
  EXPECT_THAT(file.oddities(), IsEmpty());
}

TEST(BlocksFile, TakesTheNumberFromTheFileName) {
  for (const std::string_view name : {"O0012.nc", "sub/o12", "sub.dir/:12.tap", "0012.nc"}) {
    const File file("G0 X1\nM2\n", name);
    EXPECT_THAT(file.names(), ElementsAre("O12")) << name;
    EXPECT_TRUE(file.output.programs[0].facts.numbered);
    EXPECT_THAT(file.oddities(), ElementsAre(OddityKind::number_from_name));
  }
  EXPECT_THAT(File("M2\n", "O12a.nc").names(), ElementsAre("O12a.nc"));
  EXPECT_THAT(File("M2\n", "O.nc").names(), ElementsAre("O.nc"));
}

TEST(BlocksFile, WithoutBlocksHoldsNoProgram) {
  for (const std::string text : {"", "\n\n  \n", "%\n%\n"}) {
    const File file(text);
    EXPECT_THAT(file.names(), IsEmpty()) << text;
    EXPECT_THAT(file.oddities(), IsEmpty()) << text;
  }
}

TEST(BlocksFile, TextBeforeTheFirstNumberIsUnread) {
  const File file("(drawer 3)\nG1  X1 \nSTRAY TEXT\n\n O5\nM30\n");
  EXPECT_THAT(file.texts(), ElementsAre("O5\nM30\n"));
  EXPECT_THAT(file.unread(), ElementsAre("G1  X1", "STRAY TEXT"));
  EXPECT_THAT(file.oddities(), ElementsAre(OddityKind::unread, OddityKind::unread));
  EXPECT_EQ(*file.output.oddities[0].place.line, 12U);
  EXPECT_EQ(file.output.unread[1].span.line, 13U);
}

TEST(BlocksFile, AnUnnumberedProgramBeforeANumberedOneIsUnreadWhole) {
  const File file("%\nG1\nM30\n%\nrubbish.\n%\nO5\nM30\n%\n");
  EXPECT_THAT(file.texts(), ElementsAre("O5\nM30\n"));
  EXPECT_THAT(file.unread(), testing::UnorderedElementsAre("G1", "M30", "rubbish."));
}

TEST(BlocksFile,
     TextAfterTheClosingMarkIsUnread) {  // "what follows the second % is ignored" (NISTIR 6556, 3.3)
  const File file("%\nG1\nM2\n%\n\nG0 X5\n(end)\n");
  EXPECT_THAT(file.texts(), ElementsAre("G1\nM2\n"));
  EXPECT_THAT(file.unread(), ElementsAre("G0 X5", "(end)"));
  EXPECT_THAT(file.oddities(), ElementsAre(OddityKind::after_mark));
  EXPECT_EQ(*file.output.oddities[0].place.line, 16U);
}

TEST(BlocksFile, AnUnclosedMarkIsReported) {
  const File file("%\nO1\nG1 X1\n");
  EXPECT_FALSE(file.output.programs[0].facts.ended);
  EXPECT_THAT(file.oddities(), ElementsAre(OddityKind::mark_unclosed, OddityKind::no_end));
  EXPECT_EQ(*file.output.oddities[0].place.line, 11U);
  EXPECT_THAT(File("%\nO1\nM30\n").oddities(), ElementsAre(OddityKind::mark_unclosed));
  EXPECT_THAT(File("%\nO1\nM30\n%\nO2\nM30\n").oddities(), ElementsAre(OddityKind::mark_unclosed));
  EXPECT_THAT(File("%\n").oddities(), ElementsAre(OddityKind::mark_unclosed));
}

TEST(BlocksFile, TheClosingMarkEndsAProgram) {
  const File file("%\nO1\nG1\n%\n");
  EXPECT_TRUE(file.output.programs[0].facts.ended);
}

TEST(BlocksFile, ALastLineCutOffIsReported) {
  for (const std::string cut : {"G1 X", "(turn the pa", "#3=", "X[1+"}) {
    const File file("O1\nM30\n" + cut);
    EXPECT_THAT(file.oddities(), ElementsAre(OddityKind::cut_line)) << cut;
    EXPECT_THAT(file.unread(), IsEmpty());
    EXPECT_THAT(file.texts(), ElementsAre("O1\nM30\n" + cut + "\n"));
  }
  EXPECT_THAT(File("O1\nG1 X5\nM30").oddities(), ElementsAre(OddityKind::no_final_newline));
  EXPECT_THAT(File("O1\nM30\n   ").oddities(), IsEmpty());
}

TEST(BlocksFile, UnreadLinesAreInTheProgramAloneAndAreReported) {
  const File file("O1\nG1 ~ X\x01\nM30\n");
  EXPECT_THAT(file.texts(), ElementsAre("O1\nG1 ~ X\\x01\nM30\n"));
  EXPECT_THAT(file.unread(), IsEmpty());  // one change is shown once
  ASSERT_THAT(file.oddities(), ElementsAre(OddityKind::unread));
  EXPECT_EQ(file.output.oddities[0].detail, "G1 ~ X\\x01");
  EXPECT_EQ(file.output.oddities[0].place.text(), "part.nc:12 (byte 1003)");
}

TEST(BlocksFile, ManyUnreadLinesAreReportedInBounds) {
  std::string text = "O1\n";
  for (int i = 0; i < 5000; ++i) text += "~\n";
  const File file(text + "M30\n");
  EXPECT_EQ(file.oddities().size(), 51U);
  EXPECT_EQ(file.output.oddities.back().detail, "4950 more unread lines");
}

TEST(BlocksFile, LongLinesAreReported) {  // at most 256 characters (NISTIR 6556, 3.3.1)
  EXPECT_THAT(File("(" + std::string(254, 'a') + ")\nM2\n").oddities(), IsEmpty());
  const std::string line = "(" + std::string(255, 'a') + ")\n";
  EXPECT_THAT(File(line + "M2\n").oddities(), ElementsAre(OddityKind::long_line));
  const File two("G0 X1\n" + line + "G0 X2\n" + line + "M2\n");
  ASSERT_THAT(two.oddities(), ElementsAre(OddityKind::long_line));
  EXPECT_EQ(two.output.oddities[0].place.line, 12U) << "the first, of those that begin at line 11";
  EXPECT_EQ(two.output.oddities[0].detail, "2 lines over 256 characters");
}

TEST(BlocksFile,
     CallsAreKeptWithTheirSpans) {  // M98: common practice, no source; the other words are invented
  const File file(
      "O1\nM98 P710 L2\nG120p 07 011 A1.\nM71.5 P7012 X1\nWHEN[#1IS2]M98 P800\nG4 P5\nM98 P#1\nM30\n",
      "part.nc", {"M98", "G120", "M71.5"});
  const ProgramFacts& facts = file.output.programs[0].facts;
  EXPECT_THAT(facts.calls, ElementsAre("O710", "O7011", "O7012", "O800"));
  std::vector<std::string> spans;
  for (const Span& span : facts.call_spans) spans.push_back(file.at(span));
  EXPECT_THAT(spans, ElementsAre("P710", "p 07 011", "P7012", "P800"));
  EXPECT_EQ(facts.call_spans[1].line, 13U);
  EXPECT_THAT(facts.calls_without_count, ElementsAre("", "", "", ""));
}

TEST(BlocksFile, ACallMayCarryACount) {  // common practice, no source
  const ProgramFacts facts =
      File("O1\nM98 P30710\nG120 P30710\nM30\n", "part.nc", {"M98", "G120"}).output.programs[0].facts;
  EXPECT_THAT(facts.calls, ElementsAre("O30710", "O30710"));
  EXPECT_THAT(facts.calls_without_count, ElementsAre("O710", ""));
}

TEST(BlocksFile, UnitsInForceDoNotReachTheNextProgram) {
  Source source;
  source.increment = Increment{Decimal::parse("0.0001"), Decimal::parse("0.001")};
  Output output;
  read_blocks({0, "all.nc", "O1\nG21\nX1000\nM30\nO2\nX1000\nM30\n", 0, 1, source, 0, Units::inch}, output);
  ASSERT_EQ(output.programs.size(), 2U);
  EXPECT_EQ(output.programs[0].text, "O1\nG21\nX1.\nM30\n");
  EXPECT_EQ(output.programs[1].text, "O2\nX0.1\nM30\n");
}

TEST(BlocksFile, EndWordsCountAnywhereOnABlock) {
  EXPECT_THAT(File("O1\nX1 M002\n").oddities(), IsEmpty());
  EXPECT_THAT(File("O1\nWHEN [#1 IS 1] M99\n").oddities(), IsEmpty());
  EXPECT_THAT(File("O1\n(M30)\nM3\n").oddities(), ElementsAre(OddityKind::no_end));
}

}  // namespace
}  // namespace keepway::reader
