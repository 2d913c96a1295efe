// Proposals for the families that need no columns or letters: sections and programs.
#include <algorithm>
#include <set>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

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

// How a program's number is written where that is neither O nor a colon: "%P12", "PROG 7". Only what is a
// line of its own, and more than a word.
std::set<std::string> number_forms(const Sample& sample) {
  constexpr std::size_t longest = 8;
  std::set<std::string> found;
  for (const std::string& code : sample.code) {
    const std::size_t digit = code.find_first_of("0123456789");
    if (digit == std::string::npos || digit == 0 || !all_digits(reader::trim(code.substr(digit)))) continue;
    const std::string form = upper(reader::trim(code.substr(0, digit)));
    const bool open = form.size() > 1 && (form.back() == ':' || form.back() == '=');  // "PROGRAM: 12"
    const bool letters = std::all_of(form.begin() + 1, form.end() - (open ? 1 : 0), is_letter);
    const bool named = form.size() > 1 && is_letter(form.front()) && form.front() != 'N';
    if (letters && form.size() <= longest && (form.front() == '%' || named)) found.insert(form);
  }
  return found;
}

}  // namespace

Candidates propose_sections(const Sample& sample) {
  const std::size_t headings = count(sample, is_heading);
  const std::size_t settings = count(sample, is_setting);
  if (settings == 0 || (headings + settings) * 5 < sample.code_lines() * 4) return {};
  Candidate made;
  made.reader = ReaderKind::sections;
  made.group = group_of(sample, Group::settings, made.guesses);
  made.keys = skip_line(sample, true) + comment_line(sample.openers);
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
  const std::string guard =
      "# protected = [\"700-799\"]                  # programs that are hidden while their guard is on\n";
  std::string numbers;
  if (const std::set<std::string> forms = number_forms(sample); !forms.empty() && forms.size() < 4) {
    std::vector<std::string> list(forms.begin(), forms.end());
    list.insert(list.end(), {"O", ":", "name"});
    numbers = key_line("numbered_by", toml_list(list), "what is before a program's number");
    if (forms.begin()->starts_with('%')) numbers += key_line("percent", toml_quoted("heading"));
  }
  made.keys = numbers + guard;
  Candidates all = {made};
  // Text within a program is a part of it: only what is above the first and what a page has is none.
  Sample outside = sample;
  outside.skip.clear();
  bool begun = false;
  for (std::size_t i = 0; i < sample.lines.size(); ++i) {
    begun = begun || !sample.code[i].empty();
    const std::string_view line = sample.lines[i].text;
    const bool certain = is_rule(line) || is_page_line(line) || !begun;
    if (sample.roles[i] != LineRole::skip || !certain) continue;
    const std::string pattern = pattern_of_line(line);
    if (!pattern.empty() &&
        std::find(outside.skip.begin(), outside.skip.end(), pattern) == outside.skip.end())
      outside.skip.push_back(pattern);
  }
  if (const std::string skip = skip_line(outside, true); !skip.empty()) {
    made.keys = skip + made.keys;
    all.push_back(made);
  }
  return all;
}

}  // namespace keepway::layout
