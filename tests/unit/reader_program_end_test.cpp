// Ends of programs that a layout names.
#include <gtest/gtest.h>

#include "reader/program_end.hpp"
#include "unit/reader_support.hpp"

namespace keepway {
namespace {

TEST(ProgramEnd, IsWhatABlockBeginsWith) {
  const std::vector<std::string> ends = {"M0", "M10", "RETURN"};
  for (const char* const line : {"M0", "M00", "m 0 0", "N40 M00 (stop)", "return", "N5RETURN", "M10", "M010"})
    EXPECT_TRUE(reader::begins_with_end(line, ends)) << line;
  for (const char* const line : {"", "M08", "M0.5", "RETURNS", "X1 M0", "N0", "N", "M", "M100", "M1"})
    EXPECT_FALSE(reader::begins_with_end(line, ends)) << line;
  EXPECT_FALSE(reader::begins_with_end("M0", {}));
}

constexpr const char* programs =
    "layout = 1\n[[source]]\ngroup = \"programs\"\nfiles = \"*\"\nreader = \"blocks\"\n";

std::size_t without_end(const std::string& ends, const std::string& text) {
  return test::count(test::read(programs + ends, {{"A", text}}), OddityKind::no_end);
}

TEST(ProgramEnd, IsNotMissedWhereTheLayoutNamesItOrSaysThatThereIsNone) {
  const std::string text = "O1\nG0 X1.\nRETURN\nO2\nG0 X2.\n";
  EXPECT_EQ(without_end("", text), 2U);
  EXPECT_EQ(without_end("ends = \"RETURN\"\n", text), 1U);
  EXPECT_EQ(without_end("ends = \"none\"\n", text), 0U);
  EXPECT_EQ(without_end("ends = \"M00\"\n", "O1\nG0 X1.\nM0\n"), 0U) << "zeros of the layout's own";
}

TEST(ProgramEnd, IsTheLastBlockAndNoStopBeforeOthers) {
  EXPECT_EQ(without_end("ends = \"M0\"\n", "O1\nM0\nG0 X1.\n"), 1U) << "cut off behind a stop";
  EXPECT_EQ(without_end("ends = \"M0\"\n", "O1\nG0 X1.\nM0\n\n(done)\n"), 0U) << "remarks are no blocks";
}

TEST(ProgramEnd, LinesThatAreSkippedAreOfNoProgram) {
  const std::string layout =
      "layout = 1\n[[source]]\ngroup = \"programs\"\nfiles = \"*\"\nreader = \"blocks\"\nskip = [\"$END\"]\n";
  const std::string text = "O1\nG0 X1.\nM30\n";
  const Reading reading = test::read(layout, {{"a", text + "$END\n"}});
  ASSERT_EQ(reading.programs.size(), 1U);
  EXPECT_EQ(reading.programs[0].span.length, text.size());
}

}  // namespace
}  // namespace keepway
