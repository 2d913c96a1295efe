// Word-address rows: `G10 L2 P1 Y0`, `T3 P3 Z5.1 D.5 ; 1/2 end mill`, `K47 V1` (ISO 6983-1 and
// EIA RS-274-D words). Blanks may be anywhere and letters may be of any case (NISTIR 6556, 3.3).
#include <algorithm>
#include <array>
#include <utility>

#include "base/digit.hpp"
#include "reader/rows.hpp"

namespace keepway::reader {
namespace {

struct Word {
  char letter = 0;
  std::string_view number;
  bool used = false;
};

char upper(char c) {
  return c >= 'a' && c <= 'z' ? static_cast<char>(c - ('a' - 'A')) : c;
}

// A number at text[at], blanks inside allowed; its end, or `at` when there is none.
std::size_t number_end(std::string_view text, std::size_t at) {
  std::size_t end = at;
  bool digits = false;
  bool point = false;
  bool sign = false;
  for (std::size_t i = at; i < text.size(); ++i) {
    const char c = text[i];
    if (is_digit(c)) {
      digits = true;
    } else if (c == '.' && !point) {
      point = true;
    } else if ((c == '+' || c == '-') && !sign && !digits && !point) {
      sign = true;
    } else if (is_gap(c)) {
      continue;
    } else {
      break;
    }
    end = i + 1;
  }
  return digits ? end : at;
}

// Words of a row. False when something in it is no word.
bool split_words(std::string_view code, std::vector<Word>& words) {
  words.clear();
  bool clean = true;
  for (std::size_t at = 0; at < code.size();) {
    if (is_gap(code[at])) {
      ++at;
      continue;
    }
    const char letter = upper(code[at++]);
    if (letter < 'A' || letter > 'Z') {
      clean = false;
      continue;
    }
    while (at < code.size() && is_gap(code[at])) ++at;
    const std::size_t end = number_end(code, at);
    if (end == at) {
      clean = false;
      continue;
    }
    words.push_back({letter, code.substr(at, end - at), false});
    at = end;
  }
  return clean;
}

class Rule {
 public:
  explicit Rule(const RowRule& rule) : rule_(rule), key_(rule) {
    for (const Field& field : rule.fields) field_[static_cast<unsigned char>(field.from.front())] = &field;
  }

  // Whether the row is this rule's; fills the key, and marks the words that it used.
  bool takes(std::vector<Word>& words, std::string& key) const {
    for (const std::string& match : rule_.match) {
      if (!take_match(words, match)) return false;
    }
    const auto part = [&](const std::string& name) -> std::optional<std::string_view> {
      const auto word = find(words, name.front());
      if (word == words.end()) return std::nullopt;
      word->used = true;
      return word->number;
    };
    return key_.fill(part, key);
  }

  [[nodiscard]] const Field* field(char letter) const { return field_[static_cast<unsigned char>(letter)]; }

 private:
  static std::vector<Word>::iterator find(std::vector<Word>& words, char letter) {
    return std::find_if(words.begin(), words.end(), [=](const Word& word) { return word.letter == letter; });
  }

  static bool take_match(std::vector<Word>& words, std::string_view match) {
    for (Word& word : words) {
      if (word.letter != match.front()) continue;
      if (match.size() > 1 && canonical_spaced(word.number) != match.substr(1)) continue;
      word.used = true;
      return true;
    }
    return false;
  }

  const RowRule& rule_;
  KeyTemplate key_;
  std::array<const Field*, 256> field_{};
};

class Reader {
 public:
  Reader(const Input& input, Output& output) : rows_(input, output) {
    for (const RowRule& rule : input.source.rows) rules_.emplace_back(rule);
  }

  void read() {
    rows_.read_all([this](const Row& row) { return split_words(row.code, words_) && match() != nullptr; },
                   [this](const Row& row) { return read_row(row); });
  }

 private:
  const Rule* match() {
    if (words_.empty()) return nullptr;
    for (const Rule& rule : rules_) {
      if (rule.takes(words_, key_)) return &rule;
      for (Word& word : words_) word.used = false;
    }
    return nullptr;
  }

  bool read_row(const Row& row) {
    bool whole = split_words(row.code, words_);
    const Rule* rule = match();
    if (rule == nullptr) return false;
    // A line number that the rule does not ask for says nothing.
    if (words_.front().letter == 'N' && rule->field('N') == nullptr) words_.front().used = true;
    rows_.begin(row, key_);
    std::array<bool, 256> given{};
    for (Word& word : words_) {
      const Field* field = rule->field(word.letter);
      if (field != nullptr && !std::exchange(given[static_cast<unsigned char>(word.letter)], true)) {
        rows_.value(row, field->name, field->kind, word.number);
      } else if (!word.used) {
        whole = false;
      }
    }
    rows_.comment(row);
    return whole;
  }

  Rows rows_;
  std::vector<Rule> rules_;
  std::vector<Word> words_;
  std::string key_;
};

}  // namespace

void read_words(const Input& input, Output& output) {
  Reader(input, output).read();
}

}  // namespace keepway::reader
