// Changes of a program's blocks that can hurt: lines of one stretch that differ, paired by what they are
// without their numbers.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <unordered_map>

#include "base/digit.hpp"
#include "keepway/compare.hpp"
#include "reader/program_lines.hpp"
#include "verdict/caution.hpp"
#include "verdict/checks.hpp"

namespace keepway::verdict {
namespace {

struct Word {
  char letter = 0;
  std::string_view number;
};
struct Block {
  std::string form;  // the line without its numbers
  std::vector<Word> words;
};

bool starts_number(std::string_view line, std::size_t at) {
  return is_digit(line[at]) || line[at] == '.' || line[at] == '-' || line[at] == '+';
}

Block block_of(std::string_view line) {
  Block block;
  char letter = 0;
  for (std::size_t at = 0; at < line.size();) {
    if (line[at] == '(') {  // a comment's numbers move nothing
      const std::size_t close = std::min(line.find(')', at), line.size());
      block.form += line.substr(at, close - at);
      at = close;
    } else if (starts_number(line, at)) {
      std::size_t end = at + 1;
      while (end < line.size() && (is_digit(line[end]) || line[end] == '.')) ++end;
      block.words.push_back({letter, line.substr(at, end - at)});
      block.form += '\1';
      at = end;
    } else {
      if (line[at] != ' ') letter = upper(line[at]);
      block.form += line[at++];
    }
  }
  return block;
}

// Letters whose numbers are names rather than amounts.
bool is_code(char letter) {
  return std::string_view("NOGMTHD#").find(letter) != std::string_view::npos;
}

// Axes and what is measured along them are written in one way; a feed or a speed may have its own.
char class_of(char letter) {
  return std::string_view("XYZUVWABCIJKRQ").find(letter) == std::string_view::npos ? letter : 'X';
}

// One program in both backups, as received.
class Received {
 public:
  Received(Case& in, const ProgramFacts& now) : layout_(in.input().layout), now_(now) {
    const Pair* pair = in.pair_of(now.span.file);
    if (pair == nullptr || pair->same) return;
    const auto& programs = in.reading_was(*pair).programs;
    const auto was = std::find_if(programs.begin(), programs.end(),
                                  [&](const ProgramFacts& each) { return each.name == now.name; });
    if (was == programs.end()) return;
    const Units units = in.input().units;
    before_ = reader::received_lines(*was, source(), units, in.was(*pair));
    after_ = reader::received_lines(now, source(), units, in.now(*pair));
    for (const std::string_view line : before_) {
      for (const Word& word : block_of(line.substr(0, line.find(';'))).words)
        whole_[class_of(word.letter)].add(word.number);
    }
  }

  [[nodiscard]] const Source& source() const { return layout_.sources[now_.source]; }

  // The n-th word of a letter on a line of the normal form, from 0, as it is written; empty where it is not
  // known.
  [[nodiscard]] std::string_view before(std::size_t line, char letter, std::size_t n) const {
    return written(before_, line, letter, n);
  }
  [[nodiscard]] std::string_view after(std::size_t line, char letter, std::size_t n) const {
    return written(after_, line, letter, n);
  }
  // Whether the program wrote whole numbers of a letter without a point.
  [[nodiscard]] bool writes_whole_numbers(char letter) const {
    const auto found = whole_.find(class_of(letter));
    return found != whole_.end() && found->second.usual();
  }

 private:
  static std::string_view written(const std::vector<std::string_view>& lines, std::size_t line, char letter,
                                  std::size_t n) {
    if (line >= lines.size()) return {};
    for (const Word& word : block_of(lines[line]).words) {
      if (word.letter == letter && n-- == 0) return word.number;
    }
    return {};
  }

  const Layout& layout_;
  const ProgramFacts& now_;
  std::vector<std::string_view> before_;
  std::vector<std::string_view> after_;
  std::map<char, WholeNumbers> whole_;
};

// A line of the normal form, and its place there from 0.
struct Placed {
  const std::string* text = nullptr;
  std::size_t line = 0;
};

// Whether a word that had a decimal point has none now: by the files, for the normal form may give a point to
// a number without one.
bool point_is_missing(const Received& received, const Placed& was, const Placed& is, char letter,
                      std::size_t n, const std::string& from, const std::string& to) {
  if (letter < 'A' || letter > 'Z' || !may_have_lost_its_point(from, to)) return false;
  const std::string_view before = received.before(was.line, letter, n);
  const std::string_view after = received.after(is.line, letter, n);
  if (!has_point(before) || after.empty() || has_point(after)) return false;
  if (is_tens_apart(from, to)) return true;
  return received.source().point == Point::counts && !received.writes_whole_numbers(letter);
}

void check_blocks(const Received& received, const Placed& before, const Placed& after, Caution& caution) {
  const Block was = block_of(*before.text);
  const Block is = block_of(*after.text);
  std::map<char, std::size_t> seen;
  for (std::size_t i = 0; i < std::min(was.words.size(), is.words.size()); ++i) {
    const char letter = is.words[i].letter;
    const std::size_t n = seen[letter]++;
    if (is_code(letter)) continue;
    const std::string from(was.words[i].number);
    const std::string to(is.words[i].number);
    Caution word;
    const DigitShift shift = shift_between(from, to);
    add_shift(word, shift, from, to);
    if (shift == DigitShift::none && from != to) {
      if (point_is_missing(received, before, after, letter, n, from, to))
        add_point_missing(word);
      else if (may_lack_its_point(from, to))
        add(word, "point-missing", "a hundredth or less: is a decimal point missing?");
    }
    if (word.codes.empty()) continue;
    const std::string which = fmt::format("{}{} to {}: {}", letter, from, to, word.why);
    add(caution, word.codes.front().c_str(), which);
  }
}

void check_stretch(const Received& received, const std::string& name, const BlockChange& stretch,
                   std::vector<Caution>& cautions) {
  std::unordered_map<std::string, std::vector<Placed>> by_form;  // last first
  for (std::size_t i = stretch.before.size(); i-- > 0;)
    by_form[block_of(stretch.before[i]).form].push_back({&stretch.before[i], stretch.before_line - 1 + i});
  for (std::size_t i = 0; i < stretch.after.size(); ++i) {
    const auto found = by_form.find(block_of(stretch.after[i]).form);
    if (found == by_form.end() || found->second.empty()) continue;
    const Placed was = found->second.back();
    found->second.pop_back();
    Caution caution;
    check_blocks(received, was, {&stretch.after[i], stretch.after_line - 1 + i}, caution);
    if (caution.codes.empty()) continue;
    caution.address = {Group::programs, name};
    caution.before = *was.text;
    caution.after = stretch.after[i];
    cautions.push_back(std::move(caution));
  }
}

}  // namespace

void add_program_cautions(Case& in, std::vector<Caution>& cautions) {
  const Reading& reading = in.input().reading;
  for (const Program& program : reading.state.programs) {
    const Program* before = in.before()->state.program(program.name);
    if (before == nullptr || before->text == program.text) continue;
    const auto change = compare_programs(before->text, program.text);
    const auto facts = std::find_if(reading.programs.begin(), reading.programs.end(),
                                    [&](const ProgramFacts& each) { return each.name == program.name; });
    if (!change || change->blocks.empty() || facts == reading.programs.end()) continue;
    const Received received(in, *facts);
    for (const BlockChange& stretch : change->blocks)
      check_stretch(received, program.name, stretch, cautions);
  }
}

}  // namespace keepway::verdict
