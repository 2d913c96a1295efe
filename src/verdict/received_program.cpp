#include "verdict/received_program.hpp"

#include <algorithm>
#include <optional>

#include "reader/program_lines.hpp"

namespace keepway::verdict {
namespace {

// Axes and what is measured along them are written in one way; a feed or a speed may have its own.
char class_of(char letter) {
  return std::string_view("XYZUVWABCIJKRQ").find(letter) == std::string_view::npos ? letter : 'X';
}

// The file that holds a program now, and the one that held it in the baseline; a renamed program may be in a
// file of another name.
std::optional<Pair> pair_with(Case& in, const ProgramFacts& now, const std::string& was_name) {
  if (const Pair* pair = in.pair_of(now.span.file)) return *pair;
  for (const std::size_t gone : in.gone()) {
    const Pair pair = {now.span.file, gone, false};
    const auto& programs = in.reading_was(pair).programs;
    if (std::any_of(programs.begin(), programs.end(),
                    [&](const ProgramFacts& each) { return each.name == was_name; }))
      return pair;
  }
  return std::nullopt;
}

}  // namespace

bool is_code(char letter) {
  return std::string_view("NOGMTHD#").find(letter) != std::string_view::npos;
}

ReceivedProgram::ReceivedProgram(Case& in, const ProgramFacts& now, const std::string& was_name)
    : source_(in.input().layout.sources[now.source]) {
  const auto pair = pair_with(in, now, was_name);
  if (!pair || pair->same) return;
  const auto& programs = in.reading_was(*pair).programs;
  const auto was = std::find_if(programs.begin(), programs.end(),
                                [&](const ProgramFacts& each) { return each.name == was_name; });
  if (was == programs.end()) return;
  const Units units = in.input().units;
  before_ = reader::received_lines(*was, source_, units, in.was(*pair));
  after_ = reader::received_lines(now, source_, units, in.now(*pair));
  for (const std::string_view line : before_) {
    for (const NumberWord& word : number_words(line.substr(0, line.find(';'))).words)
      whole_[class_of(word.letter)].add(word.number);
  }
}

bool ReceivedProgram::writes_whole_numbers(char letter) const {
  const auto found = whole_.find(class_of(letter));
  return found != whole_.end() && found->second.usual();
}

bool ReceivedProgram::always_has_points() const {
  const auto found = whole_.find(class_of('X'));
  return found != whole_.end() && found->second.never();
}

NumbersByLetter ReceivedProgram::written(const std::vector<std::string_view>& lines, std::size_t line) {
  return line < lines.size() ? NumbersByLetter(number_words(lines[line])) : NumbersByLetter();
}

}  // namespace keepway::verdict
