// Records of several lines, and tables that come again for each axis: rows under lines that name what they
// are of, `TOOL 1` or `AXIS X`.
#include <algorithm>
#include <map>
#include <set>

#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

struct PartLine {
  std::string shape;  // "--- TOOL {part} ---"
  std::string word;   // "TOOL"
  std::string part;   // "1"
};

// Signs, one word, what it is of, signs.
std::optional<PartLine> part_line(std::string_view code) {
  constexpr std::string_view around = "=-*#<>:.;[]() \t";
  const std::size_t begin = code.find_first_not_of(around);
  if (begin == std::string_view::npos) return std::nullopt;
  const std::size_t end = code.find_last_not_of(around) + 1;
  const std::string_view inside = code.substr(begin, end - begin);
  const std::size_t gap = inside.find_first_of(" \t:#.");
  if (gap == std::string_view::npos) return std::nullopt;
  const std::string_view word = inside.substr(0, gap);
  const std::size_t at = inside.find_first_not_of(" \t:#.", gap);
  const std::string_view part = inside.substr(at);
  const bool letters = std::all_of(word.begin(), word.end(), is_alpha) && word.size() > 1;
  if (!letters || part.find_first_of(" \t=") != std::string_view::npos) return std::nullopt;
  return PartLine{std::string(code.substr(0, begin + at)) + "{part}" + std::string(code.substr(end)),
                  std::string(word), std::string(part)};
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

  // The line of which there are several, above all rows, with rows between that have the same keys.
  std::optional<Heading> find() const {
    std::map<std::string, Heading> found;
    std::size_t first = SIZE_MAX;
    for (std::size_t i = 0; i < sample_.code.size(); ++i) {
      if (sample_.code[i].empty()) continue;
      first = std::min(first, i);
      auto line = part_line(sample_.code[i]);
      if (!line) continue;
      auto& heading = found.try_emplace(upper(line->shape), Heading{*line, {}}).first->second;
      heading.at.push_back(i);
    }
    for (auto& [shape, heading] : found) {
      if (heading.at.size() > 1 && heading.at.front() == first && repeats(heading)) return std::move(heading);
    }
    return std::nullopt;
  }

  // The sample with the rows of the longest part and no others.
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
      if (i < begin || i >= end) one.code[i].clear();
    }
    return one;
  }

 private:
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
};

// Rows under "NUMBER 12" are of a tool where they have a length or a radius.
std::string word_for(const Sample& rows, const std::string& word) {
  constexpr std::string_view numbers[] = {"number", "no", "nr", "nummer", "num", "record", "index"};
  if (std::find(std::begin(numbers), std::end(numbers), word) == std::end(numbers)) return word;
  const bool tool = std::any_of(rows.code.begin(), rows.code.end(), [](const std::string& code) {
    const std::string cell = lower(first_cell(code));
    return cell.starts_with("len") || cell.starts_with("rad") || cell.starts_with("diam");
  });
  return tool ? "tool" : word;
}

}  // namespace

Candidates propose_parts(const Sample& sample) {
  const PartFinder finder(sample);
  const auto heading = finder.find();
  if (!heading) return {};
  const Sample one = finder.longest(*heading);
  const std::string word = word_for(one, lower(heading->line.word));
  Candidates found = propose_assign(one);
  for (const auto propose : {propose_columns, propose_shape}) {
    for (Candidate& each : propose(one)) found.push_back(std::move(each));
  }
  for (Candidate& each : found) {
    if (const auto group = group_in_name(word); group && *group != Group::programs) each.group = *group;
    each.keys = key_line("part", toml_quoted(heading->line.shape), "the line that names what rows are of") +
                with_prefix(each, word + "/{part}");
    std::erase_if(each.guesses, [](const Guess& guess) { return guess.what.starts_with("the group"); });
    each.guesses.push_back({"that rows are of the " + word + " named above them", "part"});
  }
  return found;
}

}  // namespace keepway::layout
