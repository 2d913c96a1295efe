// A raw serial capture from intake to restore: 7 bits with even parity (ISO 1113, ECMA-10), leaders, device
// controls, all groups in one stream. The control and its layout are invented.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <bit>

#include "media_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;
using testing::Not;

constexpr const char* punch_layout = R"toml(layout = 1
title = "Invented control that punches all it holds in one stream"
units = "inch"

[[source]]
group = "offsets"
files = ["*.CAP"]
reader = "words"
begins = "G10"
required = true
comment = ["("]
[[source.row]]
match = "G10 L2"
address = "work/{P}"
fields = { X = "X", Z = "Z" }

[[source]]
group = "variables"
files = ["*.CAP"]
reader = "assign"
begins = "#"
required = true

[[source]]
group = "parameters"
files = ["*.CAP"]
reader = "words"
begins = "K"
required = true
[[source.row]]
address = "{K}"
fields = { V = "" }

[[source]]
group = "programs"
files = ["*.CAP"]
reader = "blocks"
begins = "O"
required = true
comment = ["("]
)toml";

std::string text_of(const char* work_x = "-4.25") {
  return fmt::format(
      "%\r\nG10 L2 P1 X{} Z0.5\r\nG10 L2 P2 X-1. Z3.\r\n%\r\n#300=12\r\n#301=0.25\r\n%\r\n"
      "K12 V5\r\nK20 V0.2\r\n%\r\nO0100 (SHAFT)\r\nG20 G97 S800 M3\r\nG1 Z-2. F.01\r\nM30\r\n"
      "O0200 (GROOVE)\r\nG0 X1.\r\nM99\r\n%\r\n",
      work_x);
}

std::string punched(std::string text) {
  for (char& c : text) {
    const auto code = static_cast<unsigned char>(c);
    c = static_cast<char>(code | (std::popcount(code) % 2 != 0 ? 0x80U : 0U));
  }
  return text;
}

// Leader, DC2 (punch on), the text, DC4 (punch off), trailer.
std::string capture(const char* work_x = "-4.25") {
  return std::string(120, '\0') + "\x12" + punched(text_of(work_x)) + punched("\x14") +
         std::string(80, '\xFF') + std::string(40, '\0');
}

class MediaCapture : public MediaTest {
 protected:
  void SetUp() override {
    MediaTest::SetUp();
    write_file(root() / "punch.toml", punch_layout);
    const Ran ran = kw({"enroll", "punch", "--layout", (root() / "punch.toml").string(), "--serial", "1"});
    ASSERT_EQ(ran.exit, 0) << ran.err;
  }
  fs::path put_capture(const std::string& bytes) {
    write_file(root() / "ALL.CAP", bytes);
    return root() / "ALL.CAP";
  }
  Json take(const std::string& bytes, const char* at, int exit = 0) {
    const fs::path path = put_capture(bytes);
    const Untouched untouched(path);
    return json({"intake", "punch", path.string(), "--at", at}, exit);
  }
};

TEST_F(MediaCapture, AllGroupsAreReadFromOneStream) {
  const Json taken = take(capture(), "2026-03-01");
  EXPECT_EQ(taken.at("verdict").at("worth"), "good") << taken.at("verdict");
  const Json items = taken.at("verdict").at("counts");
  EXPECT_EQ(items.at("offsets"), 4);
  EXPECT_EQ(items.at("variables"), 2);
  EXPECT_EQ(items.at("parameters"), 2);
  EXPECT_EQ(items.at("programs"), 2);
  EXPECT_EQ(read_file(repository("punch") / "originals" / "ALL.CAP"), capture());
  EXPECT_THAT(taken.at("verdict").dump(), HasSubstr("even parity"));
}

TEST_F(MediaCapture, TheSameTextWithoutParityAndLeadersIsTheSameState) {
  take(capture(), "2026-03-01");
  const Tree state = read_tree(repository("punch") / "state");
  const Json plain = take(text_of(), "2026-03-02");
  EXPECT_THAT(plain.at("gist").get<std::string>(),
              testing::StartsWith("the values are the same; ALL.CAP is spelled otherwise"));
  EXPECT_EQ(read_tree(repository("punch") / "state"), state);
}

TEST_F(MediaCapture, ComesBackByteForByteAndOneValueInItsParity) {
  take(capture(), "2026-03-01");
  take(capture("-4.75"), "2026-03-02");
  const Ran whole = kw({"restore", "punch", "--at", "#1", "--to", (root() / "whole").string()});
  EXPECT_EQ(whole.exit, 0) << whole.err;
  EXPECT_EQ(read_tree(root() / "whole"), (Tree{{"ALL.CAP", capture()}}));
  const Ran one =
      kw({"restore", "punch", "--at", "#1", "--only", "offsets/work/1/X", "--to", (root() / "one").string()});
  EXPECT_EQ(one.exit, 0) << one.out << one.err;
  EXPECT_EQ(read_tree(root() / "one"), (Tree{{"ALL.CAP", capture()}}));
}

TEST_F(MediaCapture, CutOffInTheMiddleIsDoubtful) {
  const std::string whole = capture();
  take(whole, "2026-03-01");
  const std::string cut = whole.substr(0, whole.find(punched("G0 X1.")) + 3);
  const Json answer = json({"inspect", "punch", put_capture(cut).string(), "--at", "2026-03-02"}, 1);
  EXPECT_EQ(answer.at("verdict").at("worth"), "doubtful");
}

TEST_F(MediaCapture, AGroupThatIsNotInTheStreamIsMissed) {
  std::string text = text_of();
  const std::size_t at = text.find("#300");
  text.erase(at, text.find("%", at) - at);
  const Json answer =
      json({"inspect", "punch", put_capture(punched(text)).string(), "--at", "2026-03-02"}, 1);
  EXPECT_THAT(answer.at("verdict").dump(), HasSubstr("variables"));
  EXPECT_EQ(answer.at("verdict").at("worth"), "doubtful");
}

// The last source of a stream may do without `begins`, and takes what no other did.
TEST_F(MediaCapture, ASourceThatTakesTheRestIsNotMissed) {
  std::string layout = punch_layout;
  layout.erase(layout.find("begins = \"O\"\n"), 13);
  write_file(root() / "rest.toml", layout);
  const Ran ran = kw({"enroll", "rest", "--layout", (root() / "rest.toml").string(), "--serial", "2"});
  ASSERT_EQ(ran.exit, 0) << ran.err;
  const Json whole = json({"inspect", "rest", put_capture(capture()).string(), "--at", "2026-03-01"}, 0);
  EXPECT_EQ(whole.at("verdict").at("counts").at("programs"), 2);
  std::string text = text_of();
  text.erase(text.find("O0100"), text.find("M99") + 5 - text.find("O0100"));
  const Json without =
      json({"inspect", "rest", put_capture(punched(text)).string(), "--at", "2026-03-01"}, 1);
  EXPECT_THAT(without.at("verdict").dump(), HasSubstr("no programs in this backup"));
}

// A byte that the line spoiled: the whole no longer has even parity, and nothing may be guessed.
TEST_F(MediaCapture, ASpoiledByteIsNotReadOver) {
  std::string bytes = capture();
  bytes[bytes.find(punched("V0.2")) + 1] ^= '\x40';
  const Json answer = json({"inspect", "punch", put_capture(bytes).string(), "--at", "2026-03-02"}, 1);
  EXPECT_EQ(answer.at("verdict").at("worth"), "doubtful");
  const Ran shown = kw({"inspect", "punch", (root() / "ALL.CAP").string(), "--at", "2026-03-02"});
  EXPECT_THAT(shown.out, HasSubstr("1 byte has the wrong parity"));
  EXPECT_EQ(answer.at("verdict").at("counts").at("parameters"), 1)
      << "the spoiled row is kept, but not as a value";
  EXPECT_EQ(answer.at("verdict").at("unread").at("parameters"), 1);
}

}  // namespace
}  // namespace scenario
