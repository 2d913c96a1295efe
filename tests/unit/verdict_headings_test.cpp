// What a table's file says beside its rows: headings, units, and the form in which it was saved. All files
// are invented.
#include <gmock/gmock.h>

#include "verdict_support.hpp"

namespace keepway {
namespace {

using namespace testing_verdict;
using ::testing::ElementsAre;
using ::testing::IsEmpty;

constexpr const char* columns_layout =
    "layout = 1\n"
    "[[source]]\ngroup = \"offsets\"\nfiles = \"*.OFS\"\nreader = \"columns\"\nsplit = \"blanks\"\n"
    "skip = [\"AXIS*\", \"OFFSETS*\", \"ALL IN*\", \"* REMARK\"]\naddress = \"work/{axis}\"\n"
    "fields = { a = \"g54\", b = \"g55\" }\n"
    "columns = [{ name = \"axis\", kind = \"text\" }, \"a\", \"b\"]\n";

std::vector<std::string> codes(const std::string& now, const std::string& before) {
  Judging judging;
  judging.layout = parse_layout(columns_layout, "test.toml");
  std::vector<std::string> out;
  for (const Reason& reason : judging.of({{"W.OFS", now}}, {{"W.OFS", before}}).reasons)
    out.push_back(std::string(worth_name(reason.weight)) + " " + reason.code);
  return out;
}

const std::string rows = "X 1.5 2.5\nY 3.5 4.5\nZ 5.5 6.5\n";

TEST(Headings, WhoseColumnsComeInAnotherOrderAreDoubted) {
  EXPECT_THAT(codes("AXIS G55 G54\n" + rows, "AXIS G54 G55\n" + rows),
              ElementsAre("doubtful heading-differs"));
  EXPECT_THAT(codes("AXIS G54 G55\nX 1.5 2.6\nY 3.5 4.5\nZ 5.5 6.5\n", "AXIS G54 G55\n" + rows), IsEmpty());
  EXPECT_THAT(codes("AXIS   G54 | G55\n" + rows, "AXIS G54 G55\n" + rows), IsEmpty()) << "other blanks";
}

TEST(Headings, WithAnotherNameOverAColumnAreDoubted) {
  EXPECT_THAT(codes("AXIS G54 G58\n" + rows, "AXIS G54 G55\n" + rows),
              ElementsAre("doubtful heading-differs"));
  EXPECT_THAT(codes("OFFSETS OF 3 MAY\n" + rows, "OFFSETS OF 2 MARCH\n" + rows), IsEmpty()) << "a date";
  EXPECT_THAT(codes("OFFSETS BY IDA\n" + rows, "OFFSETS\n" + rows), IsEmpty());
  EXPECT_THAT(codes("OFFSETS BY IDA\n" + rows, "OFFSETS BY TOM\n" + rows), IsEmpty()) << "a title";
}

TEST(Headings, ThatNameAnotherUnitAreDoubted) {
  EXPECT_THAT(codes("ALL IN INCH\n" + rows, "ALL IN MM\n" + rows), ElementsAre("doubtful unit-differs"));
  EXPECT_THAT(codes("OFFSETS (INCH) 3.5.26\n" + rows, "OFFSETS (MM) 2.3.26\n" + rows),
              ElementsAre("doubtful unit-differs"))
      << "beside a date";
  EXPECT_THAT(codes("OFFSETS (INCH) 13.5.26\n" + rows, "OFFSETS (MM) 2.3.26\n" + rows),
              ElementsAre("doubtful unit-differs"));
  EXPECT_THAT(codes("ALL IN MM\n" + rows, "ALL IN MM\n" + rows), IsEmpty());
  EXPECT_THAT(codes("OFFSETS MM\n" + rows, "OFFSETS OF MILL\n" + rows), IsEmpty()) << "none before";
}

TEST(Headings, OfFilesWithoutRowsLikeThemAreFreeToChange) {
  EXPECT_THAT(codes("B A REMARK\n" + rows, "OFFSETS\n" + rows), IsEmpty());
  // A row is no heading, though its words are names.
  Judging judging;
  judging.layout = parse_layout(
      "layout = 1\n[[source]]\ngroup = \"settings\"\nfiles = \"*.SET\"\nreader = \"columns\"\n"
      "split = \"blanks\"\naddress = \"{name}\"\ncolumns = [\"name\", \"a\", \"b\"]\n"
      "fields = { a = { name = \"a\", kind = \"text\" }, b = { name = \"b\", kind = \"text\" } }\n",
      "test.toml");
  EXPECT_THAT(judging.of({{"A.SET", "MODE ON OFF\nA B C\n"}}, {{"A.SET", "MODE OFF ON\nA B C\n"}}).reasons,
              IsEmpty());
}

TEST(FileForm, SavedAsUtf8ByAPcIsDoubted) {
  const std::string latin = "AXIS G54 G55\nOFFSETS \xC4\n" + rows;
  const std::string utf8 = "AXIS G54 G55\nOFFSETS \xC3\x84\n" + rows;
  EXPECT_THAT(codes(utf8, latin), ElementsAre("doubtful saved-as-utf8"));
  EXPECT_THAT(codes(utf8, "OFFSETS\n" + utf8), IsEmpty()) << "as before";
  EXPECT_THAT(codes(utf8, "AXIS G54 G55\n" + rows), IsEmpty()) << "the first letter beyond ASCII";
  EXPECT_THAT(codes(latin, "OFFSETS\n" + latin), IsEmpty());
  const std::string mark = "\xEF\xBB\xBF";
  EXPECT_THAT(codes(mark + utf8, latin), testing::Contains("doubtful saved-as-utf8"));
  EXPECT_THAT(codes(utf8, mark + utf8), testing::Not(testing::Contains("doubtful saved-as-utf8")));
}

TEST(FileForm, WithOtherLineEndsIsSaid) {
  const auto with_ends = [](std::string text, const std::string& end) {
    for (std::size_t at = 0; (at = text.find('\n', at)) != std::string::npos; at += end.size())
      text.replace(at, 1, end);
    return text;
  };
  EXPECT_THAT(codes(rows, with_ends(rows, "\r\n")), ElementsAre("good line-ends-differ"));
  EXPECT_THAT(codes(with_ends(rows, "\r\n"), rows), ElementsAre("good line-ends-differ"));
  EXPECT_THAT(codes("OFFSETS\n" + rows, rows), IsEmpty());
  EXPECT_THAT(codes("X 1 2\n", "X 1 2\r\n"), IsEmpty()) << "too few lines to say";
}

}  // namespace
}  // namespace keepway
