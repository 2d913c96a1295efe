// What is left of a file or a table that was damaged, and what only looks like it. Files are invented.
#include <gmock/gmock.h>

#include "verdict_support.hpp"

namespace keepway {
namespace {

using namespace testing_verdict;
using testing::Contains;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::Not;

// Of `[part]` with `key = value` below it.
Judging judging_sections(const std::string& group) {
  Judging judging;
  judging.layout = parse_layout(
      "layout = 1\n[[source]]\ngroup = \"" + group + "\"\nfiles = \"*\"\nreader = \"sections\"\n", "l");
  return judging;
}

TEST(VerdictDamage, ANumberThatIsBrokenWhereNoneWasBefore) {
  const Files whole = whole_backup();
  const Files broken = with(whole, "ALL.PRG", "G1 X3.5 Y-5.5 F20.", "G1 X3.5.25 Y-5.5 F20.");
  EXPECT_THAT(heavy(Judging{}.of(broken, whole)), Contains("number-broken"));
  const Files bare = with(whole, "ALL.PRG", "G1 X3.5 Y-5.5 F20.", "3.5 Y-5.5 F20.");
  EXPECT_THAT(heavy(Judging{}.of(bare, whole)), Contains("number-broken"));
  EXPECT_THAT(heavy(Judging{}.of(with(bare, "ALL.PRG", "G1 X4.5 ", "4.5 "), bare)),
              Not(Contains("number-broken")));
  EXPECT_THAT(heavy(Judging{}.of(with(broken, "ALL.PRG", "X4.5 ", "X4.5.6 "), broken)),
              Not(Contains("number-broken")))
      << "this control's programs have such numbers";
  EXPECT_THAT(heavy(Judging{}.of(with(whole, "ALL.PRG", "G1 X3.5 ", "(V1.2.3) G1 X3.5 "), whole)), IsEmpty());
}

TEST(VerdictDamage, BlanksInANewFileWhereNoOtherOfItsKindHasSoMany) {
  Files whole = {{"M.VAR", "#300=12.5\n"}};
  for (const char name : {'A', 'B', 'C', 'D'})
    whole[std::string(1, name) + ".PRG"] =
        std::string("O") + std::to_string(name) + "\nG1 X1.    (CUT)\nM30\n";
  Files fresh = whole;
  fresh["E.PRG"] = "O9\nG1 X1." + std::string(32, ' ') + "5 Y3.\nM30\n";
  EXPECT_THAT(heavy(Judging{}.of(fresh, whole)), ElementsAre("sector-lost"));
  for (auto& [name, text] : whole) {
    if (name != "M.VAR") text.insert(text.find("("), 20, ' ');
  }
  whole["E.PRG"] = fresh["E.PRG"];
  Files old = whole;
  old.erase("E.PRG");
  EXPECT_THAT(heavy(Judging{}.of(whole, old)), IsEmpty()) << "comments far to the right are usual here";
}

// In code page 437.
TEST(VerdictDamage, ATableThatIsDrawnLostNone) {
  const std::string rule = "\xC3" + std::string(20, '\xC4') + "\xC5" + std::string(20, '\xC4') + "\xB4\r\n";
  const std::string row = "\xB3" + std::string(20, '1') + "\xB3" + std::string(20, '2') + "\xB3\r\n";
  const Files whole = {{"M.VAR", "#1=5\n"}};
  const Files drawn = {{"M.VAR", "#1=5\n"}, {"TABLE.PAR", rule + row + rule}};
  EXPECT_THAT(heavy(Judging{}.of(drawn, whole)), Not(Contains("sector-lost")));
  const Files lost = {{"M.VAR", "#1=5\n"}, {"TABLE.PAR", row + std::string(512, '\xC4') + row}};
  EXPECT_THAT(heavy(Judging{}.of(lost, whole)), Contains("sector-lost"));
}

TEST(VerdictDamage, AReturnAloneWhereLinesEndInTwoBytes) {
  Files whole = whole_backup();
  std::string& text = whole["ALL.PRG"];
  for (std::size_t at = text.find('\n'); at != std::string::npos; at = text.find('\n', at + 2))
    text.insert(at, "\r");
  const std::size_t end = text.find("\r\n", text.size() / 2);
  Files alone = whole;
  alone["ALL.PRG"].erase(end + 1, 1);
  EXPECT_THAT(heavy(Judging{}.of(alone, whole)), Contains("stray-byte"));
  Files twice = whole;
  twice["ALL.PRG"].insert(end, "\r");
  EXPECT_THAT(heavy(Judging{}.of(twice, whole)), Contains("stray-byte"));
  Files fed = whole;
  fed["ALL.PRG"].erase(end, 1);
  EXPECT_THAT(heavy(Judging{}.of(fed, whole)), Contains("stray-byte"));
  EXPECT_THAT(heavy(Judging{}.of(whole_backup(), whole)), Not(Contains("stray-byte")))
      << "all in one byte now";
}

TEST(VerdictDamage, AllRowsOfATableClearedBesideAValueThatSaysWhichIsInForce) {
  Judging judging;
  judging.layout = parse_layout(
      "layout = 1\n[[source]]\ngroup = \"offsets\"\nfiles = \"*\"\nreader = \"words\"\n"
      "[[source.row]]\nmatch = \"S\"\naddress = \"work\"\nfields = { S = \"in-force\" }\n"
      "[[source.row]]\nmatch = \"P\"\naddress = \"work/{P}\"\nfields = { X = \"X\", Y = \"Y\", Z = \"Z\" }\n"
      "[[source.row]]\nmatch = \"T\"\naddress = \"tool/{T}\"\nfields = { L = \"length\" }\n",
      "l");
  const std::string tools = "T1 L5.5\nT2 L6.5\nT3 L7.5\n";
  const auto zeros = [&](int set) {
    std::string rows = tools + "S1\n";
    for (int i = 1; i <= 4; ++i)
      rows += "P" + std::to_string(i) + (i <= set ? " X1.5 Y2.5 Z3.5\n" : " X0 Y0 Z0\n");
    return Files{{"ZEROS", rows}};
  };
  for (const int set : {2, 3, 4})
    EXPECT_THAT(heavy(judging.of(zeros(0), zeros(set))), ElementsAre("memory-lost")) << set;
  EXPECT_THAT(heavy(judging.of(zeros(0), zeros(1))), IsEmpty()) << "one place is cleared in daily work";
  EXPECT_THAT(heavy(judging.of(zeros(1), zeros(4))), IsEmpty());
}

TEST(VerdictDamage, ARowGoneFromTwoFilesOfAKindIsOne) {
  Judging judging;
  judging.layout = parse_layout(
      "layout = 1\n[[source]]\ngroup = \"parameters\"\nfiles = \"*\"\nreader = \"sections\"\nrepeats = "
      "\"number\"\n",
      "l");
  const std::string axis = "[X]\nhigh = 9\nlow = 1\nspeed = 3\nwait = 4\n";
  const Files whole = {{"A.CFG", axis}, {"B.CFG", axis}};
  Files less = with(with(whole, "A.CFG", "speed = 3\n", ""), "B.CFG", "speed = 3\n", "");
  EXPECT_THAT(heavy(judging.of(less, whole)), ElementsAre("count-fell"));
  judging.past.shrank = [](Group) { return true; };
  EXPECT_THAT(heavy(judging.of(less, whole)), IsEmpty()) << "settings come and go in this one";
  less = with(with(less, "A.CFG", "low = 1\n", ""), "B.CFG", "low = 1\n", "");
  EXPECT_THAT(heavy(judging.of(less, whole)), ElementsAre("count-fell")) << "two";
}

TEST(VerdictDamage, RowsOfOneKeyThatDifferAreInDoubt) {
  const std::string keys =
      "layout = 1\n[[source]]\ngroup = \"variables\"\nfiles = \"*\"\nreader = \"assign\"\nshape = "
      "\"V{key}={value}\"\n";
  const Files before = {{"V.TXT", "V1=1\nV2=2\n"}};
  const Files now = {{"V.TXT", "V1=1\nV2=2\nV1=3\n"}};
  Judging judging;
  judging.layout = parse_layout(keys, "l");
  EXPECT_THAT(heavy(judging.of(now, before)), ElementsAre("rows-clash"));
  EXPECT_THAT(heavy(judging.of({{"V.TXT", "V1=1\nV2=2\nV1=1\n"}}, before)), IsEmpty());
  judging.layout = parse_layout(keys + "repeats = \"last\"\n", "l");
  EXPECT_THAT(heavy(judging.of(now, before)), IsEmpty()) << "the control takes the last, too";
}

TEST(VerdictDamage, TheEndOfALoopIsNoEndOfAProgram) {
  Judging judging;
  judging.layout = parse_layout(
      "layout = 1\n[[source]]\ngroup = \"programs\"\nfiles = \"*\"\nreader = \"blocks\"\nprogram = "
      "\"file\"\n",
      "l");
  const auto cut_behind = [&](const std::string& loop, const std::string& end) {
    const std::string head = "G1 X1.\n" + loop + "\n";
    return heavy(judging.of({{"S.PRG", head}}, {{"S.PRG", head + "G1 X2.\n" + end + "\n"}}));
  };
  for (const char* loop : {"o5 endwhile", "o5 endif", "O5 ENDREPEAT"})
    EXPECT_THAT(cut_behind(loop, "M2"), ElementsAre("file-cut")) << loop;
  EXPECT_THAT(cut_behind("o5 endsub", "M2"), IsEmpty())
      << "what was behind a subroutine may have been deleted";
}

// A control that writes the date into its files' names.
TEST(VerdictDamage, AFileOfAllProgramsIsComparedUnderAnotherName) {
  const std::string text = whole_backup().at("ALL.PRG");
  Files lost = {{"M.VAR", "#1=5\n"}, {"D2.PRG", text}};
  lost["D2.PRG"].replace(text.size() / 2, 40, 40, ' ');
  EXPECT_THAT(heavy(Judging{}.of(lost, {{"M.VAR", "#1=5\n"}, {"D1.PRG", text}})), Contains("sector-lost"));
  // A file a program: another name is another program.
  const Files two = {{"1.PRG", "O1\nG1 X1.\nM30\n"}, {"2.PRG", "O2\nG1 X2.\nG1 X3.\nM30\n"}};
  Files other = two;
  other.erase("2.PRG");
  other["3.PRG"] = "O3\nG1 X9." + std::string(40, ' ') + "(NEW)\nM30\n";
  Files all = two;
  for (auto* files : {&other, &all}) (*files)["M.VAR"] = "#1=5\n";
  EXPECT_THAT(heavy(Judging{}.of(other, all)), Not(Contains("sector-lost")));
}

TEST(VerdictDamage, ANumberThatIsTheSerialByChance) {
  Files whole = whole_backup();
  whole["M.VAR"] += "#900=4471\n";
  const Files more = with(whole, "M.VAR", "#900=4471", "#900=4483");
  Judging judging;
  EXPECT_THAT(heavy(judging.of(more, whole)), ElementsAre("serial-differs"));
  judging.book = Namebook::parse("address\tname\tflags\nvariables/900\tParts made\tliving\n", "book");
  EXPECT_THAT(heavy(judging.of(more, whole)), IsEmpty()) << "a counter passes every number";
  Files tools = whole_backup();
  tools["M.OFS"] += "T90 L-4471.25 D12.4471\n";
  EXPECT_THAT(heavy(Judging{}.of(with(tools, "M.OFS", "-4471.25 D12.4471", "-4470.25 D12.5"), tools)),
              IsEmpty());
}

TEST(VerdictDamage, ALostSectorAtTheBeginningOfANewFile) {
  Files whole = {{"M.VAR", "#1=1\n"}};
  for (int i = 1; i <= 6; ++i)
    whole["P" + std::to_string(i) + ".PRG"] =
        "O" + std::to_string(i) + "\nG1 X" + std::to_string(i) + "\nM30\n";
  const auto with_new = [&](const std::string& leader) {
    Files files = whole;
    files["P7.PRG"] = leader + "O7\nG1 X7\nM30\n";
    return heavy(Judging{}.of(files, whole));
  };
  EXPECT_THAT(with_new(std::string(512, '\0')), ElementsAre("sector-lost"));
  EXPECT_THAT(with_new(std::string(300, '\0')), IsEmpty()) << "a tape's leader";
  for (auto& [name, text] : whole) {
    if (name != "M.VAR") text.insert(0, 512, '\0');
  }
  EXPECT_THAT(with_new(std::string(512, '\0')), IsEmpty()) << "all have such a leader";
}

TEST(VerdictDamage, LineEndsThatAnEditorWroteOtherwiseAreNoCut) {
  const Files whole = {{"M.VAR", "#1=1\n"}, {"A.PRG", "O1\r\nG1 X1\r\nM30\r\n"}};
  EXPECT_THAT(heavy(Judging{}.of({{"M.VAR", "#1=1\n"}, {"A.PRG", "O1\nG1 X1\nM30\n"}}, whole)), IsEmpty());
  EXPECT_THAT(heavy(Judging{}.of({{"M.VAR", "#1=1\n"}, {"A.PRG", "O1\r\nG1 X1\r\nM30\r"}}, whole)),
              ElementsAre("file-cut"));
}

TEST(VerdictDamage, AStretchOfATableThatLostItsMemory) {
  const auto rows = [](int first, int last, const auto& value) {
    std::string text;
    for (int i = first; i <= last; ++i)
      text += "A" + std::to_string(i) + " V" + std::to_string(value(i)) + "\n";
    return text;
  };
  const auto usual = [](int i) { return i * 37; };
  const auto zero = [](int) { return 0; };
  const auto filled = [](int) { return 255; };
  const auto flags = [](int i) { return 1 + i % 2; };
  const auto codes = [&](const std::string& after, const std::string& before) {
    const auto whole = [&](const std::string& middle) {
      return Files{{"M.VAR", "#1=1\n"}, {"M.PAR", rows(1, 40, usual) + middle + rows(61, 70, usual)}};
    };
    return heavy(Judging{}.of(whole(after), whole(before)));
  };
  const std::string before = rows(41, 60, usual);
  EXPECT_THAT(codes(rows(41, 60, zero), before), ElementsAre("memory-lost"));
  EXPECT_THAT(codes(rows(41, 60, filled), before), ElementsAre("memory-lost"));
  EXPECT_THAT(codes(rows(41, 60, zero), rows(41, 60, flags)), ElementsAre("memory-lost"));
  EXPECT_THAT(codes(rows(41, 46, zero) + rows(47, 60, usual), before), IsEmpty())
      << "six that somebody cleared";
}

TEST(VerdictDamage, TheShiftsOfAllSystemsWhereEachIsAPart) {
  const Judging judging = judging_sections("offsets");
  const auto systems = [](int cleared) {
    std::string text;
    for (int i = 54; i < 60; ++i) {
      const std::string value = i - 54 < cleared ? "0.0" : std::to_string(i) + ".5";
      text += "[G" + std::to_string(i) + "]\nX=" + value + "\nY=" + value + "\nZ=-" + value + "\nA=" + value +
              "\n[T" + std::to_string(i) + "]\nlength=" + std::to_string(i) + ".25\n";
    }
    return Files{{"M.OFS", text}};
  };
  EXPECT_THAT(heavy(judging.of(systems(6), systems(0))), ElementsAre("memory-lost"));
  EXPECT_THAT(heavy(judging.of(systems(1), systems(0))), IsEmpty()) << "one system was cleared";
}

TEST(VerdictDamage, SwitchesThatAllSayOneWord) {
  const Judging judging = judging_sections("settings");
  const auto switches = [](int off) {
    std::string text = "[panel]\n";
    for (int i = 1; i <= 30; ++i)
      text += "s" + std::to_string(i) + " = " + (i <= off ? "off" : i % 2 == 0 ? "on" : "auto") + "\n";
    return Files{{"M.CFG", text}};
  };
  EXPECT_EQ(judging.of(switches(30), switches(0)).reasons.front().code, "memory-lost");
  EXPECT_THAT(heavy(judging.of(switches(6), switches(0))), IsEmpty());
}

TEST(VerdictDamage, TheLineBehindTheLastRowIsMissed) {
  Judging judging;
  judging.layout = parse_layout(
      "layout = 1\n[[source]]\ngroup = \"parameters\"\nfiles = \"*\"\nreader = \"words\"\naddress = "
      "\"{A}\"\nfields = { V = \"\" }\nskip = [\"LIST *\", \"* ROWS\"]\n",
      "l");
  const auto list = [](int first, const std::string& foot) {
    return Files{{"M", "LIST OF MILL\nA1 V" + std::to_string(first) + "\nA2 V5\nA3 V6\n" + foot}};
  };
  const Files whole = list(7, "3 ROWS\n");
  EXPECT_THAT(heavy(judging.of(list(8, ""), whole)), ElementsAre("file-cut"));
  EXPECT_THAT(heavy(judging.of(list(8, "A4 V1\n4 ROWS\n"), whole)), IsEmpty());
  EXPECT_THAT(heavy(judging.of(list(8, "PRINTED\n"), list(7, "A4 V1\n"))), Not(Contains("file-cut")));
  EXPECT_THAT(heavy(judging.of(list(8, ""), {{"M", "LIST OF MILL\n"}})), IsEmpty())
      << "a table that was empty";
}

TEST(VerdictDamage, ALastRowThatGotItsValueClosedNothing) {
  Judging judging;
  judging.layout = parse_layout(
      "layout = 1\n[[source]]\ngroup = \"variables\"\nfiles = \"*\"\nreader = \"assign\"\nempty_rows = "
      "true\n",
      "l");
  const auto list = [](const std::string& last) { return Files{{"M", "#1=5\n#2=7.5\n#999=" + last + "\n"}}; };
  EXPECT_THAT(heavy(judging.of(list("3.5"), list(""))), IsEmpty());
}

TEST(VerdictDamage, ALostSectorAtTheEndOfAFileIsSaidBeforeTheCutThatItMade) {
  Files lost = whole_backup();
  lost["ALL.PRG"].replace(lost["ALL.PRG"].size() - 300, 300, 300, '\0');
  const Verdict verdict = Judging{}.of(lost, whole_backup());
  ASSERT_THAT(heavy(verdict), Contains("program-cut-off"));
  EXPECT_EQ(verdict.reasons.front().code, "sector-lost");
}

TEST(VerdictDamage, ProgramsThatAreGoneWhereOthersCame) {
  const auto programs = [](int first) {
    std::string text;
    for (int i = first; i < first + 8; ++i)
      text += "O" + std::to_string(i) + "\nG1 X" + std::to_string(i) + "\nM30\n";
    return Files{{"M.VAR", "#1=1\n"}, {"A.PRG", text}};
  };
  const Verdict verdict = Judging{}.of(programs(5), programs(1));
  ASSERT_THAT(heavy(verdict), ElementsAre("count-fell"));
  EXPECT_EQ(verdict.reasons.front().what, "4 of 8 programs are gone: O1, O2, O3, O4");
}

TEST(VerdictDamage, PlacesOfSeveralNumbersThatAllTurnedZero) {
  const Judging judging = judging_sections("offsets");
  const auto places = [](int cleared) {
    std::string text = "[tool]\nT1 = 50.5\nT2 = 60.5\n[zero]\n";
    for (int i = 54; i < 60; ++i) {
      const std::string axes = " = " + std::to_string(i) + ".5 -" + std::to_string(i) + ".25 1.5\n";
      text += "G" + std::to_string(i) + (i - 54 < cleared ? " = 0.0 0.0 0.0\n" : axes);
    }
    return Files{{"M.OFS", text}};
  };
  EXPECT_THAT(heavy(judging.of(places(6), places(0))), ElementsAre("memory-lost"));
  EXPECT_THAT(heavy(judging.of(places(2), places(0))), IsEmpty()) << "two that somebody cleared";
}

TEST(VerdictDamage, TwoPlacesOfManyAxesThatSomebodyCleared) {
  const Judging judging = judging_sections("offsets");
  for (const int axes : {4, 6}) {
    const auto places = [axes](int cleared) {
      std::string text = "[tool]\nT1 = 50.5\nT2 = 60.5\n[zero]\n";
      for (int i = 54; i < 60; ++i) {
        text += "G" + std::to_string(i) + " =";
        for (int axis = 0; axis < axes; ++axis)
          text += i - 54 < cleared ? " 0.0" : " " + std::to_string(i + axis) + ".5";
        text += "\n";
      }
      return Files{{"M.OFS", text}};
    };
    EXPECT_THAT(heavy(judging.of(places(2), places(0))), IsEmpty()) << axes;
    EXPECT_THAT(heavy(judging.of(places(6), places(0))), ElementsAre("memory-lost")) << axes;
  }
}

TEST(VerdictDamage, AnEndThatWasThereBeforeIsMissed) {
  const Files before = {
      {"M.VAR", "#1=1\n"}, {"A.PRG", "O1\nG1 X1.\nM30\n"}, {"B.PRG", "O2\nG1 X2.\nG1 X3.\n"}};
  EXPECT_THAT(heavy(Judging{}.alone(before)), ElementsAre("program-cut-off"))
      << "none tells that it is kept so";
  EXPECT_THAT(heavy(Judging{}.of(with(before, "B.PRG", "X3.", "X4."), before)), IsEmpty());
  EXPECT_THAT(heavy(Judging{}.of(with(before, "A.PRG", "M30\n", ""), before)), Contains("program-cut-off"));
}

}  // namespace
}  // namespace keepway
