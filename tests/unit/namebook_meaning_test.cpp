// Names, limits and values are invented.
#include <gtest/gtest.h>

#include "keepway/meaning.hpp"

namespace keepway {
namespace {

const Namebook& book() {
  static const Namebook value = Namebook::parse(
      "address\tname\tunit\tkind\tmin\tmax\tstep\tmeaning\tflags\tcaution\n"
      "offsets/work/*/X\t* origin X\tlength\tnumber\t-30\t0\t0.05\t\t\t\n"
      "parameters/40\tDoor switches\t\tbits\t\t\t\t0=front;2=rear\tpower-cycle\tmind the door\n"
      "parameters/41\tSame in binary\t\tbinary\t\t\t\t0=front\t\t\n"
      "settings/2\tUnits\t\tchoice\t\t\t\t0=inch;1=mm\t\t\n"
      "settings/10\tDry run\t\tyesno\n",
      "n");
  return value;
}

TEST(Meaning, LengthsHaveBothUnitsExactly) {
  const auto change = explain_change(book(), Units::inch, Group::offsets, "work/G54/X", "-4.25", "-4.3");
  EXPECT_EQ(change.name, "G54 origin X");
  EXPECT_EQ(change.delta, "-0.05");
  EXPECT_EQ(change.other_delta, "-1.27");
  EXPECT_EQ(change.other_unit, "mm");
  EXPECT_TRUE(change.warnings.empty()) << "a change as large as the limit is within it";
  const auto metric = explain_change(book(), Units::mm, Group::offsets, "work/G54/X", "-10", "-9.999");
  EXPECT_EQ(metric.other_delta, "~+0.0000394");
}

TEST(Meaning, ALengthInAUnitOfItsOwnIsShownInThat) {
  const Namebook own = Namebook::parse(
      "address\tname\tunit\tkind\tmin\tmax\nparameters/7\tPitch\tmm\tnumber\t4\t6\n"
      "parameters/8\tSlack\tin\tnumber\n",
      "n");
  const auto metric = explain_change(own, Units::inch, Group::parameters, "7", "5", "7.54");
  EXPECT_EQ(metric.after, "7.54 mm");
  EXPECT_EQ(metric.other_delta, "+0.1");
  EXPECT_EQ(metric.other_unit, "in");
  ASSERT_EQ(metric.warnings.size(), 1U);
  EXPECT_NE(metric.warnings[0].find("6 mm"), std::string::npos);
  const auto inch = explain_change(own, Units::mm, Group::parameters, "8", "0", "0.1");
  EXPECT_EQ(inch.after, "0.1 in");
  EXPECT_EQ(inch.other_delta, "+2.54");
  EXPECT_EQ(inch.other_unit, "mm");
}

TEST(Meaning, WarnsOfLargeStepsAndLimits) {
  const auto change = explain_change(book(), Units::inch, Group::offsets, "work/G54/X", "-4.25", "42.5");
  ASSERT_EQ(change.warnings.size(), 2U);
  EXPECT_EQ(change.before, "-4.25 in");
  EXPECT_EQ(change.after, "42.5 in");
  EXPECT_NE(change.warnings[0].find("larger than 0.05 in,"), std::string::npos);
  EXPECT_NE(change.warnings[1].find("above"), std::string::npos);
}

TEST(Meaning, ReadsBits) {
  const auto change = explain_change(book(), Units::inch, Group::parameters, "40", "1", "4");
  ASSERT_EQ(change.bits.size(), 2U);
  EXPECT_EQ(change.bits[0].name, "front");
  EXPECT_TRUE(change.bits[0].before && !change.bits[0].after);
  EXPECT_EQ(change.bits[1].bit, "2");
  EXPECT_EQ(change.warnings.size(), 2U);
  EXPECT_TRUE(change.delta.empty());
  const auto binary = explain_change(book(), Units::inch, Group::parameters, "41", "10", "11");
  ASSERT_EQ(binary.bits.size(), 1U);
  EXPECT_EQ(binary.bits[0].name, "front");
  EXPECT_EQ(explain_value(book().find(Group::parameters, "40"), Units::inch, "5"), "5 (on: front, rear)");
}

TEST(Meaning, SpeaksCodedValues) {
  const auto change = explain_change(book(), Units::inch, Group::settings, "2", "0", "1");
  EXPECT_EQ(change.before, "0 (inch)");
  EXPECT_EQ(change.after, "1 (mm)");
  EXPECT_EQ(explain_value(book().find(Group::settings, "10"), Units::inch, "1"), "yes (1)");
}

TEST(Meaning, UnnamedAndHostileValuesAreShownSafely) {
  const auto added = explain_change(book(), Units::inch, Group::variables, "300", std::nullopt, "\x1b[2J");
  EXPECT_EQ(added.after, "\\x1B[2J");
  EXPECT_TRUE(added.delta.empty());
  const auto plain = explain_change(book(), Units::inch, Group::variables, "300", "1", "1.5");
  EXPECT_EQ(plain.delta, "+0.5");
  EXPECT_TRUE(plain.other_delta.empty()) << "nobody said that it is a length";
}

}  // namespace
}  // namespace keepway
