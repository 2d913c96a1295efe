#include <gtest/gtest.h>

#include <algorithm>
#include <random>

#include "keepway/state.hpp"

namespace keepway {
namespace {

TEST(NaturalOrder, CountsAsPeopleDo) {
  std::vector<std::string> keys = {"tool/10/length", "tool/2", "work/G54/X", "tool/2/length",
                                   "work/G59.1/X",   "500",    "47"};
  std::sort(keys.begin(), keys.end(), NaturalLess{});
  const std::vector<std::string> expected = {
      "47", "500", "tool/2", "tool/2/length", "tool/10/length", "work/G54/X", "work/G59.1/X"};
  EXPECT_EQ(keys, expected);
}

TEST(NaturalOrder, IsTotalOnRandomKeys) {
  std::mt19937 random(7);
  const auto key = [&] {
    std::string text;
    for (auto n = random() % 6; n > 0; --n) text += "01/a9"[random() % 5];
    return text;
  };
  for (int i = 0; i < 20'000; ++i) {
    const std::string a = key(), b = key(), c = key();
    EXPECT_EQ(natural_order(a, b) == 0, a == b) << a << ' ' << b;
    EXPECT_EQ(natural_order(a, b) < 0, natural_order(b, a) > 0) << a << ' ' << b;
    if (natural_order(a, b) < 0 && natural_order(b, c) < 0) {
      EXPECT_TRUE(natural_order(a, c) < 0) << a << ' ' << b << ' ' << c;
    }
  }
}

TEST(NaturalOrder, KeysForSortingCompareTheSame) {
  std::mt19937 random(8);
  const auto key = [&] {
    std::string text;
    for (auto n = random() % 7; n > 0; --n) text += "01/a9:-\xC3"[random() % 8];
    return text;
  };
  for (int i = 0; i < 50'000; ++i) {
    const std::string a = key(), b = key();
    std::string x, y;
    ASSERT_TRUE(append_natural_key(a, x) && append_natural_key(b, y));
    if (x == y) continue;  // they differ by their zeros alone
    EXPECT_EQ(x < y, natural_order(a, b) < 0) << a << ' ' << b;
  }
  std::string out;
  EXPECT_FALSE(append_natural_key(std::string("a\0b", 3), out));
  EXPECT_FALSE(append_natural_key(std::string(300, '7'), out));
  EXPECT_TRUE(append_natural_key(std::string(300, '0'), out));
}

TEST(Address, NamesGroupsAndKeys) {
  EXPECT_EQ(Address::parse("offsets/work/G54/X").key, "work/G54/X");
  EXPECT_EQ(Address::parse("settings").key, "");
  EXPECT_EQ(Address::parse("programs/O01234").text(), "programs/O1234");
  EXPECT_EQ(Address::parse("programs/o7").text(), "programs/O7");
  EXPECT_THROW(Address::parse("tools/3"), Error);
}

TEST(Table, TheLastOfTwoRowsWithOneKeyCounts) {
  Table table = {{"2", "a"}, {"10", "b"}, {"2", "c"}};
  sort_table(table);
  EXPECT_EQ(table, (Table{{"2", "c"}, {"10", "b"}}));
  EXPECT_EQ(find_item(table, "10")->value, "b");
  EXPECT_EQ(find_item(table, "3"), nullptr);
}

TEST(NormalForm, EveryBytePairComesBack) {
  for (int i = 0; i < 256; ++i) {
    for (int j = 0; j < 256; ++j) {
      const std::string bytes = {static_cast<char>(i), static_cast<char>(j)};
      const std::string safe = escape(bytes);
      EXPECT_EQ(unescape(safe), bytes);
      EXPECT_TRUE(std::all_of(safe.begin(), safe.end(),
                              [](char c) { return static_cast<unsigned char>(c) >= 0x20 && c != 0x7f; }));
    }
  }
  EXPECT_EQ(escape("1/2 end mill, Ø12"), "1/2 end mill, Ø12");
  EXPECT_EQ(escape("\x1b[31m"), "\\x1B[31m");
  EXPECT_EQ(escape("\xC2\x9B"), "\\xC2\\x9B") << "a C1 control is a control in UTF-8 too";
  EXPECT_FALSE(unescape("\\q"));
  EXPECT_FALSE(unescape("\\x1"));
}

TEST(NormalForm, TablesReadBackAsWritten) {
  const Table table = {{"5", "-0.5"},
                       {"tool/3/comment", "odd\tname\n"},
                       {"tool/12/length", "5.1"},
                       {"unread/00ff", "\x80\xff junk"}};
  EXPECT_EQ(read_table(write_table(table), "t"), table);
  EXPECT_EQ(read_table("", "t"), Table{});
}

TEST(NormalForm, HandEditsThatBreakItAreReportedWithTheirPlace) {
  for (const auto& [broken, line] :
       {std::pair("5 no tab\n", 1U), std::pair("5\t1", 1U), std::pair("6\t1\n5\t1\n", 2U),
        std::pair("5\t1\n5\t2\n", 2U), std::pair("\t1\n", 1U), std::pair("5\t\\q\n", 1U),
        std::pair("5\ta\rb\n", 1U)}) {
    try {
      read_table(broken, "state/settings.tsv");
      ADD_FAILURE() << broken;
    } catch (const Error& error) {
      EXPECT_EQ(error.kind(), ErrorKind::input);
      EXPECT_EQ(error.place().file, "state/settings.tsv");
      EXPECT_EQ(error.place().line, line) << broken;
      EXPECT_TRUE(error.place().byte);
    }
  }
}

TEST(NormalForm, AStateReadsBackWhole) {
  State state;
  state.table(Group::offsets) = Table{{"work/G54/X", "-4.25"}};
  state.table(Group::variables) = Table{};
  state.programs = {{"O7", "O7\nM30\n"},
                    {"O12345", "O12345\nM30\n"},
                    {"O123456", "O123456\n"},
                    {"sub/part one.nc", "G0 X1\n"}};
  const auto files = write_state(state);
  EXPECT_EQ(files[0].path, "state/offsets.tsv");
  EXPECT_EQ(read_state(files), state);
}

TEST(ProgramPath, NeverMixesNumbersAndFileNames) {
  EXPECT_EQ(program_path("O1234"), "state/programs/O01234.nc");
  EXPECT_EQ(program_path("O123456"), "state/programs/O123456.nc");
  for (const char* name : {"O1234", "O01234.nc", "O123456", "a/b.nc", "x%", "O01234.nc%", "O1234~2",
                           "COM1.nc", ".git/config", "O0012341234"}) {
    EXPECT_EQ(program_name_from_path(program_path(name)), name);
  }
  EXPECT_NE(program_path("O1234"), program_path("O01234.nc"));
}

TEST(SafePath, ComesBackAsReceived) {
  std::mt19937 random(11);
  for (int i = 0; i < 20'000; ++i) {
    std::string name;
    for (auto n = 1 + random() % 12; n > 0; --n) name += static_cast<char>(1 + random() % 255);
    try {
      const std::string safe = safe_path(name);
      EXPECT_EQ(received_name(safe), name);
      EXPECT_EQ(safe.find_first_of("\\:*?\"<>|\n\t"), std::string::npos);
    } catch (const Error& error) {
      EXPECT_EQ(error.kind(), ErrorKind::refused);
    }
  }
}

TEST(SafePath, HoldsNamesThatSystemsCannot) {
  EXPECT_EQ(safe_path("plain.nc"), "plain.nc");
  EXPECT_EQ(safe_path("a/.GIT/x"), "a/%2EGIT/x");
  EXPECT_EQ(safe_path("git~1"), "%67it~1");
  EXPECT_EQ(safe_path("con.nc"), "%63on.nc");
  EXPECT_EQ(safe_path("end. "), "end.%20");
  EXPECT_EQ(safe_path("50%"), "50%25");
  EXPECT_EQ(safe_path("x\xff"), "x%FF");
}

TEST(SafePath, RefusesWhatCouldLeaveTheFolder) {
  for (const std::string_view name :
       {std::string_view("/etc/x"), std::string_view("../x"), std::string_view("a/../../x"),
        std::string_view("a//b"), std::string_view("a/"), std::string_view("./x"), std::string_view(""),
        std::string_view("a\0b", 3)}) {
    EXPECT_THROW(safe_path(name), Error) << name;
  }
  EXPECT_THROW(safe_path(std::string(256, 'a')), Error);
  EXPECT_THROW(safe_path(std::string(5000, 'a')), Error);
}

}  // namespace
}  // namespace keepway
