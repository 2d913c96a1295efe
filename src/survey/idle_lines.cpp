// Lines that a proposal leaves unread and that are no data: where a part ends, what it sums to, and G words
// alone among rows of words.
#include <algorithm>
#include <array>

#include "base/encoding.hpp"
#include "keepway/text.hpp"
#include "reader/serial_line.hpp"
#include "reader/text.hpp"
#include "survey/try_proposals.hpp"

namespace keepway::layout {
namespace {

bool is_foot(std::string_view line) {
  return says_sum(line) || (says_end(line) && !has_value(line));
}

// "SCREEN 2   S/N GL-205   F1=HELP", "PAGE 3": what the machine is, or which page.
bool is_of_page(std::string_view line) {
  return !reader::serial_in_line(line).empty() || (is_page_line(line) && !has_value(line));
}

// Whether a line of a program and all below it are such: an END within a program is a part of it.
bool ends_in_feet(std::string_view text) {
  while (!text.empty()) {
    const std::size_t end = std::min(text.find_first_of("\r\n"), text.size());
    const std::string_view line = reader::trim(text.substr(0, end));
    if (!line.empty() && !reader::is_mark(line) && !is_foot(line)) return false;
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return true;
}

// "G20 G90", "M30": what the rows are read with, and no value.
bool are_commands(std::string_view line) {
  std::vector<SurveyWord> words;
  return words_of_line(line, words) && std::all_of(words.begin(), words.end(), [](const SurveyWord& word) {
           return word.letter == 'G' || word.letter == 'M';
         });
}

}  // namespace

bool says_sum(std::string_view line) {
  constexpr auto words = std::to_array<std::string_view>({"checksum", "sum", "crc", "pruefsumme", "lrc"});
  line.remove_prefix(std::min(line.find_first_not_of("$#%*=-:;<["), line.size()));
  const auto end = static_cast<std::size_t>(
      std::find_if_not(line.begin(), line.end(), [](char c) { return is_alpha(c); }) - line.begin());
  return std::find(words.begin(), words.end(), lower(line.substr(0, end))) != words.end();
}

std::vector<std::string> idle_lines(const Reading& reading, std::size_t source, ReaderKind reader,
                                    const std::vector<OriginalView>& files) {
  constexpr std::size_t most = 8;
  std::vector<std::string> found;
  const auto add = [&](const std::string& pattern) {
    if (!pattern.empty() && found.size() < most && is_ascii(pattern) &&
        std::find(found.begin(), found.end(), pattern) == found.end())
      found.push_back(pattern);
  };
  for (const Origin& origin : reading.origins) {
    if (origin.source != source || !is_unread(origin.key)) continue;
    const std::string_view line =
        reader::trim(files[origin.span.file].bytes.substr(origin.span.at, origin.span.length));
    if (is_foot(line) || is_of_page(line)) add(pattern_of_line(line));
    if (reader == ReaderKind::words && are_commands(line)) add(std::string(line));
  }
  for (const ProgramFacts& program : reading.programs) {
    if (program.source != source) continue;
    const std::string_view bytes = files[program.span.file].bytes;
    for (const Span& span : program.unread_spans) {
      const std::string_view line = reader::trim(bytes.substr(span.at, span.length));
      const std::size_t end = program.span.at + program.span.length;
      if (is_foot(line) && span.at <= end && ends_in_feet(bytes.substr(span.at, end - span.at)))
        add(pattern_of_line(line));
    }
  }
  return found;
}

}  // namespace keepway::layout
