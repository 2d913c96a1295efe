// Numbers as the control writes them. All files are invented.
#include <gtest/gtest.h>

#include <string>
#include <string_view>
#include <vector>

#include "keepway/layout.hpp"
#include "keepway/precision.hpp"
#include "keepway/state.hpp"

namespace keepway {
namespace {

std::string tool_table(std::string_view more) {
  return R"(layout = 1
[[source]]
group = "offsets"
files = ["T"]
reader = "columns"
columns = ["tool", "length", "count"]
address = "tool/{tool}"
fields = { length = "length", count = { name = "count", kind = "whole" } }
)" + std::string(more);
}

// What is shown of an item: its value as the state has it, as it is written.
class Shown {
 public:
  Shown(const std::string& layout, std::string_view file)
      : layout_(parse_layout(layout, "layout.toml")),
        files_{{"T", file}},
        reading_(read_backup(layout_, {}, files_)),
        precision_(reading_, files_, layout_, Units::inch) {}

  [[nodiscard]] std::string item(const std::string& key) const {
    const Item* found = find_item(*reading_.state.table(Group::offsets), key);
    return found == nullptr ? "none" : of(key, found->value);
  }
  [[nodiscard]] std::string of(const std::string& key, const std::string& value) const {
    return precision_.written(Group::offsets, key, value);
  }

 private:
  Layout layout_;
  std::vector<OriginalView> files_;
  Reading reading_;
  Precision precision_;
};

TEST(Precision, ZerosAreShownAsTheControlWritesThem) {
  const Shown shown(tool_table(""), "1 6.000 5\n2 -0.250 7\n3 12 8\n4 0.0000 9\n5 +.5 1\n");
  EXPECT_EQ(shown.item("tool/1/length"), "6.000");
  EXPECT_EQ(shown.item("tool/2/length"), "-0.250");
  EXPECT_EQ(shown.item("tool/3/length"), "12");
  EXPECT_EQ(shown.item("tool/4/length"), "0.0000");
  EXPECT_EQ(shown.item("tool/5/length"), "0.5");
  EXPECT_EQ(shown.item("tool/1/count"), "5");
}

TEST(Precision, OtherValuesOfTheItemHaveAsManyDigitsAndNeverFewer) {
  const Shown shown(tool_table(""), "1 6.000 5\n");
  EXPECT_EQ(shown.of("tool/1/length", "5.9"), "5.900");
  EXPECT_EQ(shown.of("tool/1/length", "5.98765"), "5.98765");
  EXPECT_EQ(shown.of("tool/1/length", "0"), "0.000");
  EXPECT_EQ(shown.of("tool/1/length", "-7."), "-7.000");
  EXPECT_EQ(shown.of("tool/1/length", "1/2 drill"), "1/2 drill");
  EXPECT_EQ(shown.of("tool/9/length", "7."), "7.");
}

TEST(Precision, APointIsNotAddedWhereANumberWithOneIsAnotherValue) {
  EXPECT_EQ(Shown(tool_table(""), "1 6.000 5\n").of("tool/1/length", "7"), "7");
  EXPECT_EQ(Shown(tool_table("point = \"free\"\n"), "1 6.000 5\n").of("tool/1/length", "7"), "7.000");
}

TEST(Precision, WhatIsCountedInIncrementsIsShownByThem) {
  const Shown shown(tool_table("least_increment = \"0.0001\"\n"), "1 60000 5\n2 7.25 6\n");
  EXPECT_EQ(shown.item("tool/1/length"), "6.0000");
  EXPECT_EQ(shown.of("tool/1/length", "5.5"), "5.5000");
  EXPECT_EQ(shown.item("tool/2/length"), "7.25");
}

TEST(Precision, ACommaIsAPoint) {
  const Shown shown(tool_table("decimal = \"comma\"\nsplit = \"semicolon\"\n"), "1;6,000;5\n");
  EXPECT_EQ(shown.item("tool/1/length"), "6.000");
}

TEST(Precision, OfNothingLeavesValuesAsTheyAre) {
  EXPECT_EQ(Precision().written(Group::offsets, "tool/1/length", "6."), "6.");
}

}  // namespace
}  // namespace keepway
