// How a new value is written where an old one stands. All values are invented.
#include <gtest/gtest.h>

#include "restore/spell.hpp"

namespace keepway::restore {
namespace {

std::string spelled(std::string_view old, const std::string& value, Manner manner = {}) {
  const Spelling spelling = spell(old, value, manner);
  return spelling.text ? *spelling.text : "refused: " + spelling.why;
}

bool refused(std::string_view old, const std::string& value, const Manner& manner) {
  const Spelling spelling = spell(old, value, manner);
  return !spelling.text && !spelling.why.empty();
}

TEST(Spell, KeepsPointAndDigitsBehindIt) {
  EXPECT_EQ(spelled("1.2500", "3"), "3.0000");
  EXPECT_EQ(spelled("1.2500", "-3.5"), "-3.5000");
  EXPECT_EQ(spelled("12.", "7"), "7.");
  EXPECT_EQ(spelled(".5", "0.25"), ".25");
  EXPECT_EQ(spelled(".5", "0"), ".0");
  EXPECT_EQ(spelled(".5", "-1.5"), "-1.5");
  EXPECT_EQ(spelled("5", "7"), "7");
}

TEST(Spell, WritesMoreDigitsWhereTheWidthIsFree) {
  EXPECT_EQ(spelled("1.25", "1.2505"), "1.2505");
  EXPECT_EQ(spelled("5", "0.5"), "0.5");
}

TEST(Spell, KeepsPlusSignAndLeadingZeros) {
  EXPECT_EQ(spelled("+1.5", "2"), "+2.0");
  EXPECT_EQ(spelled("+1.5", "-2"), "-2.0");
  EXPECT_EQ(spelled("-1.5", "2"), "2.0");
  EXPECT_EQ(spelled("0012.5", "3.5"), "0003.5");
  EXPECT_EQ(spelled("0012.5", "12345.5"), "12345.5");
  EXPECT_EQ(spelled("00", "7"), "07");
  EXPECT_EQ(spelled("0.5", "12"), "12.0");
}

TEST(Spell, CountsInLeastIncrementsWhereThereWasNoPoint) {
  const Decimal increment = *Decimal::parse("0.0001");
  const Manner counted{FieldKind::number, &increment, false, false, 0, 0, 0, false};
  EXPECT_EQ(spelled("45", "1.2345", counted), "12345");
  EXPECT_EQ(spelled("-00000045", "1.2345", counted), "00012345");
  EXPECT_EQ(spelled("45.", "1.2345", counted), "1.2345");
  EXPECT_EQ(spelled("45", "0", counted), "0");
  // Finer than the increment: with a point it does not count in increments.
  EXPECT_EQ(spelled("45", "0.00005", counted), "0.00005");
  const Decimal third = *Decimal::parse("0.3");
  EXPECT_EQ(spelled("45", "1", {FieldKind::number, &third, false, false, 0, 0, 0, false}), "1.");
  // Whole numbers never count in increments.
  EXPECT_EQ(spelled("45", "7", {FieldKind::whole, &increment, false, false, 0, 0, 0, false}), "7");
  // Nothing tells the manner of text: a point keeps the number from being counted.
  EXPECT_EQ(spelled("#4", "7", counted), "7.");
}

TEST(Spell, FillsAFixedColumnAndNeverOverflowsIt) {
  const Manner right{FieldKind::number, nullptr, true, true, 0, 0, 0, false};
  const Manner left{FieldKind::number, nullptr, true, false, 0, 0, 0, false};
  EXPECT_EQ(spelled("12.50", "3.5", right), " 3.50");
  EXPECT_EQ(spelled("12.50", "3.5", left), "3.50 ");
  EXPECT_EQ(spelled("0012.50", "-3.5", right), "-003.50");
  EXPECT_EQ(spelled("-012.50", "3.5", right), "0003.50");
  EXPECT_TRUE(refused("2.50", "-3.5", right));
  EXPECT_TRUE(refused("2.50", "1.125", right));
  EXPECT_TRUE(refused("2.50", "12.5", right));
  EXPECT_TRUE(refused("250", "12.5", right));
  const Decimal increment = *Decimal::parse("0.0001");
  EXPECT_EQ(spelled("00045", "1.2345", {FieldKind::number, &increment, true, true, 0, 0, 0, false}), "12345");
  EXPECT_TRUE(refused("00045", "0.00005", {FieldKind::number, &increment, true, true, 0, 0, 0, false}));
}

TEST(Spell, WritesTextAsText) {
  const Manner text{FieldKind::text, nullptr, false, false, 0, 0, 0, false};
  EXPECT_EQ(spelled("face mill", "007", text), "007");
  EXPECT_EQ(spelled("1.50", "face mill", text), "face mill");
  EXPECT_EQ(spelled("long name", "short", {FieldKind::text, nullptr, true, false, 0, 0, 0, false}),
            "short    ");
  EXPECT_EQ(spelled("1.5", "[#4+1]"), "[#4+1]");
  EXPECT_TRUE(refused("5", "0.5", {FieldKind::whole, nullptr, false, false, 0, 0, 0, false}));
}

TEST(Spell, WhatHasBlanksInItIsNoNumber) {
  EXPECT_EQ(spelled("- 1 2.5 0", "3"), "3");
}

TEST(Spell, WritesThePointWhereItCounts) {
  Manner apart;
  apart.kind = FieldKind::number;
  apart.point_counts = true;
  Manner whole = apart;
  whole.kind = FieldKind::whole;
  Manner column = apart;
  column.fixed = column.right = true;
  EXPECT_EQ(spelled("5", "7.", apart), "7.");
  EXPECT_EQ(spelled("5.0", "7.", apart), "7.0");
  EXPECT_EQ(spelled("5.00", "7", apart), "7");
  EXPECT_EQ(spelled("5", "7", apart), "7");
  EXPECT_EQ(spelled("5.", "0", apart), "0.");  // nothing is nothing with and without
  EXPECT_EQ(spelled("5", "-7.5", apart), "-7.5");
  EXPECT_EQ(spelled("5", "7", whole), "7");
  EXPECT_TRUE(refused("005", "7.", column));
  EXPECT_EQ(spelled("5.00", "7", column), "   7");
}

}  // namespace
}  // namespace keepway::restore
