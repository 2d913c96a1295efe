// A backup read with a memory of the one before is read as without. Values are invented.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <set>

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
[[source]]
group = "offsets"
files = "*.TBL"
reader = "columns"
columns = [{ name = "tool", kind = "whole" }, "length"]
address = "tool/{tool}"
fields = { length = "length" }
)";

constexpr Sha256 reader = {1, 2, 3};

std::vector<OriginalView> summed(const test::Files& files) {
  std::vector<OriginalView> views;
  views.reserve(files.size());
  for (const auto& [name, bytes] : files) views.push_back({name, bytes, sha256(bytes)});
  return views;
}

std::string shown(const Span& span) {
  return fmt::format("{}@{}+{} line {}", span.file, span.at, span.length, span.line);
}

// All of a reading as text.
std::string shown(const Reading& reading) {
  std::string out;
  for (const StateFile& file : write_state(reading.state)) out += file.path + ":\n" + file.content.str();
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
  for (const Overruled& value : reading.overruled) {
    out += fmt::format("{} {} {} {} by {}\n", group_name(value.group), value.key, value.value,
                       shown(value.span), shown(value.by));
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

TEST(ReadingMemory, GivesWhatReadingAgainGives) {
  const Layout parsed = parse_layout(layout, "test.toml");
  const std::string calls = "%\nO2 (WITH A CALL)\nM98 P710\nwhat is this\nM98 P30710\nM30\n%\n";
  const std::vector<test::Files> backups = {
      {{"A.PRG", "O1\nG0 X1\nM30\n"}, {"B.PRG", calls}, {"C.VAR", "#300=1.5\n#301=2\nno row\n"}},
      {{"A.PRG", "O1\nG0 X1\nM30\n"}, {"B.PRG", calls}, {"C.VAR", "#300=1.5\n#301=2\nno row\n"}},
      {{"0.PRG", "O7\nM30\n"},
       {"A.PRG", "O1\nG0 X1\nM30\n"},
       {"B.PRG", calls},
       {"C.VAR", "#300=1.5\n#301=2\nno row\n"}},
      {{"B.PRG", calls}, {"C.VAR", "#300=1.5\n#301=3\n#301=4\n"}, {"D.PRG", "O1\nG0 X2\nM30\n"}},
      {{"A.PRG", "O1\nG0 X1\nM30\n"},
       {"B.PRG", "O2\nM30\n"},
       {"C.VAR", "#300=1.5\n#301=3\n#301=4\n"},
       {"E.PRG", calls},
       {"T.TBL", "1 5.5\n2 7\n1 6.5\n"}},
      {{"0.TBL", "2 8\n"}, {"B.PRG", "O2\nM30\n"}, {"T.TBL", "1 5.5\n2 7\n1 6.5\n"}},
      {{"0.TBL", "2 8\n"}, {"T.TBL", "1 5.5\n2 7\n1 6.5\n"}},
      {{"x.txt", "of no source"}, {"B.PRG", "O2\nM30\n"}},
  };
  ReadingMemory memory;
  ReadingMemory kept;  // from one process to another
  for (const test::Files& files : backups) {
    const auto views = summed(files);
    const std::string expected = shown(read_backup(parsed, {}, views));
    EXPECT_EQ(shown(read_backup(parsed, {}, views, &memory)), expected);
    EXPECT_EQ(shown(read_backup(parsed, {}, views, &kept)), expected);
    EXPECT_TRUE(kept.agrees(parsed, {}, views));
    auto next = ReadingMemory::read(kept.write(reader), reader);
    ASSERT_TRUE(next);
    kept = std::move(*next);
  }
}

TEST(ReadingMemory, TellsWhetherThereIsAnythingNewInIt) {
  const Layout parsed = parse_layout(layout, "test.toml");
  ReadingMemory memory;
  const test::Files files = {{"A.PRG", "O1\nM30\n"}, {"C.VAR", "#300=1\n"}};
  (void)read_backup(parsed, {}, summed(files), &memory);
  EXPECT_TRUE(memory.changed());
  const std::size_t with_none = memory.write(reader).size();
  (void)read_backup(parsed, {}, summed(files), &memory);
  EXPECT_TRUE(memory.changed()) << "what came the same again is remembered from now on";
  EXPECT_GT(memory.write(reader).size(), with_none);
  (void)read_backup(parsed, {}, summed(files), &memory);
  EXPECT_FALSE(memory.changed());
  const test::Files other = {{"A.PRG", "O1\nM30\n"}, {"C.VAR", "#300=2\n"}};
  (void)read_backup(parsed, {}, summed(other), &memory);
  EXPECT_TRUE(memory.changed());
  // One that changes is remembered once it comes the same again.
  const std::size_t with_one = memory.write(reader).size();
  (void)read_backup(parsed, {}, summed(other), &memory);
  EXPECT_TRUE(memory.changed());
  EXPECT_GT(memory.write(reader).size(), with_one);
  (void)read_backup(parsed, {}, summed(other), &memory);
  EXPECT_FALSE(memory.changed());
}

TEST(ReadingMemory, HoldsNoSumsWhereSomebodyElseTellsWhatCameBefore) {
  const Layout parsed = parse_layout(layout, "test.toml");
  const test::Files files = {{"A.PRG", "O1\nM30\n"}, {"C.VAR", "#300=1\n"}};
  const test::Files other = {{"A.PRG", "O1\nM30\n"}, {"C.VAR", "#300=2\n"}};
  ReadingMemory memory;
  std::set<Sha256> before;
  const auto read_and_pass_on = [&](const test::Files& given) {
    const std::string again = shown(read_backup(parsed, {}, summed(given)));
    memory.came_before([&before](const Sha256& sum) { return before.contains(sum); });
    EXPECT_EQ(shown(read_backup(parsed, {}, summed(given), &memory)), again);
    const bool changed = memory.changed();
    before.clear();
    for (const auto& [name, bytes] : given) before.insert(sha256(bytes));
    memory = *ReadingMemory::read(memory.write(reader), reader);
    return changed;
  };
  const std::size_t nothing = ReadingMemory().write(reader).size();
  EXPECT_FALSE(read_and_pass_on(files));
  EXPECT_EQ(memory.write(reader).size(), nothing);
  EXPECT_TRUE(read_and_pass_on(files)) << "both came twice";
  EXPECT_FALSE(read_and_pass_on(files));
  EXPECT_TRUE(read_and_pass_on(other)) << "the next one's spelling is compared with it";
  EXPECT_TRUE(read_and_pass_on(files));
  EXPECT_TRUE(read_and_pass_on(other));
  EXPECT_FALSE(read_and_pass_on(other));
}

TEST(ReadingMemory, GivesOneTextOfAProgramThatComesAgainAndAgain) {
  const Layout parsed = parse_layout(layout, "test.toml");
  const test::Files files = {{"A.PRG", "O1\nG0 X1\nM30\n"}};
  ReadingMemory memory;
  // It is read twice until it is held.
  for (int times = 0; times < 2; ++times) (void)read_backup(parsed, {}, summed(files), &memory);
  const Reading before = read_backup(parsed, {}, summed(files), &memory);
  const Reading after = read_backup(parsed, {}, summed(files), &memory);
  EXPECT_EQ(&after.state.programs.at(0).text.str(), &before.state.programs.at(0).text.str());
}

TEST(ReadingMemory, HoldsWhatAFileWasInTheBackupBeforeForAnotherProcess) {
  const Layout parsed = parse_layout(layout, "test.toml");
  const test::Files files = {{"A.PRG", "O1\nM30\n"}, {"C.VAR", "#300=1.5\n"}};
  const test::Files other = {{"A.PRG", "O1\nM30\n"}, {"C.VAR", "#300=2.5\n"}};
  ReadingMemory memory;
  memory.came_before([](const Sha256& /*sum*/) { return true; });
  (void)read_backup(parsed, {}, summed(files), &memory);
  (void)read_backup(parsed, {}, summed(other), &memory);
  std::string forged = memory.write(reader);
  const std::size_t value = forged.find("1.5");
  ASSERT_NE(value, std::string::npos) << "what the file was is not held";
  forged[value] = '7';
  const auto wrong = ReadingMemory::read(forged, reader);
  ASSERT_TRUE(wrong);
  EXPECT_TRUE(wrong->agrees(parsed, {}, summed(other)));
  EXPECT_FALSE(wrong->agrees(parsed, {}, summed(files)));
  memory = *ReadingMemory::read(memory.write(reader), reader);
  memory.came_before([](const Sha256& /*sum*/) { return true; });
  (void)read_backup(parsed, {}, summed(other), &memory);
  EXPECT_EQ(memory.write(reader).find("1.5"), std::string::npos) << "that of two backups before is";
}

TEST(ReadingMemory, WithoutSumsNothingIsRemembered) {
  const Layout parsed = parse_layout(layout, "test.toml");
  ReadingMemory memory;
  const std::vector<OriginalView> views = {{"C.VAR", "#300=1\n"}};
  (void)read_backup(parsed, {}, views, &memory);
  EXPECT_FALSE(memory.changed());
}

// A sample's memory as bytes.
std::string sample() {
  ReadingMemory memory;
  const test::Files files = {{"A.PRG", "%\nO2 (CALLS)\nM98 P710\nwhat is this\nM30\n%\n"},
                             {"C.VAR", "#300=1.5\nno row\n#301=2\n"}};
  for (int times = 0; times < 2; ++times)
    (void)read_backup(parse_layout(layout, "test.toml"), {}, summed(files), &memory);
  return memory.write(reader);
}

TEST(ReadingMemory, IsForOneReaderAlone) {
  Sha256 other = reader;
  other[31] ^= 1;
  EXPECT_TRUE(ReadingMemory::read(sample(), reader));
  EXPECT_FALSE(ReadingMemory::read(sample(), other));
}

TEST(ReadingMemory, WhatSaysOtherwiseThanReadingIsReported) {
  const Layout parsed = parse_layout(layout, "test.toml");
  const test::Files files = {{"C.VAR", "#300=1.5\n#301=2\n"}};
  ReadingMemory memory;
  for (int times = 0; times < 2; ++times) (void)read_backup(parsed, {}, summed(files), &memory);
  const std::string sound = memory.write(reader);
  std::string forged = sound;
  const std::size_t value = forged.find("1.5");
  ASSERT_NE(value, std::string::npos);
  forged[value] = '7';
  const auto wrong = ReadingMemory::read(forged, reader);
  ASSERT_TRUE(wrong);
  EXPECT_FALSE(wrong->agrees(parsed, {}, summed(files)));
  EXPECT_TRUE(ReadingMemory::read(sound, reader)->agrees(parsed, {}, summed(files)));
}

}  // namespace
}  // namespace keepway
