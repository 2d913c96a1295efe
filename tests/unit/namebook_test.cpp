// Every name and number here is invented.
#include "keepway/namebook.hpp"

#include <gtest/gtest.h>

namespace keepway {
namespace {

constexpr std::string_view book_text =
    "address\tname\tunit\tkind\tmin\tmax\tstep\tmeaning\tflags\tcaution\r\n"
    "# screws\n"
    "parameters/12\tX screw lead\tlength\tnumber\t0.1\t0.5\t0.0001\t\tmachine-own,power-cycle\tmoves axes\n"
    "parameters/40\tDoor switches\t\tbits\t\t\t\t0=front; 2=rear\t\t\n"
    "\n"
    "offsets/tool/*/length\tTool * length\tlength\t\t\t\t0.05\t\t\t\n"
    "offsets/tool/7/length\tProbe length\tlength\n";

TEST(Namebook, FindsExactBeforePattern) {
  const Namebook book = Namebook::parse(book_text, "namebook.tsv");
  EXPECT_EQ(book.name(Group::offsets, "tool/12/length"), "Tool 12 length");
  EXPECT_EQ(book.name(Group::offsets, "tool/7/length"), "Probe length");
  EXPECT_EQ(book.name(Group::offsets, "tool/7/diameter"), "offsets/tool/7/diameter");
  const auto screw = book.find(Group::parameters, "12");
  ASSERT_TRUE(screw);
  EXPECT_EQ(screw->step->text(), "0.0001");
  EXPECT_TRUE(screw->own && screw->power_cycle && !screw->living);
  const auto door = book.find(Group::parameters, "40");
  EXPECT_EQ(door->kind, Kind::bits);
  EXPECT_EQ(door->meanings[1].value, "2");
  EXPECT_EQ(door->meanings[1].name, "rear");
  EXPECT_FALSE(book.find(Group::parameters, "99"));
}

TEST(Namebook, WritesWhatItReads) {
  const std::string once = Namebook::parse(book_text, "n").write();
  EXPECT_EQ(Namebook::parse(once, "n").write(), once);
}

TEST(Namebook, ErrorsHaveLines) {
  const auto line_of = [](std::string_view text) -> std::uint64_t {
    try {
      Namebook::parse(text, "namebook.tsv");
    } catch (const Error& error) {
      EXPECT_EQ(error.kind(), ErrorKind::input);
      return error.place().line.value();
    }
    return 0;
  };
  EXPECT_EQ(line_of("adress\tname\n"), 1U);
  EXPECT_EQ(line_of("name\n"), 1U);
  EXPECT_EQ(line_of("address\tname\tmin\nsettings/1\tx\t5\nsettings/2\tx\tfive\n"), 3U);
  EXPECT_EQ(line_of("address\tname\tkind\nsettings/1\tx\tfloat\n"), 2U);
  EXPECT_EQ(line_of("address\tname\nsetings/1\tx\n"), 2U);
  EXPECT_EQ(line_of("address\tname\tflags\nsettings/1\tx\talive\n"), 2U);
  EXPECT_EQ(line_of("address\tname\tmeaning\nsettings/1\tx\t1\n"), 2U);
  EXPECT_EQ(line_of(""), 0U) << "an empty namebook is one with no names";
}

TEST(Namebook, ARowForOneAddressCompletesAPattern) {
  const Namebook book = Namebook::parse(
      "address\tname\tunit\tmin\tmax\tstep\tcaution\tflags\n"
      "offsets/tool/5/length\tFace mill length\t\t\t8\t\t\t\n"
      "offsets/tool/*/length\tTool * length\tlength\t0\t12\t0.5\tprobe tool * again\tliving\n",
      "book");
  const auto five = book.find(Group::offsets, "tool/5/length");
  ASSERT_TRUE(five);
  EXPECT_EQ(five->name, "Face mill length");
  EXPECT_EQ(five->unit, "length");
  EXPECT_EQ(five->min->text(), "0");
  EXPECT_EQ(five->max->text(), "8") << "its row says otherwise";
  EXPECT_EQ(five->step->text(), "0.5");
  EXPECT_EQ(five->caution, "probe tool 5 again");
  EXPECT_TRUE(five->living);
  EXPECT_EQ(book.find(Group::offsets, "tool/6/length")->max->text(), "12");
}

TEST(Namebook, FlagsOfARowAreItsOwnWhereItHasAny) {
  for (const auto& [flag, living, own, cycle] :
       {std::tuple("living", true, false, false), std::tuple("machine-own", false, true, false),
        std::tuple("power-cycle", false, false, true)}) {
    const Namebook book = Namebook::parse("address\tname\tflags\nparameters/5\tfive\t" + std::string(flag) +
                                              "\nparameters/*\t*\tliving,machine-own,power-cycle\n",
                                          "book");
    const auto five = book.find(Group::parameters, "5");
    ASSERT_TRUE(five);
    EXPECT_TRUE(five->living == living && five->own == own && five->power_cycle == cycle) << flag;
  }
}

}  // namespace
}  // namespace keepway
