// Each fault that must be seen, made in a whole backup and judged against the good one before.
#include <gmock/gmock.h>

#include "verdict_support.hpp"

namespace keepway {
namespace {

using namespace testing_verdict;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

TEST(VerdictFaults, TheSameAgainIsGood) {
  EXPECT_THAT(heavy(Judging{}.of(whole_backup(), whole_backup())), IsEmpty());
}

TEST(VerdictFaults, ADaysWorkIsGood) {
  Files day = with(whole_backup(), "M.VAR", "#300=1.25", "#300=77");
  day = with(day, "M.OFS", "T3 L3.125", "T3 L3.11");
  day = with(day, "ALL.PRG", "X1.3 Y-3.5 F20.", "X1.35 Y-3.5 F22.");
  day = with(day, "ALL.PRG", "G1 X2.5 Y-5.5 F20.\n", "");
  EXPECT_THAT(heavy(Judging{}.of(day, whole_backup())), IsEmpty());
}

// Of every file, at every byte: none may pass for good.
TEST(VerdictFaults, ACutAtAnyByteIsDoubtful) {
  const Files whole = whole_backup();
  for (const auto& [name, text] : whole) {
    for (std::size_t at = 1; at < text.size(); at += 7) {
      Files cut = whole;
      cut[name].resize(at);
      EXPECT_THAT(heavy(Judging{}.of(cut, whole)), Not(IsEmpty())) << name << " cut at " << at;
    }
    Files cut = whole;
    cut[name].pop_back();
    EXPECT_THAT(heavy(Judging{}.of(cut, whole)), Not(IsEmpty())) << name << " without its last byte";
  }
}

TEST(VerdictFaults, ACutBetweenTwoLinesIsDoubtful) {
  const Files whole = whole_backup();
  for (const auto& [name, text] : whole) {
    for (std::size_t at = text.find('\n'); at + 1 < text.size(); at = text.find('\n', at + 1)) {
      Files cut = whole;
      cut[name].resize(at + 1);
      EXPECT_THAT(heavy(Judging{}.of(cut, whole)), Not(IsEmpty())) << name << " cut at " << at;
    }
  }
}

TEST(VerdictFaults, ACutFileSaysSoBeforeAnythingAboutGuards) {
  Files cut = whole_backup();
  cut["ALL.PRG"].resize(cut["ALL.PRG"].find("O60 "));
  const Verdict verdict = Judging{}.of(cut, whole_backup());
  ASSERT_THAT(heavy(verdict), Contains("protected-gone"));
  EXPECT_EQ(verdict.reasons.front().code, "program-cut-off");
}

TEST(VerdictFaults, AnEndOfAProgramInWordsIsMissed) {  // common practice, no source; the words are invented
  const Files whole = {{"S.PRG", "O5\nG1 X1\nM30\nEND OF WORK\n"}};
  EXPECT_THAT(heavy(Judging{}.of({{"S.PRG", "O5\nG1 X1\nM30\nG1 X2\n"}}, whole)), Contains("file-cut"));
  EXPECT_THAT(heavy(Judging{}.of({{"S.PRG", "O5\nG1 X2\nM30\nEND OF WORK\n"}}, whole)),
              Not(Contains("file-cut")));
}

TEST(VerdictFaults, ARowThatBreaksOffInAFileWithoutALastLineEnd) {
  const Files whole = {{"M.VAR", "#300=12.5\n#301=37.25"}};
  EXPECT_THAT(heavy(Judging{}.of({{"M.VAR", "#300=12.5\n#301=37.2"}}, whole)), ElementsAre("file-cut"));
  EXPECT_THAT(heavy(Judging{}.of({{"M.VAR", "#300=12.5\n#301=38.25"}}, whole)), IsEmpty());
}

TEST(VerdictFaults, RunsOfOneByteAreLostSectors) {
  const Files whole = whole_backup();
  for (const char fill : {'\0', '\xf6', '\xe5', ' ', 'U'}) {
    for (const auto& [name, text] : whole) {
      for (const std::size_t length : {std::size_t{64}, text.size() / 2}) {
        Files lost = whole;
        std::fill_n(lost[name].begin() + static_cast<long>(text.size() / 4), length, fill);
        EXPECT_THAT(heavy(Judging{}.of(lost, whole)), Not(IsEmpty()))
            << name << ", " << length << " bytes " << static_cast<int>(fill);
      }
    }
  }
}

TEST(VerdictFaults, ALeaderIsNoLostSector) {
  Files led = whole_backup();
  led["ALL.PRG"].insert(0, std::string(40, '\0'));
  led["ALL.PRG"] += std::string(40, '\0');
  EXPECT_THAT(heavy(Judging{}.of(led, whole_backup())), IsEmpty());
}

TEST(VerdictFaults, AShortRunBesideALongerLeaderIsALostSector) {
  Files whole = whole_backup();
  whole["ALL.PRG"] = std::string(60, '\0') + whole["ALL.PRG"] + std::string(60, '\0');
  Files lost = whole;
  lost["ALL.PRG"].replace(700, 32, 32, '\0');
  EXPECT_THAT(heavy(Judging{}.of(lost, whole)), Contains("sector-lost"));
}

TEST(VerdictFaults, ARunUpToAMarkWhoseLineIsGoneIsNoLeader) {
  const Files whole = whole_backup();
  const std::size_t mark = whole.at("ALL.PRG").rfind("%\n");
  Files lost = whole;
  lost["ALL.PRG"].replace(mark - 40, 40, 40, '\0');
  EXPECT_THAT(heavy(Judging{}.of(lost, whole)), Contains("sector-lost"));
  Files led = whole;
  led["ALL.PRG"].insert(mark, std::string(40, '\0'));
  EXPECT_THAT(heavy(Judging{}.of(led, whole)), IsEmpty());
}

TEST(VerdictFaults, AHoleInAFileThatGrewElsewhereIsDoubtful) {
  const Files whole = whole_backup();
  std::string more = "O900 (NEW)\n";
  for (int i = 1; i < 40; ++i) more += "G1 X9." + std::to_string(i) + " F11.\n";
  Files hole = with(whole, "ALL.PRG", "O701", more + "M30\nO701");
  hole["ALL.PRG"].erase(500, 512);
  EXPECT_THAT(heavy(Judging{}.of(hole, whole)), Contains("sector-missing"));
}

// Each of 16 bytes, so that 32 of them are a sector.
std::string blocks(int first, int last, const char* feed) {
  std::string out;
  for (int i = first; i < last; ++i) out += "G1 X" + std::to_string(1000 + i) + " F" + feed + "\n";
  return out;
}

TEST(VerdictFaults, AHoleInAFileOfAsManyLinesIsDoubtful) {
  const std::string whole = "O5\n" + blocks(0, 200, "11.11") + "M30\n";
  const std::string other = "O5\n" + blocks(0, 50, "11.11") + blocks(82, 150, "11.11") +
                            blocks(300, 332, "22.22") + blocks(150, 200, "11.11") + "M30\n";
  EXPECT_THAT(heavy(Judging{}.of({{"S.PRG", other}}, {{"S.PRG", whole}})), Contains("sector-missing"));
  const std::string changed =
      "O5\n" + blocks(0, 50, "11.11") + blocks(50, 60, "22.22") + blocks(60, 200, "11.11") + "M30\n";
  EXPECT_THAT(heavy(Judging{}.of({{"S.PRG", changed}}, {{"S.PRG", whole}})), Not(Contains("sector-missing")));
}

TEST(VerdictFaults, AHoleWithinALineBesideAChangedOneIsDoubtful) {
  std::string words = "(";
  for (int i = 0; i < 50; ++i) words += std::to_string(i * i) + " ";
  const std::string whole = "O5\n" + blocks(0, 20, "11.11") + words + ")\nM30\n";
  std::string hole = "O5\n" + blocks(0, 1, "22.22") + blocks(1, 20, "11.11") + words + ")\nM30\n";
  hole.erase(hole.find(words) + 20, 128);
  EXPECT_THAT(heavy(Judging{}.of({{"S.PRG", hole}}, {{"S.PRG", whole}})), Contains("sector-missing"));
}

TEST(VerdictFaults, AHoleThatTheBackupBeforeHadTooIsWhatTheMachineHolds) {
  // Somebody deleted a program of exactly 512 bytes.
  const Files deleted = whole_backup();
  const auto with_one = [&](std::size_t bytes) {
    std::string program = "O45 (KEY WAY)\n";
    while (program.size() < bytes - 8) program += "G1 X" + std::to_string(program.size()) + ".\n";
    program.resize(bytes - 4, '\n');
    return with(deleted, "ALL.PRG", "O701", program + "M30\nO701");
  };
  const Files before = with_one(512);
  const Verdict first = Judging{}.of(deleted, before);
  ASSERT_THAT(heavy(first), ElementsAre("sector-missing"));
  Judging next;
  next.since = deleted;
  next.since_reasons = {first.reasons[0].code + ": " + first.reasons[0].what};
  EXPECT_THAT(heavy(next.of(deleted, before)), IsEmpty());
  EXPECT_THAT(notes(next.of(deleted, before)), Contains("sector-missing"));
  // Another hole is no less a hole.
  EXPECT_THAT(heavy(next.of(deleted, with_one(1024))), Contains("sector-missing"));
}

TEST(VerdictFaults, AProgramThatEndsAsOneThatIsGoneDid) {
  const Files whole = whole_backup();
  const std::string& text = whole.at("ALL.PRG");
  // From within O30 into O40; its beginning is edited on the same day.
  const std::size_t from = text.find("G1 X3.5 ") + 5;
  Files joined = whole;
  joined["ALL.PRG"].erase(from, text.find("G1 X4.5 ") + 5 - from);
  joined = with(joined, "ALL.PRG", "G1 X3.5 Y-5.5", "G1 X3.5 Y-5.25");
  joined = with(joined, "ALL.PRG", "G1 X3.4 ", "G1 X3.45 ");
  EXPECT_THAT(heavy(Judging{}.of(joined, whole)), Contains("programs-joined"));
  Files deleted = whole;
  deleted["ALL.PRG"].erase(text.find("O40"), text.find("O50") - text.find("O40"));
  EXPECT_THAT(heavy(Judging{}.of(with(deleted, "ALL.PRG", "X3.4 ", "X3.45 "), whole)), IsEmpty());
}

TEST(VerdictFaults, AWordTwiceInABlockWhereNoneWasBefore) {  // NISTIR 6556, 3.3.5, number from memory
  const Files whole = whole_backup();
  const Files twice = with(whole, "ALL.PRG", "G1 X3.5 Y-5.5 F20.", "G1 X3.5 Y-5.5 Y2.5 F20.");
  EXPECT_THAT(heavy(Judging{}.of(twice, whole)), ElementsAre("word-twice"));
  EXPECT_THAT(heavy(Judging{}.of(with(twice, "ALL.PRG", "X4.5 ", "X4.5 X4.6 "), twice)), IsEmpty())
      << "this control's programs have such blocks";
  EXPECT_THAT(heavy(Judging{}.of(with(whole, "ALL.PRG", "G1 X3.5", "G1 G90 X3.5"), whole)), IsEmpty());
}

// Of rows and programs that are gone: a second backup, taken apart, that lacks them too.
TEST(VerdictFaults, WhatTwoBackupsLackThatWereTakenApartTheMachineHasNot) {
  const Files whole = whole_backup();
  Files less = with(whole, "M.VAR", "#310=11.25\n#311=12.25\n#312=13.25\n#313=14.25\n#314=15.25\n", "");
  for (int i = 2; i <= 4; ++i) {
    const std::string& text = less["ALL.PRG"];
    const std::size_t at = text.find("O" + std::to_string(i * 10) + " ");
    less["ALL.PRG"] = text.substr(0, at) + text.substr(text.find("O" + std::to_string(i * 10 + 10) + " "));
  }
  EXPECT_THAT(heavy(Judging{}.of(less, whole)), testing::UnorderedElementsAre("count-fell", "rows-gone"));
  Judging judging;
  judging.since = less;
  EXPECT_THAT(heavy(judging.of(with(less, "M.VAR", "#300=1.25", "#300=2.5"), whole)), IsEmpty());
  judging.since = with(less, "M.VAR", "#309=10.25\n", "#309=10.25\n#310=9.5\n");
  EXPECT_THAT(heavy(judging.of(less, whole)), ElementsAre("rows-gone")) << "one of them was there";
  Files cut = whole;
  cut["M.VAR"].resize(cut["M.VAR"].find("#330"));
  judging.since = cut;
  EXPECT_THAT(heavy(judging.of(with(cut, "M.VAR", "#300=1.25", "#300=2.5"), whole)), Contains("count-fell"))
      << "a control that cuts its files short does so again";
}

TEST(VerdictFaults, AFieldThatNoRowHasAnyMoreIsAnotherForm) {
  const Files whole = whole_backup();
  Files bare = whole;
  bare["M.OFS"].clear();
  for (int i = 1; i <= 20; ++i)
    bare["M.OFS"] += "T" + std::to_string(i) + " L" + std::to_string(i) + ".125\n";
  EXPECT_THAT(heavy(Judging{}.of(bare, whole)), ElementsAre("count-fell"));
  Judging judging;
  judging.since = bare;
  EXPECT_THAT(heavy(judging.of(with(bare, "M.OFS", "L3.125", "L3.11"), whole)), IsEmpty());
}

TEST(VerdictFaults, AFieldOfAFileThatAnotherSourceReadsNowIsANote) {
  Judging judging;
  judging.layout = parse_layout(
      "layout = 1\n"
      "[[source]]\ngroup = \"offsets\"\nfiles = \"*.OFS\"\nreader = \"words\"\nbegins = \"T\"\n"
      "[[source.row]]\naddress = \"tool/{T}\"\nfields = { L = \"length\", D = \"diameter\" }\n"
      "[[source]]\ngroup = \"offsets\"\nfiles = \"*.OFS\"\nreader = \"columns\"\n"
      "columns = [\"tool\", \"code\", \"len\", \"diam\"]\naddress = \"tool/{tool}\"\n"
      "fields = { code = \"code\", len = \"length\", diam = \"diameter\" }\n",
      "two forms");
  Files columns;
  Files words;
  for (int i = 1; i <= 20; ++i) {
    columns["M.OFS"] += std::to_string(i) + " 7 " + std::to_string(i) + ".125 2.5\n";
    words["M.OFS"] += "T" + std::to_string(i) + " L" + std::to_string(i) + ".125 D2.5\n";
  }
  EXPECT_THAT(heavy(judging.of(words, columns)), IsEmpty());
  EXPECT_THAT(notes(judging.of(words, columns)), Contains("another-form"));
  // A row taken out on that day is a row; and a hole is a hole.
  EXPECT_THAT(notes(judging.of(with(words, "M.OFS", "T7 L7.125 D2.5\n", ""), columns)),
              Contains("rows-gone"));
  words["M.OFS"].resize(words["M.OFS"].find("T15"));
  EXPECT_THAT(heavy(judging.of(words, columns)), Contains("count-fell"));
}

TEST(VerdictFaults, ALastRowIsNoCutWhereTheFileEndsAsItDid) {
  Judging judging;
  judging.layout = parse_layout(
      "layout = 1\n[[source]]\ngroup = \"parameters\"\nfiles = \"*\"\nreader = \"sections\"\n", "l");
  judging.past.shrank = [](Group) { return true; };
  const Files whole = {{"A.CFG", "[A]\na = 1\nb = 2\n\n[B]\nc = 3\nd = 4\ne = 5\n\n"}};
  EXPECT_THAT(heavy(judging.of(with(whole, "A.CFG", "e = 5\n", ""), whole)), IsEmpty());
  const std::string& text = whole.at("A.CFG");
  for (const char* cut : {"e = 5", "[B]", "\n\n[B]", "d = 4"}) {
    const Files less = {{"A.CFG", text.substr(0, text.find(cut))}};
    EXPECT_THAT(heavy(judging.of(less, whole)), Not(IsEmpty())) << cut;
  }
}

TEST(VerdictFaults, AHoleOf512BytesIsDoubtful) {
  const Files whole = whole_backup();
  const std::string& text = whole.at("ALL.PRG");
  ASSERT_GT(text.size(), 2000U);
  for (std::size_t at = 3; at + 515 < text.size(); at += 61) {
    Files hole = whole;
    hole["ALL.PRG"].erase(at, 512);
    EXPECT_THAT(heavy(Judging{}.of(hole, whole)), Not(IsEmpty())) << "at " << at;
  }
}

TEST(VerdictFaults, MissingEmptyAndHollowFiles) {
  const Files whole = whole_backup();
  for (const auto& [name, text] : whole) {
    Files less = whole;
    less.erase(name);
    EXPECT_THAT(heavy(Judging{}.of(less, whole)), Not(IsEmpty())) << "without " << name;
    less[name] = "";
    EXPECT_THAT(heavy(Judging{}.of(less, whole)), Contains("file-empty")) << name;
  }
  Files hollow = whole;
  hollow["M.PAR"] = "(MEMORY OF 4471)\n";
  EXPECT_THAT(heavy(Judging{}.of(hollow, whole)), Contains("no-rows"));
}

TEST(VerdictFaults, RowsGoneFromATableThatNeverShrank) {
  Judging judging;
  const Files whole = whole_backup();
  Files less = with(with(whole, "M.VAR", "#310=11.25\n", ""), "M.VAR", "#311=12.25\n", "");
  EXPECT_THAT(heavy(judging.of(less, whole)), ElementsAre("rows-gone"));
  EXPECT_THAT(heavy(judging.of(with(whole, "M.PAR", "A12 V444\n", ""), whole)), ElementsAre("rows-gone"));
  EXPECT_THAT(heavy(judging.of(with(whole, "M.VAR", "#359=60.25\n", ""), whole)),
              ElementsAre("file-cut", "rows-gone"))
      << "its end";
  judging.past.shrank = [](Group) { return true; };
  EXPECT_THAT(heavy(judging.of(less, whole)), IsEmpty()) << "rows come and go in this one";
  EXPECT_THAT(notes(judging.of(less, whole)), ElementsAre("rows-gone"));
}

TEST(VerdictFaults, OneProgramThatWasDeletedIsANote) {
  const Files whole = whole_backup();
  Files less = whole;
  const std::size_t at = less["ALL.PRG"].find("O40 ");
  less["ALL.PRG"].erase(at, less["ALL.PRG"].find("O50 ") - at);
  const Verdict verdict = Judging{}.of(less, whole);
  EXPECT_THAT(heavy(verdict), IsEmpty());
  EXPECT_THAT(notes(verdict), ElementsAre("program-gone"));
}

TEST(VerdictFaults, AnotherMachinesSerial) {
  const Files whole = whole_backup();
  EXPECT_THAT(heavy(Judging{}.of(with(whole, "M.PAR", "4471", "5582"), whole)),
              ElementsAre("serial-differs"));
  Files rows = whole;
  rows["M.PAR"] += "A90 V4471\n";
  EXPECT_THAT(heavy(Judging{}.of(with(rows, "M.PAR", "A90 V4471", "A90 V5582"), rows)),
              ElementsAre("serial-differs"));
  Files named = whole;
  named["M4471.OFS"] = named["M.OFS"];
  named.erase("M.OFS");
  Files other = named;
  other["M5582.OFS"] = other["M4471.OFS"];
  other.erase("M4471.OFS");
  EXPECT_THAT(heavy(Judging{}.of(other, named)), ElementsAre("serial-differs"));
  EXPECT_THAT(heavy(Judging{}.alone(with(whole, "M.PAR", "MEMORY OF 4471", "SERIAL NO. 5582"))),
              ElementsAre("serial-differs"));
  EXPECT_THAT(heavy(Judging{}.alone(with(whole, "M.PAR", "MEMORY OF 4471", "SERIAL NO. 4471"))), IsEmpty());
  Judging joined;
  joined.serial = "BM5-88";
  EXPECT_THAT(heavy(joined.alone(with(whole, "M.PAR", "MEMORY OF 4471", "SERIAL NO. BM5-88"))), IsEmpty());
  EXPECT_THAT(heavy(joined.alone(with(whole, "M.PAR", "MEMORY OF 4471", "SERIAL NO. BM5-89"))),
              ElementsAre("serial-differs"));
}

// The serial that was given for the machine is not the one that its files name.
TEST(VerdictFaults, AHeadingThatNamesAnotherSerialThanItDid) {
  Judging judging;
  judging.serial = "0815";
  const auto named = [](const std::string& line) {
    return with(whole_backup(), "M.PAR", "MEMORY OF 4471", line);
  };
  EXPECT_THAT(heavy(judging.of(named("MACHINE NO 2208"), named("MACHINE NO 2207"))),
              ElementsAre("serial-differs"));
  EXPECT_THAT(heavy(judging.of(named("MACHINE NO 2207  PAGE 2"), named("MACHINE NO 02207"))), IsEmpty());
  EXPECT_THAT(heavy(judging.of(named("SERIAL PORT 4800"), named("SERIAL PORT 9600"))), IsEmpty());
  EXPECT_THAT(heavy(judging.alone(named("MACHINE NO 815"))), IsEmpty());
}

TEST(VerdictFaults, AHeadingThatNamesAnotherThanThisMachinesSerial) {
  const auto named = [](const std::string& serial) {
    return with(whole_backup(), "M.PAR", "MEMORY OF 4471", "SERIAL NO. " + serial);
  };
  for (const auto& [ours, other] : std::vector<std::pair<std::string, std::string>>{
           {"BM5-88", "BM5-99"}, {"0417", "0555"}, {"bm5a", "bm5b"}}) {
    Judging judging;
    judging.serial = ours;
    EXPECT_THAT(heavy(judging.of(named(other), named(ours))), ElementsAre("serial-differs")) << ours;
    EXPECT_THAT(heavy(judging.of(named(ours), named(other))), IsEmpty()) << ours << ": back to ours";
    EXPECT_THAT(heavy(judging.of(named(ours), named(ours))), IsEmpty()) << ours;
  }
}

TEST(VerdictFaults, AHeadingWhoseSerialHasMoreInFrontIsOfThisMachine) {
  const auto named = [](const std::string& serial) {
    return with(whole_backup(), "M.PAR", "MEMORY OF 4471", "SERIAL NO. " + serial);
  };
  EXPECT_THAT(heavy(Judging{}.alone(named("AB-4471"))), IsEmpty());
  EXPECT_THAT(heavy(Judging{}.alone(named("AB-14471"))), ElementsAre("serial-differs"));
}

TEST(VerdictFaults, APartUnderItsHeadingIsThereAndIsMissed) {
  Judging judging;
  const std::string part = "[[source]]\nfiles = \"*.LST\"\nreader = \"assign\"\nrequired = true\n";
  judging.layout = parse_layout("layout = 1\n" + part + "group = \"variables\"\nunder = \"CELLS\"\n" + part +
                                    "group = \"settings\"\nunder = \"SWITCHES\"\n",
                                "test.toml");
  judging.serial = "BM5-88";
  EXPECT_THAT(heavy(judging.alone({{"A.LST", "SERIAL BM5-88\nCELLS\n#1=2\nSWITCHES\n#1=0\n"}})),
              ElementsAre("text-unread"));  // the heading, which no source skips
  EXPECT_THAT(heavy(judging.alone({{"A.LST", "CELLS\n#1=2\nSWITCHES\n#1=0\n"}})), IsEmpty());
  const Verdict verdict = judging.alone({{"A.LST", "CELLS\n#1=2\n"}});
  ASSERT_THAT(heavy(verdict), ElementsAre("group-missing"));
  EXPECT_EQ(verdict.reasons[0].what,
            "no settings in this backup: nothing in a file like *.LST is under the heading SWITCHES");
}

TEST(VerdictFaults, AFileThatIsNoDataIsNeverMissedAndMakesNoBackup) {
  Judging judging;
  judging.layout = parse_layout(
      "layout = 1\n"
      "[[source]]\ngroup = \"parameters\"\nfiles = \"LIST.TXT\"\nreader = \"columns\"\n"
      "columns = [\"key\", \"value\"]\naddress = \"{key}\"\n"
      "fields = { value = \"\" }\nrequired = true\ndata = false\n"
      "[[source]]\ngroup = \"variables\"\nfiles = \"*.VAR\"\nreader = \"assign\"\n"
      "required = true\n",
      "test.toml");
  const Files whole = {{"LIST.TXT", "1 200\n2 300\n"}, {"A.VAR", "#1=2\n#2=3\n"}};
  EXPECT_THAT(heavy(judging.of(whole, whole)), IsEmpty());
  EXPECT_THAT(heavy(judging.alone({{"A.VAR", "#1=2\n#2=3\n"}})), IsEmpty());
  EXPECT_THAT(heavy(judging.of({{"A.VAR", "#1=2\n#2=3\n"}}, whole)), IsEmpty());
  EXPECT_THAT(heavy(judging.alone({{"LIST.TXT", "1 200\n2 300\n"}})),
              ElementsAre("nothing-known", "group-missing"));
}

TEST(VerdictFaults, WhatBelongsToOneMachineChanged) {
  Judging judging;
  judging.book = Namebook::parse("address\tname\tflags\nparameters/7\tX screw\tmachine-own\n", "book");
  const Files whole = whole_backup();
  EXPECT_THAT(heavy(judging.of(with(whole, "M.PAR", "A7 V259", "A7 V260"), whole)),
              ElementsAre("machine-own-changed"));
  EXPECT_THAT(heavy(judging.of(with(whole, "M.PAR", "A8 V296", "A8 V297"), whole)), IsEmpty());
}

TEST(VerdictFaults, MostParametersDiffer) {
  Files other = whole_backup();
  for (int i = 1; i <= 20; ++i)
    other = with(other, "M.PAR", "A" + std::to_string(i) + " V" + std::to_string(i * 37),
                 "A" + std::to_string(i) + " V" + std::to_string(i * 41));
  EXPECT_THAT(heavy(Judging{}.of(other, whole_backup())), ElementsAre("much-differs"));
}

TEST(VerdictFaults, TheControlsClock) {
  constexpr std::int64_t day = 86'400;
  constexpr std::int64_t year = 365 * day;
  Judging judging;
  judging.now_at = 50 * year;
  judging.was_at = 49 * year;
  const auto codes = [&](std::int64_t at) {
    judging.at = at;
    return heavy(judging.of(whole_backup(), whole_backup()));
  };
  EXPECT_THAT(codes(50 * year), IsEmpty());
  EXPECT_THAT(codes(50 * year + 13 * 3600), IsEmpty()) << "a zone ahead of UTC";
  EXPECT_THAT(codes(50 * year + 2 * day), ElementsAre("dated-ahead"));
  EXPECT_THAT(codes(60 * year), ElementsAre("dated-ahead"));
  judging.past.first = [] { return 45 * year; };
  EXPECT_THAT(codes(46 * year), ElementsAre("older-than-last"));
  EXPECT_THAT(codes(10 * year), ElementsAre("clock-behind"));
  judging.from_drawer = true;
  EXPECT_THAT(codes(46 * year), IsEmpty()) << "an old one, as drawers hold";
  EXPECT_THAT(codes(10 * year), IsEmpty());
  EXPECT_THAT(codes(60 * year), ElementsAre("dated-ahead")) << "a wrong clock all the same";
  judging.from_drawer = false;
  judging.at = 10 * year;
  EXPECT_THAT(heavy(judging.alone(whole_backup())), ElementsAre("clock-behind")) << "decades off, alone";
}

TEST(VerdictFaults, AnOldCopyAmongTheFiles) {
  Judging judging;
  const Files old = with(whole_backup(), "M.PAR", "A8 V296", "A8 V297");
  judging.past.earlier = [](std::size_t) { return Earlier{1, 2}; };
  EXPECT_THAT(heavy(judging.of(old, whole_backup())), ElementsAre("file-stale"));
  judging.past.earlier = [](std::size_t) { return Earlier{2, 1}; };
  EXPECT_THAT(notes(judging.of(old, whole_backup())), ElementsAre("file-stale"))
      << "a change that was undone";
}

TEST(VerdictFaults, ADeadBatteryIsTheCauseAndNoProgramsItsEffect) {
  Files dead = {{"M.VAR", ""}, {"M.OFS", ""}, {"M.PAR", "(MEMORY OF 4471)\n"}, {"ALL.PRG", "%\n%\n"}};
  for (int i = 0; i < 60; ++i) dead["M.VAR"] += "#" + std::to_string(300 + i) + "=0\n";
  for (int i = 1; i <= 20; ++i) dead["M.OFS"] += "T" + std::to_string(i) + " L0 D0\n";
  for (int i = 1; i <= 40; ++i) dead["M.PAR"] += "A" + std::to_string(i) + " P0\n";
  const Verdict verdict = Judging{}.of(dead, whole_backup());
  ASSERT_THAT(heavy(verdict), Not(IsEmpty()));
  EXPECT_EQ(verdict.reasons.front().code, "memory-lost");
  const auto later = std::find_if(verdict.reasons.begin(), verdict.reasons.end(), [](const Reason& reason) {
    return reason.weight == Worth::doubtful && reason.code != "memory-lost";
  });
  ASSERT_NE(later, verdict.reasons.end());
  EXPECT_THAT(later->what, HasSubstr("an effect of the lost memory"));
}

TEST(VerdictFaults, OneTableWithOneValueEverywhere) {
  Files same = whole_backup();
  same["M.PAR"] = "(MEMORY OF 4471)\n";
  for (int i = 1; i <= 40; ++i) same["M.PAR"] += "A" + std::to_string(i) + " V255\n";
  EXPECT_EQ(Judging{}.of(same, whole_backup()).reasons.front().code, "memory-lost");
}

}  // namespace
}  // namespace keepway
