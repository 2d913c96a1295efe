// What one program is: by number or by file, how its number is written, what % does. Programs are invented.
#include <gmock/gmock.h>

#include "reader_support.hpp"

namespace keepway {
namespace {

using test::count;
using test::read;
using test::unread;
using testing::ElementsAre;
using testing::IsEmpty;

std::string programs(const std::string& more = "") {
  return "layout = 1\n[[source]]\ngroup = \"programs\"\nfiles = \"*\"\nreader = \"blocks\"\ncomment = "
         "[\"(\", \";\"]\n" +
         more;
}

std::vector<std::string> names(const Reading& reading) {
  std::vector<std::string> out;
  for (const Program& program : reading.state.programs) out.push_back(program.name);
  return out;
}

TEST(Program, IsAFileCalledByItsPathWithoutTheEnding) {
  const Reading reading = read(programs("program = \"file\"\n"),
                               {{"SUB/Face.2.ngc", "G0 X1\nM2\n"}, {"main.ngc", "O100\nG0\nO200\nM30\n"}});
  EXPECT_THAT(names(reading), ElementsAre("SUB/Face.2", "main"));
  EXPECT_EQ(reading.state.program("main")->text, "O100\nG0\nO200\nM30\n");
  EXPECT_THAT(reading.oddities, IsEmpty());
}

TEST(Program, FilesOfOneStemKeepTheirEnding) {
  const Reading reading =
      read(programs("program = \"file\"\n"), {{"part.nc", "G0\nM2\n"}, {"part.tap", "G0\nM2\n"}});
  EXPECT_THAT(names(reading), ElementsAre("part", "part.tap"));
  EXPECT_THAT(reading.oddities, IsEmpty());
}

TEST(Program, AFileWithANumberIsFoundByIt) {
  const Reading reading = read(programs("program = \"file\"\n"), {{"o0012.ngc", "M2\n"}});
  EXPECT_THAT(names(reading), ElementsAre("O12"));
}

// Flow words are invented; names between < and > are common practice, no source.
TEST(Program, FlowWordsAreText) {
  const std::string text =
      "o<bore> open\n#<_depth> = [#1 * 2]\no101 given [#<_depth> GT 5.0]\n  g1 x#<_depth> f100\no101 other\n"
      "o<tap> visit [1] [2.5]\no<bore> shut [#1]\n";
  const Reading reading = read(programs("program = \"file\"\npoint = \"free\"\n"), {{"bore.ngc", text}});
  ASSERT_EQ(reading.state.programs.size(), 1U);
  EXPECT_EQ(reading.state.programs[0].text,
            "O<BORE> OPEN\n#<_DEPTH>=[#1*2]\nO101 GIVEN [#<_DEPTH>GT5]\nG1 X#<_DEPTH> F100\nO101 OTHER\n"
            "O<TAP> VISIT [1] [2.5]\nO<BORE> SHUT [#1]\n");
  EXPECT_THAT(reading.oddities, IsEmpty());
  EXPECT_THAT(unread(reading, Group::programs), IsEmpty());
}

TEST(Program, AnythingPlainInAFileThatIsAProgramIsText) {
  const Reading reading = read(programs("program = \"file\"\n"),
                               {{"a.ngc", "print the label {7}\nM2\n"}, {"b.ngc", "G1 \x01\nM2\n"}});
  EXPECT_EQ(reading.state.program("a")->text, "print the label {7}\nM2\n");
  ASSERT_EQ(count(reading, OddityKind::unread), 1U);
  EXPECT_EQ(test::first(reading, OddityKind::unread)->place.file, "b.ngc");
}

TEST(Program, CallsAreFoundByTheLayoutsOwnWayOfNaming) {
  const auto calls = [](const Reading& reading, std::string_view name) {
    for (const ProgramFacts& facts : reading.programs) {
      if (facts.name == name) return facts.calls;
    }
    return std::vector<std::string>{"(none)"};
  };
  const Reading files =
      read(programs("program = \"file\"\n"),
           {{"main.ngc", "M98 P100\nM98 P7\nM98 P5\nM2\nO5\nM99\n"}, {"sub/0100.ngc", "M99\n"}});
  EXPECT_THAT(calls(files, "main"), ElementsAre("sub/0100", "O7"));  // 5 is within the file
  const Reading numbers = read(programs(), {{"main.nc", "O1\nM98 P100\nM30\n"}, {"100.nc", "M99\n"}});
  EXPECT_THAT(names(numbers), ElementsAre("O1", "O100"));
}

TEST(Program, ItsNumberIsWrittenAsTheLayoutSays) {
  EXPECT_THAT(
      names(read(programs("numbered_by = [\"p\"]\n"), {{"a.nc", "P 0002 (two)\nM30\nP3\nO9\nM30\n"}})),
      ElementsAre("O2", "O3"));
  EXPECT_THAT(names(read(programs("numbered_by = [\":\"]\n"), {{"12.nc", "O1\nM30\n"}})),
              ElementsAre("12.nc"));
  EXPECT_THAT(names(read(programs("numbered_by = [\":\", \"name\"]\n"), {{"12.nc", "O1\nM30\n"}})),
              ElementsAre("O12"));
}

TEST(Program, ALineMayNameIt) {
  const Reading reading =
      read(programs("named_by = \"({name})\"\n"),
           {{"TAPE", "%\n(PLATE 4/2)\nG0 X1.\n(not a name)\nM30\n( RING )\nG1 X2.\nM30\nO7\nM30\n%\n"}});
  EXPECT_THAT(names(reading), ElementsAre("O7", "PLATE 4-2", "RING"));
  EXPECT_EQ(reading.state.program("PLATE 4-2")->text, "(PLATE 4/2)\nG0 X1.\n(not a name)\nM30\n");
  EXPECT_TRUE(reading.oddities.empty());
}

TEST(Program, ANameMayBeNoBlock) {
  const Reading reading =
      read(programs("named_by = \"<{name}>\"\n"), {{"TAPE", "<A-1>\nG0 X1.\nM30\n<A-2>\nM30\n<X>\n"}});
  EXPECT_THAT(names(reading), ElementsAre("A-1", "A-2", "X"));
  for (const ProgramFacts& program : reading.programs) EXPECT_EQ(program.unread, 0U);
}

TEST(Program, APercentMayHeadAProgram) {
  const Reading reading = read(programs("numbered_by = [\"%P\", \"O\"]\npercent = \"heading\"\n"),
                               {{"all.nc", "%P0001\nG0\nM30\n%p 2\nG1\nM30\n%\nO3\nG2\nM30\n"}});
  EXPECT_THAT(names(reading), ElementsAre("O1", "O2", "O3"));
  EXPECT_EQ(reading.state.program("O1")->text, "%P0001\nG0\nM30\n");
  EXPECT_EQ(reading.state.program("O3")->text, "%\nO3\nG2\nM30\n");
  EXPECT_EQ(count(reading, OddityKind::mark_unclosed), 0U);
}

TEST(Program, APercentMayMeanNothing) {
  const Reading reading = read(programs("percent = \"none\"\n"), {{"a.nc", "%\nO1\nG0\n%\nG1\nM30\n"}});
  EXPECT_EQ(reading.state.program("O1")->text, "O1\nG0\nG1\nM30\n");
  EXPECT_THAT(reading.oddities, IsEmpty());
}

TEST(Program, ANumberBehindACallStaysBehindIt) {
  const auto normal = [](std::string_view line) {
    return normal_program(line, parse_layout(programs(), "t").sources[0], Units::inch);
  };
  EXPECT_EQ(normal("N5 M98 P100 N30"), "N5 P100 M98 N30\n");
  EXPECT_EQ(normal("M98 P100 N30"), "P100 M98 N30\n");
  EXPECT_EQ(normal("P100 M98 N30"), "P100 M98 N30\n");
  EXPECT_EQ(normal("N30 M98 P100"), "N30 P100 M98\n");
}

TEST(Program, TheReportsLayoutHasFilesForPrograms) {  // NISTIR 6556 has no O word
  for (const Source& each : test::rs274ngc().sources) {
    if (each.group == Group::programs) {
      EXPECT_EQ(each.program, ProgramIs::file);
    }
  }
  for (const Source& each : test::rs274ngc().sources) EXPECT_EQ(each.point, Point::free);  // 3.3.2.1
}

TEST(Program, WhatIsWrongInTheLayoutIsSaid) {
  const auto what = [](const std::string& more) -> std::string {
    try {
      (void)parse_layout(programs(more), "t.toml");
    } catch (const Error& error) {
      return error.what();
    }
    return "";
  };
  EXPECT_THAT(what("program = \"tape\"\n"), testing::HasSubstr("program is 'tape'"));
  EXPECT_THAT(what("percent = \"both\"\n"), testing::HasSubstr("percent is 'both'"));
  EXPECT_THAT(what("numbered_by = [\"%P\"]\n"), testing::HasSubstr("percent is not \"heading\""));
  EXPECT_THAT(what("numbered_by = [\"9\"]\n"), testing::HasSubstr("not a form of a program's number"));
  EXPECT_THAT(what("program = \"file\"\nnumbered_by = [\"O\"]\n"), testing::HasSubstr("called by its path"));
  EXPECT_THAT(what("point = \"maybe\"\n"), testing::HasSubstr("point is 'maybe'"));
  EXPECT_THAT(what("point = \"free\"\nleast_increment = \"0.001\"\n"),
              testing::HasSubstr("a least increment is given"));
  EXPECT_THAT(what("increment_of = { G = \"0.001\" }\n"), testing::HasSubstr("G words are no values"));
  EXPECT_THAT(what("increment_of = { XY = \"0.001\" }\n"), testing::HasSubstr("not a letter"));
  EXPECT_THAT(what("increment_of = { X = \"0\" }\n"), testing::HasSubstr("not above zero"));
}

}  // namespace
}  // namespace keepway
