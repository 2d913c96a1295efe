// Ends of programs that a layout names.
#include <gtest/gtest.h>

#include "reader/program_end.hpp"
#include "unit/reader_support.hpp"

namespace keepway {
namespace {

TEST(ProgramEnd, IsWhatABlockBeginsWith) {
  const std::vector<std::string> ends = {"M0", "RET"};
  for (const char* const line : {"M0", "M00", "m 0 0", "N40 M00 (stop)", "ret", "N5RET"})
    EXPECT_TRUE(reader::begins_with_end(line, ends)) << line;
  for (const char* const line : {"", "M08", "M0.5", "RETURN", "X1 M0", "N0", "N", "M"})
    EXPECT_FALSE(reader::begins_with_end(line, ends)) << line;
  EXPECT_FALSE(reader::begins_with_end("M0", {}));
}

TEST(ProgramEnd, IsNotMissedWhereTheLayoutNamesItOrSaysThatThereIsNone) {
  const std::string layout =
      "layout = 1\n[[source]]\ngroup = \"programs\"\nfiles = \"*\"\nreader = \"blocks\"\n";
  const test::Files files = {{"A", "O1\nG0 X1.\nRET\nO2\nG0 X2.\n"}};
  EXPECT_EQ(test::count(test::read(layout, files), OddityKind::no_end), 2U);
  EXPECT_EQ(test::count(test::read(layout + "ends = \"RET\"\n", files), OddityKind::no_end), 1U);
  EXPECT_EQ(test::count(test::read(layout + "ends = \"none\"\n", files), OddityKind::no_end), 0U);
}

}  // namespace
}  // namespace keepway
