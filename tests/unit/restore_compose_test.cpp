// Single values put back into the newest originals. All data are invented.
#include "restore_support.hpp"

namespace keepway {
namespace {

using test::Bench;

const std::string words = R"(layout = 1
[[source]]
group = "offsets"
files = ["*.offsets"]
reader = "words"
comment = "("
comment_field = "comment"
[[source.row]]
match = "G10 L2"
address = "work/{P}"
rename = { P = { 1 = "G54", 2 = "G55" } }
fields = { X = "X", Y = "Y", Z = "Z" }
)";
const std::string fixed = R"(layout = 1
[[source]]
group = "offsets"
files = ["*.tab"]
reader = "columns"
split = "fixed"
columns = [{ name = "tool", kind = "whole", at = 0, width = 4 }, { name = "len", kind = "number", at = 5, width = 9 },
           { name = "text", at = 16, width = 8 }]
address = "tool/{tool}"
fields = { len = "length", text = { name = "comment", kind = "text" } }
)";

TEST(Compose, ChangesTheSpanAndNothingElse) {
  const Bench bench(words, {{"A.OFFSETS", "%\r\nG10L2P1X-4.2500Y+0 (top) \r\nG10 L2 P2 X1.\r\n%\r\n"},
                            {"NOTE.TXT", "any\x01 bytes"}});
  const Composed out = bench.changed("offsets/work/G54/X", "12.5");
  EXPECT_TRUE(out.refused.empty());
  EXPECT_EQ(test::bytes_of(out.set, "A.OFFSETS"), "%\r\nG10L2P1X12.5000Y+0 (top) \r\nG10 L2 P2 X1.\r\n%\r\n");
  EXPECT_EQ(test::bytes_of(out.set, "NOTE.TXT"), "any\x01 bytes");
  EXPECT_EQ(out.touched, std::vector<std::string>{"A.OFFSETS"});
  ASSERT_EQ(out.changes.values.size(), 1U);
  EXPECT_EQ(out.changes.values[0].key, "work/G54/X");
  EXPECT_EQ(out.changes.values[0].after, "12.5");
}

TEST(Compose, TakesATableByItsPrefixAndLeavesTheRest) {
  const Bench bench(words, {{"A.OFFSETS", "G10 L2 P1 X1. Y2.\nG10 L2 P2 X3. Y4.\n"}});
  State target = bench.reading().state;
  for (Item& item : *target.table(Group::offsets)) item.value = "0";
  const Composed out = bench.composed(target, {"offsets/work/G54"});
  EXPECT_EQ(test::bytes_of(out.set, "A.OFFSETS"), "G10 L2 P1 X0. Y0.\nG10 L2 P2 X3. Y4.\n");
  // The address ends at a slash: G5 is no table.
  EXPECT_THROW((void)bench.composed(target, {"offsets/work/G5"}), Error);
}

TEST(Compose, SaysWhenThereIsNoSuchItem) {
  const Bench bench(words, {{"A.OFFSETS", "G10 L2 P1 X1.\n"}});
  try {
    (void)bench.composed(bench.reading().state, {"offsets/work/G59"});
    FAIL();
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::usage);
    EXPECT_NE(std::string(error.what()).find("offsets/work/G59"), std::string::npos);
  }
}

TEST(Compose, LeavesEqualItemsAlone) {
  const Bench bench(words, {{"A.OFFSETS", "G10 L2 P1 X1.000\n"}});
  const Composed out = bench.composed(bench.reading().state, {"offsets"});
  EXPECT_TRUE(out.changes.empty());
  EXPECT_TRUE(out.touched.empty());
}

// "1" has a value of its own and a row below it.
TEST(Compose, TellsAValueFromTheRowOfItsName) {
  const Bench bench(R"(layout = 1
[[source]]
group = "settings"
files = ["*.SET"]
reader = "words"
[[source.row]]
address = "{K}"
fields = { V = "", C = "code" }
)",
                    {{"A.SET", "K1 V2 C3\nK2 C5\n"}});
  State target = bench.reading().state;
  for (Item& item : *target.table(Group::settings)) item.value = "9";
  const auto bytes = [&](const std::string& asked) {
    return test::bytes_of(bench.composed(target, {asked}).set, "A.SET");
  };
  EXPECT_EQ(bytes("settings/1"), "K1 V9 C3\nK2 C5\n");
  EXPECT_EQ(bytes("settings/1/*"), "K1 V2 C9\nK2 C5\n");
  EXPECT_EQ(bytes("settings/2"), "K1 V2 C3\nK2 C9\n") << "a row without a value of its own";
}

TEST(Compose, WritesThePlusSignThatTheOtherValuesHave) {
  const std::string layout = R"(layout = 1
[[source]]
group = "variables"
files = ["*.VAR"]
reader = "assign"
)";
  const Bench signs(layout, {{"A.VAR", "#1=+001.50\n#2=-000.25\n"}});
  EXPECT_EQ(test::bytes_of(signs.changed("variables/2", "0.5").set, "A.VAR"), "#1=+001.50\n#2=+000.50\n");
  const Bench mixed(layout, {{"A.VAR", "#1=+001.50\n#2=-000.25\n#3=1\n"}});
  EXPECT_EQ(test::bytes_of(mixed.changed("variables/2", "0.5").set, "A.VAR"),
            "#1=+001.50\n#2=000.50\n#3=1\n");
}

TEST(Compose, UsesThePaddingOfAFixedColumn) {
  const Bench bench(R"(layout = 1
[[source]]
group = "offsets"
files = ["*.tab"]
reader = "columns"
split = "fixed"
columns = [{ name = "tool", kind = "whole", at = 0, width = 4 }, { name = "dia", kind = "number", at = 4, width = 8 },
           { name = "len", kind = "number", at = 12, width = 8 }]
address = "tool/{tool}"
fields = { dia = "diameter", len = "length" }
)",
                    {{"A.tab", "   1    1.50 2.5    \n   2    1.50 2.5\n"}});
  const auto bytes = [&](const std::string& address, const std::string& value) {
    return test::bytes_of(bench.changed(address, value).set, "A.tab");
  };
  EXPECT_EQ(bytes("offsets/tool/1/length", "-12.75"), "   1    1.50 -12.75 \n   2    1.50 2.5\n");
  EXPECT_EQ(bytes("offsets/tool/2/length", "-12.75"), "   1    1.50 2.5    \n   2    1.50 -12.75\n");
  EXPECT_EQ(bytes("offsets/tool/1/diameter", "-12.75"), "   1  -12.75 2.5    \n   2    1.50 2.5\n");
  EXPECT_EQ(bench.changed("offsets/tool/1/length", "-1234.125").refused.size(), 1U);
  EXPECT_EQ(bench.changed("offsets/tool/1/diameter", "1234567.75").refused.size(), 1U);
}

TEST(Compose, ChangesTheRowThatCounts) {
  const Bench bench(words,
                    {{"A.OFFSETS", "G10 L2 P1 X1.\nG10 L2 P1 X2.\n"}, {"B.OFFSETS", "G10 L2 P1 X3.\n"}});
  const Composed out = bench.changed("offsets/work/G54/X", "9.");
  EXPECT_TRUE(out.refused.empty());
  EXPECT_EQ(test::bytes_of(out.set, "A.OFFSETS"), "G10 L2 P1 X1.\nG10 L2 P1 X2.\n");
  EXPECT_EQ(test::bytes_of(out.set, "B.OFFSETS"), "G10 L2 P1 X9.\n");
}

TEST(Compose, CarriesEvenParity) {
  const Bench bench(words, {{"A.OFFSETS", test::even_parity("G10 L2 P1 X1.5 Y7.\r\n")}});
  const Composed out = bench.changed("offsets/work/G54/X", "-2.75");
  EXPECT_TRUE(out.refused.empty());
  EXPECT_EQ(test::bytes_of(out.set, "A.OFFSETS"), test::even_parity("G10 L2 P1 X-2.75 Y7.\r\n"));
}

TEST(Compose, RefusesEightBitTextInAFileWithParity) {
  const Bench bench(words, {{"A.OFFSETS", test::even_parity("G10 L2 P1 X1.5 (top)\r\n")}});
  const Composed out = bench.changed("offsets/work/G54/comment", "H\xC3\xB6he");
  ASSERT_EQ(out.refused.size(), 1U);
  EXPECT_NE(out.refused[0].why.find("7-bit"), std::string::npos);
}

TEST(Compose, FillsFixedColumnsAndRefusesWhatIsLonger) {
  const Bench bench(fixed, {{"T.TAB", "   1   12.5000  DRILL   \n  22 -03.2500   MILL\n"}});
  EXPECT_EQ(test::bytes_of(bench.changed("offsets/tool/1/length", "3.5").set, "T.TAB"),
            "   1    3.5000  DRILL   \n  22 -03.2500   MILL\n");
  EXPECT_EQ(test::bytes_of(bench.changed("offsets/tool/22/length", "3.5").set, "T.TAB"),
            "   1   12.5000  DRILL   \n  22 003.5000   MILL\n");
  EXPECT_EQ(test::bytes_of(bench.changed("offsets/tool/1/comment", "TAP").set, "T.TAB"),
            "   1   12.5000  TAP     \n  22 -03.2500   MILL\n");
  EXPECT_EQ(test::bytes_of(bench.changed("offsets/tool/1/length", "1112.5").set, "T.TAB"),
            "   1 1112.5000  DRILL   \n  22 -03.2500   MILL\n");
  for (const auto& [address, value] :
       std::vector<std::pair<std::string, std::string>>{{"offsets/tool/1/length", "11112.5"},
                                                        {"offsets/tool/1/length", "1.00001"},
                                                        {"offsets/tool/22/comment", "LONGER TEXT"}}) {
    const Composed out = bench.changed(address, value);
    ASSERT_EQ(out.refused.size(), 1U) << address << value;
    EXPECT_EQ(out.refused[0].address.text(), address);
    EXPECT_EQ(out.refused[0].place.file, "T.TAB");
    EXPECT_EQ(out.set.files[0].bytes, bench.set.files[0].bytes);
  }
}

TEST(Compose, RefusesToAddOrRemoveRows) {
  const Bench bench(words, {{"A.OFFSETS", "G10 L2 P1 X1.\n"}});
  State target = bench.reading().state;
  target.table(Group::offsets)->push_back({"work/G55/X", "2"});
  try {
    (void)bench.composed(target, {"offsets/work/G55/X"});
    FAIL();
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::refused);
    EXPECT_FALSE(error.remedy().empty());
  }
  target.table(Group::offsets)->clear();
  EXPECT_EQ(bench.possible(target, {"offsets/work/G54/X"}).refused.size(), 1U);
  target.table(Group::offsets).reset();
  const Composed out = bench.possible(target, {"offsets"});
  ASSERT_EQ(out.refused.size(), 1U);
  EXPECT_NE(out.refused[0].why.find("holds no offsets"), std::string::npos);
}

TEST(Compose, DoesWhatItCanAndNamesTheRest) {
  const Bench bench(words, {{"A.OFFSETS", "G10 L2 P1 X1. Y2.\n"}});
  State target = test::with_value(bench.reading().state, "offsets/work/G54/X", "5.");
  target.table(Group::offsets)->push_back({"work/G55/X", "2"});
  const Composed out = bench.possible(target, {"offsets"});
  ASSERT_EQ(out.refused.size(), 1U);
  EXPECT_EQ(out.refused[0].address.text(), "offsets/work/G55/X");
  EXPECT_EQ(test::bytes_of(out.set, "A.OFFSETS"), "G10 L2 P1 X5. Y2.\n");
}

TEST(Compose, GivesNothingThatDoesNotReadBack) {
  const Bench bench(words, {{"A.OFFSETS", "G10 L2 P1 X1. (top)\n"}});
  const Composed out = bench.changed("offsets/work/G54/comment", "a) X7. (b");
  EXPECT_FALSE(out.refused.empty());
  EXPECT_EQ(test::bytes_of(out.set, "A.OFFSETS"), "G10 L2 P1 X1. (top)\n");
  EXPECT_TRUE(out.touched.empty());
  EXPECT_TRUE(out.changes.empty());
}

TEST(Compose, RefusesRowsThatNoReaderUnderstood) {
  const Bench bench(words, {{"A.OFFSETS", "G10 L2 P1 X1.\n??? \n"}});
  State target = bench.reading().state;
  target.table(Group::offsets)->erase(target.table(Group::offsets)->begin());
  const Composed out = bench.possible(target, {"offsets"});
  ASSERT_EQ(out.refused.size(), 1U);
}

}  // namespace
}  // namespace keepway
