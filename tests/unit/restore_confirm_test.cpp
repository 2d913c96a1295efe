// Whether a machine holds what was meant, and what its twin holds. All data are invented.
#include <gtest/gtest.h>

#include "keepway/confirm.hpp"
#include "keepway/twin.hpp"

namespace keepway {
namespace {

State state_of(Table offsets, std::vector<Program> programs = {}) {
  State state;
  sort_table(offsets);
  state.table(Group::offsets) = std::move(offsets);
  state.programs = std::move(programs);
  return state;
}

Namebook book(const std::string& rows) {
  return Namebook::parse(
      "address\tname\tunit\tkind\tmin\tmax\tstep\tmeaning\tflags\tdefault\tcaution\n" + rows, "namebook.tsv");
}

TEST(Confirm, IsFullWhenOnlyLivingItemsAndNumbersOfLinesDiffer) {
  const State meant = state_of({{"1", "5"}, {"9", "100"}}, {{"O1", "O1\nN10 G0 X1\nM30\n"}});
  const State found = state_of({{"1", "5"}, {"9", "140"}}, {{"O1", "O1\nN20 G0 X1\nM30\n"}});
  const Confirmation out = confirm(meant, found, book("offsets/9\tCount\t\tnumber\t\t\t\t\tliving\n"));
  EXPECT_TRUE(out.full_match);
  EXPECT_EQ(out.matching, 2U);
  ASSERT_EQ(out.left_aside.size(), 1U);
  EXPECT_EQ(out.left_aside[0].after, "140");
  EXPECT_EQ(out.renumbered, std::vector<std::string>{"O1"});
}

TEST(Confirm, NamesEachDifference) {
  const State meant = state_of({{"1", "5"}, {"2", "6"}, {"3", "7"}}, {{"O1", "O1\nM30\n"}});
  const State found = state_of({{"1", "5"}, {"2", "0"}, {"4", "7"}}, {{"O1", "O1\nM2\n"}});
  const Confirmation out = confirm(meant, found, book(""));
  EXPECT_FALSE(out.full_match);
  EXPECT_EQ(out.matching, 1U);
  EXPECT_EQ(out.differences.values.size(), 3U);
  EXPECT_EQ(out.differences.programs.size(), 1U);
}

TEST(Confirm, MissesAGroupThatWasMeantAndJudgesNoneThatWasNot) {
  State meant = state_of({{"1", "5"}});
  State found = meant;
  found.table(Group::variables) = Table{{"300", "1"}};
  EXPECT_TRUE(confirm(meant, found, book("")).full_match);
  EXPECT_EQ(confirm(meant, found, book("")).unjudged, std::vector<Group>{Group::variables});
  EXPECT_FALSE(confirm(found, meant, book("")).full_match);
  meant.table(Group::variables) = Table{};
  found.table(Group::variables).reset();
  EXPECT_FALSE(confirm(meant, found, book("")).full_match);
}

TEST(Twin, LeavesAsideWhatEitherBookSays) {
  const State a = state_of({{"1", "5"}, {"2", "6"}, {"8", "1"}, {"9", "1"}});
  const State b = state_of({{"1", "5"}, {"3", "6"}, {"8", "2"}, {"9", "2"}});
  const Namebook of_a = book("offsets/8\tScrew\t\tnumber\t\t\t\t\tmachine-own\n");
  const Namebook of_b = book("offsets/9\tCount\t\tnumber\t\t\t\t\tliving\n");
  const Twins out = twin({a, of_a}, {b, of_b});
  EXPECT_EQ(out.equal, 1U);
  EXPECT_EQ(out.values, (std::vector<TwinValue>{{{Group::offsets, "2"}, "6", std::nullopt},
                                                {{Group::offsets, "3"}, std::nullopt, "6"}}));
  ASSERT_EQ(out.own.size(), 1U);
  EXPECT_EQ(out.own[0].address.key, "8");
  ASSERT_EQ(out.living.size(), 1U);
  EXPECT_EQ(out.living[0].address.key, "9");
  EXPECT_FALSE(out.are_equal());
}

TEST(Twin, HoldsLengthsInInchAgainstLengthsInMm) {
  const State a = state_of({{"1", "1"}, {"2", "3"}, {"3", "7"}, {"4", "2"}});
  const State b = state_of({{"1", "25.4"}, {"2", "3"}, {"3", "7"}, {"4", "50.9"}});
  const Namebook lengths =
      book("offsets/1\tA\tlength\tnumber\noffsets/2\tB\tlength\tnumber\noffsets/4\tD\tlength\tnumber\n");
  const Twins out = twin({a, lengths, Units::inch}, {b, lengths, Units::mm});
  EXPECT_EQ(out.equal, 2U);  // 1 and 3
  EXPECT_EQ(out.values, (std::vector<TwinValue>{{{Group::offsets, "2"}, "3", "3"},
                                                {{Group::offsets, "4"}, "2", "50.9"}}));
}

TEST(Twin, ConvertsWhatIsLeftAsideToo) {
  const State a = state_of({{"1", "1"}, {"2", "3"}, {"3", "4"}});
  const State b = state_of({{"1", "25.4"}, {"2", "3"}, {"3", "4"}});
  const Namebook lengths = book(
      "offsets/1\tWear\tlength\tnumber\t\t\t\t\tliving\noffsets/2\tWear\tlength\tnumber\t\t\t\t\tliving\n"
      "offsets/3\tScrew\tlength\tnumber\t\t\t\t\tmachine-own\n");
  const Twins out = twin({a, lengths, Units::inch}, {b, lengths, Units::mm});
  EXPECT_EQ(out.equal, 1U) << "one inch is 25.4 mm";
  EXPECT_EQ(out.living, (std::vector<TwinValue>{{{Group::offsets, "2"}, "3", "3"}}));
  EXPECT_EQ(out.own, (std::vector<TwinValue>{{{Group::offsets, "3"}, "4", "4"}}));
  EXPECT_TRUE(out.are_equal());
}

TEST(Twin, ProgramsMayBeAMachinesOwnToo) {
  const State a = state_of({}, {{"O1", "O1\nN10 G0 X1\nM30\n"}, {"O8", "O8\nM30\n"}, {"O9", "O9\nM2\n"}});
  const State b = state_of({}, {{"O1", "O1\nN20 G0 X1\nM30\n"}, {"O8", "O8\nM99\n"}});
  const Namebook names = book(
      "programs/O8\tWarm up\t\ttext\t\t\t\t\tmachine-own\nprograms/O9\tCounter\t\ttext\t\t\t\t\tliving\n");
  const Twins out = twin({a, names}, {b, names});
  EXPECT_EQ(out.equal, 1U) << "O1, but for the numbers of its lines";
  EXPECT_TRUE(out.programs.empty());
  EXPECT_EQ(out.own, (std::vector<TwinValue>{{{Group::programs, "O8"}, "O8\nM30\n", "O8\nM99\n"}}));
  EXPECT_EQ(out.living, (std::vector<TwinValue>{{{Group::programs, "O9"}, "O9\nM2\n", std::nullopt}}));
}

TEST(Twin, ComparesProgramsAndGroups) {
  State a = state_of({}, {{"O1", "O1\nM30\n"}, {"O2", "O2\nM30\nM1\n"}});
  State b = state_of({}, {{"O1", "O1\nM2\n"}});
  b.table(Group::settings) = Table{};
  const Twins out = twin({a, book("")}, {b, book("")});
  EXPECT_EQ(out.programs.size(), 2U);
  EXPECT_EQ(out.only_b, std::vector<Group>{Group::settings});
}

TEST(Twin, DifferencesAreExactAndOfLengthsBetweenUnitsInMm) {
  const Namebook both = book(
      "offsets/*\tLength\tlength\tnumber\nparameters/1\tBits\t\tbits\nsettings/8\tSpeed\tbaud\tnumber\n");
  const State none;
  const TwinSide inch{none, both, Units::inch};
  const TwinSide mm{none, both, Units::mm};
  const auto delta = [](const TwinSide& a, const TwinSide& b, const char* address, const char* from,
                        const char* to) {
    const TwinDelta found = twin_delta(a, b, {Address::parse(address), from, to});
    return found.text + (found.is_mm ? " mm" : "");
  };
  EXPECT_EQ(delta(inch, inch, "offsets/2", "6.", "6.5"), "+0.5");
  EXPECT_EQ(delta(inch, mm, "offsets/2", "6.", "152.4"), "0 mm");
  EXPECT_EQ(delta(inch, mm, "offsets/2", "0.1575", "4."), "-0.0005 mm");
  EXPECT_EQ(delta(mm, inch, "offsets/2", "4.", "0.1575"), "+0.0005 mm");
  EXPECT_EQ(delta(mm, inch, "settings/8", "4800", "9600"), "+4800");
  EXPECT_EQ(delta(mm, mm, "settings/9", "4.", "9.5"), "+5.5");
  EXPECT_EQ(delta(mm, inch, "settings/9", "4.", "9.5"), "") << "it may be a length";
  EXPECT_EQ(delta(inch, inch, "parameters/1", "5", "7"), "") << "bits are no amount";
  EXPECT_EQ(delta(inch, inch, "offsets/2", "6.", "drill"), "");
  EXPECT_EQ(twin_delta(inch, mm, {Address::parse("offsets/2"), std::nullopt, "4."}).text, "");
}

}  // namespace
}  // namespace keepway
