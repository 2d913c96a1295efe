#include <gtest/gtest.h>

#include "keepway/decimal.hpp"

namespace keepway {
namespace {

Decimal dec(std::string_view text) {
  return Decimal::parse(text).value();
}

TEST(Decimal, OneSpellingForOneValue) {
  for (const char* spelling : {"1", "1.", "1.0", "+1.000", "01", "+0001.0"}) {
    EXPECT_EQ(dec(spelling).text(), "1") << spelling;
    EXPECT_EQ(canonical_number(spelling), "1") << spelling;
  }
  for (const char* zero : {"0", "-0", "+0.", ".0", "-.000", "00"}) {
    EXPECT_EQ(dec(zero).text(), "0") << zero;
    EXPECT_EQ(canonical_number(zero), "0") << zero;
  }
  EXPECT_EQ(canonical_number("-.5"), "-0.5");
  EXPECT_EQ(canonical_number("10.250"), "10.25");
  EXPECT_EQ(canonical_number("100"), "100");
}

TEST(Decimal, RefusesWhatIsNotANumber) {
  for (const char* text : {"", "+", "-", ".", "1e5", "0x10", "1 2", "--1", "1.2.3", "1,5", "NaN"}) {
    EXPECT_FALSE(Decimal::parse(text)) << text;
    EXPECT_FALSE(canonical_number(text)) << text;
  }
  EXPECT_FALSE(Decimal::parse(std::string(Decimal::max_digits + 2, '1')));
}

TEST(Decimal, AddsAndSubtractsExactly) {
  EXPECT_EQ((dec("0.1") + dec("0.2")).text(), "0.3");
  EXPECT_EQ((dec("-4.25") - dec("-4.2501")).text(), "0.0001");
  EXPECT_EQ((dec("1") - dec("1.0")).text(), "0");
  EXPECT_EQ((dec("-0.5") + dec("0.25")).text(), "-0.25");
  EXPECT_EQ((dec("99999999999999999999999.9") + dec("0.1")).text(), "100000000000000000000000");
}

// ISO 1 / the international inch of 1959: 25.4 mm, exactly.
TEST(Decimal, AnInchIsExactly25Point4Millimetres) {
  EXPECT_EQ((dec("1") * dec("25.4")).text(), "25.4");
  EXPECT_EQ((dec("-0.0001") * dec("25.4")).text(), "-0.00254");
  const auto back = dec("0.00254").divided_by(dec("25.4"), 6);
  EXPECT_EQ(back.value.text(), "0.0001");
  EXPECT_TRUE(back.exact);
  const auto thousandth = dec("0.001").divided_by(dec("25.4"), 7);
  EXPECT_EQ(thousandth.value.text(), "0.0000394");
  EXPECT_FALSE(thousandth.exact);
}

TEST(Decimal, DividesWithRoundingAwayFromZero) {
  EXPECT_EQ(dec("1").divided_by(dec("3"), 4).value.text(), "0.3333");
  EXPECT_EQ(dec("2").divided_by(dec("3"), 4).value.text(), "0.6667");
  EXPECT_EQ(dec("-2").divided_by(dec("3"), 0).value.text(), "-1");
  EXPECT_EQ(dec("0").divided_by(dec("3"), 2).value.text(), "0");
  // The half itself goes away from zero too.
  EXPECT_EQ(dec("2.5").divided_by(dec("1"), 0).value.text(), "3");
  EXPECT_EQ(dec("-2.5").divided_by(dec("1"), 0).value.text(), "-3");
  EXPECT_EQ(dec("1").divided_by(dec("8"), 2).value.text(), "0.13");
  EXPECT_EQ(dec("2.49").divided_by(dec("1"), 0).value.text(), "2");
  EXPECT_EQ(dec("7.5").divided_by(dec("0.0025"), 2).value.text(), "3000");
  EXPECT_EQ(dec("0.00004").divided_by(dec("100"), 2).value.text(), "0");
}

TEST(Decimal, OrdersByValueNotByText) {
  EXPECT_LT(dec("-2"), dec("-1.5"));
  EXPECT_LT(dec("9"), dec("10"));
  EXPECT_LT(dec("0.09"), dec("0.1"));
  EXPECT_EQ(dec("2.50"), dec("2.5"));
  EXPECT_GT(dec("0"), dec("-0.0001"));
}

}  // namespace
}  // namespace keepway
