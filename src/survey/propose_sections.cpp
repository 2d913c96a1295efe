// Proposals for the families that need no columns or letters: sections and programs.
#include <algorithm>
#include <array>
#include <set>

#include "base/digit.hpp"
#include "base/encoding.hpp"
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

// How a program's number is written where that is neither O nor a colon: "%P" of "%P12", "PROG" of "PROG 7".
// Only of what is a line of its own, and more than a word; else empty. A word for programs may have a name
// behind its number: "PROGRAM 12 FLANGE".
std::string number_form(std::string_view line) {
  constexpr std::size_t longest = 9;
  const std::size_t digit = line.find_first_of("0123456789");
  if (digit == std::string_view::npos || digit == 0 || says_end(line))  // "END 12"
    return {};
  const std::string_view number = line.substr(digit, line.find(' ', digit) - digit);
  const bool alone = all_digits(reader::trim(line.substr(digit)));
  const bool with_name =
      all_digits(number) && lower(line).starts_with("prog") && !has_digit(line.substr(digit + number.size()));
  if (!alone && !with_name) return {};
  const std::string form = upper(reader::trim(line.substr(0, digit)));
  constexpr auto flow = std::to_array<std::string_view>({"END", "DO", "GOTO", "CALL", "STOP", "TOOL", "ELSE",
                                                         "LABEL", "LOOP", "REPEAT", "IF", "WHILE", "WAIT"});
  if (std::find(flow.begin(), flow.end(), form) != flow.end()) return {};
  const bool open = form.size() > 1 && (form.back() == ':' || form.back() == '=');  // "PROGRAM: 12"
  const bool letters = std::all_of(form.begin() + 1, form.end() - (open ? 1 : 0), is_letter);
  const bool named = form.size() > 1 && is_letter(form.front()) && form.front() != 'N';
  return letters && form.size() <= longest && (form.front() == '%' || named) ? form : std::string();
}

// The same of a line that was taken for a heading, as those are that come again.
std::string number_form_of_heading(const Sample& sample, std::size_t line) {
  if (sample.roles[line] == LineRole::data) return {};
  const std::string form = number_form(reader::trim(sample.lines[line].text));
  return form.starts_with('%') || group_in_name(form) == Group::programs ? form : std::string();
}

std::set<std::string> number_forms(const Sample& sample) {
  std::set<std::string> found;
  for (std::size_t i = 0; i < sample.code.size(); ++i) {
    std::string form =
        sample.code[i].empty() ? number_form_of_heading(sample, i) : number_form(sample.code[i]);
    if (!form.empty()) found.insert(std::move(form));
  }
  return found;
}

// "PROGRAM 12 ; FLANGE", "G0 X1 ; APPROACH": text behind a semicolon, which ends a block elsewhere.
bool has_remarks_behind(const Sample& sample) {
  return std::any_of(sample.lines.begin(), sample.lines.end(), [](const reader::Line& line) {
    const std::string_view text = reader::trim(line.text);
    const std::size_t at = text.find(';');
    return at != std::string_view::npos && at > 0 && reader::trim(text.substr(at + 1)).size() > 1;
  });
}

// The end of a program: M2, M30 or M99 in it.
bool ends_program(std::string_view code) {
  std::vector<SurveyWord> words;
  return words_of_line(code, words) && std::any_of(words.begin(), words.end(), is_program_end);
}

// "L" where each program begins with a line such as `L01`: the first line, and those behind an end.
std::optional<std::string> number_letter(const Sample& sample) {
  constexpr std::string_view of_blocks = "NGMTSFXYZ";
  std::set<char> letters;
  std::size_t programs = 0;
  bool begins = true;
  std::vector<SurveyWord> words;
  for (const std::string& code : sample.code) {
    if (code.empty()) continue;
    if (!words_of_line(code, words)) break;  // what comes behind the programs
    const bool alone = words.size() == 1 && !words[0].pointed;
    if (begins && programs > 0 && !alone) break;
    if (begins) {
      if (!alone || of_blocks.find(words[0].letter) != std::string_view::npos) return std::nullopt;
      letters.insert(words[0].letter);
      ++programs;
    }
    begins = std::any_of(words.begin(), words.end(), is_program_end);
  }
  return programs > 1 && letters.size() == 1 ? std::optional(std::string(1, *letters.begin())) : std::nullopt;
}

// "*** PROGRAM 100 FLANGE ***", with signs on both sides; empty for a line without them.
std::string framed_shape(std::string_view line) {
  constexpr std::string_view signs = "=-*+~<># ";
  if (!begins_as_rule(line) || is_rule(line)) return {};
  const std::size_t begin = line.find_first_not_of(signs);
  const std::size_t end = line.find_last_not_of(signs) + 1;
  const std::string_view inside = line.substr(begin, end - begin);
  const std::string_view word = inside.substr(0, inside.find(' '));
  const bool says =
      word.size() < inside.size() && group_in_name(word) == Group::programs && !says_end(inside);
  return std::string(line.substr(0, begin)) + (says ? std::string(word) + " " : std::string()) + "{name}" +
         std::string(line.substr(end));
}

// "$PROGRAM 11", "/PROGRAM 12": a sign, the word and the name; empty for a line without them.
std::string signed_shape(std::string_view line) {
  constexpr std::string_view signs = "$/*#&!";
  if (line.size() < 2 || signs.find(line.front()) == std::string_view::npos || !names_program(line))
    return {};
  const std::size_t blank = line.find(' ');
  return blank == std::string_view::npos ? std::string() : std::string(line.substr(0, blank)) + " {name}";
}

bool is_signed_foot(std::string_view line) {
  constexpr std::string_view signs = "$/*#";
  return !line.empty() && signs.find(line.front()) != std::string_view::npos &&
         (says_end(line) || says_sum(line));
}

// What a line looks like that may name the program it begins; empty where it is a block of one.
std::string name_shape(std::string_view line) {
  constexpr std::string_view brackets = "()<>[]";
  constexpr std::size_t longest_name = 40;
  if (line.size() > longest_name || line.size() < 2) return {};
  if (std::string framed = framed_shape(line); !framed.empty()) return framed;
  if (std::string with_sign = signed_shape(line); !with_sign.empty()) return with_sign;
  const std::size_t open = brackets.find(line.front());
  if (open != std::string_view::npos && open % 2 == 0 && line.back() == brackets[open + 1])
    return std::string(1, line.front()) + "{name}" + std::string(1, line.back());
  std::vector<SurveyWord> words;
  const bool name = is_alpha(line[0]) && line.find_first_of("(=;") == std::string_view::npos;
  return name && line.size() > 2 && !words_of_line(line, words) ? "{name}" : "";
}

// Where no program has a number: the lines that begin them, all of one shape, and what they are.
struct Beginnings {
  std::size_t programs = 0;
  std::string shape;  // empty: they are not alike
  std::set<std::string> names;
  std::vector<std::string> skip;  // patterns of lines above the first mark, and of feet
};

Beginnings beginnings(const Sample& sample) {
  Beginnings found;
  bool begins = true;
  bool first = true;
  const auto marks = std::count_if(sample.lines.begin(), sample.lines.end(),
                                   [](const reader::Line& line) { return reader::is_mark(line.text); });
  bool above = marks > 1;
  for (std::size_t i = 0; i < sample.lines.size(); ++i) {
    const std::string_view line = reader::trim(sample.lines[i].text);
    if (reader::is_mark(line)) {
      begins = true;
      above = false;
      continue;
    }
    if (line.empty()) continue;
    if (above) {
      if (const std::string pattern = pattern_of_line(line); !pattern.empty())
        found.skip.push_back(readable(pattern, sample.encoding));
      continue;
    }
    // "$SUM 2F72" and "$END", as a stream closes each of its parts.
    if (is_signed_foot(line)) {
      const std::string pattern = readable(pattern_of_line(line), sample.encoding);
      if (!pattern.empty() && std::find(found.skip.begin(), found.skip.end(), pattern) == found.skip.end())
        found.skip.push_back(pattern);
      continue;
    }
    if (begins && !(found.programs > 0 && (says_end(line) || says_sum(line)))) {  // "END 12" behind M30
      const std::string shape = name_shape(line);
      if (first) found.shape = shape;
      if (shape != found.shape) found.shape.clear();
      found.names.insert(std::string(line));
      ++found.programs;
      begins = first = false;
    }
    begins = begins || ends_program(sample.code[i]);
  }
  return found;
}

// "PROGRAM " of "PROGRAM PLATE" and "PROGRAM RING", "PROG NO. " of "PROG NO. 12": the words that all begin
// with, which are no part of the names. "BEGIN " of "BEGIN 12 PLATE", too.
std::string common_word(const std::set<std::string>& names) {
  const std::string& first = *names.begin();
  const std::string& last = *names.rbegin();
  const auto same = static_cast<std::size_t>(
      std::mismatch(first.begin(), first.end(), last.begin(), last.end()).first - first.begin());
  const std::string words = first.substr(0, same == 0 ? 0 : first.rfind(' ', same - 1) + 1);  // npos + 1 is 0
  const bool all = std::all_of(names.begin(), names.end(), [&](const std::string& name) {
    return name.size() > words.size() && (name.find(' ', words.size()) == std::string::npos ||
                                          (!words.empty() && is_digit(name[words.size()])));
  });
  return names.size() > 1 && all ? words : "";
}

// Programs that a line of text names, and those that nothing names: the file is one then.
Candidates without_numbers(const Sample& sample, const Candidate& usual) {
  const Beginnings found = beginnings(sample);
  // A remark at the top of the one program that a file has is no name.
  const bool named = !found.shape.empty() && found.names.size() == found.programs &&
                     (found.programs > 1 || found.shape.front() == '<');
  Candidate made = usual;
  if (named) {
    const std::string word = found.shape == "{name}" ? common_word(found.names) : "";
    made.keys = key_line("named_by", toml_quoted(Encoding(sample.encoding).to_utf8(word) + found.shape),
                         "the line that names a program") +
                made.keys;
    if (!found.skip.empty())
      made.keys = key_line("skip", toml_list(found.skip), "lines that are no data") + made.keys;
    made.guesses.push_back({"that such a line begins a program, and names it", "named_by"});
    return {made};
  }
  if (found.programs < 2) return {};
  made.keys = key_line("program", toml_quoted("file"), "the whole file is one program") +
              key_line("percent", toml_quoted("none")) + made.keys;
  made.guesses.push_back({"that the file is one program: nothing in it names several", "program"});
  return {made};
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
  std::vector<std::string> values;
  bool quoted = false;
  for (const std::string& code : sample.code) {
    if (!is_setting(code)) continue;
    values.emplace_back(reader::trim(std::string_view(code).substr(code.find('=') + 1)));
    quoted = quoted || is_quoted(values.back()) ||
             is_quoted(reader::trim(std::string_view(code).substr(0, code.find('='))));
  }
  if (quoted) made.keys += key_line("quoted", "true", "the quotes are no part of a key or value");
  made.keys += value_fields(values);
  made.keys += headings > 0 ? "# Key: the [part] and what is before =, as in settings/part/key.\n"
                            : "# Key: what is before =.\n";
  return {made};
}

Candidates propose_blocks(const Sample& sample) {
  const ProgramSigns found = signs(sample);
  if (found.tables * 2 > found.words) return {};
  if (found.motion == 0 && found.misc == 0 && found.numbers == 0 && !are_positions(sample)) return {};
  if (found.numbers > 1 && found.numbers * 5 > sample.code_lines() * 4 && found.motion + found.misc == 0)
    return {};  // a directory: programs' names and nothing in them
  Candidate made;
  made.reader = ReaderKind::blocks;
  made.group = Group::programs;
  const std::string hidden =
      "# protected = [\"700-799\"]                  # programs that are hidden while their lock is on\n";
  std::string numbers;
  std::set<std::string> forms = number_forms(sample);
  if (const auto letter = number_letter(sample); found.numbers == 0 && letter) forms = {*letter};
  if (!forms.empty() && forms.size() < 4) {
    std::vector<std::string> list(forms.begin(), forms.end());
    list.insert(list.end(), {"O", ":", "name"});
    numbers = key_line("numbered_by", toml_list(list), "what is before a program's number");
    if (forms.begin()->starts_with('%')) numbers += key_line("percent", toml_quoted("heading"));
  }
  std::vector<std::string> remarks;  // but for (, which every reader of blocks knows
  const auto& comments = sample.comments;
  const bool beside = std::find(comments.begin(), comments.end(), ";") != comments.end();
  if (beside && std::find(sample.openers.begin(), sample.openers.end(), ";") == sample.openers.end() &&
      has_remarks_behind(sample))
    remarks.emplace_back(";");
  for (const std::string& opener : sample.openers) {
    if (opener == ";" || opener == "!" || opener == "//" || opener == "'" || opener == "*" ||
        opener.starts_with("***"))
      remarks.push_back(opener);
  }
  made.keys = numbers + comment_line(remarks) + hidden;
  Candidates all;
  if (found.numbers == 0 && numbers.empty()) all = without_numbers(sample, made);
  all.push_back(made);
  // Text within a program is a part of it: only what is above the first and what a page has is none.
  Sample outside = sample;
  outside.skip.clear();
  bool begun = false;
  const auto last = std::find_if(sample.code.rbegin(), sample.code.rend(),
                                 [](const std::string& code) { return !code.empty(); });
  const auto foot = static_cast<std::size_t>(sample.code.rend() - last);  // where no code is any more
  for (std::size_t i = 0; i < sample.lines.size(); ++i) {
    begun = begun || !sample.code[i].empty();
    const std::string_view line = sample.lines[i].text;
    const bool end = is_signed_foot(line) ||
                     (says_end(reader::trim(line)) && (i >= foot || group_in_name(line) == Group::programs));
    const bool certain = is_rule(line) || begins_as_rule(line) || is_page_line(line) || !begun || end;
    if (!number_form_of_heading(sample, i).empty()) outside.roles[i] = LineRole::data;
    if (outside.roles[i] != LineRole::skip || !certain) continue;
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
