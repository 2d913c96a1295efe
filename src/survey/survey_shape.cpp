// A proposal for rows in a shape: texts and numbers in the same order, with names and signs between that all
// rows have, as in `TOOL 1: LEN=120.5 RAD=6.0` or `RAPID OVERRIDE ...... 25`.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "base/digit.hpp"
#include "base/encoding.hpp"
#include "keepway/decimal.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/survey_table.hpp"

namespace keepway::layout {
namespace {

struct Token {
  enum class Kind : unsigned char { number, text, sign };
  Kind kind = Kind::sign;
  std::string text;
  bool apart = false;  // a blank is in front
};
using Tokens = std::vector<Token>;

bool is_word_byte(char c) {
  return is_alnum(c) || c == '_';
}

// The end of a number at `at`; `at` where there is none, or where it is a part of something else: 0x1F, 3D,
// 2025-11-03.
std::size_t number_end(std::string_view code, std::size_t at) {
  std::size_t end = at;
  if (end < code.size() && (code[end] == '-' || code[end] == '+')) ++end;
  bool digits = false;
  bool point = false;
  for (; end < code.size() && (is_digit(code[end]) || (code[end] == '.' && !point)); ++end) {
    digits = digits || is_digit(code[end]);
    point = point || code[end] == '.';
  }
  if (!digits) return at;
  const bool goes_on = end < code.size() && (is_word_byte(code[end]) && !point);
  const bool date = end + 1 < code.size() && (code[end] == '-' || code[end] == '/' || code[end] == '.') &&
                    is_digit(code[end + 1]);
  return goes_on || date ? at : end;
}

// A word goes on over a sign that is within it: MM/MIN, feed.max.
std::size_t word_end(std::string_view code, std::size_t at) {
  while (at < code.size() && !(code[at] == '_' && at + 1 < code.size() && code[at + 1] == '_')) {
    const bool inner = at + 1 < code.size() &&
                       std::string_view("-/.%'&").find(code[at]) != std::string::npos &&
                       is_word_byte(code[at + 1]);
    if (!is_word_byte(code[at]) && !inner) break;
    ++at;
  }
  return at;
}

// `V12.5` behind a number or code: a value with its letter in front, rather than a word of a text. Where the
// number begins in it; 0 for anything else.
std::size_t number_in_word(const Token& token, const Tokens& before) {
  constexpr std::size_t most_letters = 2;
  if (token.kind != Token::Kind::text || before.empty()) return 0;
  const Token& last = before.back();
  const bool apart = last.kind == Token::Kind::number || (before.size() == 1 && has_digit(last.text));
  const std::size_t digit = token.text.find_first_of("+-.0123456789");
  if (!apart || digit > most_letters) return 0;
  return canonical_number(std::string_view(token.text).substr(digit)) ? digit : 0;
}

Tokens tokens_of_row(std::string_view code) {
  Tokens tokens;
  std::size_t blanks = 0;
  for (std::size_t at = 0; at < code.size();) {
    if (reader::is_gap(code[at])) {
      ++blanks;
      ++at;
      continue;
    }
    std::size_t end = number_end(code, at);
    Token token{Token::Kind::number, {}, blanks > 0};
    if (end == at) {
      end = word_end(code, at);
      token.kind = end > at ? Token::Kind::text : Token::Kind::sign;
      if (end == at) end = std::min(code.find_first_not_of(code[at], at), code.size());
    }
    token.text = code.substr(at, end - at);
    const bool joins = token.kind == Token::Kind::text && !tokens.empty() &&
                       tokens.back().kind == Token::Kind::text && blanks == 1;
    if (const std::size_t number = number_in_word(token, tokens); number > 0) {
      tokens.push_back({Token::Kind::text, token.text.substr(0, number), token.apart});
      tokens.push_back({Token::Kind::number, token.text.substr(number), false});
    } else if (joins) {
      tokens.back().text += " " + token.text;
    } else {
      tokens.push_back(std::move(token));
    }
    blanks = 0;
    at = end;
  }
  return tokens;
}

bool is_assigned(const Tokens& tokens, std::size_t i) {
  return i + 1 < tokens.size() && tokens[i + 1].text == "=";
}

// Where a row has several assignments, the name of each is one word: `G54 X=1 Y=2`.
Tokens with_single_names(Tokens tokens) {
  if (std::count_if(tokens.begin(), tokens.end(), [](const Token& t) { return t.text == "="; }) < 2)
    return tokens;
  Tokens out;
  for (std::size_t i = 0; i < tokens.size(); ++i) {
    const std::size_t blank = tokens[i].text.rfind(' ');
    if (tokens[i].kind == Token::Kind::text && is_assigned(tokens, i) && blank != std::string::npos) {
      out.push_back({Token::Kind::text, tokens[i].text.substr(0, blank), tokens[i].apart});
      tokens[i].text.erase(0, blank + 1);
      tokens[i].apart = true;
    }
    out.push_back(std::move(tokens[i]));
  }
  return out;
}

std::string skeleton_of(const Tokens& tokens) {
  std::string out;
  for (const Token& token : tokens) {
    out += token.kind == Token::Kind::number ? "N"
           : token.kind == Token::Kind::text ? "T"
                                             : token.text.substr(0, 2);
    out += ' ';
  }
  return out;
}

// Rows that have the same texts and numbers between the same signs.
class ShapeRows {
 public:
  // `aligned`: all lines are of one length, so that fixed columns, which keep their width, may fit as well.
  ShapeRows(const Sample& sample, std::vector<Tokens> rows, bool aligned)
      : sample_(sample), rows_(std::move(rows)) {
    const Tokens& first = rows_.front();
    for (std::size_t i = 0; i < first.size(); ++i) {
      const bool same = std::all_of(rows_.begin(), rows_.end(),
                                    [&](const Tokens& row) { return row[i].text == first[i].text; });
      const bool literal = first[i].kind == Token::Kind::sign || (first[i].kind == Token::Kind::text && same);
      if (!literal) holes_.push_back(i);
    }
    guessed_ = aligned && !holes_.empty() && (!is_text(0) || is_code(0));
  }

  [[nodiscard]] std::optional<Candidate> made() {
    if (holes_.size() < 2 || holes_.size() > most_holes || is_plain_table()) return std::nullopt;
    name_holes();
    const std::size_t keys = is_unique(1) ? 1 : 2;
    if (holes_.size() <= keys) return std::nullopt;
    Candidate made;
    made.reader = ReaderKind::columns;
    std::string prefix;
    made.group = group(keys, prefix, made.guesses);
    IncrementGuess increment;
    std::vector<std::string> fields;
    for (std::size_t i = keys; i < holes_.size(); ++i) {
      const std::string name = holes_.size() == keys + 1 ? "" : names_[i];
      const std::string_view kind = is_text(i) ? "text" : has_words(i) ? "any" : "";
      fields.push_back(kind.empty() ? fmt::format("{} = {}", names_[i], toml_quoted(name))
                                    : fmt::format("{} = {{ name = {}, kind = {} }}", names_[i],
                                                  toml_quoted(name), toml_quoted(kind)));
      if (is_text(i)) continue;
      for (const Tokens& row : rows_) {
        if (row[holes_[i]].kind == Token::Kind::number) increment.see(row[holes_[i]].text);
      }
    }
    if (guessed_) made.guesses.push_back({"the columns' names: nothing in the rows gives them", "shape"});
    std::string address = prefix + "{" + names_[0] + "}";
    if (keys == 2) address += "/{" + names_[1] + "}";
    made.keys =
        skip_line(sample_, true) + comment_line(sample_.comments) +
        key_line("shape", toml_quoted(Encoding(sample_.encoding).to_utf8(shape())), "how a row is written") +
        increment.line(made.group, made.guesses) +
        key_line("address", toml_quoted(address), "key: " + names_[0]) +
        key_line("fields", fmt::format("{{ {} }}", fmt::join(fields, ", ")));
    return made;
  }

 private:
  static constexpr std::size_t most_holes = 32;

  // What blanks part as well.
  [[nodiscard]] bool is_plain_table() const {
    return std::all_of(rows_.begin(), rows_.end(), [&](const Tokens& row) {
      return std::all_of(row.begin(), row.end(), [](const Token& token) {
        return token.kind != Token::Kind::sign && token.text.find(' ') == std::string::npos;
      });
    });
  }

  // R12, KD4010.
  [[nodiscard]] bool is_code(std::size_t hole) const {
    return std::all_of(rows_.begin(), rows_.end(), [&](const Tokens& row) {
      const std::string& text = row[holes_[hole]].text;
      return has_digit(text) && text.find(' ') == std::string::npos;
    });
  }

  // The first row has a number wherever any row has one.
  [[nodiscard]] bool is_text(std::size_t hole) const {
    return rows_.front()[holes_[hole]].kind == Token::Kind::text;
  }
  // A text among numbers.
  [[nodiscard]] bool has_words(std::size_t hole) const {
    return !is_text(hole) && std::any_of(rows_.begin(), rows_.end(), [&](const Tokens& row) {
      return row[holes_[hole]].kind == Token::Kind::text;
    });
  }
  [[nodiscard]] bool is_hole(std::size_t token) const {
    return std::find(holes_.begin(), holes_.end(), token) != holes_.end();
  }

  // The text in front of a hole with nothing but a sign between.
  [[nodiscard]] std::string label(std::size_t hole) const {
    std::size_t at = holes_[hole];
    const Tokens& row = rows_.front();
    if (at > 0 && (row[at - 1].text == "=" || row[at - 1].text == ":")) --at;
    if (at == 0 || row[at - 1].kind != Token::Kind::text || is_hole(at - 1)) return {};
    const std::string name = plain_name(row[at - 1].text, sample_.encoding);
    return name.empty() || is_digit(name.front()) ? std::string() : name;
  }

  [[nodiscard]] bool is_taken(std::string_view name) const {
    return std::find(names_.begin(), names_.end(), name) != names_.end();
  }

  [[nodiscard]] std::string text_name(std::size_t hole, bool of_texts_alone) const {
    constexpr std::size_t longest_unit = 8;
    if (of_texts_alone) return is_taken("value") ? "note" : "value";
    const bool is_short = std::all_of(rows_.begin(), rows_.end(), [&](const Tokens& row) {
      return row[holes_[hole]].text.size() <= longest_unit;
    });
    const bool behind = hole > 1 && !is_text(hole - 1);
    if (is_short && (behind || is_taken("name"))) return "unit";
    return is_taken("name") ? "note" : "name";
  }

  void name_holes() {
    const auto numbers =
        static_cast<std::size_t>(std::count_if(holes_.begin(), holes_.end(), [&](std::size_t token) {
          return rows_.front()[token].kind == Token::Kind::number;
        }));
    const std::size_t values = numbers - (is_text(0) ? 0 : 1);
    for (std::size_t i = 0; i < holes_.size(); ++i) {
      std::string name = label(i);
      if (name.empty() && i == 0) name = is_code(0) ? "number" : "name";
      if (name.empty() && is_text(i)) name = text_name(i, values == 0);
      if (name.empty() && values == 1) name = "value";
      if (name.empty()) guessed_ = true;
      if (name.empty() || is_taken(name)) name = fmt::format("c{}", i + 1);
      names_.push_back(std::move(name));
    }
  }

  [[nodiscard]] bool is_unique(std::size_t keys) const {
    std::set<std::string> seen;
    return std::all_of(rows_.begin(), rows_.end(), [&](const Tokens& row) {
      std::string key;
      for (std::size_t i = 0; i < keys; ++i) key += row[holes_[i]].text + "/";
      return seen.insert(key).second;
    });
  }

  [[nodiscard]] std::string shape() const {
    const Tokens& row = rows_.front();
    std::string out;
    for (std::size_t i = 0; i < row.size(); ++i) {
      const auto hole = std::find(holes_.begin(), holes_.end(), i);
      std::string text = row[i].text;
      if (hole != holes_.end()) text = "{" + names_[static_cast<std::size_t>(hole - holes_.begin())] + "}";
      if (row[i].kind == Token::Kind::sign && text.size() > 1) text = text.substr(0, 2);
      const bool columns = i > 0 && is_hole(i) && is_hole(i - 1);
      out += row[i].apart || columns ? " " + text : text;
    }
    return out;
  }

  [[nodiscard]] Group group(std::size_t keys, std::string& prefix, std::vector<Guess>& guesses) const {
    const auto all_keys = [&](auto is) {
      return std::all_of(rows_.begin(), rows_.end(),
                         [&](const Tokens& row) { return is(std::string_view(row[holes_[0]].text)); });
    };
    if (all_keys([](std::string_view key) { return key.size() > 2 && upper(key).starts_with("G5"); })) {
      prefix = "work/";
      return Group::offsets;
    }
    std::string said;
    for (const std::string& name : names_) said += name + " ";
    for (const std::string_view word : {"tool", "length", "radius", "diam", "len ", "rad "}) {
      if (said.find(word) == std::string::npos) continue;
      prefix = "tool/";
      return Group::offsets;
    }
    if (group_in_name(names_[0]) == Group::offsets) {
      prefix = "tool/";
      guesses.push_back({"that its rows are tools: only the word in front says so", "address"});
      return Group::offsets;
    }
    const Group usual = keys == 2 || all_keys(is_cell_name) ? Group::variables
                        : is_code(0)                        ? Group::parameters
                                                            : Group::settings;
    const Group found = group_of(sample_, usual, guesses);
    if (found == Group::offsets && holes_.size() > keys + 1) {
      prefix = "tool/";
      guesses.push_back({"that its rows are tools: only a name or a heading says so", "address"});
    }
    return found;
  }

  const Sample& sample_;
  std::vector<Tokens> rows_;
  std::vector<std::size_t> holes_;  // indices of tokens that differ from row to row
  std::vector<std::string> names_;
  bool guessed_ = false;  // names of columns
};

struct Together {
  std::vector<Tokens> rows;
  std::set<std::size_t> lengths;  // of their lines
};
using BySkeleton = std::map<std::string, Together>;

// `P001 SPINDLE MAX : 4500`: a code in front of a name, in all rows.
void part_codes(BySkeleton& by_skeleton) {
  const auto behind_code = [](const Tokens& row) -> std::size_t {
    const std::string& text = row.front().text;
    const std::size_t blank = std::min(text.find(' '), text.size());
    const bool code = row.front().kind == Token::Kind::text && has_digit(text.substr(0, blank));
    return code && blank < text.size() ? blank : 0;
  };
  for (auto& [skeleton, together] : by_skeleton) {
    auto& rows = together.rows;
    if (!std::all_of(rows.begin(), rows.end(), [&](const Tokens& row) { return behind_code(row) > 0; }))
      continue;
    for (Tokens& row : rows) {
      const std::size_t blank = behind_code(row);
      Token name{Token::Kind::text, row.front().text.substr(blank + 1), true};
      row.front().text.resize(blank);
      row.insert(row.begin() + 1, std::move(name));
    }
  }
}

void move_rows(Together& from, Together& to) {
  for (Tokens& row : from.rows) to.rows.push_back(std::move(row));
  to.lengths.merge(from.lengths);
}

// `COOLANT .... FLOOD` among `FEED .... 5000`: rows that have a text where others end in a number. Where
// nothing but blanks is in front of it, most must have the number.
void join_words(BySkeleton& by_skeleton) {
  for (auto text = by_skeleton.begin(); text != by_skeleton.end();) {
    const std::string& skeleton = text->first;
    const auto number = skeleton.size() > 4 && skeleton.ends_with("T ")
                            ? by_skeleton.find(skeleton.substr(0, skeleton.size() - 2) + "N ")
                            : by_skeleton.end();
    const bool led = skeleton.find_first_of(".:_=-") != std::string::npos;
    if (number == by_skeleton.end() || (!led && number->second.rows.size() < text->second.rows.size())) {
      ++text;
      continue;
    }
    move_rows(text->second, number->second);
    text = by_skeleton.erase(text);
  }
}

// `TIMEOUT .... 30 MIN` among `STOP BITS .... 2`: a unit behind some values.
void join_units(BySkeleton& by_skeleton) {
  for (auto plain = by_skeleton.begin(); plain != by_skeleton.end();) {
    const std::string& skeleton = plain->first;
    const bool led = skeleton.ends_with("N ") && skeleton.find_first_of(".:_=-") != std::string::npos;
    const auto unit = led ? by_skeleton.find(skeleton + "T ") : by_skeleton.end();
    if (unit == by_skeleton.end()) {
      ++plain;
      continue;
    }
    for (Tokens& row : plain->second.rows) row.push_back({Token::Kind::text, {}, true});
    move_rows(plain->second, unit->second);
    plain = by_skeleton.erase(plain);
  }
}

}  // namespace

Candidates propose_shape(const Sample& sample) {
  BySkeleton by_skeleton;
  std::size_t lines = 0;
  for (std::size_t i = 0; i < sample.code.size(); ++i) {
    const std::string& code = sample.code[i];
    if (code.empty() || is_rule(code)) continue;
    ++lines;
    Tokens tokens = with_single_names(tokens_of_row(code));
    std::string skeleton = skeleton_of(tokens);
    Together& together = by_skeleton[std::move(skeleton)];
    together.rows.push_back(std::move(tokens));
    together.lengths.insert(sample.lines[i].text.find_last_not_of(" \t"));
  }
  part_codes(by_skeleton);
  join_words(by_skeleton);
  join_units(by_skeleton);
  std::vector<Together*> often;
  for (auto& [skeleton, together] : by_skeleton) {
    if (together.rows.size() > 1 && together.rows.size() * 5 >= lines) often.push_back(&together);
  }
  std::stable_sort(often.begin(), often.end(),
                   [](const Together* a, const Together* b) { return a->rows.size() > b->rows.size(); });
  Candidates found;
  for (Together* together : often) {
    if (auto made = ShapeRows(sample, std::move(together->rows), together->lengths.size() == 1).made())
      found.push_back(*std::move(made));
  }
  return found;
}

}  // namespace keepway::layout
