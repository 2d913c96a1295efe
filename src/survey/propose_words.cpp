// A proposal for word-address rows: which letter is the key, which are values, which rows say nothing.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

using Words = std::vector<SurveyWord>;

bool has(const Words& words, char letter) {
  return std::any_of(words.begin(), words.end(), [=](const SurveyWord& w) { return w.letter == letter; });
}

const SurveyWord* find(const Words& words, char letter) {
  const auto it =
      std::find_if(words.begin(), words.end(), [=](const SurveyWord& w) { return w.letter == letter; });
  return it == words.end() ? nullptr : &*it;
}

bool is_whole(const SurveyWord& word) {
  return !word.pointed && word.number.find('.') == std::string::npos && word.number[0] != '-';
}

// Rows that one rule would take: those that begin alike, or, for G10 (NISTIR 6556, 3.5.5), have the same L.
struct Shape {
  std::string match;  // "G10 L2", "T"
  std::vector<Words> rows;
};

// A line number in front of rows that have their own key behind it.
bool is_numbered(const std::vector<Words>& rows) {
  std::set<std::string> keys;
  std::size_t counted = 0;
  for (const Words& words : rows) {
    if (words.front().letter != 'N' || words.size() < 3) continue;
    const char next = words[1].letter;
    const bool table = next == 'G' || next == 'T' || next == 'H' || next == 'D';
    if (table && is_whole(words[1])) ++counted;
  }
  return counted * 10 > rows.size() * 9;
}

std::string match_of(const Words& words, bool numbered) {
  const SurveyWord& first = words[numbered && words.front().letter == 'N' && words.size() > 1 ? 1 : 0];
  if (const SurveyWord* g = find(words, 'G'); g != nullptr && g->number == "10") {
    const SurveyWord* l = find(words, 'L');
    return l == nullptr ? "G10" : "G10 L" + l->number;
  }
  return std::string(1, first.letter);
}

bool unique(const std::vector<Words>& rows, const std::vector<char>& letters) {
  std::set<std::string> seen;
  for (const Words& words : rows) {
    std::string key;
    for (const char letter : letters) {
      const SurveyWord* word = find(words, letter);
      if (word == nullptr || !is_whole(*word)) return false;
      key += word->number + "/";
    }
    if (!seen.insert(key).second) return false;
  }
  return true;
}

// Letters that are in every row, in the order of the first.
std::vector<char> common_letters(const std::vector<Words>& rows) {
  std::vector<char> letters;
  std::set<char> seen;  // a row may have thousands of words, but no more than 26 letters
  for (const SurveyWord& word : rows.front()) {
    if (!seen.insert(word.letter).second) continue;
    const bool all =
        std::all_of(rows.begin(), rows.end(), [&](const Words& row) { return has(row, word.letter); });
    if (all) letters.push_back(word.letter);
  }
  return letters;
}

std::vector<char> key_letters(const Shape& shape, bool numbered) {
  const bool is_g10 = shape.match.starts_with("G10");
  std::vector<char> letters = common_letters(shape.rows);
  std::erase_if(letters,
                [&](char c) { return (is_g10 && (c == 'G' || c == 'L')) || (numbered && c == 'N'); });
  if (is_g10 && std::find(letters.begin(), letters.end(), 'P') != letters.end()) return {'P'};
  // The first letter, alone or with another, rather than a value that happens to differ in every row.
  if (!letters.empty() && unique(shape.rows, {letters[0]})) return {letters[0]};
  for (std::size_t i = 1; letters.size() > 2 && i < letters.size(); ++i) {
    if (unique(shape.rows, {letters[0], letters[i]})) return {letters[0], letters[i]};
  }
  for (const char letter : letters) {
    if (unique(shape.rows, {letter})) return {letter};
  }
  return letters.empty() ? letters : std::vector<char>{letters.front()};
}

// Rows that are all the same, or have nothing but their match: M30, G90.
bool says_nothing(const Shape& shape) {
  const auto spelled = [](const Words& words) {
    std::string out;
    for (const SurveyWord& word : words) out += word.letter + word.number;
    return out;
  };
  const bool command = shape.match[0] == 'G' || shape.match[0] == 'M' || shape.match[0] == 'O';
  const std::string first = spelled(shape.rows.front());
  const bool same = std::all_of(shape.rows.begin(), shape.rows.end(),
                                [&](const Words& words) { return spelled(words) == first; });
  const bool bare =
      std::all_of(shape.rows.begin(), shape.rows.end(), [](const Words& w) { return w.size() == 1; });
  return command && ((same && !has(shape.rows.front(), 'P')) || bare);
}

// What is before the key in the item's address.
std::string prefix_of(const Shape& shape, char key) {
  if (shape.match == "G10 L2") return "work/";  // the one L that NISTIR 6556 has
  if (shape.match == "G10") return "G10/";
  if (shape.match.starts_with("G10 ")) return "G10-" + shape.match.substr(4) + "/";
  if (key == 'T') return "tool/";
  if (key == 'H' || key == 'D') return std::string("tool-") + key + "/";
  if (key == 'G') return "work/G";
  if (key == 'N') return "";  // which numbers the rows
  return std::string(1, key);
}

// `W1 Y-122.25 Z-410.`: two axes or more, and nothing else but a letter of its own for the row.
bool has_axes(const Shape& shape, char key) {
  constexpr std::string_view axes = "XYZABCUVW";
  std::set<char> found;
  for (const Words& words : shape.rows) {
    for (const SurveyWord& word : words) {
      if (word.letter == key) continue;
      if (axes.find(word.letter) == std::string_view::npos) return false;
      found.insert(word.letter);
    }
  }
  return found.size() > 1 && key != 'N' && axes.substr(0, 8).find(key) == std::string_view::npos;
}

// `T1 L100. D10. T2 L98. D12.`: rows of one letter that comes again in a line, each with a number of its own.
// They are parted then; how many a line has at most.
std::size_t part_records(std::vector<Words>& rows) {
  const char letter = rows.front().front().letter;
  std::size_t most = 1;
  std::vector<Words> records;
  for (const Words& row : rows) {
    if (row.front().letter != letter || letter == 'N') return 1;
    std::size_t here = 0;
    for (const SurveyWord& word : row) {
      if (word.letter == letter) {
        ++here;
        records.emplace_back();
      }
      records.back().push_back(word);
    }
    most = std::max(most, here);
  }
  constexpr std::size_t most_records = 16;
  const bool alone = std::any_of(records.begin(), records.end(), [](const Words& w) { return w.size() < 2; });
  const bool command = letter == 'M' || (letter == 'G' && rows.front().front().number[0] != '5');
  if (most == 1 || most > most_records || alone || command || !unique(records, {letter}) ||
      common_letters(records).size() < 2)
    return 1;
  rows = std::move(records);
  return most;
}

class Proposal {
 public:
  Proposal(const Sample& sample, bool numbered, std::size_t across)
      : sample_(sample), numbered_(numbered), across_(across) {}

  void add(const Shape& shape, bool alone) {
    std::string rule = shape.match.size() == 1 && alone && !says_nothing(shape)
                           ? ""
                           : "  " + key_line("match", toml_quoted(shape.match));
    if (says_nothing(shape)) {
      rules_ += "  [[source.row]]                          # known, and holds no value\n" + rule;
      return;
    }
    const std::vector<char> keys = key_letters(shape, numbered_);
    if (keys.empty()) return;
    std::string address = prefix_of(shape, keys.front());
    if (address.size() == 1 && has_axes(shape, keys.front())) address = "work/" + address;
    offsets_ = offsets_ || address.size() > 1;
    for (std::size_t i = 0; i < keys.size(); ++i)
      address += fmt::format("{}{{{}}}", i > 0 ? "/" : "", keys[i]);
    const std::string values = fields(shape, keys);
    if (values == no_fields) return;
    rule +=
        "  " + key_line("address", toml_quoted(address),
                        keys.size() == 1 ? fmt::format("key: the letter {}", keys[0]) : "key: two letters");
    if (shape.match == "G10 L2") {
      rule += "  " + key_line("rename",
                              "{ P = { 1 = \"G54\", 2 = \"G55\", 3 = \"G56\", 4 = \"G57\", 5 = \"G58\", 6 = "
                              "\"G59\" } }");
    }
    rule += "  " + key_line("fields", values);
    rules_ += "  [[source.row]]\n" + rule;
    ++with_values_;
  }

  [[nodiscard]] Candidates made() {
    if (with_values_ == 0) return {};
    Candidate made;
    made.reader = ReaderKind::words;
    made.group = offsets_ ? Group::offsets : group_of(sample_, Group::parameters, made.guesses);
    made.keys = skip_line(sample_, true) + comment_line(sample_.comments);
    if (across_ > 1) {
      made.keys += key_line("across", std::to_string(across_), "records side by side in a line, at most");
      made.guesses.push_back(
          {fmt::format("that up to {} records are side by side in a line", across_), "across"});
    }
    made.keys += increment_.line(made.group, made.guesses) + rules_;
    return {made};
  }

 private:
  static constexpr std::string_view no_fields = "{  }";

  std::string fields(const Shape& shape, const std::vector<char>& keys) {
    std::vector<char> letters;
    for (const Words& words : shape.rows) {
      for (std::size_t i = 0; i < words.size(); ++i) {
        const char letter = words[i].letter;
        const bool is_match = shape.match.starts_with("G10") && (letter == 'G' || letter == 'L');
        const bool is_number = numbered_ && i == 0 && letter == 'N';
        if (is_match || is_number || std::find(keys.begin(), keys.end(), letter) != keys.end()) continue;
        increment_.see(words[i].pointed ? words[i].number + "." : words[i].number);
        if (std::find(letters.begin(), letters.end(), letter) == letters.end()) letters.push_back(letter);
      }
    }
    if (letters.size() == 1 && !shape.match.starts_with("G10")) {
      if (has_flags(shape, letters[0]))
        return fmt::format("{{ {} = {{ name = \"\", kind = \"text\" }} }}", letters[0]);
      return fmt::format("{{ {} = \"\" }}", letters[0]);
    }
    std::vector<std::string> pairs;
    pairs.reserve(letters.size());
    for (const char letter : letters) pairs.push_back(fmt::format("{0} = \"{0}\"", letter));
    return fmt::format("{{ {} }}", fmt::join(pairs, ", "));
  }

  static bool has_flags(const Shape& shape, char letter) {
    std::vector<std::string> values;
    for (const Words& words : shape.rows) {
      const SurveyWord* word = find(words, letter);
      values.push_back(word == nullptr ? "" : word->spelled);
    }
    return are_flags(values);
  }

  const Sample& sample_;
  bool numbered_;
  std::size_t across_;
  IncrementGuess increment_;
  std::string rules_;
  std::size_t with_values_ = 0;
  bool offsets_ = false;
};

// All rows have a line number, and no other letter is in all of them: blocks, which a table's rows are not.
bool are_blocks(const std::vector<Words>& rows) {
  constexpr std::size_t fewest = 3;
  const auto numbered = [](const Words& row) { return row.front().letter == 'N'; };
  const auto commands = [](const Words& row) { return has(row, 'G') || has(row, 'M'); };
  return rows.size() >= fewest && std::all_of(rows.begin(), rows.end(), numbered) &&
         std::any_of(rows.begin(), rows.end(), commands) && common_letters(rows).size() == 1;
}

// A move, and an end of program: no table has both.
bool is_program(const std::vector<Words>& rows) {
  const auto has = [&](bool (*is)(const SurveyWord&)) {
    return std::any_of(rows.begin(), rows.end(),
                       [&](const Words& row) { return std::any_of(row.begin(), row.end(), is); });
  };
  const auto is_move = [](const SurveyWord& word) {
    return word.letter == 'G' && word.number.size() == 1 && word.number[0] <= '3';
  };
  return has(is_move) && has(is_program_end);
}

}  // namespace

bool is_program_end(const SurveyWord& word) {
  return word.letter == 'M' && (word.number == "2" || word.number == "30" || word.number == "99");
}

bool are_positions(const Sample& sample) {
  if (says_work(sample) || group_in_name(sample.name).value_or(Group::programs) != Group::programs)
    return false;
  constexpr std::size_t fewest = 3;
  std::size_t positions = 0;
  Words words;
  for (const std::string& line : sample.code) {
    if (line.empty() || !words_of_line(line, words)) continue;
    const SurveyWord& first = words.front();
    positions += first.letter == 'X' && first.pointed && words.size() > 1 ? 1U : 0U;
  }
  return positions >= fewest && positions * 2 > sample.code_lines();
}

Candidates propose_words(const Sample& sample) {
  std::vector<Words> rows;
  Words words;
  for (const std::string& line : sample.code) {
    if (!line.empty() && words_of_line(line, words)) rows.push_back(words);
  }
  if (rows.empty() || rows.size() * 5 < sample.code_lines() * 4 || is_program(rows) || are_blocks(rows) ||
      are_positions(sample))
    return {};
  const bool numbered = is_numbered(rows);
  const std::size_t across = numbered ? 1 : part_records(rows);
  std::vector<Shape> shapes;
  std::map<std::string, std::size_t> known;
  for (Words& row : rows) {
    const std::string match = match_of(row, numbered);
    const auto [at, fresh] = known.emplace(match, shapes.size());
    if (fresh) shapes.push_back({match, {}});
    shapes[at->second].rows.push_back(std::move(row));
  }
  // The narrower match is first: "G10 L2" before "G10", and that before "G".
  std::stable_sort(shapes.begin(), shapes.end(),
                   [](const Shape& a, const Shape& b) { return a.match.size() > b.match.size(); });
  Proposal proposal(sample, numbered, across);
  for (const Shape& shape : shapes) proposal.add(shape, shapes.size() == 1);
  return proposal.made();
}

}  // namespace keepway::layout
