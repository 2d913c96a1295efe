// One file that holds several groups: where it is cut, so that each has a source of its own.
#include <algorithm>
#include <map>
#include <set>

#include "base/digit.hpp"
#include "base/encoding.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

// How the first row begins, as far as its values do not matter: "G10", "T", "#", "O". Empty for a number.
std::string begin_of(std::string_view code) {
  std::vector<SurveyWord> words;
  if (words_of_line(code, words)) {
    const bool table = words[0].letter == 'G' && words[0].number == "10";
    return table ? "G10" : std::string(1, words[0].letter);
  }
  const std::string_view text = reader::trim(code);
  std::size_t end = 0;
  while (end < text.size() && !is_digit(text[end]) && !reader::is_gap(text[end]) && text[end] != '-' &&
         text[end] != '+' && text[end] != '.')
    ++end;
  return std::string(text.substr(0, end));
}

std::vector<Piece> by_marks(std::string_view text, const Sample& sample) {
  std::vector<Piece> pieces;
  std::size_t begin = 0;
  const auto add = [&](std::size_t end) {
    const std::string_view inside = text.substr(begin, end - begin);
    Sample part = look_at("part", inside);
    if (part.code_lines() == 0) return;
    Piece piece{inside, begin, "", "", ""};
    const auto rows = rows_of(part);
    const auto first = static_cast<std::size_t>(std::find(rows.begin(), rows.end(), true) - rows.begin());
    if (first < rows.size()) piece.begins = Encoding(sample.encoding).to_utf8(begin_of(part.code[first]));
    for (std::size_t i = 0; i < first && piece.title.empty(); ++i) {
      const std::string_view line = reader::trim(part.lines[i].text);
      if (!line.empty() && line != "%" && !is_rule(line))
        piece.title = Encoding(sample.encoding).to_utf8(line);
    }
    pieces.push_back(std::move(piece));
  };
  for (const reader::Line& line : sample.lines) {
    if (!reader::is_mark(line.text)) continue;
    add(line.at);
    begin = line.at + line.text.size();
  }
  add(text.size());
  return pieces;
}

struct Title {
  std::size_t line = 0;
  std::string pattern;
};

// By its first block: is it a program, in which a line of text parts nothing?
bool is_program_row(std::string_view code) {
  std::vector<SurveyWord> words;
  if (!words_of_line(code, words)) return false;
  return std::any_of(words.begin(), words.end(), [](const SurveyWord& word) {
    const bool place = word.number.size() == 2 && word.number[0] == '5';  // G54, in a table of zero points
    const bool moves = word.letter == 'G' && word.number != "10" && !place;
    return word.letter == 'O' || word.letter == 'M' || moves;
  });
}

// "[TOOLS]", "[WORK ZERO]": the name of a group in brackets. "[AXIS 1]" is of a thing that there are several
// of.
std::optional<Group> group_in_brackets(std::string_view line, const std::string& encoding) {
  const std::string_view text = reader::trim(line);
  if (text.size() < 4 || text.front() != '[' || text.back() != ']' || has_digit(text)) return std::nullopt;
  const std::string_view inside = reader::trim(text.substr(1, text.size() - 2));
  const std::size_t last = inside.find_last_of(" \t_") + 1;  // npos + 1 is 0
  return inside.size() - last > 1 ? group_in_name(inside, encoding) : std::nullopt;
}

// Names in brackets part a file where each names a group, and there are several groups: else they are
// sections of settings.
bool are_group_titles(const Sample& sample) {
  std::set<Group> groups;
  for (const reader::Line& line : sample.lines) {
    const std::string_view text = reader::trim(line.text);
    if (text.empty() || row_kind(text) != '[') continue;
    const auto group = group_in_brackets(text, sample.encoding);
    if (!group) return false;
    groups.insert(*group);
  }
  return groups.size() > 1;
}

class Headings {
 public:
  // `again`: as in cuts_of().
  Headings(const Sample& sample, bool again) : sample_(sample), rows_(rows_of(sample)), again_(again) {
    if (!are_group_titles(sample)) return;
    for (std::size_t i = 0; i < rows_.size(); ++i) rows_[i] = rows_[i] && row_kind(sample.code[i]) != '[';
  }

  std::vector<Title> titles() {
    std::vector<std::size_t> block;
    bool program = false;
    std::map<std::string, std::size_t> blocks_with;
    std::vector<std::vector<std::size_t>> blocks;
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      const std::string_view text = reader::trim(sample_.lines[i].text);
      if (text.empty() || reader::is_mark(text) || is_rule(text)) continue;
      if (!rows_[i]) {
        if (says_sum(text)) continue;
        const std::optional<Group> group = group_in_name(text, sample_.encoding);
        const bool within = program && group == Group::programs && is_above_program(i);  // "PROGRAM 2"
        const bool named = group.has_value() && !within;
        if (!named && (is_among_rows(i) || begins_as_row(i))) continue;
        const bool remark = sample_.code[i].empty();  // "(OFFSETS)", and no line that a person wrote
        if (remark ? (named || again_) && is_short(text, named) && !program : !program || named)
          block.push_back(i);
        continue;
      }
      if (!block.empty()) blocks.push_back(std::move(block));
      block.clear();
      program = is_program_row(sample_.code[i]);
    }
    for (const auto& lines : blocks) {
      std::set<std::string> here;
      for (const std::size_t i : lines) here.insert(pattern(i));
      for (const std::string& each : here) ++blocks_with[each];
    }
    if (again_ && blocks.size() > 1) drop_title_of_all(blocks);
    std::vector<Title> found;
    for (const auto& lines : blocks) {
      const auto is_own = [&](std::size_t i) {
        return blocks_with[pattern(i)] < blocks.size() || blocks.size() == 1;
      };
      const auto is_named = [&](std::size_t i) {
        const std::string_view line = reader::trim(sample_.lines[i].text);
        return group_in_name(line, sample_.encoding).has_value() && !is_column_heading(i) && !says_end(line);
      };
      // "CELL 3" at the top of each page is of the machine, and so is what has a date.
      const auto first = [&](auto is) { return std::find_if(lines.begin(), lines.end(), is); };
      auto named = first([&](std::size_t i) {
        return is_own(i) && is_named(i) && !is_of_machine(reader::trim(sample_.lines[i].text));
      });
      if (named == lines.end()) named = first([&](std::size_t i) { return is_own(i) && is_named(i); });
      if (named == lines.end()) named = first(is_named);
      // "END OF LENGTHS" above "$DIAMETERS"; "%411" is a program's number, and no title.
      auto own = first([&](std::size_t i) {
        const std::string_view line = reader::trim(sample_.lines[i].text);
        return is_own(i) && !says_end(line) && std::any_of(line.begin(), line.end(), is_alpha);
      });
      if (own == lines.end()) own = first(is_own);
      const auto taken = named != lines.end() ? named : own;
      if (taken != lines.end() && !pattern(*taken).empty()) found.push_back({*taken, pattern(*taken)});
    }
    return found;
  }

 private:
  // One that names a group may say more: "(TOOL OFFSETS, LATHE 6)".
  static bool is_short(std::string_view text, bool named) {
    const std::ptrdiff_t most_blanks = named && text.front() == '(' ? 4 : 2;
    return std::count(text.begin(), text.end(), ' ') <= most_blanks;
  }

  [[nodiscard]] std::string pattern(std::size_t i) const { return pattern_of_line(sample_.lines[i].text); }

  [[nodiscard]] std::size_t row_below(std::size_t i) const {
    std::size_t row = i + 1;
    while (row < rows_.size() && !rows_[row]) ++row;
    return row;
  }

  [[nodiscard]] bool is_above_program(std::size_t i) const {
    const std::size_t row = row_below(i);
    return row < rows_.size() && is_program_row(sample_.code[row]);
  }

  // "NO  LENGTH  DIAM": as many words as the row below has cells, rather than a title.
  [[nodiscard]] bool is_column_heading(std::size_t i) const {
    const std::size_t row = row_below(i);
    if (row == rows_.size() || is_above_program(i)) return false;
    const std::size_t here = cells(sample_.lines[i].text);
    const std::string_view line = sample_.lines[i].text;
    return here > 2 && here == cells(sample_.code[row]) && !is_page_line(line) && !begins_as_rule(line);
  }

  // Above the first rows there may be more lines than above the next: what the whole file is called.
  void drop_title_of_all(std::vector<std::vector<std::size_t>>& blocks) const {
    for (auto& lines : blocks) {
      std::erase_if(lines, [&](std::size_t i) { return is_column_heading(i) || has_column_titles(i); });
    }
    auto& first = blocks[0];
    if (const std::size_t own = blocks[1].size(); own > 0 && first.size() > own)
      first.erase(first.begin(), first.end() - static_cast<std::ptrdiff_t>(own));
  }

  // "NO  VALUE" above two cells.
  [[nodiscard]] bool has_column_titles(std::size_t i) const {
    std::size_t titles = 0;
    for (std::string_view left = reader::trim(sample_.lines[i].text); !left.empty();) {
      const std::size_t end = std::min(left.find_first_of(" \t,;|"), left.size());
      titles += is_column_title(left.substr(0, end)) ? 1U : 0U;
      left = reader::trim(left.substr(std::min(end + 1, left.size())));
    }
    return titles > 1;
  }

  // `#501  <VACANT>` behind `#500  12.5`, `2  -  EMPTY`: a row without its numbers.
  [[nodiscard]] bool begins_as_row(std::size_t i) const {
    const std::string here = beginning_of_row(sample_.lines[i].text);
    return is_digit(here.front()) ||
           (has_digit(here) && i > 0 && rows_[i - 1] && here == beginning_of_row(sample_.lines[i - 1].text));
  }

  // `LANGUAGE DE` between `FEED 5000` and `RATE 9600`: a row whose value is a text.
  [[nodiscard]] bool is_among_rows(std::size_t i) const {
    if (i == 0 || i + 1 == rows_.size() || !rows_[i - 1] || !rows_[i + 1]) return false;
    const std::size_t here = cells(sample_.code[i]);
    return here > 1 && here == cells(sample_.code[i - 1]) && here == cells(sample_.code[i + 1]);
  }

  static std::size_t cells(std::string_view text) {
    std::size_t count = 0;
    for (text = reader::trim(text); !text.empty(); ++count) {
      const std::size_t end = std::min(text.find_first_of(" \t,;|"), text.size());
      text = reader::trim(text.substr(std::min(end + 1, text.size())));
    }
    return count;
  }

  const Sample& sample_;
  std::vector<bool> rows_;
  bool again_;
};

// Programs above the first heading: known by how the first of them begins.
std::optional<Piece> programs_above(std::string_view text, const Sample& sample, std::size_t heading) {
  const std::string_view above = text.substr(0, sample.lines[heading].at);
  const Sample part = look_at("above", above);
  const auto first = std::find_if(part.code.begin(), part.code.end(), is_program_row);
  const auto begin =
      std::find_if(part.code.begin(), part.code.end(), [](const std::string& code) { return !code.empty(); });
  std::vector<SurveyWord> words;
  const bool named = begin != part.code.end() && begin->front() == ':' && all_digits(begin->substr(1));
  if (first == part.code.end() || !(named || words_of_line(*begin, words))) return std::nullopt;
  return Piece{above, 0, "", "", begin_of(*begin)};
}

std::vector<Piece> by_headings(std::string_view text, const Sample& sample, bool again) {
  const std::vector<Title> titles = Headings(sample, again).titles();
  std::vector<Piece> pieces;
  std::set<std::string> seen;
  for (const Title& title : titles) {
    const std::string known = lower(readable(title.pattern, sample.encoding));
    const std::string under = pieces.empty() ? std::string() : lower(pieces.back().under);
    if (!pieces.empty() && (known == under || known.starts_with(under + " ("))) continue;  // the next page
    const reader::Line& line = sample.lines[title.line];
    if (!pieces.empty()) {
      Piece& last = pieces.back();
      last.text = text.substr(last.base, line.at - last.base);
    }
    const std::size_t behind =
        title.line + 1 < sample.lines.size() ? sample.lines[title.line + 1].at : text.size();
    pieces.push_back({{},
                      names_program(reader::trim(line.text)) ? line.at : behind,
                      Encoding(sample.encoding).to_utf8(reader::trim(line.text)),
                      readable(title.pattern, sample.encoding),
                      ""});
    seen.insert(known);
  }
  if (pieces.empty()) return {};
  pieces.back().text = text.substr(pieces.back().base);
  if (seen.size() != pieces.size()) return {};  // a heading that comes back is no piece's own
  if (auto above = programs_above(text, sample, titles.front().line)) pieces.push_back(*std::move(above));
  return pieces;
}

}  // namespace

std::vector<std::vector<Piece>> cuts_of(std::string_view text, const std::string& encoding, bool again) {
  Sample sample = look_at("whole", text);
  sample.encoding = encoding;
  std::vector<std::vector<Piece>> cuts;
  const auto add = [&](std::vector<Piece> pieces) {
    if (pieces.size() > 1 && pieces.size() <= most_pieces) cuts.push_back(std::move(pieces));
  };
  add(by_marks(text, sample));
  if (again) add(by_headings(text, sample, true));
  add(by_headings(text, sample, false));
  return cuts;
}

}  // namespace keepway::layout
