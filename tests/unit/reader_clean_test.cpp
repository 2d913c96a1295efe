// Values are invented.
#include <gmock/gmock.h>

#include <bit>

#include "reader/clean.hpp"
#include "reader/lines.hpp"
#include "unit/reader_support.hpp"

namespace keepway {
namespace {

using reader::clean;
using reader::Cleaned;
using reader::has_even_parity;
using testing::ElementsAre;

std::string with_parity(std::string text) {
  for (char& c : text) {
    if (std::popcount(static_cast<unsigned char>(c)) % 2 != 0)
      c = static_cast<char>(static_cast<unsigned char>(c) | 0x80U);
  }
  return text;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> out;
  reader::Lines lines(text);
  reader::Line line;
  while (lines.next(line)) {
    EXPECT_EQ(text.substr(line.at, line.text.size()), line.text);
    EXPECT_EQ(line.number, out.size() + 1);
    out.emplace_back(line.text);
  }
  return out;
}

std::vector<OddityKind> kinds(const Cleaned& cleaned) {
  std::vector<OddityKind> out;
  for (const Oddity& oddity : cleaned.oddities) out.push_back(oddity.kind);
  return out;
}

TEST(Lines, EndInAllFourWays) {
  EXPECT_THAT(lines_of("a\nb\n\nc\n"), ElementsAre("a", "b", "", "c"));
  EXPECT_THAT(lines_of("a\r\nb\r\n\r\nc"), ElementsAre("a", "b", "", "c"));
  EXPECT_THAT(lines_of("a\n\rb\n\r\n\rc\n\r"), ElementsAre("a", "b", "", "c"));
  EXPECT_THAT(lines_of("a\rb\r\rc\r"), ElementsAre("a", "b", "", "c"));
  EXPECT_THAT(lines_of("a\r\n\nb\n"), ElementsAre("a", "", "b"));
  EXPECT_THAT(lines_of(""), ElementsAre());
}

TEST(Lines, OfOneMegabyteWithOnlyCarriageReturnsTakeLinearTime) {
  std::string text;
  for (int i = 0; i < 500'000; ++i) text += "1\r";
  EXPECT_EQ(lines_of(text).size(), 500'000U);
}

TEST(Clean, LeavesPlainTextAlone) {
  const std::string text = "5161 0.0\n";
  Cleaned cleaned;
  clean(text, "a", cleaned);
  EXPECT_EQ(cleaned.text.data(), text.data());
  EXPECT_TRUE(cleaned.oddities.empty());
  EXPECT_FALSE(cleaned.parity);
}

TEST(Clean, TakesEvenParityAway) {  // ISO 1113 / ECMA-10
  const std::string text = "%\r\nG10 L2 P1 X-4.25\r\n%\r\n";
  const std::string punched = std::string(20, '\0') + with_parity(text) + std::string(20, '\x7F');
  Cleaned cleaned;
  clean(punched, "a", cleaned);
  EXPECT_TRUE(cleaned.parity);
  EXPECT_EQ(cleaned.text, std::string(20, ' ') + text + std::string(20, ' '));
  EXPECT_THAT(kinds(cleaned), ElementsAre(OddityKind::parity, OddityKind::leader));
  EXPECT_EQ(cleaned.oddities[0].place.byte, 20U);  // % has three bits: the first byte with parity
}

TEST(Clean, DoesNotTakeOtherTextForParity) {
  EXPECT_FALSE(has_even_parity("G1 X1\n"));
  EXPECT_FALSE(has_even_parity("fr\xC3\xA4ser 12\n"));          // UTF-8
  EXPECT_FALSE(has_even_parity("\xC3\xA9"));                    // UTF-8, each byte of even weight
  EXPECT_FALSE(has_even_parity("fr\xE4ser 12\n"));              // ISO 8859-1
  EXPECT_FALSE(has_even_parity(with_parity("G1 X1\n") + "1"));  // one byte of odd weight
  EXPECT_FALSE(has_even_parity(""));
  EXPECT_FALSE(has_even_parity(std::string("\0\x7F\0", 3)));
  EXPECT_TRUE(has_even_parity(with_parity("G1 X1\n")));
}

TEST(Clean, AFewSpoiledBytesDoNotHideTheParityAndAreNotGuessed) {
  std::string text;
  for (int i = 0; i < 20; ++i) text += "G1 X1.25\r\n";
  std::string punched = with_parity(text);
  punched[10 + 4] = static_cast<char>(static_cast<unsigned char>(punched[10 + 4]) ^ 0x01U);  // on line 2
  punched[40 + 6] = static_cast<char>(static_cast<unsigned char>(punched[40 + 6]) ^ 0x40U);
  Cleaned cleaned;
  clean(punched, "a", cleaned);
  EXPECT_TRUE(cleaned.parity);
  EXPECT_FALSE(has_even_parity(punched));
  text[10 + 4] = text[40 + 6] = '?';
  EXPECT_EQ(cleaned.text, text);
  ASSERT_THAT(kinds(cleaned), ElementsAre(OddityKind::parity, OddityKind::bad_parity));
  EXPECT_EQ(cleaned.oddities[1].place.line, 2U);
  EXPECT_EQ(cleaned.oddities[1].place.byte, 14U);
  EXPECT_EQ(cleaned.oddities[1].detail, "2 bytes have the wrong parity: damaged on the line, read as ?");
}

TEST(Clean, KeepsPositionsBehindMarksAndLeaders) {
  const std::string text =
      "\xEF\xBB\xBF"
      "5161\x0C 0.0\x11\n\x1A";
  Cleaned cleaned;
  clean(text, "a", cleaned);
  EXPECT_EQ(cleaned.text, "   5161  0.0 \n ");
  EXPECT_THAT(kinds(cleaned), ElementsAre(OddityKind::byte_order_mark, OddityKind::leader));
  EXPECT_EQ(cleaned.oddities[1].place.byte, 7U);
}

TEST(Clean, WhatFramesASentTextIsNoText) {
  Cleaned cleaned;
  clean(
      "\x01\x02"
      "5161 0.\n\x03\x04",
      "a", cleaned);
  EXPECT_EQ(cleaned.text, "  5161 0.\n  ");
  ASSERT_THAT(kinds(cleaned), ElementsAre(OddityKind::leader));
  EXPECT_EQ(cleaned.oddities[0].detail, "the text has control bytes such as SOH");
  Cleaned damaged;
  clean("G1 \x01\nM2\n\x03", "a", damaged);
  EXPECT_EQ(damaged.text, "G1 \x01\nM2\n ");
}

TEST(Clean, TellsOddLineEnds) {
  const auto reported = [](const std::string& text) {
    Cleaned cleaned;
    clean(text, "a", cleaned);
    return cleaned.oddities.empty() ? std::string() : cleaned.oddities[0].detail;
  };
  EXPECT_EQ(reported("a\nb\n"), "");
  EXPECT_EQ(reported("a\r\n\r\nb\r\n"), "");
  EXPECT_EQ(reported("a\rb\r"), "lines end with CR alone");
  EXPECT_EQ(reported("a\n\rb\n\r"), "lines end with LF CR");
  EXPECT_EQ(reported("a\nb\r\n"), "line ends are mixed");
  EXPECT_EQ(reported("a\nb"), "the last line has no line end");
  EXPECT_EQ(reported("a\n  "), "");
}

TEST(Clean, SpansFindTheParityBytesThemselves) {
  const std::string bytes = std::string(7, '\0') + with_parity("5161 1.25\n\r5162 -3\n\r");
  const test::Files files = {{"a.var", bytes}};
  const Reading reading = test::read(test::rs274ngc(), files);
  EXPECT_TRUE(reading.files[0].parity);
  EXPECT_EQ(test::value(reading, "offsets/home/G28/X"), "1.25");
  EXPECT_EQ(test::spelled(reading, files, "offsets/home/G28/X"), with_parity("1.25"));
  EXPECT_EQ(test::spelled(reading, files, "offsets/home/G28/Y"), with_parity("-3"));
  EXPECT_EQ(reading.origin(Group::offsets, "home/G28/Y")->span.line, 2U);
}

}  // namespace
}  // namespace keepway
