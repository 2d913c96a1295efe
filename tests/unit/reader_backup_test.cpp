// Values are invented.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <random>

#include "unit/reader_support.hpp"

namespace keepway {
namespace {

using test::count;
using test::Files;
using test::first;
using test::read;
using test::unread;
using test::value;

const std::string two_groups = R"(
layout = 1
[[source]]
group = "offsets"
files = ["ZEROS.{serial}", "*.OFFSETS"]
reader = "words"
address = "tool/{T}"
fields = { Z = "length" }
[[source]]
group = "settings"
files = "*.SETTINGS"
reader = "words"
address = "{K}"
fields = { V = "" }
)";

TEST(Backup, TellsHowManyFilesAreUnderstood) {
  const Layout layout = parse_layout(two_groups, "layout.toml");
  std::vector<std::string> names;
  for (int i = 0; i < 40; ++i) names.push_back(std::to_string(i) + ".SETTINGS");
  const std::string text = "K1 V5\n" + std::string(8'000, ' ') + "\n";  // enough in all for two threads
  std::vector<OriginalView> files;
  for (const std::string& name : names) files.push_back({name, text});
  std::uint64_t last = 0;
  (void)read_backup(layout, {}, files, nullptr,
                    [&](std::string_view what, std::uint64_t done, std::uint64_t of) {
                      EXPECT_EQ(what, "files understood");
                      EXPECT_EQ(done, ++last);
                      EXPECT_EQ(of, 40U);
                    });
  EXPECT_EQ(last, 40U);
}

TEST(Backup, EachFileGoesToTheFirstSourceOfItsName) {
  const Reading reading =
      read(two_groups, {{"sub/a.offsets", "T1 Z2\n"}, {"b.SETTINGS", "K1 V5\n"}, {"c.txt", "K1 V5\n"}});
  EXPECT_EQ(reading.files[0].source, 0U);
  EXPECT_EQ(reading.files[0].items, 1U);
  EXPECT_EQ(reading.files[1].source, 1U);
  EXPECT_EQ(reading.files[2].source, FileFacts::no_source);
  EXPECT_FALSE(reading.state.table(Group::variables));
  EXPECT_FALSE(reading.state.table(Group::programs));
  EXPECT_EQ(value(reading, "settings/1"), "5");
}

TEST(Backup, ProgramsAndUnreadRowsOfTheirGroupBothHaveOrigins) {
  const std::string stream = R"(
layout = 1
[[source]]
group = "programs"
files = "*"
reader = "blocks"
begins = "O"
)";
  const Reading reading = read(stream, {{"a", "%\nwhat is this\nand this\n%\nO1\nM30\n%\nO20\nM30\n%\n"}});
  ASSERT_EQ(reading.origins.size(), 4U);
  for (const Origin& origin : reading.origins) EXPECT_EQ(reading.origin(origin.group, origin.key), &origin);
  EXPECT_NE(reading.origin(Group::programs, "O20"), nullptr);
}

TEST(Backup, AnEmptyFileStillSpeaksOfItsGroup) {
  const Reading reading = read(two_groups, {{"a.OFFSETS", ""}});
  ASSERT_TRUE(reading.state.table(Group::offsets));
  EXPECT_TRUE(reading.state.table(Group::offsets)->empty());
}

TEST(Backup, AnotherMachinesSerialIsReported) {
  const Files files = {{"ZEROS.1234", "T1 Z2\n"}};
  EXPECT_FALSE(read(two_groups, files, {"1234", Units::inch}).files[0].wrong_serial);
  const Reading other = read(two_groups, files, {"999", Units::inch});
  EXPECT_TRUE(other.files[0].wrong_serial);
  EXPECT_EQ(value(other, "offsets/tool/1/length"), "2");
}

TEST(Backup, OriginsAreInOrderAndFound) {
  const Reading reading =
      read(two_groups, {{"a.SETTINGS", "K10 V1\nK2 V1\n"}, {"b.OFFSETS", "T10 Z1\nT9 Z1\n"}});
  ASSERT_EQ(reading.origins.size(), 4U);
  EXPECT_EQ(reading.origins[0].group, Group::settings);
  EXPECT_EQ(reading.origins[0].key, "2");
  EXPECT_EQ(reading.origins[2].key, "tool/9/length");
  EXPECT_EQ(reading.origin(Group::offsets, "tool/10/length")->span.line, 1U);
  EXPECT_EQ(reading.origin(Group::offsets, "tool/11/length"), nullptr);
  EXPECT_EQ(reading.origin(Group::settings, "tool/10/length"), nullptr);
}

TEST(Backup, AKeyInTwoFilesIsItsLast) {
  const Reading reading = read(two_groups, {{"a.OFFSETS", "T1 Z1\n"}, {"b.OFFSETS", "T1 Z2\n"}});
  EXPECT_EQ(value(reading, "offsets/tool/1/length"), "2");
  ASSERT_EQ(count(reading, OddityKind::clashing_files), 1U);
  EXPECT_EQ(first(reading, OddityKind::clashing_files)->place.file, "b.OFFSETS");
  EXPECT_EQ(reading.origin(Group::offsets, "tool/1/length")->span.file, 1U);
  const Reading same = read(two_groups, {{"a.OFFSETS", "T1 Z1.\n"}, {"b.OFFSETS", "T1 Z1.0\n"}});
  EXPECT_EQ(count(same, OddityKind::clashing_files), 0U);
  EXPECT_EQ(count(same, OddityKind::repeated_row), 1U);
}

TEST(Backup, AProgramTwiceIsKeptOnceOrUnderANameOfItsOwn) {
  const std::string programs = R"(
layout = 1
[[source]]
group = "programs"
files = "*.NC"
reader = "blocks"
)";
  const Reading reading = read(programs, {{"a.NC", "O1\nG0 X1.\nM30\n"},
                                          {"b.NC", "O1\nG0 X2\nM30\n"},
                                          {"c.NC", "O1\ng00 x1.0\nM30\n"},
                                          {"d.NC", "O1\nG0 X3\nM30\n"}});
  std::vector<std::string> names;
  for (const Program& program : reading.state.programs) names.push_back(program.name);
  EXPECT_THAT(names, testing::ElementsAre("O1", "O1~2", "O1~3"));
  ASSERT_EQ(count(reading, OddityKind::same_program), 1U);
  EXPECT_EQ(first(reading, OddityKind::same_program)->place.file, "c.NC");
  ASSERT_EQ(count(reading, OddityKind::clashing_program), 2U);
  EXPECT_EQ(first(reading, OddityKind::clashing_program)->place.file, "b.NC");
  EXPECT_EQ(reading.origin(Group::programs, "O1~3")->span.file, 3U);
}

TEST(Backup, UnreadRowsKeepTheirKeyWhenOthersComeAndGo) {
  const Reading one = read(two_groups, {{"a.OFFSETS", "strange row  \n"}});
  const Reading two = read(two_groups, {{"a.OFFSETS", "another\r\n  strange row\r\nT1 Z1\r\n"}});
  const Item& item = one.state.table(Group::offsets)->front();
  EXPECT_EQ(item.value, "strange row");
  ASSERT_NE(find_item(*two.state.table(Group::offsets), item.key), nullptr);
}

TEST(Backup, AStreamIsCutAtMarksAndGoesToItsSources) {
  const std::string layout = R"(
layout = 1
[[source]]
group = "settings"
files = "*.cap"
reader = "words"
begins = "K"
address = "{K}"
fields = { V = "" }
[[source]]
group = "offsets"
files = "*.cap"
reader = "words"
begins = "G10"
[[source.row]]
match = "G10 L2"
address = "work/{P}"
fields = { X = "X" }
[[source]]
group = "variables"
files = "*.cap"
reader = "assign"
begins = "#"
)";
  const Files files = {{"all.cap", "%\nK1 V5\nK2 V6\n%\n%\n g 10 L2 P1 X3\n%\n#300=4\n%\nleft over\n%\n"}};
  const Reading reading = read(layout, files);
  EXPECT_EQ(value(reading, "settings/2"), "6");
  EXPECT_EQ(value(reading, "offsets/work/1/X"), "3");
  EXPECT_EQ(value(reading, "variables/300"), "4");
  EXPECT_EQ(test::spelled(reading, files, "variables/300"), "4");
  EXPECT_EQ(reading.origin(Group::variables, "300")->span.line, 8U);
  EXPECT_EQ(reading.origin(Group::variables, "300")->source, 2U);
  EXPECT_THAT(unread(reading, Group::settings), testing::ElementsAre("left over"));
  EXPECT_EQ(reading.oddities.size(), 1U);
  EXPECT_EQ(first(reading, OddityKind::unread)->place.line, 10U);
}

TEST(Backup, AStreamsLastMarkHasItsLineEnd) {
  const std::string layout = R"(
layout = 1
[[source]]
group = "variables"
files = "*.cap"
reader = "assign"
begins = "#"
[[source]]
group = "programs"
files = "*.cap"
reader = "blocks"
begins = "O"
)";
  const std::string text = "%\r\n#300=4\r\n%\r\nO1\r\nM30\r\n%";
  EXPECT_THAT(read(layout, {{"all.cap", text + "\r\n"}}).oddities, testing::IsEmpty());
  EXPECT_GE(count(read(layout, {{"all.cap", text}}), OddityKind::no_final_newline), 1U);
}

TEST(Backup, ABeginningIsInTheFilesOwnCharacters) {
  const std::string layout = R"(
layout = 1
[[source]]
group = "settings"
files = "*.cap"
reader = "sections"
begins = "LÄNGE"
encoding = "CP850"
)";
  const Files files = {{"all.cap", "L\x8eNGE = 12\nBREITE = 5\n"}};
  EXPECT_EQ(value(read(layout, files), "settings/BREITE"), "5");
}

TEST(Backup, ABeginningIsAWholeWord) {
  const std::string layout = R"(
layout = 1
[[source]]
group = "offsets"
files = "*"
reader = "words"
begins = "G1"
address = "{X}"
fields = { Y = "" }
)";
  EXPECT_EQ(read(layout, {{"a", "G1 X1 Y2\n"}}).state.table(Group::offsets)->front().key, "1");
  EXPECT_EQ(unread(read(layout, {{"a", "G10 X1 Y2\n"}}), Group::offsets).size(), 1U);
}

TEST(Backup, ALineOverTheBoundLeavesTheFileUnread) {
  const std::string text = "T1 Z1\n" + std::string(65 << 10, 'x') + "\n";
  const Reading reading = read(two_groups, {{"a.OFFSETS", text}});
  EXPECT_FALSE(reading.state.table(Group::offsets));
  EXPECT_EQ(reading.files[0].items, 0U);
  EXPECT_EQ(reading.files[0].source, 0U);
  ASSERT_EQ(count(reading, OddityKind::too_large), 1U);
  EXPECT_EQ(first(reading, OddityKind::too_large)->place.line, 2U);
}

TEST(Backup, UnreadTextIsKeptUpToABoundARow) {
  const Reading reading = read(two_groups, {{"a.OFFSETS", std::string(10'000, '?') + "\n"}});
  EXPECT_EQ(reading.state.table(Group::offsets)->front().value.size(), 4096U);
}

TEST(Backup, UnreadRowsOverTheBoundAreCounted) {
  std::string text;
  for (int i = 0; i < 100'010; ++i) text += fmt::format("?{}\n", i);
  const Reading reading = read(two_groups, {{"a.OFFSETS", text}});
  EXPECT_EQ(reading.state.table(Group::offsets)->size(), 100'000U);
  ASSERT_EQ(count(reading, OddityKind::too_large), 1U);
  EXPECT_THAT(first(reading, OddityKind::too_large)->detail, testing::HasSubstr("10 unread rows"));
}

TEST(Backup, TwoThreadsReadWhatOneDoes) {
  Files files;
  std::string all;
  for (int f = 0; f < 20; ++f) {
    std::string text;
    for (int i = 0; i < 6000; ++i) text += fmt::format("T{} Z{}.5\n", f * 6000 + i, i);
    all += text;
    files.emplace_back(fmt::format("f{:02}.OFFSETS", f), text);
  }
  ASSERT_GT(all.size(), 1U << 20);
  const Reading many = read(two_groups, files);
  const Reading one = read(two_groups, {{"all.OFFSETS", all}});
  EXPECT_EQ(many.state, one.state);
  EXPECT_EQ(many.origins.size(), 120'000U);
}

// In any order that a file may have, tables are in the natural order of their keys, and of rows given twice
// the last stands.
TEST(Join, SortsWhateverOrderRowsComeIn) {
  std::mt19937 random(3);
  for (const int apart : {1, 2, 7, 300}) {
    std::vector<int> numbers;
    for (int i = 1; i <= 300; ++i) numbers.push_back(i);
    for (auto at = numbers.begin(); at < numbers.end(); at += apart)
      std::shuffle(at, at + std::min<std::ptrdiff_t>(apart, numbers.end() - at), random);
    std::string text = "invented\n\n";
    for (const int number : numbers) text += fmt::format("{}\t{}.5\n", number, number);
    text += "7\t1.25\n";
    const Reading reading = test::read(test::rs274ngc(), {{"m.var", text}});
    const auto& table = reading.state.table(Group::variables);
    ASSERT_TRUE(table);
    ASSERT_EQ(table->size(), 300U) << apart;
    for (std::size_t i = 0; i < table->size(); ++i) {
      EXPECT_EQ((*table)[i].key, std::to_string(i + 1));
      EXPECT_EQ((*table)[i].value, i == 6 ? "1.25" : fmt::format("{}.5", i + 1));
      const Origin* origin = reading.origin(Group::variables, (*table)[i].key);
      ASSERT_NE(origin, nullptr);
      EXPECT_EQ(text.substr(origin->span.at, origin->span.length), (*table)[i].value);
    }
  }
}

}  // namespace
}  // namespace keepway
