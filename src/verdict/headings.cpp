// Lines of a table's file that are no rows and say what its rows mean: a heading whose columns come in
// another order, or with another name among them, and a unit that is another one. The values alone cannot
// show it.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "verdict/checks.hpp"

namespace keepway::verdict {
namespace {

using Words = std::vector<std::string>;

// In capitals, split at blanks and at the signs between columns.
Words words_of(std::string_view line) {
  constexpr std::string_view between = " \t|;,:=()[]*";
  Words words;
  for (std::size_t at = 0; at < line.size();) {
    const std::size_t begin = std::min(line.find_first_not_of(between, at), line.size());
    const std::size_t end = std::min(line.find_first_of(between, begin), line.size());
    if (end > begin) words.push_back(upper(line.substr(begin, end - begin)));
    at = end;
  }
  return words;
}

bool is_name(std::string_view word) {
  return std::any_of(word.begin(), word.end(), [](char c) { return is_letter(c) || (c & '\x80') != 0; });
}

bool are_names(const Words& words) {
  return words.size() >= 2 && std::all_of(words.begin(), words.end(), is_name);
}

bool is_reordered(const Words& was, const Words& is) {
  constexpr std::size_t most = 100;
  return was.size() == is.size() && was.size() <= most && are_names(was) && was != is &&
         std::is_permutation(was.begin(), was.end(), is.begin(), is.end());
}

// Whether the layout calls a column as one of the words does: a title is not over the columns.
bool names_a_column(const Words& words, const Source& source) {
  return std::any_of(source.columns.begin(), source.columns.end(), [&](const Column& column) {
    return std::find(words.begin(), words.end(), upper(column.name)) != words.end();
  });
}

// Whether each word is over a column, and some say now what they did not: at least half of them are as they
// were.
bool is_renamed(const Words& was, const Words& is, const Source& source) {
  if (source.reader != ReaderKind::columns || was.size() != is.size()) return false;
  if (!are_names(was) || !are_names(is) || is.size() % source.columns.size() != 0) return false;
  if (!names_a_column(was, source)) return false;
  std::size_t others = 0;
  for (std::size_t i = 0; i < is.size(); ++i) others += is[i] != was[i] ? 1U : 0U;
  return others > 0 && 2 * others <= is.size();
}

enum class Length { none, mm, inch };
Length unit_of(std::string_view word) {
  constexpr std::array<std::string_view, 5> mm = {"MM", "METRIC", "MILLIMETER", "MILLIMETRE", "METRISCH"};
  constexpr std::array<std::string_view, 5> inch = {"IN", "INCH", "INCHES", "IMPERIAL", "ZOLL"};
  if (std::find(mm.begin(), mm.end(), word) != mm.end()) return Length::mm;
  return std::find(inch.begin(), inch.end(), word) != inch.end() ? Length::inch : Length::none;
}

// Whether the two lines differ in a unit of length and in nothing else but numbers, as of a date.
bool has_other_unit(const Words& was, const Words& is) {
  if (was.size() != is.size()) return false;
  bool other = false;
  for (std::size_t i = 0; i < is.size(); ++i) {
    if (was[i] == is[i] || (!is_name(was[i]) && !is_name(is[i]))) continue;
    const Length before = unit_of(was[i]);
    const Length now = unit_of(is[i]);
    if (before != now && before != Length::none && now != Length::none) {
      other = true;
      continue;
    }
    const auto same = [](char a, char b) { return a == b || (is_digit(a) && is_digit(b)); };
    if (!std::equal(was[i].begin(), was[i].end(), is[i].begin(), is[i].end(), same)) return false;
  }
  return other;
}

struct Heading {
  TextLine line;
  Words words;
};

constexpr std::size_t most_apart = 100;  // headings and titles are few

// Lines of names, or with a unit, that `others` have not; where they are too many, one more than
// `most_apart`. Most lines are where they were, and most of the rest have no letter: neither is looked at
// twice.
std::vector<Heading> lines_apart(const std::vector<TextLine>& lines, const std::vector<TextLine>& others) {
  constexpr std::size_t longest = 1000;  // bytes of a line
  const auto is_unit = [](const std::string& word) { return unit_of(word) != Length::none; };
  std::vector<std::string_view> known;  // sorted, once a line asks for it
  const auto is_known = [&](std::string_view text) {
    if (known.empty()) {
      known.reserve(others.size());
      for (const TextLine& line : others) known.push_back(visible_part(line.text));
      std::sort(known.begin(), known.end());
    }
    return std::binary_search(known.begin(), known.end(), text);
  };
  std::vector<Heading> out;
  for (std::size_t i = 0; i < lines.size() && out.size() <= most_apart; ++i) {
    if ((i < others.size() && others[i].text == lines[i].text) || !is_name(lines[i].text)) continue;
    Words words = words_of(lines[i].text.substr(0, longest));
    if (!are_names(words) && std::none_of(words.begin(), words.end(), is_unit)) continue;
    if (!is_known(visible_part(lines[i].text))) out.push_back({lines[i], std::move(words)});
  }
  return out;
}

// By line: whether a row or a program is on it.
std::vector<bool> taken_lines(const std::vector<TextLine>& lines, const Reading& reading, std::size_t file,
                              std::string_view bytes) {
  std::vector<bool> taken(lines.size() + 1);
  const auto begins_before = [&](std::size_t number, std::uint64_t end) {
    return static_cast<std::uint64_t>(lines[number - 1].text.data() - bytes.data()) < end;
  };
  for (const Origin& origin : reading.origins) {
    const Span& span = origin.span;
    if (span.file != file || span.line == 0) continue;
    const std::uint64_t end = span.at + (origin.group == Group::programs ? span.length : 1);
    for (std::size_t i = span.line; i < taken.size() && begins_before(i, end); ++i) taken[i] = true;
  }
  return taken;
}

struct Fault {
  const char* code;
  TextLine was;
  TextLine is;
};

std::optional<Fault> find_fault(Case& in, const Pair& pair, const Source& source) {
  const auto now = lines_apart(in.lines_now(pair), in.lines_was(pair));
  if (now.empty() || now.size() > most_apart) return std::nullopt;
  const auto old = lines_apart(in.lines_was(pair), in.lines_now(pair));
  if (old.empty() || old.size() > most_apart) return std::nullopt;
  const std::vector<bool> rows = taken_lines(in.lines_now(pair), in.input().reading, pair.now, in.now(pair));
  // Of the old file, which is read by the layout only where a line may be its heading.
  std::optional<std::vector<bool>> old_rows;
  for (const Heading& is : now) {
    if (rows[is.line.number]) continue;
    for (const Heading& was : old) {
      const bool unit = has_other_unit(was.words, is.words);
      if (!unit && !is_reordered(was.words, is.words) && !is_renamed(was.words, is.words, source)) continue;
      if (!old_rows) old_rows = taken_lines(in.lines_was(pair), in.reading_was(pair), 0, in.was(pair));
      if (!(*old_rows)[was.line.number])
        return Fault{unit ? "unit-differs" : "heading-differs", was.line, is.line};
    }
  }
  return std::nullopt;
}

}  // namespace

void check_headings(Case& in, Reasons& reasons) {
  for (const Pair& pair : in.pairs()) {
    const Source* source = in.source_now(pair.now);
    if (pair.same || source == nullptr || source->reader == ReaderKind::blocks) continue;
    const auto fault = find_fault(in, pair, *source);
    if (!fault) continue;
    const std::string name = escape(in.name_now(pair.now));
    const std::string is = escape(visible_part(fault->is.text).substr(0, 120));
    const std::string was = escape(visible_part(fault->was.text).substr(0, 120));
    const bool unit = fault->code == std::string_view("unit-differs");
    reasons.push_back(
        {Worth::doubtful, fault->code,
         fmt::format("{}: '{}' was '{}' in {}: {}", name, is, was, in.before_name(),
                     unit ? "its values may count in another unit" : "its values may be under other names"),
         unit ? "look at which units the control is set to; set it back, and send this file again"
              : "look at the file: where its columns have another order, correct the machine's layout.toml",
         Place{name, fault->is.number}, fmt::format("{}: {}", name, is)});
  }
}

}  // namespace keepway::verdict
