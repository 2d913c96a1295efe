// Programs put in, exchanged and taken out whole. All data are invented.
#include <fmt/format.h>

#include "restore_support.hpp"

namespace keepway {
namespace {

using test::Bench;

const std::string layout = R"(layout = 1
[[source]]
group = "programs"
files = ["*.nc"]
reader = "blocks"
comment = "("
protected = ["700-799"]
)";

const std::string many = "%\r\nO1\r\nG0 X1.\r\nM30\r\nO3 (three)\r\nG0 X3.\r\nM30\r\n%\r\n";

TEST(ComposeProgram, IsExchangedByTheOtherOriginalsBytes) {
  const Bench now(layout, {{"ALL.NC", many}});
  const Bench old(layout, {{"ALL.NC", "%\nO3\ng1x+3.50\nM30\n%\n"}});
  const Composed out =
      now.composed(old.reading().state, {"programs/O3"}, {{old.set, old.layout, old.context}});
  EXPECT_EQ(test::bytes_of(out.set, "ALL.NC"), "%\r\nO1\r\nG0 X1.\r\nM30\r\nO3\ng1x+3.50\nM30\n%\r\n");
  ASSERT_EQ(out.changes.programs.size(), 1U);
  EXPECT_EQ(out.changes.programs[0].name, "O3");
}

TEST(ComposeProgram, IsPutInWhereItsNumberBelongs) {
  const Bench now(layout, {{"ALL.NC", many}});
  const Bench old(layout, {{"OLD.NC", "O2\nM30\nO4\nM99\n"}});
  State target = now.reading().state;
  target.programs = old.reading().state.programs;
  EXPECT_EQ(test::bytes_of(now.composed(target, {"programs/O2"}, {{old.set, old.layout, old.context}}).set,
                           "ALL.NC"),
            "%\r\nO1\r\nG0 X1.\r\nM30\r\nO2\nM30\nO3 (three)\r\nG0 X3.\r\nM30\r\n%\r\n");
  EXPECT_EQ(test::bytes_of(now.composed(target, {"programs/O4"}, {{old.set, old.layout, old.context}}).set,
                           "ALL.NC"),
            "%\r\nO1\r\nG0 X1.\r\nM30\r\nO3 (three)\r\nG0 X3.\r\nM30\r\nO4\nM99\n%\r\n");
}

TEST(ComposeProgram, EndsTheLineAboveBeforeItIsPutIn) {
  const Bench now(layout, {{"ALL.NC", "O1\r\nM30\r\nO2\r\nM30"}});
  const Bench old(layout, {{"OLD.NC", "O3\nM30"}});
  const Composed out =
      now.composed(old.reading().state, {"programs/O3"}, {{old.set, old.layout, old.context}});
  EXPECT_EQ(test::bytes_of(out.set, "ALL.NC"), "O1\r\nM30\r\nO2\r\nM30\r\nO3\nM30\r\n");
}

TEST(ComposeProgram, HasAFileOfItsOwnWhereProgramsAreOneAFile) {
  const Bench now(layout, {{"O1.NC", "%\nO1\nM30\n%\n"}});
  const Bench old(layout,
                  {{"O1.NC", "%\nO1\nM30\n%\n"}, {"SUB/O2.NC", "%\r\n(hello)\r\nO2\r\nM30\r\n%\r\n"}});
  const Composed out = now.composed(old.reading().state, {"programs"}, {{old.set, old.layout, old.context}});
  EXPECT_EQ(test::bytes_of(out.set, "SUB/O2.NC"), "%\r\n(hello)\r\nO2\r\nM30\r\n%\r\n");
  EXPECT_EQ(out.touched, std::vector<std::string>{"SUB/O2.NC"});
}

TEST(ComposeProgram, ComesWithoutItsNeighboursOutOfAFileOfMany) {
  const Bench now(layout, {});
  const Bench old(layout, {{"ALL.NC", many}});
  const Composed out =
      now.composed(old.reading().state, {"programs/O3"}, {{old.set, old.layout, old.context}});
  EXPECT_EQ(test::bytes_of(out.set, "ALL.NC"), "%\r\nO3 (three)\r\nG0 X3.\r\nM30\r\n%\r\n");
}

TEST(ComposeProgram, IsTakenOutWithItsFileOrByItsSpan) {
  const Bench now(layout, {{"ALL.NC", many}, {"O7.NC", "O7\nM30\n"}});
  State target = now.reading().state;
  target.programs.clear();
  const Composed all = now.composed(target, {"programs/O1", "programs/O7"});
  EXPECT_EQ(test::bytes_of(all.set, "ALL.NC"), "%\r\nO3 (three)\r\nG0 X3.\r\nM30\r\n%\r\n");
  EXPECT_EQ(all.dropped, std::vector<std::string>{"O7.NC"});
  EXPECT_EQ(all.set.files.size(), 1U);
  EXPECT_EQ(all.changes.programs.size(), 2U);
}

TEST(ComposeProgram, MayBringItsUnreadLines) {
  const Bench now(layout, {{"ALL.NC", many}});
  const Bench old(layout, {{"ALL.NC", "O3\n??? what\nM30\n"}});
  const Composed out =
      now.possible(old.reading().state, {"programs/O3"}, {{old.set, old.layout, old.context}});
  EXPECT_TRUE(out.refused.empty());
  const Composed back =
      Bench(layout, {{"ALL.NC", test::bytes_of(out.set, "ALL.NC")}})
          .possible(now.reading().state, {"programs/O3"}, {{now.set, now.layout, now.context}});
  EXPECT_TRUE(back.refused.empty());
  EXPECT_EQ(test::bytes_of(back.set, "ALL.NC"), many);
}

TEST(ComposeProgram, IsRefusedWithoutOriginalsThatHoldIt) {
  const Bench now(layout, {{"ALL.NC", many}});
  State target = now.reading().state;
  target.programs[1].text = "O3\nM2\n";
  const Composed out = now.possible(target, {"programs/O3"}, {{now.set, now.layout, now.context}});
  ASSERT_EQ(out.refused.size(), 1U);
  EXPECT_EQ(out.refused[0].address.text(), "programs/O3");
}

TEST(ComposeProgram, IsNotPutInWhenNoOriginalsHoldIt) {
  const Bench now(layout, {{"ALL.NC", many}});
  State target = now.reading().state;
  target.programs.push_back({"O5", "O5\nM30\n"});
  const Composed out = now.possible(target, {"programs/O5"}, {{now.set, now.layout, now.context}});
  ASSERT_EQ(out.refused.size(), 1U);
  EXPECT_NE(out.refused[0].why.find("do not hold it"), std::string::npos);
  EXPECT_EQ(test::bytes_of(out.set, "ALL.NC"), many);
}

TEST(ComposeProgram, OfEightBitsIsRefusedInAFileWithParity) {
  const std::string seven = test::even_parity(many);
  const Bench now(layout, {{"ALL.NC", seven}});
  for (const char* name : {"O3", "O2"}) {  // exchanged, and put in
    const Bench old(layout, {{"OLD.NC", fmt::format("{} (\xC3\xA9)\r\nM30\r\n", name)}});
    State target = now.reading().state;
    target.programs = old.reading().state.programs;
    const Composed out =
        now.possible(target, {fmt::format("programs/{}", name)}, {{old.set, old.layout, old.context}});
    ASSERT_EQ(out.refused.size(), 1U) << name;
    EXPECT_NE(out.refused[0].why.find("needs 8 bits"), std::string::npos) << out.refused[0].why;
    EXPECT_EQ(test::bytes_of(out.set, "ALL.NC"), seven) << name;
  }
}

TEST(ComposeProgram, IsRefusedWhereItsFileNameIsTaken) {
  const Bench now(layout, {{"PART.NC", "O1\nM30\n"}});
  const Bench old(layout, {{"part.nc", "O2\nM30\n"}});
  EXPECT_EQ(
      now.possible(old.reading().state, {"programs/O2"}, {{old.set, old.layout, old.context}}).refused.size(),
      1U);
  // With the other one taken out the name is free.
  const Composed out = now.composed(old.reading().state, {"programs"}, {{old.set, old.layout, old.context}});
  EXPECT_EQ(test::bytes_of(out.set, "part.nc"), "O2\nM30\n");
  EXPECT_EQ(out.set.files.size(), 1U);
}

TEST(ComposeProgram, IsRefusedWhereAnotherOfItsNumberWouldTakeItsPlace) {
  const Bench now(layout, {{"A.NC", "O1\nG0 X1.\nM30\n"}, {"B.NC", "O1\nG0 X2.\nM30\n"}});
  State target = now.reading().state;
  std::erase_if(target.programs, [](const Program& program) { return program.name == "O1"; });
  const Composed out = now.possible(target, {"programs/O1"});
  EXPECT_FALSE(out.refused.empty());
  EXPECT_EQ(out.set.files.size(), 2U);
}

TEST(ComposeProgram, CarriesParityFromOneFileToTheOther) {
  const Bench now(layout, {{"ALL.NC", test::even_parity(many)}});
  const Bench old(layout, {{"ALL.NC", "O3\r\nG1 X9.\r\nM30\r\n"}});
  const Composed out =
      now.composed(old.reading().state, {"programs/O3"}, {{old.set, old.layout, old.context}});
  EXPECT_EQ(test::bytes_of(out.set, "ALL.NC"),
            test::even_parity("%\r\nO1\r\nG0 X1.\r\nM30\r\nO3\r\nG1 X9.\r\nM30\r\n%\r\n"));
  const Composed back =
      Bench(layout, {{"ALL.NC", "O3\r\nG1 X9.\r\nM30\r\n"}})
          .composed(now.reading().state, {"programs/O3"}, {{now.set, now.layout, now.context}});
  EXPECT_EQ(test::bytes_of(back.set, "ALL.NC"), "O3 (three)\r\nG0 X3.\r\nM30\r\n");
}

}  // namespace
}  // namespace keepway
