// Differences between states and programs. Test data are invented.
#include "keepway/compare.hpp"

#include <gmock/gmock.h>

#include "keepway/reader.hpp"

namespace keepway {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

// Programs are given as a person writes them and compared in normal form.
std::optional<ProgramChange> compare_text(std::string_view before, std::string_view after) {
  const Source source;
  return compare_programs(normal_program(before, source, Units::inch),
                          normal_program(after, source, Units::inch));
}

std::vector<std::string> meaning(std::string_view before, std::string_view after) {
  const auto change = compare_text(before, after);
  std::vector<std::string> out;
  if (!change) return out;
  for (const BlockChange& block : change->blocks)
    out.insert(out.end(), block.meaning.begin(), block.meaning.end());
  return out;
}

TEST(CompareTables, TellsAddedRemovedAndChanged) {
  const Table before = {{"2", "1"}, {"10", "5"}, {"11", "7"}};
  const Table after = {{"1", "0"}, {"2", "1"}, {"10", "6"}};
  const auto changes = compare_tables(Group::settings, before, after);
  ASSERT_EQ(changes.size(), 3U);
  EXPECT_EQ(changes[0].key, "1");
  EXPECT_FALSE(changes[0].before);
  EXPECT_EQ(changes[1].key, "10");
  EXPECT_EQ(changes[1].before, "5");
  EXPECT_EQ(changes[1].after, "6");
  EXPECT_EQ(changes[2].key, "11");
  EXPECT_FALSE(changes[2].after);
}

TEST(CompareTables, EqualTablesDoNotDiffer) {
  const Table table = {{"work/G54/X", "-4.25"}};
  EXPECT_THAT(compare_tables(Group::offsets, table, table), IsEmpty());
}

TEST(ComparePrograms, SpellingAndOrderOfWordsIsNoChange) {
  EXPECT_FALSE(compare_text("G01 X1.0 F20.\n", "f+20.0 x1. g1\n"));
}

TEST(ComparePrograms, RenumberingIsKeptApart) {
  const auto change = compare_text("O1\nN10 G1 X1\nN20 X2\n", "O1\nN5 G1 X1\nX2\nN99\n");
  ASSERT_TRUE(change);
  EXPECT_EQ(change->kind, ProgramChangeKind::renumbered);
  EXPECT_THAT(change->blocks, IsEmpty());
}

TEST(ComparePrograms, RenumberingBehindABlockDeleteIsNone) {
  EXPECT_EQ(compare_text("/ N10 G1 X1\n", "/ N20 G1 X1\n")->kind, ProgramChangeKind::renumbered);
  EXPECT_EQ(compare_text("/ N10 G1 X1\n", "N10 G1 X1\n")->kind, ProgramChangeKind::changed);
}

TEST(ComparePrograms, CommentsAreKeptApart) {
  const auto change = compare_text("O1 (old)\nG1 X1\nM30\n", "O1 (new)\nG1 X1\n(stop)\nM30\n");
  ASSERT_TRUE(change);
  EXPECT_EQ(change->kind, ProgramChangeKind::comments);
  EXPECT_EQ(change->comment_blocks, 2U);
  ASSERT_EQ(change->blocks.size(), 2U);
  EXPECT_THAT(change->blocks[0].meaning, IsEmpty());
  EXPECT_EQ(change->blocks[1].before_line, 3U);
  EXPECT_EQ(change->blocks[1].after_line, 3U);
  EXPECT_THAT(change->blocks[1].before, IsEmpty());
  EXPECT_THAT(change->blocks[1].after, ElementsAre("(stop)"));
}

TEST(ComparePrograms, CommentsBesideMotionAreCounted) {
  const auto change = compare_text("(a)\nG1 X1\nX2\n", "(b)\nG1 X1\nX3\n");
  EXPECT_EQ(change->kind, ProgramChangeKind::changed);
  EXPECT_EQ(change->comment_blocks, 1U);
  EXPECT_EQ(change->blocks.size(), 2U);
}

TEST(ComparePrograms, BlocksUnderOtherNumbersBesideAChangeAreCounted) {
  EXPECT_EQ(compare_text("N1 G1 X1\nN2 X2\nN3 X3\n", "N1 G1 X1\nN4 X2\nN3 X4\n")->renumbered, 1U);
  EXPECT_EQ(compare_text("N1 G1 X1\nN2 X2\nN3 X3\n", "N1 G1 X1\nN2 X2\nN3 X4\n")->renumbered, 0U);
}

TEST(ComparePrograms, ChangedBlocksAreGivenWithTheirNumbersAndPlaces) {
  const auto change = compare_text("O1\nN10 G1 X1 F20\nN20 X2\nM30\n", "O1\nN5 G1 X1 F25\nN6 X2\nM30\n");
  ASSERT_EQ(change->blocks.size(), 1U);
  EXPECT_EQ(change->blocks[0].before_line, 2U);
  EXPECT_THAT(change->blocks[0].before, ElementsAre("N10 G1 X1 F20"));
  EXPECT_THAT(change->blocks[0].after, ElementsAre("N5 G1 X1 F25"));
  EXPECT_THAT(change->blocks[0].meaning, ElementsAre("feed 20 to 25"));
}

// Modal groups and words as in NISTIR 6556, 3.4, table 4.
TEST(ComparePrograms, PlacesAreTheSameWhereverTheChangeIs) {
  // Each block changed by itself, in a program whose blocks repeat: what is the same at both ends is passed
  // over.
  std::vector<std::string> blocks;
  for (int i = 0; i < 40; ++i) blocks.push_back("G1 X" + std::to_string(i % 4));
  const auto text = [](const std::vector<std::string>& lines) {
    std::string out;
    for (const std::string& line : lines) out += line + '\n';
    return out;
  };
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    std::vector<std::string> changed = blocks;
    changed[i] = "G1 X99";
    const auto change = compare_programs(text(blocks), text(changed));
    ASSERT_TRUE(change);
    ASSERT_EQ(change->blocks.size(), 1U) << i;
    EXPECT_EQ(change->blocks[0].before_line, i + 1);
    EXPECT_EQ(change->blocks[0].after_line, i + 1);
    EXPECT_EQ(change->blocks[0].before, std::vector<std::string>{blocks[i]});
    EXPECT_EQ(change->blocks[0].after, std::vector<std::string>{"G1 X99"});
    changed.insert(changed.begin() + static_cast<std::ptrdiff_t>(i), "G1 X98");
    changed[i + 1] = blocks[i];
    const auto more = compare_programs(text(blocks), text(changed));
    ASSERT_TRUE(more);
    ASSERT_EQ(more->blocks.size(), 1U) << i;
    EXPECT_TRUE(more->blocks[0].before.empty());
    EXPECT_EQ(more->blocks[0].after_line, i + 1);
  }
}

TEST(Meaning, TellsWordsThatChanged) {
  EXPECT_THAT(meaning("S800 M3\n", "S1200 M3\n"), ElementsAre("spindle speed 800 to 1200"));
  EXPECT_THAT(meaning("T3 M6\n", "T4 M6\n"), ElementsAre("tool 3 to 4"));
  EXPECT_THAT(meaning("G43 H3\n", "G43 H4\n"), ElementsAre("tool length index 3 to 4"));
  EXPECT_THAT(meaning("G41 D3\n", "G41 D4\n"), ElementsAre("cutter radius index 3 to 4"));
  EXPECT_THAT(meaning("G1 X1.5\n", "G1 X1.52\n"), ElementsAre("X 1.5 to 1.52 (+0.02)"));
  EXPECT_THAT(meaning("G1 X0.1 Z-1\n", "G1 X0.1 Z-1.0001\n"), ElementsAre("Z -1 to -1.0001 (-0.0001)"));
  EXPECT_THAT(meaning("M98 P710\n", "M98 P711\n"), ElementsAre("called program 710 to 711"));
  EXPECT_THAT(meaning("#100=1.5\n", "#100=2\n"), ElementsAre("#100 1.5 to 2 (+0.5)"));
  EXPECT_THAT(meaning("X[#1+1]\n", "X[#1+2]\n"), ElementsAre("X [#1+1] to [#1+2]"));
}

TEST(Meaning, TellsModesThatChanged) {
  EXPECT_THAT(meaning("G54 X1\n", "G55 X1\n"), ElementsAre("coordinate system G54 to G55"));
  EXPECT_THAT(meaning("G0 X1\n", "G1 X1\n"), ElementsAre("now G1 where G0 was (rapid to feed)"));
  EXPECT_THAT(meaning("G90 X1\n", "G91 X1\n"),
              ElementsAre("now G91 where G90 was (absolute to incremental)"));
  EXPECT_THAT(meaning("G20\n", "G21\n"), ElementsAre("units G20 to G21 (inch to mm)"));
  EXPECT_THAT(meaning("G43 H1\n", "G49 H1\n"), ElementsAre("tool length offset G43 to G49 (on to off)"));
  EXPECT_THAT(meaning("G1 X1 M8\n", "G1 X1\n"), ElementsAre("coolant M8 removed (flood)"));
  EXPECT_THAT(meaning("M3 S1\n", "M4 S1\n"), ElementsAre("spindle M3 to M4 (clockwise to counterclockwise)"));
  EXPECT_THAT(meaning("X1\n", "/X1\n"), ElementsAre("block delete added"));
}

TEST(Meaning, TellsWhatAChangeLeavesInForce) {
  EXPECT_THAT(meaning("G0 Z1\nX5\nM30\n", "G1 Z1\nX5\nM30\n"),
              ElementsAre("now G1 where G0 was (rapid to feed)",
                          "in the blocks that follow, too: now G1 where G0 was (rapid to feed)"));
  EXPECT_THAT(meaning("G1 Z-1\nG0\nX5\n", "G1 Z-1\nX5\n"),
              ElementsAre("motion G0 removed (rapid)",
                          "in the blocks that follow, too: now G1 where G0 was (rapid to feed)"));
  EXPECT_THAT(meaning("G90\nX5\n", "X5\n"),
              ElementsAre("distances G90 removed (absolute)",
                          "in the blocks that follow, too: distances G90 no longer in force"));
  EXPECT_THAT(meaning("G0 Z1\nG1 X5\n", "G1 Z1\nG1 X5\n"),
              ElementsAre("now G1 where G0 was (rapid to feed)"));
}

TEST(Meaning, AddedAndRemovedBlocksTellTheirCodes) {
  EXPECT_THAT(
      meaning("G1 X1\nX2\n", "G1 X1\nM8\nX2\n"),
      ElementsAre("coolant M8 added (flood)", "in the blocks that follow, too: coolant M8 now in force"));
  EXPECT_THAT(meaning("X1\nX2 F5\nX3\n", "X1\nX3\n"), ElementsAre("feed 5 removed"));
}

TEST(Meaning, FlowStatementsAreNotGuessedAt) {
  EXPECT_THAT(meaning("WHEN [#1IS2] LEAP 10\n", "WHEN [#1IS3] LEAP 10\n"), IsEmpty());
}

TEST(Meaning, IsBounded) {
  std::string before;
  std::string after;
  for (int i = 0; i < 150; ++i) {
    before += "X" + std::to_string(i) + "\n";
    after += "X" + std::to_string(i + 1000) + "\n";
  }
  EXPECT_EQ(meaning(before, after).size(), 21U);
  EXPECT_EQ(meaning(before, after).back(), "and 130 more");
}

TEST(Compare, PairsRenamedPrograms) {
  State before;
  before.programs = {{"O1", "O1\nN10 G1 X1\n"}, {"O2", "O2\nX2\n"}};
  State after;
  after.programs = {{"O2", "O2\nX2\n"}, {"O7", "O7\nG1 X1\n"}};
  const Changes changes = compare(before, after);
  ASSERT_EQ(changes.programs.size(), 1U);
  EXPECT_EQ(changes.programs[0].kind, ProgramChangeKind::renamed);
  EXPECT_EQ(changes.programs[0].before_name, "O1");
  EXPECT_EQ(changes.programs[0].name, "O7");
}

TEST(Compare, PairsEachProgramOnce) {
  State before;
  before.programs = {{"O1", "O1\nX1\n"}};
  State after;
  after.programs = {{"O3", "O3\nX1\n"}, {"O4", "O4\nX1\n"}};
  const Changes changes = compare(before, after);
  ASSERT_EQ(changes.programs.size(), 2U);
  EXPECT_EQ(changes.programs[0].kind, ProgramChangeKind::renamed);
  EXPECT_EQ(changes.programs[1].kind, ProgramChangeKind::added);
}

TEST(Compare, GroupsThatOneSideDoesNotSpeakOfAreNamed) {
  State before;
  before.table(Group::offsets) = Table{{"work/G54/X", "1"}};
  const Changes changes = compare(before, State{});
  EXPECT_THAT(changes.gone, ElementsAre(Group::offsets));
  EXPECT_EQ(changes.values.size(), 1U);
  EXPECT_EQ(gist(changes), "all 1 offset gone");
  EXPECT_THAT(compare(State{}, before).come, ElementsAre(Group::offsets));
}

TEST(Compare, AStateDoesNotDifferFromItself) {
  State state;
  state.table(Group::offsets) = Table{{"work/G54/X", "1"}};
  state.programs = {{"O1", "O1\nX1\n"}};
  EXPECT_TRUE(compare(state, state).empty());
}

TEST(Gist, TellsTheMostDangerousFirst) {
  State before;
  before.table(Group::parameters) = Table{{"1", "0"}};
  before.table(Group::offsets) = Table{{"a", "1"}, {"b", "1"}};
  before.programs = {{"O1234", "O1234\nX1\n"}};
  State after;
  after.table(Group::parameters) = Table{{"1", "1"}};
  after.table(Group::offsets) = Table{{"a", "2"}, {"b", "2"}};
  after.programs = {{"O5", "O5\n"}, {"O6", "O6\nX2\n"}, {"O1234", "O1234\nX2\n"}};
  EXPECT_EQ(gist(compare(before, after)),
            "1 parameter changed, 2 offsets changed, program O1234 changed, 2 programs added");
}

TEST(Gist, OfNoChangeSaysSo) {
  EXPECT_EQ(gist(Changes{}), "no change");
}

TEST(Gist, CarriesNoControlBytes) {
  State after;
  after.programs = {{"a\x1b[2J", "X1\n"}};
  EXPECT_EQ(gist(compare(State{}, after)), "program a\\x1B[2J added");
}

// 100,000 blocks of which none, or nearly none in order, is on the other side.
TEST(Compare, RewrittenProgramsTakeNoQuadraticTime) {
  std::string before;
  std::string after;
  std::uint32_t seed = 7;
  auto random = [&](std::uint32_t below) {
    seed = seed * 1664525 + 1013904223;
    return (seed >> 8) % below;
  };
  for (int i = 0; i < 100'000; ++i) {
    before += "X" + std::to_string(random(7)) + "\n";
    after += "X" + std::to_string(random(7) + 3) + "\n";
  }
  const auto change = compare_programs(before, after);  // quadratic work would run into the test's time-out
  ASSERT_TRUE(change);
  EXPECT_EQ(change->kind, ProgramChangeKind::changed);
}

TEST(ComparePrograms, WhatIsAddedIsPlacedBehindTheLastBlockOrFirst) {
  const auto behind = compare_programs("O1\nG0 X1\n", "O1\nG0 X1\nG0 X2\n");
  ASSERT_TRUE(behind && behind->blocks.size() == 1);
  EXPECT_EQ(behind->blocks[0].before_line, 3U);
  EXPECT_EQ(behind->blocks[0].after_line, 3U);
  const auto first = compare_programs("", "G0 X1\n");
  ASSERT_TRUE(first && first->blocks.size() == 1);
  EXPECT_EQ(first->blocks[0].before_line, 1U);
}

TEST(Meaning, CodesThatAreNoModeAreToldTooThatCameOrWent) {
  EXPECT_THAT(meaning("X1 M19\n", "X1\n"), ElementsAre(testing::StartsWith("M19 removed")));
  EXPECT_THAT(meaning("X1\n", "G28 X1\n"), ElementsAre(testing::StartsWith("G28 added")));
  EXPECT_THAT(meaning("X1 H3\n", "X1\n"), testing::Not(testing::Contains(testing::HasSubstr("H3 removed"))));
}

}  // namespace
}  // namespace keepway
