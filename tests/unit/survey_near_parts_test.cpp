// Files that look nearly as if headings, names or marks parted them, and which those do not. All are
// invented.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "keepway/show.hpp"
#include "keepway/survey.hpp"
#include "reader_support.hpp"

namespace keepway {
namespace {

using test::value;

struct Proposed {
  Survey survey;
  Layout layout;
  Reading reading;
  Understood understood;
};

Proposed proposed(const std::vector<OriginalView>& files) {
  Proposed made;
  made.survey = survey(files, "");
  made.layout = parse_layout(made.survey.layout, "proposed");
  made.reading = read_backup(made.layout, {made.survey.serial, Units::mm}, files);
  made.understood = understood(made.layout, made.reading, files);
  return made;
}

// What a person is shown, and what the verdict doubts.
TEST(SurveyNearParts, RowsOfOneKeyThatNothingPartsAreSaidToBeTwo) {
  const Proposed made = proposed({{"VAR.TXT", "V1=1.5\nV2=2.5\nV3=4\nV2=3.5\n"}});
  EXPECT_EQ(value(made.reading, "variables/V2"), "3.5");
  ASSERT_EQ(made.understood.twice, 1U);
  const Understood::Twice& twice = made.understood.twice_first.front();
  EXPECT_EQ(twice.address, "variables/V2");
  EXPECT_EQ(twice.taken, "3.5");
  EXPECT_EQ(twice.place.line, 4U);
  EXPECT_EQ(twice.passed, "2.5");
  EXPECT_EQ(twice.passed_at.line, 2U);
  EXPECT_EQ(test::count(made.reading, OddityKind::clashing_rows), 1U);
  EXPECT_THAT(show::tried_layout("l.toml", made.understood, {}).text,
              testing::HasSubstr("variables/V2 is 3.5 (VAR.TXT:4), and 2.5 in line 2"));
  EXPECT_EQ(proposed({{"VAR.TXT", "V1=1.5\nV2=2.5\nV3=4\nV2=2.5\n"}}).understood.twice, 0U);
}

TEST(SurveyNearParts, ARemarkAmongRowsThatGoOnPartsNothing) {
  const Proposed made = proposed({{"VAR.TXT", "; spare\nV1=1.5\nV2=2.5\n; probe\nV3=3.5\nV4=4.5\n"}});
  EXPECT_EQ(value(made.reading, "variables/V3"), "3.5");
  EXPECT_EQ(made.survey.layout.find("under "), std::string::npos) << made.survey.layout;
}

TEST(SurveyNearParts, ALabelBehindThePartIsNoName) {
  const Proposed made =
      proposed({{"TOOLS.TXT", "TOOL 1 LENGTH 120.5\n  RADIUS 6\nTOOL 2 LENGTH 98.02\n  RADIUS 4.25\n"}});
  EXPECT_EQ(made.survey.layout.find("{name}\""), std::string::npos) << made.survey.layout;
}

TEST(SurveyNearParts, OneLineOfWordsAboveNumbersIsAHeading) {
  const Proposed made =
      proposed({{"PARAM.LST", "AXIS     FEED\nX        5000\nY        4000\nZ        3000\n"}});
  EXPECT_EQ(made.reading.origins.size(), 3U) << made.survey.layout;
}

TEST(SurveyNearParts, APlainTableOfLineNumbersHasNoStatements) {
  const Proposed made = proposed({{"TOOLS.TXT", "100,5,12.5,0\n110,6,98.02,1\n120,7,75.25,0\n"}});
  EXPECT_EQ(made.survey.layout.find("{line}"), std::string::npos) << made.survey.layout;
}

TEST(SurveyNearParts, ATableOfNumbersUnderTitlesOfItsOwnIsNotAcross) {
  const Proposed made = proposed({{"PITCH.LST",
                                   "NO    FROM     TO    ERROR\n1   10.5   2   0.1\n3   20.5   4   0.2\n"
                                   "5   30.5   6   0.3\n"}});
  EXPECT_EQ(made.survey.layout.find("across"), std::string::npos) << made.survey.layout;
}

TEST(SurveyNearParts, OneFileThatNothingClosesMayBeCutOff) {
  const Proposed made = proposed({{"O100.PRG", "%\nO100\nG0 X1.5\nM30\n"}});
  EXPECT_EQ(made.survey.layout.find("percent"), std::string::npos) << made.survey.layout;
  EXPECT_EQ(test::count(made.reading, OddityKind::mark_unclosed), 1U);
}

TEST(SurveyNearParts, ALineThatNamesAProgramIsNoPart) {
  const Proposed made =
      proposed({{"PROG.TXT",
                 "PROGRAM NO. 12\nNAME: FLANGE\nN10 G0 X1.5\nN20 G1 X2.5 F100\nN30 M30\nPROGRAM NO. "
                 "13\nNAME: RING\nN10 G0 X3.5\nN20 M30\n"}});
  EXPECT_FALSE(made.reading.state.programs.empty());
  EXPECT_EQ(made.survey.layout.find("part "), std::string::npos) << made.survey.layout;
}

TEST(SurveyNearParts, ASisterToolIsNoOtherRecord) {
  const Proposed made = proposed({{"TOOLS.LST", "T1  T11  120.5\nT2  T12   98.02\nT3  T13   75.25\n"}});
  EXPECT_EQ(made.survey.layout.find("across"), std::string::npos) << made.survey.layout;
}

TEST(SurveyNearParts, AListOfWhatIsNoProgramIsData) {
  const Proposed made =
      proposed({{"PROGS.TXT",
                 "PROGRAM COUNTERS\nO0100  FLANGE   120\nO0900  RING     340\n2 PROGRAMS\n%\nO0100 "
                 "(FLANGE)\nG0 X1.5\nM30\n%\n"}});
  EXPECT_EQ(made.survey.layout.find("data "), std::string::npos) << made.survey.layout;
}

}  // namespace
}  // namespace keepway
