// Proposals for the families that need no columns or letters: assignments, sections, programs.
#include <algorithm>

#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

bool is_assignment(std::string_view line) {
  std::size_t at = 0;
  if (!line.empty() && (line[0] == 'N' || line[0] == 'n')) {
    at = std::min(line.find_first_not_of("0123456789 \t", 1), line.size());
  }
  return at < line.size() && line[at] == '#' && line.find('=', at) != std::string_view::npos;
}

bool is_heading(std::string_view line) {
  return line.size() > 2 && line.front() == '[' && line.back() == ']';
}

bool is_setting(std::string_view line) {
  const std::size_t equals = line.find('=');
  return equals != std::string_view::npos && equals > 0 && line.front() != '#' && line.front() != '[';
}

template <class Is>
std::size_t count(const Sample& sample, const Is& is) {
  return static_cast<std::size_t>(std::count_if(sample.code.begin(), sample.code.end(), is));
}

Group group_or(const Sample& sample, Group otherwise, std::vector<std::string>& guesses) {
  const auto named = group_in_name(sample.name);
  if (named && *named != Group::programs) return *named;
  guesses.push_back("the group, " + std::string(group_name(otherwise)) + ": the file's name does not say it");
  return otherwise;
}

// How much of a program the sample has in it.
struct ProgramSigns {
  std::size_t words = 0;    // lines that are words alone
  std::size_t motion = 0;   // lines with G0 to G3, or a cycle
  std::size_t misc = 0;     // lines with an M word
  std::size_t tables = 0;   // lines with G10
  std::size_t numbers = 0;  // lines that begin with O or : and a number
};

ProgramSigns signs(const Sample& sample) {
  ProgramSigns found;
  std::vector<SurveyWord> words;
  for (const std::string& line : sample.code) {
    if (line.empty()) continue;
    const bool number = line.size() > 1 && (line[0] == 'O' || line[0] == 'o' || line[0] == ':') &&
                        line[1] >= '0' && line[1] <= '9';
    found.numbers += number ? 1 : 0;
    if (!words_of_line(line, words)) continue;
    ++found.words;
    bool motion = false;
    bool misc = false;
    bool table = false;
    for (const SurveyWord& word : words) {
      const bool cycle = word.number.size() == 2 && (word.number[0] == '8' || word.number[0] == '7');
      motion =
          motion || (word.letter == 'G' && (cycle || word.number == "0" || word.number == "1" ||
                                            word.number == "2" || word.number == "3" || word.number == "28"));
      misc = misc || word.letter == 'M';
      table = table || (word.letter == 'G' && word.number == "10");
    }
    found.motion += motion ? 1 : 0;
    found.misc += misc ? 1 : 0;
    found.tables += table ? 1 : 0;
  }
  return found;
}

}  // namespace

Candidates propose_assign(const Sample& sample) {
  const std::size_t rows = count(sample, is_assignment);
  if (rows * 2 < sample.code_lines() || rows == 0) return {};
  if (signs(sample).motion > 0) return {};  // a program with settings in it
  Candidate made;
  made.reader = ReaderKind::assign;
  made.group = group_or(sample, Group::variables, made.guesses);
  made.keys = comment_line(sample.comments);
  made.keys += "# Key: what is between # and =; the value is the item's own.\n";
  return {made};
}

Candidates propose_sections(const Sample& sample) {
  const std::size_t headings = count(sample, is_heading);
  const std::size_t settings = count(sample, is_setting);
  if (settings == 0 || (headings + settings) * 5 < sample.code_lines() * 4) return {};
  Candidate made;
  made.reader = ReaderKind::sections;
  made.group = group_or(sample, Group::settings, made.guesses);
  made.keys = comment_line(sample.openers);
  made.keys += headings > 0 ? "# Key: the [part] and what is before =, as in settings/part/key.\n"
                            : "# Key: what is before =.\n";
  return {made};
}

Candidates propose_blocks(const Sample& sample) {
  const ProgramSigns found = signs(sample);
  if (found.tables * 2 > found.words) return {};
  if (found.motion == 0 && found.misc == 0 && found.numbers == 0) return {};
  Candidate made;
  made.reader = ReaderKind::blocks;
  made.group = Group::programs;
  made.keys =
      "# protected = [\"700-799\"]                  # programs that are hidden while their guard is on\n";
  return {made};
}

}  // namespace keepway::layout
