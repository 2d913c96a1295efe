// What a hole leaves where its two ends meet: a program that ends as another did that is gone, blocks that
// hold a word twice, and broken numbers. The file's bytes tell it where nothing else changed (sectors.cpp);
// this does without them.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "verdict/checks.hpp"

namespace keepway::verdict {
namespace {

constexpr const char* look_again = "at the machine, look at this program, and send its file again";

std::vector<std::string_view> lines_of_program(std::string_view text) {
  std::vector<std::string_view> lines;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    lines.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  return lines;
}

// How many of their last lines two programs share.
std::size_t same_end(const std::vector<std::string_view>& a, const std::vector<std::string_view>& b) {
  return static_cast<std::size_t>(std::mismatch(a.rbegin(), a.rend(), b.rbegin(), b.rend()).first -
                                  a.rbegin());
}

// A program that now ends as another one did, which is gone: a hole took the end of the first and the head of
// the second.
void check_ends_of_programs(Case& in, Reasons& reasons) {
  constexpr std::size_t by_chance = 2;  // a retract and M30, which many programs end with
  const State& was = in.before()->state;
  const State& now = in.input().reading.state;
  for (const Program& gone : was.programs) {
    if (now.program(gone.name) != nullptr) continue;
    const auto gone_lines = lines_of_program(gone.text);
    for (const auto& [program, before, blocks] : in.changed_programs()) {
      if (before == nullptr) continue;
      const auto lines = lines_of_program(program.text);
      const std::size_t end = same_end(lines, gone_lines);
      if (end <= by_chance + same_end(lines_of_program(before->text), gone_lines) || end == gone_lines.size())
        continue;
      reasons.push_back(
          {Worth::doubtful,
           "programs-joined",
           fmt::format("{} now ends as {} did, and {} is gone: what was between them seems to be lost",
                       escape(program.name), escape(gone.name), escape(gone.name)),
           look_again,
           {},
           fmt::format("{} {}", escape(program.name), escape(gone.name))});
      break;
    }
  }
}

// The letter that a block's words hold twice; 0 where none is, or where it holds anything but words. But for
// G and M a letter may be once on a line (NISTIR 6556, 3.3.5, number from memory).
char repeated_letter(std::string_view block) {
  std::array<bool, 26> seen{};
  char letter = 0;
  for (std::size_t i = 0; i < block.size(); ++i) {
    const char c = block[i];
    if (c == '(') {
      i = std::min(block.find(')', i), block.size());
    } else if (c >= 'A' && c <= 'Z') {
      const bool number = i + 1 < block.size() &&
                          std::string_view("+-.0123456789").find(block[i + 1]) != std::string_view::npos;
      if (!number) return 0;
      bool& known = seen[static_cast<std::size_t>(c - 'A')];
      if (known && c != 'G' && c != 'M') letter = c;
      known = true;
    } else if (std::string_view("+-.0123456789 /").find(c) == std::string_view::npos) {
      return 0;
    }
  }
  return letter;
}

// Whether a line holds a number that is broken, as where one word's beginning meets another's end: one with
// two points, `Y0.242.76`, or one that begins the line without a letter.
bool has_broken_number(std::string_view block) {
  constexpr std::string_view number_bytes = "+-.0123456789";
  const std::size_t first = block.find_first_not_of(number_bytes);
  if (first > 0 && first != std::string_view::npos &&
      std::any_of(block.begin(), block.begin() + first, is_digit))
    return true;
  for (std::size_t i = 1; i < block.size(); ++i) {
    if (block[i] == ';') return false;
    if (block[i] == '(') i = std::min(block.find(')', i), block.size());
    if (i >= block.size() || !is_letter(block[i - 1])) continue;
    const std::size_t end = std::min(block.find_first_not_of(number_bytes, i), block.size());
    const std::string_view number = block.substr(i, end - i);
    if (std::count(number.begin(), number.end(), '.') > 1) return true;
  }
  return false;
}

// What is odd about a line of a program, in words; empty for most lines.
using Oddness = std::string (*)(std::string_view line);

std::string word_twice(std::string_view line) {
  const char letter = repeated_letter(line);
  return letter == 0 ? "" : fmt::format("two {} words in one block", letter);
}

std::string broken_number(std::string_view line) {
  return has_broken_number(line) ? "a number with two points or without a letter" : "";
}

bool has_odd_line(const State& state, Oddness odd) {
  return std::any_of(state.programs.begin(), state.programs.end(), [&](const Program& program) {
    const auto lines = lines_of_program(program.text);
    return std::any_of(lines.begin(), lines.end(), [&](std::string_view line) { return !odd(line).empty(); });
  });
}

// The first odd line of each program that changed, where no line was odd before.
void check_lines(Case& in, const char* code, Oddness odd, Reasons& reasons) {
  const State& was = in.before()->state;
  std::optional<bool> usual;  // on this control
  for (const auto& [program, before, blocks] : in.changed_programs()) {
    for (const std::string_view line : lines_of_program(program.text)) {
      const std::string what = odd(line);
      if (what.empty()) continue;
      if (!usual) usual = has_odd_line(was, odd);
      if (*usual) return;
      reasons.push_back({Worth::doubtful,
                         code,
                         fmt::format("{}: {}, which no program had before: '{}'", escape(program.name), what,
                                     escape(line.substr(0, 100))),
                         look_again,
                         {},
                         fmt::format("{} {}", escape(program.name), escape(line))});
      break;
    }
  }
}

}  // namespace

void check_joined(Case& in, Reasons& reasons) {
  if (in.before() == nullptr || in.before()->state.programs.empty()) return;
  check_ends_of_programs(in, reasons);
  check_lines(in, "word-twice", word_twice, reasons);
  check_lines(in, "number-broken", broken_number, reasons);
}

}  // namespace keepway::verdict
