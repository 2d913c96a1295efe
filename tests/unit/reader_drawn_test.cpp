#include <gtest/gtest.h>

#include "base/encoding.hpp"
#include "reader/drawn.hpp"

namespace keepway::reader {
namespace {

std::string undrawn(std::string text) {
  if (is_drawn(text)) undraw(text);
  return text;
}

std::string in_437(const char* utf8) {
  return Encoding("CP437").from_utf8(utf8).value();
}

TEST(Drawn, BecomesSignsOfTheSameLength) {
  EXPECT_EQ(undrawn(in_437("┌──┬──┐\n│ 1│2 │\n╘══╧══╛\n")), "+--+--+\n| 1|2 |\n+==+==+\n");
  EXPECT_EQ(undrawn("─┼\n1│2\n"), "---+--\n1|  2\n");
  EXPECT_EQ(undrawn(in_437("NR │ X\n 1 │ 5\n 2 │ 6\n")), "NR | X\n 1 | 5\n 2 | 6\n") << "no rule at all";
}

TEST(Drawn, LettersAreNoLines) {
  // The first two: headings of a tool table in WINDOWS-1251, in capitals.
  for (const char* const text :
       {"\xCD\xCE\xCC\xC5\xD0 \xC4\xCB\xC8\xCD\xC0 \xC4\xC8\xC0\xCC\xC5\xD2\xD0\n1 5\n",
        "\xCD\xCE\xCC\xC5\xD0 \xC8\xCD\xD1\xD2\xD0\xD3\xCC\xC5\xCD\xD2\xC0\n1 5\n",
        "L\xC4NGE 5\nGR\xD6SSE \xC4 7\n", "A 5 mm\xB3\nB 6 mm\xB3\n", "N\xBA 1\nN\xBA 2\n",
        "1 \xB3 A\n2 B\n3 C\n4 D\n"}) {
    EXPECT_EQ(undrawn(text), text);
  }
  EXPECT_EQ(undrawn("\xE2\x94\x82 5 \xE2\x94\x82 \xE2\x94"), "|   5 |   \xE2\x94") << "cut in a character";
  EXPECT_EQ(undrawn("5 € \xE2\x86\x92 6\n"), "5 € \xE2\x86\x92 6\n") << "other signs of UTF-8";
  EXPECT_EQ(undrawn("\xE2\x94 \xFF\n"), "\xE2\x94 \xFF\n") << "no UTF-8";
}

}  // namespace
}  // namespace keepway::reader
