// What a sample looks like before any reader is tried: lines, comments, words, units, its name.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/digit.hpp"
#include "reader/comments.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

constexpr std::size_t most_lines = 20'000;

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}
char upper(char c) {
  return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
}
// "(" pairs with ")"; others run to the line's end. `#` opens a comment only where no number or name in
// brackets follows it, as in an assignment.
bool opens(std::string_view text, std::string_view opener) {
  if (!text.starts_with(opener)) return false;
  const std::string_view rest = reader::trim(text.substr(opener.size()));
  if (opener == "#") return rest.empty() || (!is_digit(rest.front()) && rest.front() != '<');
  if (opener == "*" || opener == "'" || opener == "!") return rest.empty() || !is_digit(rest.front());
  return true;
}

void find_comments(Sample& sample) {
  constexpr std::array<std::string_view, 7> at_front = {";", "(", "//", "#", "'", "!", "*"};
  std::array<std::size_t, at_front.size()> seen{};
  bool bracket = false;
  bool semicolon = false;
  for (const reader::Line& line : sample.lines) {
    const std::string_view text = reader::trim(line.text);
    for (std::size_t i = 0; i < at_front.size(); ++i) {
      if (!opens(text, at_front[i])) continue;
      ++seen[i];
      break;
    }
    const std::size_t open = text.find('(');
    bracket = bracket || (open != std::string_view::npos && text.find(')', open) != std::string_view::npos);
    semicolon = semicolon || text.find(';') != std::string_view::npos;
  }
  for (std::size_t i = 0; i < at_front.size(); ++i) {
    if (seen[i] > 0) sample.openers.emplace_back(at_front[i]);
  }
  sample.comments = sample.openers;
  const auto add = [&](const char* opener) {
    auto& all = sample.comments;
    if (std::find(all.begin(), all.end(), opener) == all.end()) all.emplace_back(opener);
  };
  if (bracket) add("(");
  if (semicolon) add(";");
}

}  // namespace

std::size_t Sample::code_lines() const {
  return static_cast<std::size_t>(
      std::count_if(code.begin(), code.end(), [](const std::string& line) { return !line.empty(); }));
}

Sample look_at(std::string_view name, std::string_view text) {
  Sample sample;
  sample.name = name;
  reader::Lines lines(text);
  reader::Line line;
  while (sample.lines.size() < most_lines && lines.next(line)) sample.lines.push_back(line);
  find_comments(sample);
  reader::Comments comments(sample.comments, false);
  for (const reader::Line& each : sample.lines) {
    const bool mark = reader::is_mark(each.text);
    sample.code.emplace_back(mark ? std::string_view() : reader::trim(comments.strip(each.text).code));
  }
  return sample;
}

bool words_of_line(std::string_view code, std::vector<SurveyWord>& words) {
  words.clear();
  for (std::size_t at = 0; at < code.size();) {
    if (reader::is_gap(code[at])) {
      ++at;
      continue;
    }
    const char letter = upper(code[at++]);
    if (letter < 'A' || letter > 'Z') return false;
    std::string number;
    while (at < code.size() && (reader::is_gap(code[at]) || is_digit(code[at]) || code[at] == '.' ||
                                code[at] == '+' || code[at] == '-')) {
      if (!reader::is_gap(code[at])) number += code[at];
      ++at;
    }
    auto canonical = canonical_number(number);
    if (!canonical) return false;
    words.push_back({letter, *std::move(canonical), number.find('.') != std::string::npos});
  }
  return !words.empty();
}

std::optional<Units> units_in(const Sample& sample) {
  std::vector<SurveyWord> words;
  std::size_t inch = 0;
  std::size_t mm = 0;
  for (const std::string& line : sample.code) {
    if (!words_of_line(line, words)) continue;
    for (const SurveyWord& word : words) {
      inch += word.letter == 'G' && word.number == "20" ? 1 : 0;
      mm += word.letter == 'G' && word.number == "21" ? 1 : 0;
    }
  }
  if (inch == mm) return std::nullopt;
  return inch > mm ? Units::inch : Units::mm;
}

std::optional<Group> group_in_name(std::string_view name) {
  std::string plain;
  for (const char c : name) plain += lower(c);
  constexpr std::array<std::pair<std::string_view, Group>, 13> parts = {{
      {"prog", Group::programs},
      {"prg", Group::programs},
      {"tool", Group::offsets},
      {"offs", Group::offsets},
      {"ofs", Group::offsets},
      {"work", Group::offsets},
      {"geom", Group::offsets},
      {"wear", Group::offsets},
      {"set", Group::settings},
      {"conf", Group::settings},
      {"var", Group::variables},
      {"par", Group::parameters},
      {"param", Group::parameters},
  }};
  for (const auto& [part, group] : parts) {
    if (plain.find(part) != std::string::npos) return group;
  }
  return std::nullopt;
}

std::string toml_quoted(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += static_cast<unsigned char>(c) < 0x20 || c == 0x7f ? ' ' : c;
  }
  return out + '"';
}

std::string key_line(std::string_view key, const std::string& value, const std::string& why) {
  std::string line = fmt::format("{:<8} = {}", key, value);
  if (!why.empty()) line = fmt::format("{:<41} # {}", line, why);
  return line + "\n";
}

std::string comment_line(const std::vector<std::string>& openers) {
  if (openers.empty()) return "";
  std::vector<std::string> texts;
  texts.reserve(openers.size());
  for (const std::string& opener : openers) texts.push_back(toml_quoted(opener));
  return key_line("comment", fmt::format("[{}]", fmt::join(texts, ", ")),
                  "openers; \"(\" closes with \")\", others run to the line's end");
}

void IncrementGuess::see(std::string_view number) {
  constexpr std::size_t large_digits = 4;
  ++values_;
  pointed_ += number.find('.') == std::string_view::npos ? 0 : 1;
  large_ +=
      static_cast<std::size_t>(std::count_if(number.begin(), number.end(), is_digit)) >= large_digits ? 1 : 0;
}

std::string IncrementGuess::line(Group group, std::vector<std::string>& guesses) const {
  if (group != Group::offsets || values_ == 0 || pointed_ > 0 || large_ * 4 < values_) return "";
  guesses.emplace_back(
      "that numbers without a point count in 0.0001 inch or 0.001 mm: see the control's manual");
  return key_line("least_increment", "{ inch = \"0.0001\", mm = \"0.001\" }",
                  "a guess: see the control's manual");
}

}  // namespace keepway::layout
