// Files that are one program each in a control's own words: the first line says so, and the last one ends it.
#include <algorithm>
#include <array>

#include "keepway/text.hpp"
#include "reader/serial_line.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

// The next word of letters alone, in small letters and ASCII; what is in front of it is passed over.
std::string next_word(std::string_view& line) {
  constexpr std::string_view before = " \t*%$#=-<[(";
  line.remove_prefix(std::min(line.find_first_not_of(before), line.size()));
  const auto end = static_cast<std::size_t>(
      std::find_if_not(line.begin(), line.end(), [](char c) { return is_alpha(c); }) - line.begin());
  std::string word = lower(line.substr(0, end));
  line.remove_prefix(end);
  return word;
}

bool is_program_word(std::string_view word) {
  constexpr auto words = std::to_array<std::string_view>(
      {"program", "programm", "programma", "programme", "programa", "prog", "prg", "pgm", "ohjelma"});
  return std::find(words.begin(), words.end(), word) != words.end();
}

// "END PROGRAM", "ENDPROGRAM", "FIN".
bool ends_text(std::string_view line) {
  return says_end(line) || next_word(line).starts_with("end");
}

// "VEGE PROGRAM", in a language that is not known here.
bool ends_in_own_words(std::string_view last) {
  (void)next_word(last);
  return is_program_word(next_word(last));
}

// "PART 12" above and "END PART" below.
bool is_framed_part(std::string_view first, std::string_view last) {
  constexpr auto words = std::to_array<std::string_view>({"part", "piece", "job", "cycle", "workpiece"});
  const std::string word = next_word(first);
  if (std::find(words.begin(), words.end(), word) == words.end() || !has_digit(first) || !says_end(last))
    return false;
  (void)next_word(last);
  return next_word(last) == word;
}

// 06:55, 06:55:12.
bool is_clock_time(std::string_view text) {
  return text.size() > 3 && std::count(text.begin(), text.end(), ':') > 0 &&
         text.find_first_not_of("0123456789:.") == std::string_view::npos;
}

}  // namespace

bool names_program(std::string_view line, std::string_view file) {
  for (int i = 0; i < 2; ++i) {  // "BEGIN PROGRAM 12", too
    const std::string word = next_word(line);
    if (word.empty()) return false;
    if (!is_program_word(word)) continue;
    std::string_view name = reader::trim(line);
    if (name.starts_with(':')) name = reader::trim(name.substr(1));
    const std::string one = lower(name.substr(0, name.find(' ')));
    // "PROGRAM COUNTERS" is above a table: a name has a number, or is the file's.
    return !one.empty() && name.find('=') == std::string_view::npos &&
           (has_digit(one) || (reader::has_word(file, one) && !group_in_name(one)));
  }
  return false;
}

std::optional<Candidate> conversational(const Sample& sample) {
  std::size_t programs = 0;
  std::size_t blocks = 0;
  std::string_view first;
  std::string_view last;
  std::vector<SurveyWord> words;
  for (const reader::Line& each : sample.lines) {
    const std::string_view line = reader::trim(each.text);
    if (line.empty() || reader::is_mark(line)) continue;
    if (first.empty()) first = line;
    last = line;
    programs += names_program(line, sample.name) && !ends_text(line) ? 1U : 0U;
    blocks += words_of_line(line, words) ? 1U : 0U;
  }
  const bool one =
      names_program(first, sample.name) && programs == 1 && (ends_text(last) || ends_in_own_words(last));
  if (!one && !is_framed_part(first, last)) return std::nullopt;
  if (blocks * 2 > sample.code_lines()) return std::nullopt;  // which readers of blocks name better
  Candidate made;
  made.reader = ReaderKind::blocks;
  made.group = Group::programs;
  made.keys = key_line("program", toml_quoted("file"), "the whole file is one program") +
              key_line("percent", toml_quoted("none"));
  made.guesses.push_back({"that the file is one program: its first line says so", "program"});
  return made;
}

bool is_note(const Sample& sample) {
  constexpr std::size_t fewest_words = 8;
  constexpr std::size_t longest_note = 200;
  std::size_t words = 0;
  std::size_t plain = 0;
  std::size_t sentences = 0;
  std::size_t lines = 0;
  std::size_t numbered = 0;  // as messages are, which are the builder's
  for (const reader::Line& each : sample.lines) {
    std::string_view left = reader::trim(each.text);
    if (left.empty()) continue;
    ++lines;
    numbered += has_digit(left.substr(0, left.find(' '))) ? 1U : 0U;
    if (left.find('=') != std::string_view::npos || left.find("  ") != std::string_view::npos ||
        left.find_first_of("\t;|") != std::string_view::npos || reader::is_mark(left))
      return false;
    while (!left.empty()) {
      const std::string_view token = left.substr(0, left.find_first_of(" \t"));
      left = reader::trim(left.substr(token.size()));
      const bool ends = std::string_view(".!?").find(token.back()) != std::string_view::npos;
      const std::string_view word = token.substr(0, token.find_last_not_of(".,:!?)\"'") + 1);
      ++words;
      plain += !word.empty() &&
                       std::all_of(word.begin(), word.end(), [](char c) { return is_alpha(c) || c == '-'; })
                   ? 1U
                   : 0U;
      sentences += ends && word.size() > 1 && !is_digit(word.back()) ? 1U : 0U;
    }
  }
  return words >= fewest_words && lines <= longest_note && plain * 4 >= words * 3 && sentences > 1 &&
         numbered * 3 < lines;
}

bool is_log(const Sample& sample) {
  constexpr std::size_t fewest = 5;
  std::size_t lines = 0;
  std::size_t dated = 0;
  for (const std::string& code : sample.code) {
    const std::string_view text = reader::trim(code);
    if (text.empty()) continue;
    ++lines;
    const std::size_t end = std::min(text.find_first_of(" \t,;"), text.size());
    const std::string_view rest = reader::trim(text.substr(end));
    const std::string_view second = rest.substr(0, rest.find_first_of(" \t,;"));
    const std::string_view said = reader::trim(rest.substr(second.size()));
    const bool words = std::any_of(said.begin(), said.end(), is_alpha);  // and no values with their times
    dated += words && is_date_or_time(text.substr(0, end)) && is_clock_time(second) ? 1U : 0U;
  }
  return dated >= fewest && dated * 10 >= lines * 8;
}

}  // namespace keepway::layout
