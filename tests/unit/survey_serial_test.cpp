// A proposal for a machine whose serial was given, from files that say otherwise. The control is invented.
#include <gmock/gmock.h>

#include "keepway/survey.hpp"
#include "reader/serial_line.hpp"

namespace keepway {
namespace {

using testing::HasSubstr;
using testing::Not;

std::vector<OriginalView> files_of(const std::string& heading) {
  static std::string text;
  text = heading + "\r\nWORK ZERO POINTS\r\nG54 X-1.250 Y2.000\r\nG55 X0.000 Y1.500\r\nEND\r\n";
  return {{"ZERO.LST", text}};
}

std::size_t count_other_serials(const Survey& found, const std::string& serial,
                                const std::vector<OriginalView>& files) {
  const Reading reading = read_backup(parse_layout(found.layout, "proposed"), {serial, Units::mm}, files);
  return static_cast<std::size_t>(
      std::count_if(reading.oddities.begin(), reading.oddities.end(),
                    [](const Oddity& oddity) { return oddity.kind == OddityKind::other_serial; }));
}

TEST(SurveySerial, AnotherThanTheFilesNameIsSaidAndRefusesThem) {
  const auto files = files_of("MACHINE NO 2208");
  const Survey found = survey(files, "4711");
  EXPECT_EQ(found.serial, "4711");
  EXPECT_EQ(found.other_serial, "2208");
  EXPECT_EQ(found.other_serial_in, "ZERO.LST:1");
  EXPECT_THAT(found.layout, HasSubstr("MACHINE NO {serial}"));
  EXPECT_EQ(count_other_serials(found, "4711", files), 1U);
  EXPECT_EQ(count_other_serials(found, "2208", files), 0U);
}

TEST(SurveySerial, TheOneThatTheFilesNameIsNoOther) {
  for (const char* given : {"2208", "MB-2208", "mb-2208"}) {
    const Survey found = survey(files_of("SERIAL NUMBER MB-2208"), given);
    EXPECT_EQ(found.other_serial, "") << given;
  }
}

TEST(SurveySerial, WhatIsNoSerialContradictsNone) {
  for (const char* heading : {"SERIAL PORT 9600 BAUD", "SERIES 2000", "MACHINE NORTH 2208", "PAGE 2208"}) {
    const Survey found = survey(files_of(heading), "4711");
    EXPECT_EQ(found.other_serial, "") << heading;
    EXPECT_THAT(found.layout, Not(HasSubstr("{serial}"))) << heading;
  }
  EXPECT_EQ(survey(files_of("SERIAL PORT 9600 BAUD"), "").serial, "");
}

// As of a camera: every byte is as likely as any other.
std::string picture() {
  std::string bytes;
  std::uint32_t state = 1;
  for (int i = 0; i < 30'000; ++i) {
    state = state * 1'664'525U + 1'013'904'223U;
    bytes += static_cast<char>(state >> 24U);
  }
  return bytes;
}

TEST(SurveySerial, APictureIsNoProgram) {
  const std::string bytes = picture();
  try {
    survey({{"IMG_1.JPG", bytes}}, "");
    FAIL() << "read as a backup";
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::input);
    EXPECT_THAT(error.what(), HasSubstr("not text from a control"));
  }
  auto files = files_of("MACHINE NO 2208");
  files.push_back({"IMG_1.JPG", bytes});
  const Survey found = survey(files, "");
  EXPECT_THAT(found.left_out, testing::ElementsAre("IMG_1.JPG"));
  EXPECT_THAT(found.no_text, testing::ElementsAre("IMG_1.JPG"));
  EXPECT_EQ(found.files.size(), 1U);
}

// A tape has leaders and the device controls of its punch; a line's noise spoils some bytes.
TEST(SurveySerial, IsFoundBehindWhatOnlyLooksLikeItsWord) {
  EXPECT_EQ(reader::serial_in_line("AXIS/NC  S/N 4471"), "4471");
  EXPECT_EQ(reader::serial_in_line("SERIES 20, SERIE 4471"), "4471");
}

TEST(SurveySerial, ASpoiledTapeIsStillText) {
  std::string tape(200, '\0');
  tape += "%\r\nO1\r\n";
  for (int i = 0; i < 40; ++i) tape += "N" + std::to_string(i) + " G1 X1.5\x02 Y2.\r\n";
  tape += "M30\r\n%\r\n\x13" + std::string(200, '\0');
  const Survey found = survey({{"TAPE", tape}}, "");
  EXPECT_TRUE(found.left_out.empty());
  EXPECT_EQ(found.files.front().group, Group::programs);
}

}  // namespace
}  // namespace keepway
