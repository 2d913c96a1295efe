// Word-address rows: `G10 L2 P1 Y0`, `T3 P3 Z5.1 D.5 ; 1/2 end mill`, `K47 V1` (ISO 6983-1 and
// EIA RS-274-D words). Letters may be of any case, and blanks may be before and behind a letter; in a number
// they part it from what follows.
#include <algorithm>
#include <array>
#include <span>
#include <utility>

#include "base/digit.hpp"
#include "reader/rows.hpp"

namespace keepway::reader {
namespace {

struct Word {
  char letter = 0;
  std::string_view number;
  bool touches = false;  // the number of the word before it
  bool used = false;
};

// The end of a number at text[at], or `at` when there is none. `decimal`: the sign that is its point.
std::size_t number_end(std::string_view text, std::size_t at, char decimal) {
  std::size_t end = at;
  if (end < text.size() && (text[end] == '+' || text[end] == '-')) ++end;
  bool digits = false;
  bool point = false;
  for (; end < text.size(); ++end) {
    if (is_digit(text[end])) {
      digits = true;
    } else if (text[end] == decimal && !point) {
      point = true;
    } else {
      break;
    }
  }
  return digits ? end : at;
}

struct Words {
  std::vector<Word> words;
  bool clean = true;    // nothing on the row but words
  bool broken = false;  // a number goes on where no word ends, as in `P1,5`, `P1.2.3` or `X1 5`: what it says
                        // is not known, and so nothing of the row is
};

void split_words(std::string_view code, char decimal, Words& out) {
  out.words.clear();
  out.clean = true;
  out.broken = false;
  bool behind_number = false;
  for (std::size_t at = 0; at < code.size();) {
    if (is_gap(code[at])) {
      ++at;
      continue;
    }
    const char letter = upper(code[at]);
    if (!is_letter(letter)) {
      out.clean = false;
      out.broken = out.broken || behind_number;
      ++at;
      continue;
    }
    behind_number = false;
    const bool touches = at > 0 && (is_digit(code[at - 1]) || code[at - 1] == decimal);
    ++at;
    while (at < code.size() && is_gap(code[at])) ++at;
    const std::size_t end = number_end(code, at, decimal);
    if (end == at) {
      out.clean = false;
      continue;
    }
    out.words.push_back({letter, code.substr(at, end - at), touches, false});
    behind_number = true;
    at = end;
  }
}

class Rule {
 public:
  explicit Rule(const RowRule& rule) : rule_(rule), key_(rule) {
    for (const Field& field : rule.fields) field_[static_cast<unsigned char>(field.from.front())] = &field;
  }

  // Whether the row is this rule's; fills the key, and marks the words that it used. `of`: the part that the
  // row is under.
  bool takes(std::span<Word> words, std::string_view of, std::string& key) const {
    for (const std::string& match : rule_.match) {
      if (!take_match(words, match)) return false;
    }
    const auto part = [&](const std::string& name) -> std::optional<std::string_view> {
      if (name == "part") return of.empty() ? std::nullopt : std::optional(of);
      const auto word = find(words, name.front());
      if (word == words.end()) return std::nullopt;
      word->used = true;
      return word->number;
    };
    return key_.fill(part, key);
  }

  [[nodiscard]] const Field* field(char letter) const { return field_[static_cast<unsigned char>(letter)]; }

 private:
  static std::span<Word>::iterator find(std::span<Word> words, char letter) {
    return std::find_if(words.begin(), words.end(), [=](const Word& word) { return word.letter == letter; });
  }

  static bool take_match(std::span<Word> words, std::string_view match) {
    for (Word& word : words) {
      if (word.letter != match.front()) continue;
      if (match.size() > 1 && canonical_number(word.number) != match.substr(1)) continue;
      word.used = true;
      return true;
    }
    return false;
  }

  const RowRule& rule_;
  KeyTemplate key_;
  std::array<const Field*, 256> field_{};
};

class WordReader {
 public:
  WordReader(const Input& input, Output& output)
      : rows_(input, output), decimal_(input.source.numbers.comma ? ',' : '.'), across_(input.source.across) {
    for (const RowRule& rule : input.source.rows) rules_.emplace_back(rule);
  }

  void read() {
    rows_.read_all([this](const Row& row) { return is_row(row); },
                   [this](const Row& row) { return read_row(row); });
  }

 private:
  bool is_row(const Row& row) {
    split_words(row.code, decimal_, split_);
    std::size_t from = 0;
    next_record(from);
    return split_.clean && match() != nullptr;
  }

  // The words from `from` up to where the line's first letter comes again, of which `across` says how often
  // it may; `from` is behind them then.
  void next_record(std::size_t& from) {
    const auto begin = split_.words.begin() + static_cast<std::ptrdiff_t>(from);
    auto end = split_.words.end();
    if (across_ > 1 && begin != end) {
      const auto first = begin->letter == 'N' && begin + 1 != end ? begin + 1 : begin;
      end = std::find_if(first + 1, end, [&](const Word& word) { return word.letter == first->letter; });
    }
    record_ = {begin, end};
    from = static_cast<std::size_t>(end - split_.words.begin());
  }

  const Rule* match() {
    if (record_.empty()) return nullptr;
    for (const Rule& rule : rules_) {
      if (rule.takes(record_, rows_.part(), key_)) return &rule;
      for (Word& word : record_) word.used = false;
    }
    return nullptr;
  }

  // A letter behind a number that means nothing here may be a part of it, as in `P1e5`.
  [[nodiscard]] bool runs_on(const Rule& rule) const {
    return std::any_of(record_.begin(), record_.end(), [&](const Word& word) {
      return word.touches && !word.used && rule.field(word.letter) == nullptr;
    });
  }

  bool read_row(const Row& row) {
    split_words(row.code, decimal_, split_);
    if (split_.broken || split_.words.empty()) return false;
    std::size_t from = 0;
    for (std::size_t records = 0; from < split_.words.size(); ++records) {
      next_record(from);
      if (records == across_ || !read_record(row)) return false;
    }
    return split_.clean;
  }

  bool read_record(const Row& row) {
    const std::span<Word> words = record_;
    const Rule* rule = match();
    if (rule == nullptr || runs_on(*rule)) return false;
    bool whole = true;
    // A line number that the rule does not ask for says nothing.
    if (words.front().letter == 'N' && rule->field('N') == nullptr) words.front().used = true;
    rows_.begin(row, key_);
    std::array<bool, 256> given{};
    for (Word& word : words) {
      const Field* field = rule->field(word.letter);
      if (field != nullptr && !std::exchange(given[static_cast<unsigned char>(word.letter)], true)) {
        rows_.value(row, *field, word.number, static_cast<std::uint8_t>(word.letter));
      } else if (!word.used) {
        whole = false;
      }
    }
    rows_.comment(row);
    return whole;
  }

  Rows rows_;
  const char decimal_;
  const std::size_t across_;
  std::vector<Rule> rules_;
  Words split_;             // of the line
  std::span<Word> record_;  // of those; most often all of them
  std::string key_;
};

}  // namespace

void read_words(const Input& input, Output& output) {
  WordReader(input, output).read();
}

}  // namespace keepway::reader
