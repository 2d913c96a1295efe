// Values are invented.
#include <gmock/gmock.h>

#include "unit/reader_support.hpp"

namespace keepway {
namespace {

using test::read;
using test::spelled;
using test::unread;
using test::value;
using testing::ElementsAre;

constexpr const char* layout = R"(
layout = 1
[[source]]
group = "variables"
files = "*.CELLS"
reader = "assign"
point = "free"
comment = ["(", ";"]
)";

TEST(Assign, SaysWhatItsValuesAreWithoutAnAddress) {
  const Reading reading = read(
      "layout = 1\n[[source]]\ngroup = \"settings\"\nfiles = \"*\"\nreader = \"assign\"\nshape = "
      "\"{key}={value}\"\nfields = { value = { name = \"\", kind = \"any\" } }\n",
      {{"a", "BAUD=04800 PARITY=E\nBITS=00010110\n"}});
  EXPECT_EQ(value(reading, "settings/BAUD"), "4800");
  EXPECT_EQ(value(reading, "settings/PARITY"), "E");
  EXPECT_EQ(value(reading, "settings/BITS"), "00010110");
}

TEST(Assign, ReadsNumbersAndNames) {
  const test::Files files = {
      {"A.CELLS", "#300=1.250\n # 0301 = -3 \n#<probe length>=2.\nN10 #302=.5 (spare)\n"}};
  const Reading reading = read(layout, files);
  EXPECT_EQ(value(reading, "variables/300"), "1.25");
  EXPECT_EQ(value(reading, "variables/301"), "-3");
  EXPECT_EQ(value(reading, "variables/probe length"), "2");
  EXPECT_EQ(value(reading, "variables/302"), "0.5");
  EXPECT_EQ(spelled(reading, files, "variables/300"), "1.250");
  EXPECT_EQ(spelled(reading, files, "variables/301"), "-3");
  EXPECT_TRUE(reading.oddities.empty());
}

TEST(Assign, ReadsSeveralOnALine) {
  const Reading reading =
      read(layout, {{"A.CELLS", "#3 = 15 (foo) #4 = -7.0\n"}});  // as in NISTIR 6556, 3.3.6
  EXPECT_EQ(value(reading, "variables/3"), "15");
  EXPECT_EQ(value(reading, "variables/4"), "-7");
}

TEST(Assign, KeepsWhatIsNoNumberAsWritten) {
  const Reading reading = read(layout, {{"A.CELLS", "#300=#0\n#301=[#1+2]\n"}});
  EXPECT_EQ(value(reading, "variables/300"), "#0");
  EXPECT_EQ(value(reading, "variables/301"), "[#1+2]");
}

TEST(Assign, KeepsOtherTextAsUnread) {
  const Reading reading = read(layout, {{"A.CELLS", "O7\n#=1\n#5\n#6=\n#7=1.5 X2\n#unread=3\n#<a=1\n"}});
  EXPECT_THAT(unread(reading, Group::variables),
              testing::UnorderedElementsAre("O7", "#=1", "#5", "#6=", "#7=1.5 X2", "#unread=3", "#<a=1"));
  EXPECT_EQ(reading.state.table(Group::variables)->size(), 7U);
}

TEST(Assign, PassesOverALineNumberInFrontOfAShape) {
  const std::string shaped =
      "layout = 1\n[[source]]\ngroup = \"variables\"\nfiles = \"*\"\nreader = \"assign\"\nshape = "
      "\"{letter}{key}={value}\"\n";
  const Reading reading = test::read(shaped, {{"a", "N10 R1=12.5\nN20 R2=-3\nN30=7\nR4=1\n"}});
  EXPECT_EQ(test::value(reading, "variables/R1"), "12.5");
  EXPECT_EQ(test::value(reading, "variables/R2"), "-3");
  EXPECT_EQ(test::value(reading, "variables/N30"), "7");
  EXPECT_EQ(test::value(reading, "variables/R4"), "1");
}

TEST(Assign, UsesItsAddress) {
  const Reading reading = read(std::string(layout) + "address = \"cell/{key}\"\n", {{"A.CELLS", "#1=2\n"}});
  EXPECT_EQ(value(reading, "variables/cell/1"), "2");
}

}  // namespace
}  // namespace keepway
