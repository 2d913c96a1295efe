// Samples at the edge of what the survey takes for a form of row, a title or a program. All are invented.
#include <gtest/gtest.h>

#include "keepway/survey.hpp"
#include "reader_support.hpp"
#include "survey/tokens.hpp"

namespace keepway {
namespace {

using test::value;

Survey proposed(const std::string& name, const std::string& text) {
  return survey({{name, text}}, "");
}

std::string read_back(const std::string& name, const std::string& text, const std::string& address) {
  const std::vector<OriginalView> files = {{name, text}};
  const Survey found = survey(files, "");
  return value(read_backup(parse_layout(found.layout, "proposed"), {found.serial, Units::mm}, files),
               address);
}

std::size_t sources_in(const Survey& found) {
  std::size_t count = 0;
  for (std::size_t at = found.layout.find("[[source]]"); at != std::string::npos;
       at = found.layout.find("[[source]]", at + 1))
    ++count;
  return count;
}

TEST(SurveyNearForms, UnitsAreThoseThatMostHeadingsName) {
  const std::string rows = "\n 1  2.5\n 2  3.5\n";
  EXPECT_EQ(proposed("A.TXT", "LENGTHS IN MM\nRADII IN MM\nINCH: OPTION" + rows).units, Units::mm);
  EXPECT_EQ(proposed("A.TXT", "LENGTHS IN INCH\nRADII IN INCH\nMM: OPTION" + rows).units, Units::inch);
  EXPECT_EQ(proposed("A.TXT", "LENGTHS IN INCH\nMM: OPTION" + rows).units, std::nullopt);
}

TEST(SurveyNearForms, ALabelMayBeOneLetter) {
  const Survey found = proposed("DIALS.TXT", "F: 100\nS: 2000\nT: 3\n");
  EXPECT_NE(found.layout.find("shape    = \"{key}:{value}\""), std::string::npos) << found.layout;
}

TEST(SurveyNearForms, ANameOfAVariableEndsBeforeItsSign) {
  EXPECT_EQ(read_back("VARS.TXT", "#<a>=0101\n#<b>=1100\n#<x=1\n", "variables/a"), "0101")
      << "no value behind a name that does not end says that these are numbers";
}

TEST(SurveyNearForms, HexadecimalsOfTwoDigitsInTwoRowsAreText) {
  EXPECT_EQ(read_back("SYS.PAR", "P04=FF\nP00=1F\n", "parameters/P0"), "1F");
}

TEST(SurveyNearForms, ABlankPartsAProgramsNameFromItsFrame) {
  const Survey found =
      proposed("PROGS.TXT", "*** PROGRAM 100 FLANGE ***\nM30\n*** PROGRAM 101 RING ***\nM30\n");
  EXPECT_NE(found.layout.find("named_by = \"*** PROGRAM {name} ***\""), std::string::npos) << found.layout;
}

TEST(SurveyNearForms, AWordApartFromItsSignIsNotBeforeANumber) {
  const Survey found = proposed("PARTS.TXT", "PROG =3\nN2 M30\n");
  EXPECT_EQ(found.files.front().group, Group::programs) << found.layout;
}

TEST(SurveyNearForms, ProgramsThatDifferInMoreThanTheirLettersAreTwoSources) {
  EXPECT_EQ(sources_in(survey({{"B.NC", "M30\n0\n"}, {"C.NC", "M30\n"}}, "")), 2U);
}

TEST(SurveyNearForms, ARowMayEndBeforeTheColumnThatTellsTheOthersApart) {
  const Survey found =
      proposed("MACHINE.BAK",
               "emory of drill 3, serial 30-118\r\naved 14 Feb 1999 by Tom\r\n\nRAMETERS]\r\n"
               "umber  value\r\n  4000\r\n  -12\r\n  0.25\r\n\nOLS]\r\no  length  "
               "radius\r\n 120.500   6.000\r\n  98.020   4.250\r\n   0.000   0.000\r\n\n"
               "RIABLES]\r\n   12.5\r\n   -0.25\r\n   0\r\n\nOGRAMS]\r\n01 (CENTRES)\r\n"
               " G81 X0 Y0 Z-2.\r\n\r\n02\r\n G28 Z0\r\n\r\n");
  EXPECT_FALSE(found.files.empty());
}

TEST(SurveyNearForms, ALetterThatAllRowsHaveApartFromTheirNumberIsNoPartOfIt) {
  EXPECT_EQ(read_back("A.LST", "R  1   2.500\nR 12   3.500\nR113  14.250\n", "parameters/12"), "3.5");
}

TEST(SurveyNearForms, ATitleAboveAllPartsNamesNone) {
  const std::string text = "[TOOLS]\n[SETTINGS]\n#300=1.2500\n[TOOLS]\n#310=1241\n";
  EXPECT_EQ(read_back("VARS.TXT", text, "settings/300"), "1.25");
  EXPECT_EQ(read_back("VARS.TXT", text, "offsets/310"), "1241");
}

TEST(SurveyNearForms, OneGroupInBracketsPartsNothing) {
  EXPECT_EQ(sources_in(proposed("VAR.TXT", "[TOOLS]\nV2=2.5\nUNIT B\nV2=3.5\n")), 1U);
}

TEST(SurveyNearForms, OneRowDoesNotSayWhatSignAllHave) {
  const Survey found = proposed("PARAM.LOG", " 105:       3\n");
  EXPECT_NE(found.layout.find("split    = \"blanks\""), std::string::npos) << found.layout;
}

TEST(SurveyNearForms, AThirdOfOtherRowsIsTooMuchForSettings) {
  const Survey found = proposed("SET.TXT", "R33\nR4=4\nSUM=10\n");
  EXPECT_EQ(found.layout.find("reader   = \"sections\""), std::string::npos) << found.layout;
}

// What parts the rows of one group may give them the form of another.
TEST(SurveyNearForms, RowsOfOneGroupHaveAsManyTokens) {
  for (const std::string text :
       {"P001 SPINDLE MAX : 160 mm\nP002 FEED MAX : 20 mm\nP003 JOG MAX : 30 mm\nSPEED : 160mm\nFEED : 80mm\n"
        "DELAY : 5mm\nSTEP : 7mm\nJOG : 9mm\n",
        "P001 FEED MAX : 5\nP002 JOG MAX : 7\nLANGUAGE : EN\nSCREEN : DARK\n"}) {
    std::size_t lines = 0;
    for (const auto& [skeleton, together] : layout::rows_alike(layout::look_at("SET.TXT", text), lines)) {
      for (const layout::Tokens& row : together.rows)
        EXPECT_EQ(row.size(), together.rows.front().size()) << skeleton;
    }
  }
}

}  // namespace
}  // namespace keepway
