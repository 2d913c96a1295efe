// Samples in two dozen styles. All controls, names and values are invented; words and codes are those of
// ISO 6983 and NISTIR 6556 where they have a meaning.
#include "keepway/survey.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <bit>
#include <ostream>

#include "unit/reader_support.hpp"

namespace keepway {
namespace {

struct Want {
  Group group;
  std::string key;
  std::string value;
};

struct Style {
  std::string name;
  std::string text;
  ReaderKind reader;
  Group group;
  std::size_t items;        // values, or programs
  std::vector<Want> wants;  // some of them, with their keys and fields
};

// Else its bytes are printed, addresses among them, and each run lists other tests.
void PrintTo(const Style& style, std::ostream* out) {
  *out << style.name;
}

std::string with_parity(std::string text) {
  for (char& c : text) {
    if (std::popcount(static_cast<unsigned char>(c)) % 2 != 0) {
      c = static_cast<char>(static_cast<unsigned char>(c) | 0x80U);
    }
  }
  return text;
}

const std::vector<Style>& styles() {
  constexpr auto parameters = Group::parameters;
  constexpr auto offsets = Group::offsets;
  constexpr auto settings = Group::settings;
  constexpr auto variables = Group::variables;
  constexpr auto programs = Group::programs;
  static const std::vector<Style> all = {
      {"PARAMS.0471",
       "%\nK1 V0\nK2 V15\nK3 V-4\nK104 V250000\n%\n",
       ReaderKind::words,
       parameters,
       4,
       {{parameters, "K2", "15"}, {parameters, "K104", "250000"}}},
      {"WORKOFFS.LST",
       "G10 L2 P1 X-4.2500 Y-3.1250 Z-10.\nG10 L2 P2 X0. Y0. Z-9.5\nG10 L2 P3 X1.5 Y0. Z-9.5\n",
       ReaderKind::words,
       offsets,
       9,
       {{offsets, "work/G54/X", "-4.25"}, {offsets, "work/G56/Z", "-9.5"}}},
      {"TOOLOFFS.LST",
       "G90\nG10 L6 P1 R5.125\nG10 L7 P1 R0.\nG10 L6 P2 R4.75\nG10 L7 P2 R-.002\nM30\n",
       ReaderKind::words,
       offsets,
       4,
       {{offsets, "G10-L6/1/R", "5.125"}, {offsets, "G10-L7/2/R", "-0.002"}}},
      {"VARS.TXT",
       "#300=1.2500\n#301=0\n#310=1241\n",
       ReaderKind::assign,
       variables,
       3,
       {{variables, "300", "1.25"}, {variables, "310", "1241"}}},
      {"CELLS.DAT",
       "(CELLS THAT ARE KEPT)\r\n#100 = -.5 (probe)\r\n#101 = 12 (parts)\r\n#<feed> = 40.\r\n",
       ReaderKind::assign,
       variables,
       3,
       {{variables, "100", "-0.5"}, {variables, "feed", "40."}}},
      {"machine.ini",
       "; written by hand\n[axis X]\nbacklash = 0.0004\ntravel = 30\n\n[spindle]\nmax = 8000\n",
       ReaderKind::sections,
       settings,
       3,
       {{settings, "axis X/backlash", "0.0004"}, {settings, "spindle/max", "8000"}}},
      {"SETTINGS.CFG",
       "# the panel\nbeep = 1\nlanguage = 2\nsleep_minutes = 30\n",
       ReaderKind::sections,
       settings,
       3,
       {{settings, "sleep_minutes", "30"}}},
      {"ALL.PRG",
       "%\nO0101 (BRACKET)\nG20 G90\nG0 X0 Y0\nG1 Z-.5 F10.\nM30\nO0102\nG0 X1.\nM99\n%\n",
       ReaderKind::blocks,
       programs,
       2,
       {}},
      {"flange.nc",
       "N10 G21 G90\nN20 G0 X10. Y10.\nN30 G1 Z-2. F100.\nN40 M30\n",
       ReaderKind::blocks,
       programs,
       1,
       {}},
      {"TOOL.CSV",
       "tool,length,diameter,note\n1,5.125,0.5,1/2 end mill\n2,4.75,0.25,\"drill, long\"\n3,6.0,2.0,face "
       "mill\n",
       ReaderKind::columns,
       offsets,
       9,
       {{offsets, "tool/1/length", "5.125"},
        {offsets, "tool/2/note", "drill, long"},
        {offsets, "tool/3/diameter", "2."}}},
      {"params.tab",
       "Number\tValue\tMeaning\n1\t0\tbeep\n2\t1\tlanguage\n10\t0.0005\tbacklash\n",
       ReaderKind::columns,
       parameters,
       6,
       {{parameters, "10/value", "0.0005"}, {parameters, "2/meaning", "language"}}},
      {"PARAM.VAR2",
       "Saved by the control\n\n2101 0.000000\n2102 1.500000\n2103 -2.250000\n",
       ReaderKind::columns,
       variables,
       3,
       {{variables, "2102", "1.5"}}},
      {"TABLE.DAT",
       "Tool Pocket Length Diameter\n1    3      5.1250 0.5000\n2    4      4.7500 0.2500\n7    1      "
       "6.0000 2.0000\n",
       ReaderKind::columns,
       offsets,
       9,
       {{offsets, "tool/7/pocket", "1"}, {offsets, "tool/2/length", "4.75"}}},
      {"TOOLDATA.LST",
       "  1    5.1250    0.5000    0.0010\n  2    4.7500              0.0000\n  3              0.3750    "
       "0.0000\n 12   "
       " 6.0000    2.0000          \n",
       ReaderKind::columns,
       offsets,
       9,
       {{offsets, "tool/2/c4", "0"}, {offsets, "tool/3/c3", "0.375"}, {offsets, "tool/12/c2", "6."}}},
      {"T.TXT",
       "T1 H5.1250 D.5000 (1/2 END MILL)\nT2 H4.7500 D.2500 (DRILL)\nT12 H6. D2. (FACE MILL)\n",
       ReaderKind::words,
       offsets,
       6,
       {{offsets, "tool/2/D", "0.25"}, {offsets, "tool/12/H", "6."}}},
      {"ZERO.TXT",
       "G54 X-4.25 Y-3.1 Z-10.\nG55 X0 Y0 Z-9.5\nG59 X1.125 Y2. Z0\n",
       ReaderKind::words,
       offsets,
       9,
       {{offsets, "work/G54/Y", "-3.1"}, {offsets, "work/G59/X", "1.125"}}},
      {"PUNCHED.NC",
       with_parity("%\r\nO1234\r\nN10 G0 X1.25 Y-2.\r\nN20 G1 Z-.1 F5.\r\nN30 M30\r\n%\r\n"),
       ReaderKind::blocks,
       programs,
       1,
       {}},
      {"SLIDES.TXT",
       "K12 S1 V500\nK12 S2 V500\nK12 S3 V480\nK13 S1 V0\nK13 S2 V1\nK13 S3 V0\n",
       ReaderKind::words,
       parameters,
       6,
       {{parameters, "K12/3", "480"}, {parameters, "K13/2", "1"}}},
      {"NUMBERED.TXT",
       "N10 T1 H5.2 D.5\nN20 T2 H4.75 D.25\nN30 T5 H6. D2.\n",
       ReaderKind::words,
       offsets,
       6,
       {{offsets, "tool/5/H", "6."}, {offsets, "tool/1/D", "0.5"}}},
      {"SET2.TXT",
       "; settings of the panel\n1  0\n2  1\n; lights\n61 1\n101 600\n",
       ReaderKind::columns,
       settings,
       4,
       {{settings, "61", "1"}, {settings, "101", "600"}}},
      {"SCREWS.TXT",
       "%\nG90\nK12 S1 V500\nK12 S2 V480\nK940 S1 V12345678\nG90\n%\n",
       ReaderKind::words,
       parameters,
       3,
       {{parameters, "K12/2", "480"}, {parameters, "K940/1", "12345678"}}},
      {"WRK20.TXT",
       "G10 L2 P1 X-142500 Y-61250 Z0\nG10 L2 P2 X-10000 Y-61250 Z-95000\n",
       ReaderKind::words,
       offsets,
       6,
       {{offsets, "work/G54/X", "-142500"}, {offsets, "work/G55/Z", "-95000"}}},
      {"PITCH.TXT",
       "// screw, invented\nX_BACKLASH 0.0005\nY_BACKLASH 0.0004\nX_PITCH 0.2\nY_PITCH 0.2\n",
       ReaderKind::columns,
       parameters,
       4,
       {{parameters, "X_PITCH", "0.2"}}},
      {"SET.TXT",
       "SETTINGS\n NO    VALUE\n\n   1       0\n  12     250\n 101      -4\n",
       ReaderKind::columns,
       settings,
       3,
       {{settings, "12", "250"}, {settings, "101", "-4"}}},
  };
  return all;
}

std::size_t count_items(const State& state) {
  std::size_t items = state.programs.size();
  for (const Group group : all_groups) {
    if (!state.table(group)) continue;
    for (const Item& item : *state.table(group)) items += is_unread(item.key) ? 0 : 1;
  }
  return items;
}

std::string bytes_of(const Reading& reading) {
  std::string all;
  for (const StateFile& file : write_state(reading.state)) all += file.path + "\n" + file.content.str();
  return all;
}

class SurveyOf : public testing::TestWithParam<Style> {};

TEST_P(SurveyOf, FindsFamilyKeyAndFieldsAndReadsAll) {
  const Style& style = GetParam();
  const std::vector<OriginalView> samples = {{style.name, style.text}};
  const Survey found = survey(samples, "");
  ASSERT_EQ(found.files.size(), 1U);
  const SurveyedFile& file = found.files[0];
  EXPECT_EQ(reader_name(file.reader), reader_name(style.reader)) << found.layout;
  EXPECT_EQ(group_name(file.group), group_name(style.group)) << found.layout;
  EXPECT_EQ(file.unread, 0U) << found.layout;
  EXPECT_TRUE(file.misfits.empty());

  // The layout is held to what it says, not to what the survey says of it.
  const Reading reading = read_backup(parse_layout(found.layout, "proposed.toml"), {}, samples);
  const std::string state = bytes_of(reading);
  EXPECT_EQ(state.find("unread/"), std::string::npos) << found.layout << state;
  EXPECT_EQ(count_items(reading.state), style.items) << found.layout << state;
  for (const Want& want : style.wants) {
    const auto& table = reading.state.table(want.group);
    const Item* item = table ? find_item(*table, want.key) : nullptr;
    ASSERT_NE(item, nullptr) << want.key << "\n" << found.layout << state;
    EXPECT_EQ(item->value, want.value) << want.key << "\n" << found.layout;
  }
}

std::string test_name(const testing::TestParamInfo<Style>& info) {
  std::string name;
  for (const char c : info.param.name) name += std::isalnum(static_cast<unsigned char>(c)) != 0 ? c : '_';
  return name;
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyOf, testing::ValuesIn(styles()), test_name);

TEST(Survey, ReadsAWholeBackupByTheNamesOfItsFiles) {
  const std::vector<OriginalView> samples = {
      {"AXES.20417", "K1 V0\nK2 V1\nK3 V7\n"},
      {"ZEROS.20417", "G10 L2 P1 X-1.5 Y0.\nG10 L2 P2 X0. Y2.\n"},
      {"CELLS.20417", "#300=1.\n#301=2.\n#302=3.\n"},
      {"JOBS.20417", "%\nO1\nG20\nG0 X1.\nM30\n%\n"},
  };
  const Survey found = survey(samples, "");
  const Layout layout = parse_layout(found.layout, "proposed.toml");
  ASSERT_EQ(layout.sources.size(), 4U);
  for (const Source& source : layout.sources) {
    EXPECT_NE(source.files[0].find("{serial}"), std::string::npos) << found.layout;
  }
  EXPECT_EQ(found.units, Units::inch);
  EXPECT_EQ(layout.units, Units::inch);
  // The next machine's files, and its next values, read as well.
  const std::vector<OriginalView> next = {
      {"AXES.99", "K1 V4\nK2 V5\n"}, {"CELLS.99", "#300=9.\n"}, {"JOBS.99", "%\nO7\nM30\n%\n"}};
  const Reading reading = read_backup(layout, {"99", Units::inch}, next);
  EXPECT_EQ(count_items(reading.state), 4U);
}

// A table has one kind a column: where one setting is a word, the numbers beside it are taken as texts too.
TEST(Survey, LosesNoSettingThatIsAWordAmongNumbers) {
  const std::vector<OriginalView> files = {
      {"SETUP.TXT", "; machine settings\nMAXSPEED 3500\nMAXFEED 5000\nLANGUAGE DE\nRATE 9600\n"}};
  const Reading reading = read_backup(parse_layout(survey(files, "").layout, "proposed"), {}, files);
  const Table settings = {{"LANGUAGE", "DE"}, {"MAXFEED", "5000"}, {"MAXSPEED", "3500"}, {"RATE", "9600"}};
  EXPECT_EQ(reading.state.table(Group::settings), settings);
  EXPECT_EQ(reading.origins.size(), 4U) << "nothing else, and nothing unread";
}

TEST(Survey, TellsTheLinesThatDoNotFit) {
  const std::string text = "K1 V0\nK2 V1\nhello there\nK3 V7\nK4 V7\nK5 V7\nK6 V7\n";
  const Survey found = survey({{"PAR.TXT", text}}, "");
  ASSERT_EQ(found.files[0].misfits.size(), 1U);
  EXPECT_EQ(found.files[0].misfits[0].place.line, 3U);
  EXPECT_EQ(found.files[0].misfits[0].place.byte, 12U);
  EXPECT_EQ(found.files[0].misfits[0].text, "hello there");
  EXPECT_LT(found.files[0].confidence, 100);
}

TEST(Survey, TakesAnyBytes) {
  std::uint64_t seed = 20260301;
  const auto next = [&] {
    seed = seed * 6364136223846793005U + 1442695040888963407U;
    return static_cast<std::size_t>(seed >> 33U);
  };
  const std::string alphabet = "NGPXT#=[](),;\t \n\n%O0123456789.-\"'\\{}\x80\xff";
  std::size_t read = 0;
  for (int round = 0; round < 400; ++round) {
    std::string text;
    for (std::size_t i = next() % 200; i > 0; --i) text += alphabet[next() % alphabet.size()];
    const std::string name = "A\n\"{" + std::to_string(round) + "}.TXT";
    try {
      const Survey found = survey({{name, text}}, "");
      parse_layout(found.layout, "proposed.toml");
      ++read;
    } catch (const Error& error) {
      EXPECT_EQ(error.kind(), ErrorKind::input) << error.what();
    }
  }
  EXPECT_GT(read, 10U);
}

TEST(Survey, RefusesNothingToLookAt) {
  EXPECT_THROW(survey({}, ""), Error);
  EXPECT_THROW(survey({{"EMPTY.TXT", ""}}, ""), Error);
}

TEST(Survey, LeavesOutWhatNoReaderTakesAndSaysSo) {
  const Survey found =
      survey({{"X.TXT", "once there was a mill\nand a lathe\n"}, {"V.VAR", "#1=2\n#3=4.5\n#7=1\n"}}, "");
  ASSERT_EQ(found.files.size(), 1U);
  EXPECT_EQ(found.files[0].name, "V.VAR");
  EXPECT_EQ(found.files[0].unread, 0U);
  EXPECT_EQ(found.left_out, std::vector<std::string>{"X.TXT"});
  EXPECT_NE(found.layout.find("# No reader fits X.TXT"), std::string::npos);
}

TEST(Survey, KeepsTheOnlyFileUnreadWithALayoutToCorrect) {
  const std::vector<OriginalView> files = {{"X.TXT", "once there was a mill\nand a lathe\n"}};
  const Survey found = survey(files, "");
  ASSERT_EQ(found.files.size(), 1U);
  EXPECT_EQ(found.files[0].unread, 2U);
  ASSERT_FALSE(found.files[0].guesses.empty());
  EXPECT_EQ(found.files[0].guesses[0].key, "reader");
  EXPECT_GT(found.files[0].guesses[0].line, 0U);
  const Reading reading = read_backup(parse_layout(found.layout, "proposed"), {}, files);
  EXPECT_EQ(reading.origins.size(), 2U);
}

TEST(Survey, LeavesLinesOfTextBetweenCommasUnread) {
  const std::vector<OriginalView> files = {
      {"TOOLS.CSV", "1,120.5,6.0,FACE MILL\nread me\n2,98.02,4.25,DRILL\n###\n12,75,0.4,PROBE\n"}};
  const Survey found = survey(files, "");
  const Reading reading = read_backup(parse_layout(found.layout, "proposed"), {}, files);
  EXPECT_EQ(test::value(reading, "offsets/tool/12/note"), "PROBE");
  EXPECT_EQ(test::value(reading, "offsets/tool/2/c2"), "98.02");
}

TEST(Survey, SaysWhichLinesGaveNoValue) {
  const std::vector<OriginalView> files = {
      {"TOOLS.LST", "SHOP 4\n; a remark\n\n NO  LENGTH\n---  ------\n  1  12.5\n  2  98.0\n"},
      {"A.NC", "%\nO1\n(PLATE)\nG0 X1.\nM30\n%\n"}};
  const Survey found = survey(files, "");
  const Layout layout = parse_layout(found.layout, "proposed");
  const Understood made = understood(layout, read_backup(layout, {}, files), files);
  EXPECT_EQ(made.passed, 2U);
  ASSERT_EQ(made.passed_first.size(), 2U);
  EXPECT_EQ(made.passed_first[0].text, "SHOP 4");
  EXPECT_EQ(made.passed_first[1].place.line, 4U);
}

TEST(Survey, ProposesASizeOnlyWhereZerosArePrinted) {
  std::string table = " NO  LENGTH\n";
  for (int i = 1; i <= 10; ++i) table += fmt::format("{:3d}  {}\n", i, i < 9 ? "12.5" : "0.0");
  EXPECT_NE(survey({{"TOOLS", table}}, "").layout.find("size     = 10"), std::string::npos);
  std::string used = table;
  used.replace(used.rfind("0.0"), 3, "1.5");
  EXPECT_EQ(survey({{"TOOLS", used}}, "").layout.find("size "), std::string::npos);
  std::string gap = table;
  gap.erase(gap.find("  4"), 11);
  EXPECT_EQ(survey({{"TOOLS", gap}}, "").layout.find("size "), std::string::npos);
}

TEST(Survey, TakesOneCharacterSetForAllFiles) {
  const std::string title = "VARIABLES N\xF8 4\n\nL0 = 12.5\nL1 = 3\n";  // a degree sign, or a letter
  const std::string table =
      "N\xF8  LONGUEUR  D\x90SIGNATION\n 1   120.5     Fraise \x85 surfacer\n 2    98.0     c\x93t\x82\n";
  const Survey found = survey({{"VAR.TXT", title}, {"OUTILS.TXT", table}}, "");
  EXPECT_EQ(found.layout.find("ISO-8859-1"), std::string::npos) << found.layout;
  EXPECT_NE(found.layout.find("CP850"), std::string::npos) << found.layout;
}

}  // namespace
}  // namespace keepway
