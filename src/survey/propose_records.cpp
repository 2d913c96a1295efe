// Records of several lines, and tables that come again for each axis: rows under lines that name what they
// are of, `TOOL 1` or `AXIS X`.
#include <algorithm>
#include <map>
#include <optional>
#include <set>

#include "base/encoding.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/part_line.hpp"
#include "survey/table.hpp"

namespace keepway::layout {
namespace {

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
  std::vector<std::size_t> at;     // lines
  std::vector<std::string> names;  // behind the parts
};

// "LENGTH 120.5", "LENGTH 98.02": what is behind the parts is a value with its label.
bool are_labels(const std::vector<std::string>& names) {
  return names.size() > 1 && std::all_of(names.begin(), names.end(), [&](const std::string& name) {
           return first_cell(name) == first_cell(names.front()) && has_digit(name);
         });
}

// `NO. 1  NAME FACE MILL`: all names have their label in front.
void name_by_label(Heading& heading) {
  constexpr std::string_view cell = "{name}";
  if (heading.names.size() < 2) return;
  const std::string label(first_cell(heading.names.front()));
  const auto has_label = [&](const std::string& name) {
    return first_cell(name) == label && name.size() > label.size() + 1;
  };
  const std::size_t at = heading.line.shape.find(cell);
  if (at == std::string::npos || !std::all_of(heading.names.begin(), heading.names.end(), has_label)) return;
  const std::string name = plain_name(label, "");
  heading.line.shape.replace(at, cell.size(),
                             label + " {" + (name.empty() || name == "part" ? "name" : name) + "}");
}

// `TOOL 3` among `TOOL 1 FACE MILL` and `TOOL 2 DRILL`: a part without a name.
void join_nameless(std::map<std::string, Heading>& found) {
  for (auto& [shape, heading] : found) {
    constexpr std::string_view named = " {NAME}";
    const std::size_t at = shape.find(named);
    if (heading.names.empty() || at == std::string::npos) continue;
    std::string plain = shape;
    plain.erase(at, named.size());
    const auto nameless = found.find(plain);
    if (nameless == found.end()) continue;
    for (const std::size_t line : nameless->second.at) {
      if (std::find(heading.at.begin(), heading.at.end(), line) == heading.at.end())
        heading.at.push_back(line);
    }
    std::sort(heading.at.begin(), heading.at.end());
  }
}

class PartFinder {
 public:
  explicit PartFinder(const Sample& sample) : sample_(sample) {}

  // The line of which there are several, with no row above them, and rows between that have the same keys.
  std::optional<Heading> find() const {
    std::map<std::string, Heading> found;
    for (std::size_t i = 0; i < sample_.code.size(); ++i) {
      const std::string& code = sample_.code[i];
      if (code.empty()) continue;
      const std::string_view whole = reader::trim(sample_.lines[i].text);
      for (const auto& line :
           {part_line(code, sample_.encoding), name_line(code), named_part_line(whole, sample_.encoding)}) {
        if (!line) continue;
        auto& heading = found.try_emplace(upper(line->shape), Heading{*line, {}, {}}).first->second;
        heading.at.push_back(i);
        if (!line->name.empty()) heading.names.push_back(line->name);
      }
    }
    for (auto& [shape, heading] : found) drop_titles(heading);
    join_nameless(found);
    for (auto& [shape, heading] : found) name_by_label(heading);
    std::optional<Heading> best;
    for (auto& [shape, heading] : found) {
      const bool first = !best || heading.at.front() < best->at.front() ||
                         (heading.at == best->at && !heading.names.empty());
      if (heading.at.size() > 1 && first && !are_labels(heading.names) && is_above_all(heading) &&
          (repeats(heading) || has_settings_alone(heading)))
        best = std::move(heading);
    }
    return best;
  }

  // `G56 (SPARE)`
  bool has_remarks(const Heading& heading) const {
    return heading.names.empty() && std::any_of(heading.at.begin(), heading.at.end(), [&](std::size_t i) {
             return sample_.code[i] != reader::trim(sample_.lines[i].text);
           });
  }

  // The sample with the rows of all parts, each of which has one line.
  std::optional<Sample> single_rows(const Heading& heading) const {
    Sample all = sample_;
    for (std::size_t n = 0; n < heading.at.size(); ++n) {
      const auto [begin, end] = lines(heading, n);
      const auto first = sample_.code.begin();
      const auto rows =
          std::count_if(first + static_cast<std::ptrdiff_t>(begin), first + static_cast<std::ptrdiff_t>(end),
                        [](const std::string& code) { return !code.empty(); });
      if (rows != 1) return std::nullopt;
      all.code[heading.at[n]].clear();
    }
    for (std::size_t i = 0; i < heading.at.front(); ++i) {
      skip(all, i);
      all.code[i].clear();
    }
    return all;
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
  // "WHEEL DATA" above "WHEEL 1" and "WHEEL 2" names no part.
  void drop_titles(Heading& heading) const {
    const auto numbered = [&](std::size_t i) { return has_digit(sample_.code[i]); };
    const auto first = std::find_if(heading.at.begin(), heading.at.end(), numbered);
    if (heading.names.empty() && std::count_if(first, heading.at.end(), numbered) > 1)
      heading.at.erase(heading.at.begin(), first);
  }

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
  if (group_in_name(heading->line.group) == Group::programs) return {};
  const Sample one = finder.longest(*heading);
  PartLine& line = heading->line;
  if ((is_numbered_by(line.group) && are_of_tools(one)) ||
      (has_digit(sample.code[heading->at.front()]) && is_tool(line.group, sample.encoding))) {
    line.group = "tool";
    line.address = "tool/{part}";
  }
  Candidates found;
  if (const auto rows = finder.single_rows(*heading)) found = propose_record(*rows);
  if (found.empty()) {
    found = propose_assign(one);
    for (const auto propose : {propose_words, propose_columns, propose_shape}) {
      for (Candidate& each : propose(one)) found.push_back(std::move(each));
    }
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
    if (finder.has_remarks(*heading) && each.keys.find("comment ") == std::string::npos)
      each.keys = comment_line(sample.comments) + each.keys;
    each.keys =
        key_line("part", toml_quoted(encoding.to_utf8(line.shape)), "the line that names what rows are of") +
        with_prefix(each, line.address);
    // A record that is called by its part alone.
    if (const std::size_t at = each.keys.find("{part}/\""); at != std::string::npos)
      each.keys.erase(at + 6, 1);
    std::erase_if(each.guesses,
                  [](const Guess& guess) { return guess.what.starts_with("that its rows are"); });
    each.guesses.push_back(
        {"that a line such as '" + such + "' names what the rows below it are of", "part"});
  }
  return found;
}

}  // namespace keepway::layout
