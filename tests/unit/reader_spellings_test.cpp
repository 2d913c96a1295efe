// One state, however it is spelled: order, blanks, letter case, line ends, numbers, comments (NISTIR
// 6556, 3.3, for what changes nothing). And every span leads back to its value. Values are invented; seeds
// are fixed.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <random>

#include "unit/reader_support.hpp"

namespace keepway {
namespace {

const std::string layout_text = R"(
layout = 1
[[source]]
group = "offsets"
files = "*.offsets"
reader = "words"
point = "free"
comment = [";", "("]
[[source.row]]
match = "G10 L2"
address = "work/{P}"
rename = { P = { 1 = "G54", 2 = "G55" } }
fields = { X = "X", Y = "Y", Z = "Z" }
[[source]]
group = "settings"
files = "*.set"
reader = "columns"
point = "free"
comment = ";"
header = "blank"
columns = [{ name = "number", kind = "whole" }, "value"]
address = "{number}"
fields = { value = "" }
[[source]]
group = "variables"
files = "*.cells"
reader = "assign"
point = "free"
comment = "("
[[source]]
group = "parameters"
files = "*.ini"
reader = "sections"
point = "free"
)";

class Speller {
 public:
  explicit Speller(unsigned seed) : random_(seed), end_(pick({"\n", "\r\n", "\n\r", "\r"})) {}

  std::string pick(std::vector<std::string> of) { return of[below(of.size())]; }
  std::size_t below(std::size_t n) { return std::uniform_int_distribution<std::size_t>(0, n - 1)(random_); }
  std::string blanks() { return pick({"", "", " ", "\t", "  "}); }
  std::string gap() { return pick({" ", "\t", "   "}); }

  // A canonical number spelled otherwise.
  std::string number(std::string text) {
    const bool negative = text.front() == '-';
    if (negative) text.erase(0, 1);
    const bool point = text.find('.') != std::string::npos;
    if (text.starts_with("0.") && below(2) == 0) text.erase(0, 1);
    text = pick({"", "0", "00"}) + text;
    if (point) text += pick({"", "0", "000"});
    if (!point) text += pick({"", ".", ".0", ".00"});
    return (negative ? "-" : pick({"", "+"})) + text;
  }

  std::string letter(char c) {
    return std::string(1, below(2) == 0 ? c : static_cast<char>(c + ('a' - 'A')));
  }

  std::string lines(std::vector<std::string> rows, bool shuffle = true) {
    if (shuffle) std::shuffle(rows.begin(), rows.end(), random_);
    std::string out = pick({"", "%" + end_});
    const bool marked = !out.empty();
    for (const std::string& row : rows) {
      out += row + blanks() + end_;
      if (below(5) == 0) out += blanks() + end_;
    }
    if (marked) return out + "%" + pick({"", end_});
    if (below(3) == 0) out.resize(out.size() - end_.size());
    return out;
  }

  std::mt19937& random() { return random_; }

 private:
  std::mt19937 random_;
  std::string end_;
};

test::Files spell(unsigned seed) {
  Speller s(seed);
  std::vector<std::string> offsets;
  for (const auto& [p, x, y, z] :
       std::vector<std::array<std::string, 4>>{{"1", "-4.25", "0", "0.125"}, {"2", "10", "-0.5", "7.0625"}}) {
    std::vector<std::string> words;
    for (const auto& [letter, value] : std::vector<std::pair<char, std::string>>{
             {'G', "10"}, {'L', "2"}, {'P', p}, {'X', x}, {'Y', y}, {'Z', z}}) {
      words.push_back(s.letter(letter) + s.blanks() + s.number(value) + s.blanks());
    }
    std::shuffle(words.begin(), words.end(), s.random());
    std::string row = s.blanks();
    for (const std::string& word : words) row += word + s.pick({"", "", "(note)"});
    offsets.push_back(row + s.pick({"", "; fixture"}));
  }
  std::vector<std::string> settings;
  for (int i = 1; i <= 30; ++i) {
    settings.push_back(s.blanks() + std::string(s.below(3), '0') + std::to_string(i) + s.gap() +
                       s.number(fmt::format("{}", i * 3)) + s.pick({"", " ; note"}));
  }
  std::vector<std::string> variables;
  for (int i = 300; i < 330; ++i) {
    variables.push_back(s.blanks() + "#" + s.blanks() + s.pick({"", "0"}) + std::to_string(i) + s.blanks() +
                        "=" + s.blanks() + s.number(fmt::format("-{}.5", i)) + s.pick({"", " (note)"}));
  }
  std::vector<std::string> parameters = {s.blanks() + "[SLIDE]" + s.blanks()};
  for (int i = 0; i < 10; ++i) {
    parameters.push_back(fmt::format("{}K{}{}={}{}{}", s.blanks(), i, s.blanks(), s.blanks(),
                                     s.number(fmt::format("{}.25", i)), s.pick({"", " # note"})));
  }
  std::shuffle(parameters.begin() + 1, parameters.end(), s.random());
  return {{"a.offsets", s.lines(offsets)},
          {"b.set", s.lines(settings)},
          {"c.cells", s.lines(variables)},
          {"d.ini", s.lines(parameters, false)}};
}

TEST(Spellings, TwoHundredOfOneStateAreOneState) {
  const Layout layout = parse_layout(layout_text, "test.toml");
  const Reading reference =
      test::read(layout, {{"a.offsets", "G10 L2 P1 X-4.25 Y0 Z.125\nG10 L2 P2 X10 Y-.5 Z7.0625\n"},
                          spell(1)[1],
                          spell(1)[2],
                          spell(1)[3]});
  ASSERT_EQ(reference.state.table(Group::offsets)->size(), 6U);
  ASSERT_EQ(reference.state.table(Group::settings)->size(), 30U);
  ASSERT_EQ(reference.state.table(Group::variables)->size(), 30U);
  ASSERT_EQ(reference.state.table(Group::parameters)->size(), 10U);
  for (unsigned seed = 1; seed <= 200; ++seed) {
    const Reading reading = test::read(layout, spell(seed));
    for (const Group group : all_groups) {
      ASSERT_EQ(reading.state.table(group), reference.state.table(group)) << seed << group_name(group);
    }
  }
}

TEST(Spellings, EverySpanReadsBackToItsValue) {
  const Layout layout = parse_layout(layout_text, "test.toml");
  for (unsigned seed = 1; seed <= 50; ++seed) {
    const test::Files files = spell(seed);
    const Reading reading = test::read(layout, files);
    ASSERT_EQ(reading.origins.size(), 76U);
    for (const Origin& origin : reading.origins) {
      const std::string bytes = files[origin.span.file].second.substr(origin.span.at, origin.span.length);
      ASSERT_EQ(canonical_number(bytes), find_item(*reading.state.table(origin.group), origin.key)->value)
          << seed;
      const std::string before = files[origin.span.file].second.substr(0, origin.span.at);
      ASSERT_EQ(files[origin.span.file].second.size(),
                before.size() + origin.span.length +
                    files[origin.span.file].second.substr(origin.span.at + origin.span.length).size());
    }
  }
}

// Changing one value at its span changes that one item and no other.
TEST(Spellings, AChangeAtASpanIsAChangeOfThatItem) {
  const Layout layout = parse_layout(layout_text, "test.toml");
  const test::Files files = spell(7);
  const Reading before = test::read(layout, files);
  for (const Origin& origin : before.origins) {
    test::Files changed = files;
    changed[origin.span.file].second.replace(origin.span.at, origin.span.length, "123.456");
    State expected = before.state;
    for (Item& item : *expected.table(origin.group)) {
      if (item.key == origin.key) item.value = "123.456";
    }
    ASSERT_EQ(test::read(layout, changed).state, expected) << origin.key;
  }
}

// Any bytes give a reading: rows are items or unread, spans stay inside, and nothing throws.
TEST(Spellings, AnyBytesAreRead) {
  const Layout layout = parse_layout(layout_text, "test.toml");
  std::mt19937 random(20);
  for (int round = 0; round < 2000; ++round) {
    test::Files files = spell(static_cast<unsigned>(round));
    for (auto& [name, bytes] : files) {
      for (int n = 0; n < 8 && !bytes.empty(); ++n) {
        const std::size_t at = random() % bytes.size();
        const auto byte = static_cast<char>(random());
        if (random() % 3 == 0) {
          bytes.erase(at, random() % 9);
        } else if (random() % 2 == 0) {
          bytes.insert(at, 1, byte);
        } else {
          bytes[at] = byte;
        }
      }
    }
    const Reading reading = test::read(layout, files);
    for (const Origin& origin : reading.origins) {
      ASSERT_LE(origin.span.at + origin.span.length, files[origin.span.file].second.size());
      ASSERT_NE(find_item(*reading.state.table(origin.group), origin.key), nullptr);
    }
    for (const Group group : all_groups) {
      if (!reading.state.table(group)) continue;
      ASSERT_EQ(read_table(write_table(*reading.state.table(group)), "t"), *reading.state.table(group));
    }
  }
}

}  // namespace
}  // namespace keepway
