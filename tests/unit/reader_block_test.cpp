// The normal form of a block. Test data are invented, or the named report's own examples.
#include <gmock/gmock.h>

#include <algorithm>

#include "keepway/reader.hpp"
#include "reader/block.hpp"
#include "reader/program_number.hpp"

namespace keepway {
namespace {

Source plain_source() {
  Source source;
  source.comments = {"(", ";"};
  source.point = Point::free;
  return source;
}

Source counting_source() {
  Source source = plain_source();
  source.point = Point::counts;
  source.increment = Increment{Decimal::parse("0.0001"), Decimal::parse("0.001")};
  return source;
}

// One line in, its normal form out, without the LF.
std::string normal(std::string_view line, const Source& source = plain_source(), Units units = Units::inch) {
  std::string text = normal_program(line, source, units);
  if (!text.empty() && text.back() == '\n') text.pop_back();
  return text;
}

TEST(Block, SpacesWithinWordsChangeNothing) {  // NISTIR 6556, 3.3.1
  EXPECT_EQ(normal("g0x +0. 12 34y 7"), "G0 X0.1234 Y7");
  EXPECT_EQ(normal("g0 x+0.1234 y7"), "G0 X0.1234 Y7");
}

TEST(Block, OrderOfItemsChangesNothing) {  // NISTIR 6556, 3.3.6: 120 orders of five items
  std::array<std::string, 5> items = {"g40", "g1", "#3 = 15", "(foo)", "#4 = -7.0"};
  std::sort(items.begin(), items.end());
  std::size_t orders = 0;
  do {
    std::string line;
    for (const std::string& item : items) line += item + " ";
    EXPECT_EQ(normal(line), "G1 G40 #3=15 #4=-7 (foo)") << line;
    ++orders;
  } while (std::next_permutation(items.begin(), items.end()));
  EXPECT_EQ(orders, 120U);
}

TEST(Block, RepeatedSettingsOfOneParameterKeepTheirOrder) {  // NISTIR 6556, 3.3.6
  EXPECT_EQ(normal("#3=15 #3=6"), "#3=15 #3=6");
  EXPECT_EQ(normal("#3=6 #2=1 #3=15"), "#2=1 #3=6 #3=15");
}

TEST(Block, RepeatedCommentsKeepTheirOrder) {  // NISTIR 6556, 3.3.6
  EXPECT_EQ(normal("(b) g1 (a)"), "G1 (b) (a)");
}

TEST(Block, SettingsByExpressionKeepTheOrderOfAll) {
  EXPECT_EQ(normal("#[#1]=5 #3=6"), "#[#1]=5 #3=6");
  EXPECT_EQ(normal("#3=6 #[#1]=5"), "#3=6 #[#1]=5");
}

TEST(Block, WordsHaveOneOrder) {
  EXPECT_EQ(
      normal("/ M8 M3 S1200 T3 F20 D2 H3 E1 L4 Q5 P6 R7 K8 J9 I10 C1 B2 A3 W4 V5 U6 Z7 Y8 X9 G90 G0 N10"),
      "/ N10 G0 G90 X9 Y8 Z7 U6 V5 W4 A3 B2 C1 I10 J9 K8 R7 P6 Q5 L4 E1 H3 D2 F20 S1200 T3 M3 M8");
}

TEST(Block, NumbersHaveOneSpelling) {
  EXPECT_EQ(normal("G01 X+1.000 Y-0.0 Z.5 A007."), "G1 X1 Y0 Z0.5 A7");
  EXPECT_EQ(normal("g59.10"), "G59.1");
  EXPECT_EQ(normal("x-.50"), "X-0.5");
}

TEST(Block, ProgramNumbersDropZeros) {
  EXPECT_EQ(normal("O0123 (part)"), "O123 (part)");
  EXPECT_EQ(normal(":0123"), "O123");
}

TEST(Block, CommentsKeepTheirText) {
  EXPECT_EQ(normal("(Msg,  Turn the  part) M00"), "M0 (Msg,  Turn the  part)");
  EXPECT_EQ(normal("g1 x2 ; Rough  it \t"), "G1 X2 ; Rough  it");
}

TEST(Block, SemicolonIsAnEndOfBlockWhereItIsNoComment) {  // common practice, no source
  Source source;
  source.comments = {"("};
  EXPECT_EQ(normal("G1 X2 ;", source), "G1 X2");
  EXPECT_EQ(normal("G1 X2 ; Y3", source), "G1 X2 ; Y3");  // not understood, so kept
}

TEST(Block, ValuesMayBeParametersAndExpressions) {
  EXPECT_EQ(normal("x - #3 y[ #1 + 2.0 ] z#[#2+01] f sin[ 30. ]"), "X-#3 Y[#1+2] Z#[#2+1] FSIN[30]");
  EXPECT_EQ(normal("x atan[1.0]/[2.50]"), "XATAN[1]/[2.5]");
  EXPECT_EQ(normal("#100 = #101 * 2.0 + [ #1 mod 3 ]"), "#100=#101*2+[#1MOD3]");
}

TEST(Block, FlowStatementsKeepTheirOrder) {  // common practice, no source; the words are invented
  EXPECT_EQ(normal("when[#1 is 2.0]leap010"), "WHEN [#1IS2] LEAP 10");
  EXPECT_EQ(normal("N5 WHEN [#1 IS #0] THUS #2 = 1.50 (check)"), "N5 WHEN [#1IS#0] THUS #2=1.5 (check)");
  EXPECT_EQ(normal("lap [#1under10] turn1"), "LAP [#1UNDER10] TURN 1");
  EXPECT_EQ(normal("TURNED1"), "TURNED 1");
}

TEST(Block, TheLayoutSaysWhichFlowWordsNeedNoBlankBehindThem) {
  Source source = plain_source();
  source.flow = {"THUS", "LAP", "WHEN"};
  EXPECT_EQ(normal("thusm03", source), "THUS M3");
  EXPECT_EQ(normal("lapwhen[#1is2]", source), "LAP WHEN [#1IS2]");
  EXPECT_EQ(normal("thusman 3", source), "THUSMAN 3");
  EXPECT_EQ(normal("thusm03"), "THUSM 3") << "no word of this layout";
}

TEST(Block, ACommentThatPartsAFlowStatementIsKeptInPlace) {
  EXPECT_EQ(normal("WHEN [#1IS2] (check) LEAP 10"), "WHEN [#1IS2] LEAP 10 (check)");
  EXPECT_EQ(normal("#1=#2 (a) AND #3"), "#1=#2 (a) AND #3");
  Source source = plain_source();
  source.flow = {"WHEN"};
  EXPECT_EQ(normal("11WHENG(a)4", source), "11WHENG(a)4");
}

TEST(Block, BlockDeleteInsideABlockKeepsTheOrder) {
  EXPECT_EQ(normal("/ g1 n10"), "/ N10 G1");
  EXPECT_EQ(normal("/2 g1"), "/2 G1");
  EXPECT_EQ(normal("n10 / x1. g1"), "N10/X1 G1");
}

TEST(Block, ArgumentsInSetsKeepTheirSets) {  // repeated I J K of a call: common practice, no source
  EXPECT_EQ(normal("M98 P710 I1 J2 I3"), "I1 J2 I3 P710 M98");
  EXPECT_EQ(normal("M98 P710 I1 I3 J2"), "I1 I3 J2 P710 M98");
  EXPECT_EQ(normal("M98 P710 K3 J2 I1"), "I1 J2 K3 P710 M98");
}

TEST(Block, CornerWordsAreWords) {  // `,R`: common practice, no source
  EXPECT_EQ(normal("g1 ,r0.50 x1."), "G1 X1 ,R0.5");
}

TEST(Block, LinesNotUnderstoodAreKeptEscaped) {
  EXPECT_EQ(normal("  G1 X\t "), "G1 X");
  EXPECT_EQ(normal("G1 \x01 ("), "G1 \\x01 (");
  EXPECT_EQ(normal("O12\t6.1 ~"), "O12 6.1 ~");  // not `O12\t6.1`, which would begin O12
  EXPECT_EQ(normal("(never closed"), "(never closed");
  EXPECT_EQ(normal("x1.2.3"), "x1.2.3");
  EXPECT_EQ(normal("x--1"), "x--1");
  EXPECT_EQ(normal("x[1+2"), "x[1+2");
  EXPECT_EQ(normal("#3 = "), "#3 =");
  EXPECT_EQ(normal("(a (b) c)"), "(a (b) c)");  // comments do not nest (NISTIR 6556, 3.3.4)
}

TEST(Block, BlankLinesAndMarksVanish) {
  EXPECT_EQ(normal_program("%\r\n\r\n  \t\r\nG1\r\n%\r\n", plain_source(), Units::inch), "G1\n");
}

TEST(Block, AnyLineEndEndsABlock) {
  for (const std::string end : {"\n", "\r\n", "\n\r", "\r"}) {
    EXPECT_EQ(normal_program("G1 X1" + end + "(a)" + end + end + "Y2", plain_source(), Units::inch),
              "G1 X1\n(a)\nY2\n");
  }
}

TEST(Block, NumbersWithoutPointCountInIncrementsOfTheUnitsInForce) {
  const Source source = counting_source();
  EXPECT_EQ(normal("G1 X10000 Y5 Z-12345 F100", source), "G1 X1. Y0.0005 Z-1.2345 F100");
  EXPECT_EQ(normal("X1000", source, Units::mm), "X1.");
  EXPECT_EQ(normal("X1000.", source, Units::mm), "X1000.");
  EXPECT_EQ(normal("X0 Y0. Z-0", source), "X0 Y0 Z0");
  EXPECT_EQ(normal_program("X1000\nX1000 G21\nX1000 G1\nG20\nX1000\n", source, Units::inch),
            "X0.1\nG21 X1.\nG1 X1.\nG20\nX0.1\n");
}

TEST(Block, DwellsDoNotCountInLengthIncrements) {
  EXPECT_EQ(normal("X1500 G04", counting_source()), "G4 X1500");
}

TEST(Block, IncrementsThatAreNoPowerOfTenAreExact) {
  Source source = counting_source();
  source.increment->mm = Decimal::parse("0.0005");
  source.increment_letters = "X";
  EXPECT_EQ(normal("X3 Y3", source, Units::mm), "X0.0015 Y3");
}

TEST(Block, AnOverlongLineIsKeptAsItsText) {
  std::string line(reader::max_block_bytes - 1, 'X');
  for (std::size_t i = 1; i < line.size(); i += 2) line[i] = '1';
  EXPECT_EQ(normal(line), line);  // its normal form would be over the bound
  const std::string short_enough = line.substr(0, 1000);
  EXPECT_NE(normal(short_enough), short_enough);
  EXPECT_EQ(normal(std::string(reader::max_block_bytes + 1, '[')),
            std::string(reader::max_block_bytes + 1, '['));
}

TEST(Block, ALineThatGrowsInIncrementsIsReadWhole) {
  std::string line;
  std::string expected;
  for (int i = 0; i < 4000; ++i) {
    line += "X5";
    expected += i == 0 ? "X0.0005" : " X0.0005";
  }
  EXPECT_EQ(normal(line, counting_source()), expected);
  std::string too_long;
  for (int i = 0; i < 16000; ++i) too_long += "X5";
  EXPECT_EQ(normal(too_long, counting_source()), too_long);
}

TEST(Block, DeepBracketsCostNoStack) {
  const std::string open(30000, '[');
  const std::string line = "X" + open + "1" + std::string(30000, ']');
  EXPECT_EQ(normal(line), line);
}

TEST(Block, NumbersOfManyDigitsAreBounded) {
  const std::string digits(400, '7');
  EXPECT_EQ(normal("x" + digits), "X" + digits);
  EXPECT_EQ(normal("x" + digits + "7"), "x" + digits + "7");
}

TEST(Block, ProgramNumberIsTakenFromTheLineStart) {
  auto number = [](std::string line) {
    line += '\n';
    return reader::program_number(std::string_view(line).substr(0, line.size() - 1), {"O", ":"});
  };
  EXPECT_EQ(number("O0012"), "12");
  EXPECT_EQ(number(" :7 (part)"), "7");
  EXPECT_EQ(number("(part) o 1 2"), "12");
  EXPECT_EQ(number("O+12"), "12");  // their normal forms, O12 and O0, begin a program as well
  EXPECT_EQ(number("O-0."), "0");
  EXPECT_EQ(number("O.0"), "0");
  EXPECT_EQ(number("O-12"), "");
  EXPECT_EQ(number("N10 O12"), "");
  EXPECT_EQ(number("/O12"), "");
  EXPECT_EQ(number("O12.5"), "");
  EXPECT_EQ(number("O[12]"), "");
  EXPECT_EQ(number("O"), "");
  EXPECT_EQ(number("O" + std::string(33, '1')), "");
}

}  // namespace
}  // namespace keepway
