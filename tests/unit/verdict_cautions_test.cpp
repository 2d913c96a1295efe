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
