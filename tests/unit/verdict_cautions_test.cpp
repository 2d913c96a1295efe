// Changes that can hurt: shown apart from the verdict.
#include <gmock/gmock.h>

#include "verdict/number_shape.hpp"
#include "verdict_support.hpp"

namespace keepway {
namespace {

using namespace testing_verdict;
using testing::ElementsAre;
using testing::IsEmpty;
using verdict::DigitShift;
using verdict::shift_between;

TEST(NumberShape, TellsWhichKeyWasMissed) {
  EXPECT_EQ(shift_between("1.25", "-1.25"), DigitShift::sign);
  EXPECT_EQ(shift_between("-142500", "142500"), DigitShift::sign);
  EXPECT_EQ(shift_between("1.25", "12.5"), DigitShift::tens);
  EXPECT_EQ(shift_between("7", "0.0007"), DigitShift::tens);
  EXPECT_EQ(shift_between("400", "4000"), DigitShift::tens);
  EXPECT_EQ(shift_between("7.", "7"), DigitShift::point);
  EXPECT_EQ(shift_between("1.25", "1.26"), DigitShift::none);
  EXPECT_EQ(shift_between("1.25", "+1.250"), DigitShift::none);
  EXPECT_EQ(shift_between("0", "-0."), DigitShift::none);
  EXPECT_EQ(shift_between("on", "off"), DigitShift::none);
  EXPECT_EQ(verdict::tens_between("1.25", "125"), "100 times as much");
  EXPECT_EQ(verdict::tens_between("7", "0.07"), "1/100 of it");
}

TEST(NumberShape, TellsWhereAPointMayBeMissing) {
  EXPECT_TRUE(verdict::may_lack_its_point("0.6", "0.0002"));
  EXPECT_TRUE(verdict::may_lack_its_point("-7.5", "0.012"));
  EXPECT_FALSE(verdict::may_lack_its_point("5.", "0.02")) << "a depth after a retract";
  EXPECT_FALSE(verdict::may_lack_its_point("0.25", "0.125"));
  EXPECT_FALSE(verdict::may_lack_its_point("5.", "0.000"));
  EXPECT_FALSE(verdict::may_lack_its_point("on", "0.0002"));
}

TEST(Cautions, OfValuesWithoutANamebook) {
  const Files before = {{"M.VAR", "#1=2.5\n#2=7.25\n#3=40\n#4=1\n"}};
  const Verdict verdict = Judging{}.of({{"M.VAR", "#1=-2.5\n#2=72.5\n#3=40\n#4=1.5\n"}}, before);
  EXPECT_EQ(verdict.worth, Worth::good) << "nothing is said against the backup";
  EXPECT_THAT(caution_codes(verdict), ElementsAre("variables/1: sign-flipped", "variables/2: factor-of-ten"));
}

TEST(Cautions, APointThatIsGoneWhereNumbersCountInIncrements) {
  Judging judging;
  judging.layout = parse_layout(
      "layout = 1\n[[source]]\ngroup = \"offsets\"\nfiles = \"*\"\nreader = \"words\"\nleast_increment = "
      "\"0.0001\"\n"
      "[[source.row]]\naddress = \"tool/{T}\"\nfields = { L = \"length\" }\n",
      "l");
  const Verdict verdict = judging.of({{"T", "T1 L7\n"}}, {{"T", "T1 L7.\n"}});
  EXPECT_THAT(caution_codes(verdict), ElementsAre("offsets/tool/1/length: point-gone"));
}

TEST(Cautions, OfBlocks) {
  const Files before = {{"M.VAR", "#1=1\n"}, {"A.PRG", "O1\nG1 X2.5 Y-1.5 F20.\nT1 M6\nG4 P1.\nM30\n"}};
  const auto codes = [&](const std::string& program) {
    return caution_codes(Judging{}.of({{"M.VAR", "#1=1\n"}, {"A.PRG", program}}, before));
  };
  EXPECT_THAT(codes("O1\nG1 X2.5 Y1.5 F20.\nT1 M6\nG4 P1.\nM30\n"), ElementsAre("programs/O1: sign-flipped"));
  EXPECT_THAT(codes("O1\nG1 X25. Y-1.5 F20.\nT1 M6\nG4 P1.\nM30\n"),
              ElementsAre("programs/O1: factor-of-ten"));
  EXPECT_THAT(codes("O1\nG1 X0.0003 Y-1.5 F20.\nT1 M6\nG4 P1.\nM30\n"),
              ElementsAre("programs/O1: point-missing"));
  EXPECT_THAT(codes("O1\nG1 X2.5 Y-1.5 F20.\nT10 M6\nG4 P1.\nM30\n"), IsEmpty())
      << "a tool's number is a name";
  EXPECT_THAT(codes("O1\nG1 X2.6 Y-1.5 F22.\nT1 M6\nG4 P1.\nM30\n"), IsEmpty());
}

// Modal groups: NISTIR 6556, 3.4.
TEST(Cautions, OfACodeThatStaysInForceAndIsAnotherOfItsKind) {
  const std::string program = "O1\nG17 G21 G90 G94\nG54\nM3 S900\nG41 D1\nG1 X5. F20.\nM30\n";
  const Files before = {{"M.VAR", "#1=1\n"}, {"A.PRG", program}};
  const auto why = [&](const std::string& was, const std::string& is) {
    std::vector<std::string> out;
    for (const Caution& each : Judging{}.of(with(before, "A.PRG", was, is), before).cautions) {
      EXPECT_THAT(each.codes, ElementsAre("mode-changed"));
      out.push_back(each.why);
    }
    return out;
  };
  EXPECT_THAT(why("G21", "G20"), ElementsAre("units G21 to G20 (mm to inch)"));
  EXPECT_THAT(why("G90", "G91"), ElementsAre("now G91 where G90 was (absolute to incremental)"));
  EXPECT_THAT(why("G54", "G55"), ElementsAre("coordinate system G54 to G55"));
  EXPECT_THAT(why("M3 S900", "M4 S900"), ElementsAre("spindle M3 to M4 (clockwise to counterclockwise)"));
  EXPECT_EQ(why("G94", "G95").size(), 1U);
  EXPECT_EQ(why("G17", "G18").size(), 1U);
  EXPECT_EQ(why("G41 D1", "G42 D1").size(), 1U);
  EXPECT_EQ(why("G54", "G59.1").size(), 1U);
  EXPECT_EQ(why("G17 G21 G90 G94\n", "G17 G20\nG91 G94\n").size(), 2U) << "on two lines";
  EXPECT_THAT(why("G17 G21 G90 G94", "G94 G90 G21 G17"), IsEmpty()) << "another order";
  EXPECT_THAT(why("G54\n", "G54\nG28 Z0.\n"), IsEmpty()) << "one more";
  EXPECT_THAT(why("G54\n", ""), IsEmpty()) << "one less";
}

TEST(Cautions, OfBlocksThatMoveAtRapidNow) {
  const std::string program = "O1\nG0 X0. Z5.\nG1 Z-1. F20.\nX5.\nG2 X6. Y1. R1.\nG0 Z5.\nM30\n";
  const Files before = {{"M.VAR", "#1=1\n"}, {"A.PRG", program}};
  const auto cautions = [&](const std::string& was, const std::string& is) {
    return Judging{}.of(with(before, "A.PRG", was, is), before).cautions;
  };
  const auto found = cautions("G1 Z-1. F20.", "G0 Z-1.");
  ASSERT_EQ(found.size(), 2U) << "the block, and the one behind it that is at rapid, too";
  EXPECT_THAT(found[0].codes, ElementsAre("feed-to-rapid"));
  EXPECT_EQ(found[0].before, "G1 Z-1. F20.");
  EXPECT_EQ(found[0].after, "G0 Z-1.");
  EXPECT_EQ(found[1].before, "X5.");
  EXPECT_EQ(found[1].after, "X5.");
  EXPECT_EQ(cautions("G2 X6. Y1. R1.", "G0 X6. Y1.").size(), 1U);
  EXPECT_EQ(cautions("G1 Z-1. F20.\n", "G0 Z-1.\nG4 P1.\n").size(), 2U) << "by where it goes";
  EXPECT_EQ(cautions("X5.\n", "G0\nX5.\n").size(), 1U);
  EXPECT_THAT(cautions("G0 X0. Z5.", "G1 X0. Z5. F9."), IsEmpty()) << "slower";
  EXPECT_THAT(cautions("G1 Z-1. F20.", "G1 Z-2. F25."), IsEmpty());
  EXPECT_THAT(cautions("X5.\n", "G0 Z9.\nG1 X5.\n"), IsEmpty()) << "a rapid move more";
  EXPECT_THAT(cautions("X5.\n", "X5.\nG4 X1.\n"), IsEmpty());
}

// A layout of one file of programs, P.NC, and one of tools, T.OFS; `more` for both.
Judging judging_with(const std::string& more) {
  Judging judging;
  judging.layout =
      parse_layout("layout = 1\n[[source]]\ngroup = \"programs\"\nfiles = \"*.NC\"\nreader = \"blocks\"\n" +
                       more + "[[source]]\ngroup = \"offsets\"\nfiles = \"*.OFS\"\nreader = \"words\"\n" +
                       more + "[[source.row]]\naddress = \"tool/{T}\"\nfields = { L = \"length\" }\n",
                   "l");
  return judging;
}

// Cautions where one line of a program becomes another, with lines around it.
std::vector<std::string> codes_of_line(const std::string& more, const std::string& before,
                                       const std::string& after, const std::string& rest = "") {
  const auto program = [&](const std::string& line) {
    return Files{{"P.NC", "O1\nG90\n" + line + "\n" + rest + "M30\n"}};
  };
  return caution_codes(judging_with(more).of(program(after), program(before)));
}

const std::string counted = "least_increment = \"0.0001\"\n";
const std::string free_point = "point = \"free\"\n";

TEST(Cautions, AWordWhoseDigitsChangedAndWhosePointIsGone) {
  for (const std::string& more : {std::string(), counted}) {
    EXPECT_THAT(codes_of_line(more, "G1 Z0.6", "G1 Z2"), ElementsAre("programs/O1: point-missing")) << more;
    EXPECT_THAT(codes_of_line(more, "G1 Z.6 F9.", "G1 Z2 F8"),
                ElementsAre("programs/O1: point-missing", "programs/O1: point-missing"))
        << more;
    EXPECT_THAT(codes_of_line(more, "G1 Z0.6", "G1 Z2."), IsEmpty()) << more;
    EXPECT_THAT(codes_of_line(more, "G1 Z0.6", "G1 Z0"), IsEmpty()) << "zero is zero in both ways";
    EXPECT_THAT(codes_of_line(more, "S900 M3", "S1200 M3"), IsEmpty()) << more;
    EXPECT_THAT(codes_of_line(more, "G1 Z0.6", "G1 Y2"), IsEmpty()) << "a line of its own";
  }
  const std::string whole = "G1 X4 Y3\nG1 Z-2\n";  // a program that writes whole numbers so
  EXPECT_THAT(codes_of_line("", "G1 Z.6", "G1 Z2", whole), IsEmpty());
  EXPECT_THAT(codes_of_line("", "G1 Z.6", "G1 Z7000", whole), ElementsAre("programs/O1: point-missing"));
  EXPECT_THAT(codes_of_line(counted, "G1 Z.6", "G1 Z7000", whole), IsEmpty());
}

TEST(Cautions, WhereThePointIsFreeOnlyAFactorOfTenIsOne) {
  EXPECT_THAT(codes_of_line(free_point, "G1 X10.", "G1 X10"), IsEmpty());
  EXPECT_THAT(codes_of_line(free_point, "G1 Z0.6", "G1 Z2"), IsEmpty());
  EXPECT_THAT(codes_of_line(free_point, "G1 Z0.6", "G1 Z26"), ElementsAre("programs/O1: point-missing"));
  EXPECT_THAT(codes_of_line(free_point, "G1 Z0.6", "G1 Z26."), IsEmpty()) << "it has its point";
}

TEST(Cautions, AProgramThatIsNewHasNone) {
  EXPECT_THAT(caution_codes(judging_with("").of({{"P.NC", "O1\nG1 X.5\nM30\n"}, {"Q.NC", "O2\nG1 X5\nM30\n"}},
                                                {{"P.NC", "O1\nG1 X.5\nM30\n"}})),
              IsEmpty());
}

TEST(Cautions, AValueWhoseDigitsChangedAndWhosePointIsGone) {
  const auto codes = [](const std::string& more, const std::string& before, const std::string& after) {
    return caution_codes(judging_with(more).of({{"T.OFS", after}}, {{"T.OFS", before}}));
  };
  const auto missing = ElementsAre("offsets/tool/1/length: point-missing");
  EXPECT_THAT(codes("", "T1 L5.25\n", "T1 L6\n"), missing);
  EXPECT_THAT(codes(counted, "T1 L5.25\n", "T1 L6\n"), missing);
  EXPECT_THAT(codes("", "T1 L5.25\n", "T1 L0\n"), IsEmpty());
  EXPECT_THAT(codes("", "T1 L5.25\nT2 L3\nT3 L4\nT4 L5\n", "T1 L6\nT2 L3\nT3 L4\nT4 L5\n"), IsEmpty())
      << "this control writes whole numbers so";
  EXPECT_THAT(codes(free_point, "T1 L5.25\n", "T1 L6\n"), IsEmpty());
  EXPECT_THAT(codes(free_point, "T1 L5.25\n", "T1 L61\n"), missing);
  EXPECT_THAT(codes(free_point, "T1 L5.25\n", "T1 L61.\n"), IsEmpty());
}

TEST(Cautions, AWordWhosePointIsGoneOnALineThatChangedOtherwiseToo) {
  const auto missing = ElementsAre("programs/O1: point-missing");
  EXPECT_THAT(codes_of_line(free_point, "G1 X5.25 Y3.5", "G1 X53 Y3.5 F10."), missing)
      << "a word more, and a digit less";
  EXPECT_THAT(codes_of_line(free_point, "G1 X9.5 Y1.5\nG1 X5.25 Y3.5", "G1 X530 Y3.5"), missing)
      << "the line that shares more words is its partner, not the first";
  EXPECT_THAT(codes_of_line(free_point, "G1 X5.25 Y3.5", "G1 X5.25 Y3.5 F10"), IsEmpty());
  EXPECT_THAT(codes_of_line(free_point, "Y8.5\nY3.5", "Y-3.5"), ElementsAre("programs/O1: sign-flipped"))
      << "the line with its digits is its partner, not the first";
  EXPECT_THAT(codes_of_line("", "#5=[#6*2.5]", "#5=[#6*26]"), missing);
  EXPECT_THAT(codes_of_line("", "G59.1 P2", "G591 P2"), ElementsAre("programs/O1: factor-of-ten"));
  EXPECT_THAT(codes_of_line("", "G41 D7.5", "G41 D75"), ElementsAre("programs/O1: factor-of-ten"));
}

TEST(Cautions, ANewLineWithoutAPointWhereEachNumberHadOne) {
  std::string rest;
  for (int i = 1; i < 6; ++i) rest += "G1 X" + std::to_string(i) + ". Y-" + std::to_string(i) + ".5\n";
  const auto missing = ElementsAre("programs/O1: point-missing");
  EXPECT_THAT(codes_of_line("", "G4", "G4\nG0 Z5", rest), missing);
  EXPECT_THAT(codes_of_line(counted, "G4", "G4\nG0 Z5", rest), missing);
  EXPECT_THAT(codes_of_line("", "G4", "G4\nG0 Z5.", rest), IsEmpty());
  EXPECT_THAT(codes_of_line("", "G4", "G4\nG0 Z0 S900 T5", rest), IsEmpty());
  EXPECT_THAT(codes_of_line(free_point, "G4", "G4\nG0 Z5", rest), IsEmpty());
  EXPECT_THAT(codes_of_line("", "G4", "G4\nG0 Z5", rest + "G1 X1 Y2\nX3\n"), IsEmpty())
      << "it writes whole numbers so";
}

TEST(Cautions, OfAProgramThatHasAnotherNameToo) {
  const std::string text = "\nG1 X2.5 Y-1.5 F20.\nX3.5\nY4.25\nG0 Z9.\nM30\n";
  const auto slip = [&](const std::string& was, const std::string& is) {
    std::string slipped = text;
    return slipped.replace(slipped.find(was), was.size(), is);
  };
  const auto codes = [](const Files& after, const Files& before) {
    return caution_codes(Judging{}.of(after, before));
  };
  const Files before = {{"A.PRG", "O1" + text}};
  EXPECT_THAT(codes({{"A.PRG", "O2" + slip("X3.5", "X-3.5")}}, before),
              ElementsAre("programs/O2: sign-flipped"));
  EXPECT_THAT(codes({{"B.PRG", "O2" + slip("Y4.25", "Y5")}}, before),
              ElementsAre("programs/O2: point-missing"))
      << "in a file of another name";
  EXPECT_THAT(codes({{"A.PRG", "O2" + text}}, before), IsEmpty());
  EXPECT_THAT(codes({{"A.PRG", "O2\nG1 X-2.5\nG0 Z9.\nM30\n"}}, before), IsEmpty()) << "another program";
}

TEST(Cautions, AValueOfSeveralNumbers) {
  Judging judging;
  judging.layout = parse_layout(
      "layout = 1\n[[source]]\ngroup = \"parameters\"\nfiles = \"*\"\nreader = \"sections\"\n", "l");
  const auto codes = [&](const std::string& before, const std::string& after) {
    return caution_codes(judging.of({{"M.CFG", "[axis]\nhome = " + after + "\n"}},
                                    {{"M.CFG", "[axis]\nhome = " + before + "\n"}}));
  };
  const std::string home = "parameters/axis/home: ";
  EXPECT_THAT(codes("1.5 2.25 -3.", "1.5 225 -3."), ElementsAre(home + "point-gone"));
  EXPECT_THAT(codes("1.5, 2.25, -3.", "1.5, 2.25, 3."), ElementsAre(home + "sign-flipped"));
  EXPECT_THAT(codes("1.5 2.25 -3.", "1.5 2.25 -3"), ElementsAre(home + "point-gone"));
  EXPECT_THAT(codes("2.25 mm", "23 mm"), ElementsAre(home + "point-missing"));
  EXPECT_THAT(codes("2.25 mm", "22.5 mm"), ElementsAre(home + "factor-of-ten"));
  EXPECT_THAT(codes("1.5 2.25", "1.5 2.26"), IsEmpty());
  EXPECT_THAT(codes("2026-01-02", "2026-10-02"), IsEmpty()) << "a date";
  EXPECT_THAT(codes("at 01:30", "at 10:30"), IsEmpty()) << "a time";
}

TEST(Cautions, APointThatIsGoneInEveryReader) {
  const std::vector<std::pair<std::string, std::string>> readers = {
      // how the source is read; a row, with @ for the number
      {"reader = \"words\"\naddress = \"{T}\"\nfields = { L = \"length\" }\n", "T1 L@\n"},
      {"reader = \"columns\"\ncolumns = [{ name = \"no\", kind = \"whole\" }, \"len\"]\naddress = \"{no}\"\n"
       "fields = { len = \"length\" }\n",
       "1 @\n"},
      {"reader = \"columns\"\nsplit = \"fixed\"\ncolumns = [{ name = \"no\", at = 0, width = 3, kind = "
       "\"whole\" }, "
       "{ name = \"len\", at = 3, width = 9 }]\naddress = \"{no}\"\nfields = { len = \"length\" }\n",
       "  1@\n"},
      {"reader = \"columns\"\nshape = \"TOOL {no}: LEN={len}\"\naddress = \"{no}\"\nfields = { len = "
       "\"length\" }\n",
       "TOOL 1: LEN=@\n"},
      {"reader = \"assign\"\n", "#1=@\n"},
      {"reader = \"assign\"\nshape = \"R{key}={value}\"\n", "R1=@\n"},
      {"reader = \"sections\"\n", "[tool]\nlength = @\n"}};
  for (const auto& [reader, row] : readers) {
    for (const std::string& more : {std::string(), counted, free_point}) {
      Judging judging;
      judging.layout =
          parse_layout("layout = 1\n[[source]]\ngroup = \"offsets\"\nfiles = \"*\"\n" + reader + more, "l");
      const auto cautions = [&, row = row](const std::string& before, const std::string& after) {
        const auto file = [&](std::string text, const std::string& number) {
          return Files{{"T", text.replace(text.find('@'), 1, number)}};
        };
        return caution_codes(judging.of(file(row, after), file(row, before))).size();
      };
      for (const char* lost : {"525", "53", "05"})
        EXPECT_EQ(cautions(std::string(lost) == "05" ? "0.5" : "5.25", lost), 1U) << reader << more << lost;
      EXPECT_EQ(cautions("7.", "7"), more == free_point ? 0U : 1U) << reader << more;
      EXPECT_EQ(cautions("5.25", "5.26"), 0U) << reader << more;
    }
  }
}

TEST(Cautions, ADecimalCommaThatIsGone) {
  Judging judging;
  judging.layout = parse_layout(
      "layout = 1\n[[source]]\ngroup = \"variables\"\nfiles = \"*\"\nreader = \"assign\"\n"
      "decimal = \"comma\"\n",
      "l");
  EXPECT_THAT(caution_codes(judging.of({{"V", "#1=53\n"}}, {{"V", "#1=5,25\n"}})),
              ElementsAre("variables/1: point-missing"));
}

TEST(Cautions, LimitsStepsAndCautionItems) {
  Judging judging;
  judging.book = Namebook::parse(
      "address\tname\tmin\tmax\tstep\tcaution\tflags\n"
      "variables/1\tOne\t0\t5\t\t\t\nvariables/2\tTwo\t\t\t0.5\t\t\nvariables/3\tThree\t\t\t\tkeep guards "
      "on\t\n"
      "variables/4\tFour\t\t1\t\t\tliving\n",
      "book");
  const Files before = {{"M.VAR", "#1=2\n#2=1\n#3=1\n#4=1\n"}};
  const Verdict verdict = judging.of({{"M.VAR", "#1=6\n#2=1.6\n#3=3\n#4=12\n"}}, before);
  EXPECT_EQ(verdict.worth, Worth::good);
  EXPECT_THAT(caution_codes(verdict), ElementsAre("variables/1: out-of-limits", "variables/2: large-step",
                                                  "variables/3: caution-item"));
  EXPECT_THAT(caution_codes(judging.of(before, before)), IsEmpty())
      << "what did not change is not shown again";
  EXPECT_THAT(caution_codes(judging.alone({{"M.VAR", "#1=6\n#2=1.6\n#3=3\n"}})),
              ElementsAre("variables/1: out-of-limits"));
}

}  // namespace
}  // namespace keepway
