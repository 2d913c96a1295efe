// What a person corrects of a proposed layout. The files are invented.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <set>
#include <string>

#include "keepway/survey.hpp"

namespace keepway {
namespace {

using testing::HasSubstr;
using testing::Not;

const std::vector<OriginalView> samples = {
    {"OTHER.PRN", "1 = 5\n2 = 8\n3 = 0\n"},
    {"PARTS.PRN", "%\nO7\nG21 G0 X40.\nM30\n%\n"},
    {"STUFF.PRN", "1 = 5\n2 = 7\n3 = 0\n"},
    {"TOOLS.PRN",
     "TOOL OFFSETS\n NO   X-LENGTH   Z-LENGTH\n  1    +12.500    -40.125\n  2    +10.000    -38.000\n"},
    {"VALUES.PRN", "R001=+000.2500\nR002=-012.0000\nR010=+100.0000\n"},
};

// Of the source that takes this file.
std::size_t source_of(const Survey& found, std::string_view file) {
  for (const SurveyedFile& each : found.files) {
    if (each.name == file) return each.source;
  }
  ADD_FAILURE() << file;
  return 0;
}

std::vector<Guess> guesses_of(const Survey& found, std::string_view file) {
  for (const SurveyedFile& each : found.files) {
    if (each.name == file) return each.guesses;
  }
  return {};
}

std::set<std::string> addresses(const Survey& found) {
  const Reading reading = read_backup(parse_layout(found.layout, "layout.toml"), {"", Units::mm}, samples);
  std::set<std::string> all;
  for (const Origin& origin : reading.origins)
    all.insert(std::string(group_name(origin.group)) + "/" + origin.key);
  return all;
}

std::string line_of(const std::string& text, std::size_t number) {
  std::size_t at = 0;
  while (--number > 0) at = text.find('\n', at) + 1;
  return text.substr(at, text.find('\n', at) - at);
}

TEST(EditSources, AGuessedGroupAndNameAreWrittenWhereAHandWould) {
  Survey found = survey(samples, "");
  const std::string before = found.layout;
  const std::size_t stuff = source_of(found, "STUFF.PRN");
  ASSERT_EQ(editable_sources(found)[stuff].group, "variables");
  ASSERT_EQ(editable_sources(found)[stuff].name, "stuff");
  ASSERT_THAT(before, HasSubstr("# Guessed: stuff in front"));
  ASSERT_EQ(addresses(found).count("variables/stuff/1"), 1U);
  edit_sources(found, {{stuff, "settings", "pump"}});
  EXPECT_EQ(editable_sources(found)[stuff].group, "settings");
  EXPECT_EQ(editable_sources(found)[stuff].name, "pump");
  std::set<std::string> now = addresses(found);
  EXPECT_EQ(now.count("settings/pump/1"), 1U);
  EXPECT_EQ(now.count("variables/stuff/1"), 0U);
  EXPECT_EQ(now.count("variables/other/1"), 1U) << "the other source is as it was";
  EXPECT_TRUE(guesses_of(found, "STUFF.PRN").empty());
  EXPECT_THAT(found.layout, Not(HasSubstr("# Guessed: stuff in front")));
  EXPECT_THAT(found.layout, HasSubstr("# Guessed: other in front"));
  // Every other line is as it was.
  std::size_t same = 0;
  for (std::size_t at = 0; at < before.size(); at = before.find('\n', at) + 1)
    same +=
        found.layout.find(before.substr(at, before.find('\n', at) + 1 - at)) != std::string::npos ? 1U : 0U;
  const auto lines = std::count(before.begin(), before.end(), '\n');
  EXPECT_GE(static_cast<long>(same) + 2, lines);
}

TEST(EditSources, GuessesThatAreLeftNameTheLinesOfTheNewLayout) {
  Survey found = survey(samples, "");
  edit_sources(found, {{source_of(found, "OTHER.PRN"), "parameters", std::nullopt},
                       {source_of(found, "STUFF.PRN"), "settings", std::nullopt}});
  std::size_t looked = 0;
  for (const SurveyedFile& file : found.files) {
    for (const Guess& guess : file.guesses) {
      if (guess.line == 0) continue;
      ++looked;
      EXPECT_THAT(line_of(found.layout, guess.line), testing::StartsWith(guess.key + " "));
    }
  }
  EXPECT_GE(looked, 3U);
}

TEST(EditSources, ANameIsPutInFrontTakenOffAndKeptApart) {
  Survey found = survey(samples, "");
  const std::size_t values = source_of(found, "VALUES.PRN");
  const std::size_t tools = source_of(found, "TOOLS.PRN");
  ASSERT_EQ(editable_sources(found)[values].name, "");
  ASSERT_EQ(editable_sources(found)[tools].name, "tool");
  edit_sources(found, {{values, std::nullopt, "cell"}, {tools, std::nullopt, "cutter"}});
  EXPECT_EQ(addresses(found).count("variables/cell/R1"), 1U);
  EXPECT_EQ(addresses(found).count("offsets/cutter/1/x-length"), 1U);
  edit_sources(found, {{values, std::nullopt, ""}, {tools, std::nullopt, ""}});
  EXPECT_EQ(addresses(found).count("variables/R1"), 1U);
  EXPECT_EQ(addresses(found).count("offsets/1/x-length"), 1U);
  EXPECT_THAT(found.layout, HasSubstr("# key: the column no")) << "the line's remark stays";
}

TEST(EditSources, WhatIsLeftOutGivesNoItemAndNothingThatIsNotUnderstood) {
  for (const char* file : {"VALUES.PRN", "TOOLS.PRN", "PARTS.PRN", "STUFF.PRN"}) {
    SCOPED_TRACE(file);
    Survey found = survey(samples, "");
    const std::set<std::string> before = addresses(found);
    const std::size_t source = source_of(found, file);
    ASSERT_FALSE(editable_sources(found)[source].left_out);
    edit_sources(found, {{source, std::nullopt, std::nullopt, true}});
    EXPECT_TRUE(editable_sources(found)[source].left_out);
    EXPECT_THAT(found.layout, HasSubstr("# no line of it is data, as was given"));
    const Reading reading = read_backup(parse_layout(found.layout, "layout.toml"), {"", Units::mm}, samples);
    for (const Origin& origin : reading.origins) EXPECT_NE(origin.source, source) << origin.key;
    EXPECT_TRUE(reading.oddities.empty());
    EXPECT_LT(addresses(found).size(), before.size());
    const Understood made = understood(parse_layout(found.layout, "layout.toml"), reading, samples);
    EXPECT_TRUE(made.unclaimed.empty()) << "its files are still its own";
    EXPECT_TRUE(made.unread.empty());
  }
}

TEST(EditSources, WhatWasProposedAsNoDataIsReadAfterAll) {
  const std::vector<OriginalView> backup = {
      {"DIRECT.PRN",
       "PROGRAM DIRECTORY                    MILL 7\r\n NO    SIZE   REMARK\r\nO0100   340   FACE\r\n"
       "O0200   120   DRILL\r\n"},
      {"PARTS.PRN", "%\r\nO0100\r\nG21\r\nG0 X1.\r\nM30\r\nO0200\r\nG0 X2.\r\nM30\r\n%\r\n"}};
  Survey found = survey(backup, "");
  const std::size_t list = source_of(found, "DIRECT.PRN");
  ASSERT_TRUE(editable_sources(found)[list].left_out) << found.layout;
  const auto items_of_list = [&] {
    const Reading reading = read_backup(parse_layout(found.layout, "layout.toml"), {"", Units::mm}, backup);
    return std::count_if(reading.origins.begin(), reading.origins.end(),
                         [&](const Origin& origin) { return origin.source == list; });
  };
  EXPECT_EQ(items_of_list(), 0);
  const auto guessed = [&] {
    return std::any_of(found.files.begin(), found.files.end(), [](const SurveyedFile& file) {
      return std::any_of(file.guesses.begin(), file.guesses.end(),
                         [](const Guess& guess) { return guess.key == "data"; });
    });
  };
  ASSERT_TRUE(guessed());
  edit_sources(found, {{list, std::nullopt, std::nullopt, std::nullopt}});
  EXPECT_TRUE(editable_sources(found)[list].left_out) << "what is not said stays";
  edit_sources(found, {{list, std::nullopt, std::nullopt, false}});
  EXPECT_FALSE(editable_sources(found)[list].left_out);
  EXPECT_GT(items_of_list(), 0);
  EXPECT_FALSE(guessed());
  EXPECT_EQ(found.layout.find("lists the programs"), std::string::npos) << "no remark of it is left";
}

TEST(EditUnits, AreWrittenIntoTheLayout) {
  Survey found = survey(samples, "");
  const std::string before = found.layout;
  ASSERT_EQ(found.units, Units::mm) << "as G21 says";
  edit_units(found, Units::mm);
  EXPECT_EQ(found.layout, before);
  edit_units(found, Units::inch);
  EXPECT_EQ(parse_layout(found.layout, "layout.toml").units, Units::inch);
  EXPECT_EQ(std::count(found.layout.begin(), found.layout.end(), '\n'),
            std::count(before.begin(), before.end(), '\n'));
  Survey silent = survey({samples[4]}, "");
  ASSERT_FALSE(silent.units);
  edit_units(silent, Units::mm);
  EXPECT_EQ(parse_layout(silent.layout, "layout.toml").units, Units::mm);
}

TEST(EditSources, WhatIsNoneIsAnError) {
  const Survey found = survey(samples, "");
  const auto refused = [&](const SourceEdit& edit) {
    Survey copy = found;
    try {
      edit_sources(copy, {edit});
    } catch (const Error& error) {
      return !error.remedy().empty();
    }
    return false;
  };
  EXPECT_TRUE(refused({99, "offsets", std::nullopt}));
  EXPECT_TRUE(refused({0, "no-group", std::nullopt}));
  EXPECT_TRUE(refused({0, "programs", std::nullopt})) << "its reader reads none";
  EXPECT_TRUE(refused({0, "offsets\"\nreader = \"blocks", std::nullopt}));
  EXPECT_TRUE(refused({0, std::nullopt, "{column that is none}"}));
  Survey same = found;
  edit_sources(same, {{0, editable_sources(found)[0].group, editable_sources(found)[0].name}});
  EXPECT_EQ(same.layout, found.layout);
}

}  // namespace
}  // namespace keepway
