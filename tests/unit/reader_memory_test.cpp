// A backup read with a memory of the one before is read as without. Values are invented.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "unit/reader_support.hpp"

namespace keepway {
namespace {

const std::string layout = R"(
layout = 1
[[source]]
group = "programs"
files = "*.PRG"
reader = "blocks"
[[source]]
group = "variables"
files = "*.VAR"
reader = "assign"
)";

std::string shown(const Span& span) {
  return fmt::format("{}@{}+{} line {}", span.file, span.at, span.length, span.line);
}

// All of a reading as text.
std::string shown(const Reading& reading) {
  std::string out;
  for (const StateFile& file : write_state(reading.state)) out += file.path + ":\n" + file.content;
  for (const Origin& origin : reading.origins) {
    out += fmt::format("{} {} {} source {} kind {}\n", group_name(origin.group), origin.key,
                       shown(origin.span), origin.source, static_cast<int>(origin.kind));
  }
  for (const ProgramFacts& program : reading.programs) {
    out += fmt::format("{} {} {} {}", program.name, shown(program.span), program.numbered, program.ended);
    for (std::size_t i = 0; i < program.calls.size(); ++i) {
      out += fmt::format(" {} {} {}", program.calls[i], shown(program.call_spans[i]),
                         program.calls_without_count[i]);
    }
    out += '\n';
  }
  for (const Oddity& oddity : reading.oddities) {
    out += fmt::format("{} {} {} {}\n", static_cast<int>(oddity.kind), oddity.place.file,
                       oddity.place.line.value_or(0), oddity.detail);
  }
  for (const FileFacts& file : reading.files) {
    out += fmt::format("{} {} {} {}\n", file.source, file.wrong_serial, file.parity, file.items);
  }
  return out;
}

TEST(ReadingMemory, GivesWhatReadingAnewGives) {
  const Layout parsed = parse_layout(layout, "test.toml");
  const std::string calls = "%\nO2 (WITH A CALL)\nM98 P9010\nwhat is this\nG65 P39010\nM30\n%\n";
  const std::vector<test::Files> backups = {
      {{"A.PRG", "O1\nG0 X1\nM30\n"}, {"B.PRG", calls}, {"C.VAR", "#500=1.5\n#501=2\nno row\n"}},
      {{"A.PRG", "O1\nG0 X1\nM30\n"}, {"B.PRG", calls}, {"C.VAR", "#500=1.5\n#501=2\nno row\n"}},
      {{"0.PRG", "O7\nM30\n"},
       {"A.PRG", "O1\nG0 X1\nM30\n"},
       {"B.PRG", calls},
       {"C.VAR", "#500=1.5\n#501=2\nno row\n"}},
      {{"B.PRG", calls}, {"C.VAR", "#500=1.5\n#501=3\n#501=4\n"}, {"D.PRG", "O1\nG0 X2\nM30\n"}},
      {{"A.PRG", "O1\nG0 X1\nM30\n"},
       {"B.PRG", "O2\nM30\n"},
       {"C.VAR", "#500=1.5\n#501=3\n#501=4\n"},
       {"E.PRG", calls}},
      {{"x.txt", "of no source"}, {"B.PRG", "O2\nM30\n"}},
  };
  ReadingMemory memory;
  for (const test::Files& files : backups) {
    std::vector<OriginalView> views;
    views.reserve(files.size());
    for (const auto& [name, bytes] : files) views.push_back({name, bytes});
    EXPECT_EQ(shown(read_backup(parsed, {}, views, &memory)), shown(read_backup(parsed, {}, views)));
  }
}

}  // namespace
}  // namespace keepway
