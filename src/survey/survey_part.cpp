// Records of several lines, and tables that come again for each axis: rows under lines that name what they
// are of, `TOOL 1` or `AXIS X`.
#include <algorithm>
#include <map>
#include <optional>
#include <set>

#include "base/encoding.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/survey_table.hpp"

namespace keepway::layout {
namespace {

struct PartLine {
  std::string shape;    // "--- TOOL {part} ---"
  std::string address;  // "tool/{part}"
  std::string group;    // a word that may name it
};

bool is_numbered_by(std::string_view word) {
  constexpr std::string_view words[] = {"number", "no", "nr", "nummer", "num", "record", "index"};
  return std::find(std::begin(words), std::end(words), word) != std::end(words);
}

// "G54", "T12": letters and a number.
std::optional<PartLine> code_line(std::string_view front, std::string_view code, std::string_view behind) {
  const std::size_t digit = code.find_first_of("0123456789");
  if (digit == 0 || digit > 2 || digit == std::string_view::npos || !all_digits(code.substr(digit)) ||
      !std::all_of(code.begin(), code.begin() + static_cast<std::ptrdiff_t>(digit), is_letter))
    return std::nullopt;
  const std::string letters = upper(code.substr(0, digit));
  const std::string address = letters == "G"   ? "work/G{part}"
                              : letters == "T" ? "tool/{part}"
                                               : letters + "{part}";
  return PartLine{std::string(front) + std::string(code.substr(0, digit)) + "{part}" + std::string(behind),
                  address,
                  letters == "G"   ? "work"
                  : letters == "T" ? "tool"
                                   : ""};
}

// "X-AXIS:", "SPINDLE HEAD:": a name, and nothing behind its colon.
std::optional<PartLine> name_line(std::string_view code) {
  constexpr std::size_t longest = 40;
  const bool open = code.size() > 1 && code.size() <= longest && is_alpha(code[0]) &&
                    code.find_first_of(":=") == code.size() - 1 && !has_digit(code);
  return open && code.back() == ':' ? std::optional(PartLine{"{part}:", "{part}", ""}) : std::nullopt;
}

// Signs, a word, what it is of, signs: "TOOL NO. 12", "--- AXIS X ---", "[SCREEN]", "G54".
std::optional<PartLine> part_line(std::string_view code, const std::string& encoding) {
  constexpr std::string_view around = "=-*#<>:.;[]() \t";
  constexpr std::string_view within = " \t:#.";
  const std::size_t begin = code.find_first_not_of(around);
  if (begin == std::string_view::npos) return std::nullopt;
  const std::size_t end = code.find_last_not_of(around) + 1;
  const std::string_view inside = code.substr(begin, end - begin);
  const std::string_view behind = code.substr(end);
  if (code.front() == '[' && code.back() == ']') return PartLine{"[{part}]", "{part}", ""};
  const std::size_t gap = inside.find_first_of(within);
  if (gap == std::string_view::npos) return code_line(code.substr(0, begin), inside, behind);
  const std::string word = lower(inside.substr(0, gap));
  std::size_t at = inside.find_first_not_of(within, gap);
  // "NO." in between.
  const std::size_t next = std::min(inside.find_first_of(within, at), inside.size());
  if (next < inside.size() && is_numbered_by(lower(inside.substr(at, next - at))))
    at = inside.find_first_not_of(within, next);
  const std::string_view part = inside.substr(at);
  if (is_letter(inside[0]) && gap == 1 && part.size() > 1 &&
      std::all_of(part.begin(), part.end(), is_alpha)) {
    const std::string what = lower(part);  // "X AXIS"
    return PartLine{std::string(code.substr(0, begin)) + "{part} " + std::string(code.substr(begin + at)),
                    plain_name(what, encoding) + "/{part}", what};
  }
  const bool letters = std::all_of(word.begin(), word.end(), is_alpha) && word.size() > 1;
  if (!letters || part.find_first_of(" \t=") != std::string_view::npos) return std::nullopt;
  return PartLine{std::string(code.substr(0, begin + at)) + "{part}" + std::string(behind),
                  plain_name(word, encoding) + "/{part}", word};
}

// "WERKZEUG 1", "GEREEDSCHAP 1": what a tool is called.
bool is_tool(std::string_view word, const std::string& encoding) {
  constexpr std::string_view words[] = {"werkz",   "gereed", "outil",    "herram", "utensil", "nastroj",
                                        "narz",    "verkty", "verktoey", "ferram", "vaerkto", "instrument",
                                        "verktoj", "tyokal", "tyoekal",  "szersz"};
  const std::string plain = plain_name(word, encoding);
  return std::any_of(std::begin(words), std::end(words),
                     [&](std::string_view each) { return plain.starts_with(each); });
}

std::string_view first_cell(std::string_view code) {
  return code.substr(0, code.find_first_of(" \t=:;,|"));
}

struct Heading {
  PartLine line;
  std::vector<std::size_t> at;  // lines
};

class PartFinder {
 public:
  explicit PartFinder(const Sample& sample) : sample_(sample) {}

  // The line of which there are several, with no row above them, and rows between that have the same keys.
  std::optional<Heading> find() const {
    std::map<std::string, Heading> found;
    for (std::size_t i = 0; i < sample_.code.size(); ++i) {
      const std::string& code = sample_.code[i];
      if (code.empty()) continue;
      for (const auto& line : {part_line(code, sample_.encoding), name_line(code)}) {
        if (!line) continue;
        auto& heading = found.try_emplace(upper(line->shape), Heading{*line, {}}).first->second;
        heading.at.push_back(i);
      }
    }
    std::optional<Heading> best;
    for (auto& [shape, heading] : found) {
      const bool first = !best || heading.at.front() < best->at.front();
      if (heading.at.size() > 1 && first && is_above_all(heading) &&
          (repeats(heading) || has_settings_alone(heading)))
        best = std::move(heading);
    }
    return best;
  }

  // The sample with the rows of the longest part and no others. Headings are skipped wherever they are.
  Sample longest(const Heading& heading) const {
    std::size_t best = 0;
    std::size_t most = 0;
    for (std::size_t n = 0; n < heading.at.size(); ++n) {
      const std::size_t rows = keys(heading, n).size();
      if (rows > most) best = n;
      most = std::max(most, rows);
    }
    Sample one = sample_;
    const auto [begin, end] = lines(heading, best);
    for (std::size_t i = 0; i < one.code.size(); ++i) {
      if (i >= begin && i < end) continue;
      if (i < heading.at.front()) skip(one, i);
      one.code[i].clear();
    }
    Sample marked = one;
    mark_no_data(marked);
    for (std::size_t i = begin; i < end; ++i) {
      const bool rule = is_rule(one.lines[i].text) || is_page_line(one.lines[i].text);
      if (one.code[i].empty() || (marked.roles[i] != LineRole::top && !rule)) continue;
      if (!is_word_row(heading, i)) skip(one, i);
      one.code[i].clear();
    }
    return one;
  }

  // `NAME  DRILL` above the numbers of a part: another part has another word there, and a title would be the
  // same.
  [[nodiscard]] bool is_word_row(const Heading& heading, std::size_t line) const {
    const std::string_view code = sample_.code[line];
    const bool is_heading = std::find(heading.at.begin(), heading.at.end(), line) != heading.at.end();
    return !is_heading && first_cell(code).size() < code.size() &&
           keys_of_words(heading).contains(first_cell(code));
  }
  [[nodiscard]] bool has_word_rows(const Heading& heading) const { return !keys_of_words(heading).empty(); }

 private:
  // First cells of lines without a number that are not the same wherever they are.
  [[nodiscard]] const std::set<std::string_view>& keys_of_words(const Heading& heading) const {
    if (words_) return *words_;
    std::map<std::string_view, std::string_view> seen;
    words_.emplace();
    for (std::size_t i = heading.at.front(); i < sample_.code.size(); ++i) {
      const std::string_view code = sample_.code[i];
      const std::string_view key = first_cell(code);
      if (key.size() == code.size() || row_kind(code) != 0) continue;
      const auto [at, fresh] = seen.emplace(key, code);
      if (!fresh && at->second != code) words_->insert(key);
    }
    return *words_;
  }

  static void skip(Sample& one, std::size_t i) {
    const std::string pattern = pattern_of_line(one.lines[i].text);
    if (one.code[i].empty() && one.roles[i] == LineRole::data) return;  // a comment
    one.roles[i] = LineRole::skip;
    if (!pattern.empty() && std::find(one.skip.begin(), one.skip.end(), pattern) == one.skip.end())
      one.skip.push_back(pattern);
  }

  // Text may be above the first, and no rows.
  [[nodiscard]] bool is_above_all(const Heading& heading) const {
    constexpr std::size_t most = 10;
    std::size_t above = 0;
    std::set<char> kinds;  // of the rows below
    for (std::size_t n = 0; n < heading.at.size(); ++n) {
      const auto [begin, end] = lines(heading, n);
      for (std::size_t i = begin; i < end; ++i) kinds.insert(row_kind(sample_.code[i]));
    }
    kinds.erase(0);
    for (std::size_t i = 0; i < heading.at.front(); ++i) {
      if (sample_.code[i].empty()) continue;
      if (++above > most || sample_.code[i].find('=') != std::string::npos ||
          kinds.contains(row_kind(sample_.code[i])))
        return false;
    }
    return true;
  }

  [[nodiscard]] std::pair<std::size_t, std::size_t> lines(const Heading& heading, std::size_t n) const {
    return {heading.at[n] + 1, n + 1 < heading.at.size() ? heading.at[n + 1] : sample_.code.size()};
  }

  [[nodiscard]] std::set<std::string_view> keys(const Heading& heading, std::size_t n) const {
    std::set<std::string_view> found;
    const auto [begin, end] = lines(heading, n);
    for (std::size_t i = begin; i < end; ++i) {
      if (!sample_.code[i].empty()) found.insert(first_cell(sample_.code[i]));
    }
    return found;
  }

  // `SCREEN:` above `LANGUAGE = EN`, as sections in square brackets are.
  [[nodiscard]] bool has_settings_alone(const Heading& heading) const {
    if (heading.line.shape != "{part}:") return false;
    for (std::size_t n = 0; n < heading.at.size(); ++n) {
      const auto [begin, end] = lines(heading, n);
      const auto is_setting = [](const std::string& code) { return code.empty() || code.find('=') + 1 > 1; };
      const auto first = sample_.code.begin();
      if (keys(heading, n).empty() || !std::all_of(first + static_cast<std::ptrdiff_t>(begin),
                                                   first + static_cast<std::ptrdiff_t>(end), is_setting))
        return false;
    }
    return true;
  }

  [[nodiscard]] bool repeats(const Heading& heading) const {
    std::size_t rows = 0;
    std::size_t again = 0;
    std::set<std::string_view> seen;
    for (std::size_t n = 0; n < heading.at.size(); ++n) {
      const auto here = keys(heading, n);
      if (here.empty()) return false;
      for (const std::string_view key : here) {
        ++rows;
        again += seen.insert(key).second ? 0U : 1U;
      }
    }
    return again * (heading.at.size() + 1) >= rows;
  }

  const Sample& sample_;
  mutable std::optional<std::set<std::string_view>> words_;
};

// Rows under "NUMBER 12" are of a tool where they have a length or a radius.
bool are_of_tools(const Sample& rows) {
  return std::any_of(rows.code.begin(), rows.code.end(), [](const std::string& code) {
    const std::string cell = lower(first_cell(code));
    return cell.starts_with("len") || cell.starts_with("rad") || cell.starts_with("diam");
  });
}

// Whether lines that are skipped name parts that these are in: `NAME  DRILL` below `TOOL NO. 2`.
bool is_inside_another(const Sample& sample, const Heading& heading) {
  Sample all = sample;
  for (std::size_t i = 0; i < all.code.size(); ++i) {
    const std::string_view text = reader::trim(all.lines[i].text);
    if (all.roles[i] == LineRole::skip && !is_page_line(text) && !is_rule(text)) all.code[i] = text;
  }
  const auto outer = PartFinder(all).find();
  return outer && outer->at.front() < heading.at.front();
}

// The same with a value of any kind, for rows that have a word.
void with_words(Candidates& found) {
  constexpr std::string_view number = "{ value = \"\" }";
  for (std::size_t i = 0, size = found.size(); i < size; ++i) {
    Candidate words = found[i];
    const std::size_t at = words.keys.find(number);
    if (at == std::string::npos) continue;
    words.keys.replace(at, number.size(), "{ value = { name = \"\", kind = \"any\" } }");
    found.push_back(std::move(words));
  }
}

}  // namespace

Candidates propose_parts(const Sample& sample) {
  const PartFinder finder(sample);
  auto heading = finder.find();
  if (!heading || is_inside_another(sample, *heading)) return {};
  const Sample one = finder.longest(*heading);
  PartLine& line = heading->line;
  if ((is_numbered_by(line.group) && are_of_tools(one)) ||
      (has_digit(sample.code[heading->at.front()]) && is_tool(line.group, sample.encoding))) {
    line.group = "tool";
    line.address = "tool/{part}";
  }
  Candidates found = propose_assign(one);
  for (const auto propose : {propose_words, propose_columns, propose_shape}) {
    for (Candidate& each : propose(one)) found.push_back(std::move(each));
  }
  if (finder.has_word_rows(*heading)) with_words(found);
  const Encoding encoding(sample.encoding);
  constexpr std::size_t longest = 40;
  const std::string such =
      encoding.to_utf8(std::string_view(sample.code[heading->at.front()]).substr(0, longest));
  for (Candidate& each : found) {
    if (const auto group = group_in_name(line.group); group && *group != Group::programs) {
      each.group = *group;
      std::erase_if(each.guesses, [](const Guess& guess) { return guess.what.starts_with("the group"); });
    }
    each.keys =
        key_line("part", toml_quoted(encoding.to_utf8(line.shape)), "the line that names what rows are of") +
        with_prefix(each, line.address);
    std::erase_if(each.guesses,
                  [](const Guess& guess) { return guess.what.starts_with("that its rows are"); });
    each.guesses.push_back(
        {"that a line such as '" + such + "' names what the rows below it are of", "part"});
  }
  return found;
}

}  // namespace keepway::layout
