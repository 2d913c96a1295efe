// What a sample looks like before any reader is tried: lines, comments, words, units, its name.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>

#include "base/digit.hpp"
#include "keepway/decimal.hpp"
#include "keepway/text.hpp"
#include "reader/comments.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

constexpr std::size_t most_lines = 20'000;

// "(" pairs with ")"; others run to the line's end. `#` opens a comment only where no number or name in
// brackets follows it, as in an assignment.
bool opens(std::string_view text, std::string_view opener) {
  if (!text.starts_with(opener)) return false;
  const std::string_view rest = reader::trim(text.substr(opener.size()));
  if (opener == "#") return rest.empty() || (!is_digit(rest.front()) && rest.front() != '<');
  if (opener == "(")
    return rest.empty() || !is_digit(rest.front()) || rest.find_first_of(" )") == std::string_view::npos ||
           !canonical_number(rest.substr(0, rest.find_first_of(" )")));
  if (opener == "*" || opener == "'" || opener == "!") return rest.empty() || !is_digit(rest.front());
  return true;
}

// Nearly all lines have semicolons, and not in front: they part columns. Where lines of comment begin with
// one, it must be clear that what is behind it is no comment: a number, or cells of the same number.
bool parted_by_semicolons(const Sample& sample) {
  std::size_t lines = 0;
  std::size_t parted = 0;
  std::size_t open = 0;  // `R12;`: nothing behind it, as at the end of a block, or in a row without a value
  std::size_t numbers = 0;
  std::size_t remarks = 0;
  std::size_t behind = 0;  // `12: 4000   ; FEED`: a remark behind a row
  std::map<std::ptrdiff_t, std::size_t> counts;
  for (const reader::Line& line : sample.lines) {
    const std::string_view text = reader::trim(line.text);
    if (text.empty()) continue;
    if (text.front() == ';') {
      ++remarks;
      continue;
    }
    if (text.find_first_of("#('!*/") == 0) continue;  // a comment of another kind
    ++lines;
    const std::size_t last = text.find_last_of(';');
    if (text.find(';') == text.size() - 1) ++open;
    if (text.find(';') >= text.size() - 1) continue;
    ++parted;
    const std::string_view said = reader::trim(text.substr(last + 1));
    behind += text.find(';') == last && reader::is_gap(text[last - 1]) && reader::is_gap(text[last + 1]) &&
                      is_alpha(said.front())
                  ? 1U
                  : 0U;
    numbers += canonical_number(reader::trim(text.substr(last + 1))) ? 1U : 0U;
    ++counts[std::count(text.begin(), text.end(), ';')];
  }
  if (parted * 3 >= open) parted += open;
  if (behind * 2 > parted) return false;
  const bool cells = counts.size() == 1 && counts.begin()->first > 1;
  const bool most = parted * 10 > lines * 7 || (cells && parted * 2 > lines);
  return most && (remarks == 0 || cells || numbers * 2 > parted);
}

// `T1 (12) 120.5`: what is in brackets is a value.
bool has_number_in_brackets(std::string_view text, std::size_t open, std::size_t close) {
  return canonical_number(reader::trim(text.substr(open + 1, close - open - 1))).has_value();
}

// `COOLANT DELAY (S) .... 1.5`, `12 (COOLANT) = ON`: a part of a name, with the value behind it.
bool is_inside_name(std::string_view text, std::size_t open, std::size_t close) {
  const std::string_view behind = reader::trim(text.substr(close + 1));
  const std::string_view last = behind.substr(behind.find_last_of(" \t.:=") + 1);  // npos + 1 is 0
  const bool led = behind.starts_with('=') || behind.starts_with(':');
  if (led && canonical_number(reader::trim(text.substr(0, open)))) return true;
  std::size_t letters = 0;
  std::size_t most = 0;
  for (const char c : text.substr(0, open)) {
    letters = is_alpha(c) ? letters + 1 : 0;
    most = std::max(most, letters);
  }
  return most > 1 && !behind.empty() && !last.empty();
}

// "* VARIABLES *": headings, where there are several.
bool has_framed_headings(const Sample& sample) {
  return std::count_if(sample.lines.begin(), sample.lines.end(), [](const reader::Line& line) {
           const std::string_view text = reader::trim(line.text);
           return !is_rule(text) && text.size() > 2 && text.front() == '*' && text.back() == '*';
         }) > 1;
}

// "********": what opens the rules of stars, which no pattern can name, as a star there is any text. Empty
// where there are none, or other lines have it, too.
std::string opener_of_rules(const Sample& sample) {
  constexpr std::size_t longest = 8;  // of an opener
  std::size_t stars = longest;
  bool any = false;
  const auto is_of_stars = [](std::string_view text) {
    return is_rule(text) && text.find_first_not_of('*') == std::string_view::npos;
  };
  for (const reader::Line& line : sample.lines) {
    const std::string_view text = reader::trim(line.text);
    if (!is_of_stars(text)) continue;
    any = true;
    stars = std::min(stars, text.size());
  }
  const std::string opener(stars, '*');
  const bool elsewhere = std::any_of(sample.lines.begin(), sample.lines.end(), [&](const reader::Line& line) {
    return line.text.find(opener) != std::string_view::npos && !is_of_stars(reader::trim(line.text));
  });
  return any && !elsewhere ? opener : std::string();
}

// `P12:0.25*`, `N10G0X1.*`: nearly all lines end with a star, and have no other, so that what it begins is an
// empty remark.
bool ends_lines(const Sample& sample, char sign) {
  std::size_t lines = 0;
  std::size_t ended = 0;
  for (const reader::Line& line : sample.lines) {
    const std::string_view text = reader::trim(line.text);
    if (text.empty() || reader::is_mark(text) || is_rule(text)) continue;
    ++lines;
    const std::size_t at = text.find(sign);
    if (at == std::string_view::npos) continue;
    if (at == 0 || at + 1 < text.size()) return false;
    ++ended;
  }
  return ended > 1 && ended * 10 >= lines * 9;
}

void find_comments(Sample& sample) {
  constexpr std::array<std::string_view, 7> at_front = {";", "(", "//", "#", "'", "!", "*"};
  std::array<std::size_t, at_front.size()> seen{};
  std::size_t inside = 0;  // brackets within names
  std::size_t remarks = 0;
  bool semicolon = false;
  const bool framed = has_framed_headings(sample);
  for (const reader::Line& line : sample.lines) {
    const std::string_view text = reader::trim(line.text);
    if (is_rule(text) || text.starts_with("***")) continue;
    if (framed && text.starts_with('*') && text.ends_with('*')) continue;
    for (std::size_t i = 0; i < at_front.size(); ++i) {
      if (!opens(text, at_front[i])) continue;
      ++seen[i];
      break;
    }
    const std::size_t open = text.find('(');
    const std::size_t close = open == std::string_view::npos ? open : text.find(')', open);
    if (close != std::string_view::npos && !has_number_in_brackets(text, open, close))
      ++(is_inside_name(text, open, close) ? inside : remarks);
    semicolon = semicolon || text.find(';') != std::string_view::npos;
  }
  const bool bracket = remarks > 0 || (inside > 0 && inside * 10 < sample.lines.size());
  const bool parted = parted_by_semicolons(sample);
  if (parted && seen[0] > 0) sample.skip.emplace_back(";*");
  for (std::size_t i = parted ? 1 : 0; i < at_front.size(); ++i) {
    if (seen[i] > 0) sample.openers.emplace_back(at_front[i]);
  }
  if (const std::string stars = opener_of_rules(sample); !stars.empty()) sample.openers.push_back(stars);
  if (ends_lines(sample, '*')) sample.openers.emplace_back("*");
  sample.comments = sample.openers;
  const auto add = [&](const char* opener) {
    auto& all = sample.comments;
    if (std::find(all.begin(), all.end(), opener) == all.end()) all.emplace_back(opener);
  };
  if (bracket) add("(");
  if (semicolon && !parted) add(";");
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
  sample.roles.assign(sample.lines.size(), LineRole::data);
  for (std::size_t i = 0; !sample.skip.empty() && i < sample.lines.size(); ++i) {
    if (!sample.code[i].starts_with(';')) continue;  // which parts columns in the other lines
    sample.code[i].clear();
    sample.roles[i] = LineRole::skip;
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
    words.push_back({letter, *std::move(canonical), number.find('.') != std::string::npos, number});
  }
  return !words.empty();
}

namespace {

// "ALL VALUES IN MM", "(INCH)": what a heading says of units.
void count_headings(const Sample& sample, std::size_t& inch, std::size_t& mm) {
  const std::vector<bool> rows = rows_of(sample);
  for (std::size_t i = 0; i < sample.lines.size(); ++i) {
    if (rows[i]) continue;
    std::string word;
    char before = 0;  // what is in front of the word, one blank passed over
    char last = 0;
    for (const char c : lower(sample.lines[i].text) + " ") {
      if (is_alpha(c)) {
        word += c;
        continue;
      }
      if (c == '/' || is_digit(before)) word.clear();  // "mm/min" is of feeds, "6 inch chuck" a thing
      const bool joins = c == '-' && is_digit(last);   // "6-inch"
      if (!joins && (!reader::is_gap(c) || reader::is_gap(last))) before = c;
      if (!word.empty()) before = 0;
      last = c;
      inch += word == "inch" || word == "inches" || word == "zoll" ? 1U : 0U;
      mm += word == "mm" || word == "metric" || word == "millimeter" ? 1U : 0U;
      word.clear();
    }
  }
}

}  // namespace

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
  if (inch == mm) count_headings(sample, inch, mm);
  if (inch == mm) return std::nullopt;
  return inch > mm ? Units::inch : Units::mm;
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

std::string toml_list(const std::vector<std::string>& texts) {
  std::vector<std::string> quoted;
  quoted.reserve(texts.size());
  for (const std::string& text : texts) quoted.push_back(toml_quoted(text));
  return fmt::format("[{}]", fmt::join(quoted, ", "));
}

std::string skip_line(const Sample& sample, bool top) {
  std::vector<std::string> patterns = sample.skip;
  for (std::size_t i = 0; top && i < sample.lines.size(); ++i) {
    if (sample.roles[i] != LineRole::top) continue;
    const std::string pattern = pattern_of_line(sample.lines[i].text);
    if (!pattern.empty() && std::find(patterns.begin(), patterns.end(), pattern) == patterns.end())
      patterns.push_back(pattern);
  }
  if (patterns.empty()) return "";
  for (std::string& pattern : patterns) pattern = readable(pattern, sample.encoding);
  return key_line("skip", toml_list(patterns), "lines that are no data");
}

std::string comment_line(const std::vector<std::string>& openers) {
  if (openers.empty()) return "";
  return key_line("comment", toml_list(openers),
                  "openers; \"(\" closes with \")\", others run to the line's end");
}

void IncrementGuess::see(std::string_view number) {
  constexpr std::size_t large_digits = 4;
  ++values_;
  pointed_ += number.find('.') == std::string_view::npos ? 0 : 1;
  large_ +=
      static_cast<std::size_t>(std::count_if(number.begin(), number.end(), is_digit)) >= large_digits ? 1 : 0;
}

std::string IncrementGuess::line(Group group, std::vector<Guess>& guesses) const {
  if (group != Group::offsets || values_ == 0 || pointed_ > 0 || large_ * 4 < values_) return "";
  guesses.push_back(
      {"that numbers without a point count in 0.0001 inch or 0.001 mm: see the control's manual",
       "least_increment"});
  return key_line("least_increment", "{ inch = \"0.0001\", mm = \"0.001\" }",
                  "a guess: see the control's manual");
}

}  // namespace keepway::layout
