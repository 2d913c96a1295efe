#include "survey/tokens.hpp"

#include <algorithm>

#include "base/digit.hpp"
#include "keepway/decimal.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"

namespace keepway::layout {
namespace {

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
// And so behind the signs of a list, `G54=X-1.5,Y2.`.
std::size_t number_in_word(const Token& token, const Tokens& before, bool commas) {
  constexpr std::size_t most_letters = 2;
  if (token.kind != Token::Kind::text || before.empty()) return 0;
  const Token& last = before.back();
  const bool apart = last.kind == Token::Kind::number || (before.size() == 1 && has_digit(last.text));
  const bool listed =
      commas && before.size() > 1 && before[1].text == "=" && (last.text == "=" || last.text == ",");
  // `T01,L178.365,R28.533`, `T01:L178.365:R28.533`
  const bool in_row = ((commas && last.text == ",") || last.text == ":") && has_digit(before.front().text) &&
                      before.front().kind == Token::Kind::text;
  const std::size_t digit = token.text.find_first_of("+-.0123456789");
  if (!(apart || listed || in_row) || digit > most_letters) return 0;
  return canonical_number(std::string_view(token.text).substr(digit)) ? digit : 0;
}

Tokens tokens_of_row(std::string_view code) {
  Tokens tokens;
  const bool commas = code.find(',') != std::string_view::npos;
  std::size_t blanks = 0;
  for (std::size_t at = 0; at < code.size();) {
    if (reader::is_gap(code[at])) {
      ++blanks;
      ++at;
      continue;
    }
    if (const std::size_t close = code[at] == '"' ? code.find('"', at + 1) : std::string_view::npos;
        close != std::string_view::npos && close > at + 1) {  // one text, whatever is in it
      tokens.push_back({Token::Kind::sign, "\"", blanks > 0});
      tokens.push_back({Token::Kind::text, std::string(code.substr(at + 1, close - at - 1)), false});
      tokens.push_back({Token::Kind::sign, "\"", false});
      blanks = 0;
      at = close + 1;
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
    const bool label = tokens.size() == 2 && tokens.front().text == "@";  // `@PARITY E`
    const bool joins = !label && token.kind == Token::Kind::text && !tokens.empty() &&
                       tokens.back().kind == Token::Kind::text && blanks == 1;
    if (const std::size_t number = number_in_word(token, tokens, commas); number > 0) {
      const bool point = end < code.size() && code[end] == '.' && token.text.find('.') == std::string::npos;
      if (point) token.text += code[end++];
      tokens.push_back({Token::Kind::text, token.text.substr(0, number), token.apart});
      tokens.push_back({Token::Kind::number, token.text.substr(number), false});
    } else if (joins) {
      tokens.back().text += " " + token.text;
    } else {
      token.joined = token.kind == Token::Kind::text && !token.apart && !tokens.empty() &&
                     tokens.back().kind == Token::Kind::number;
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

// `X G54 .... 120.5`: a name in front of a zero point, in all rows.
void part_zero_points(BySkeleton& by_skeleton) {
  const auto point = [](const Tokens& row) -> std::size_t {
    const std::string& text = row.front().text;
    const std::size_t blank = text.rfind(' ');
    const bool zero = row.front().kind == Token::Kind::text && blank != std::string::npos &&
                      text.size() == blank + 4 && upper(text.substr(blank + 1)).starts_with("G5");
    return zero ? blank : 0;
  };
  for (auto& [skeleton, together] : by_skeleton) {
    auto& rows = together.rows;
    if (!std::all_of(rows.begin(), rows.end(), [&](const Tokens& row) { return point(row) > 0; })) continue;
    for (Tokens& row : rows) {
      Token code{Token::Kind::text, row.front().text.substr(point(row) + 1), true};
      row.front().text.resize(point(row));
      row.insert(row.begin() + 1, std::move(code));
    }
  }
}

// `ORIGIN G54 : X…`, `AXIS X …`: a word that all rows have in front of a code or a letter.
void part_words(BySkeleton& by_skeleton) {
  for (auto& [skeleton, together] : by_skeleton) {
    auto& rows = together.rows;
    const std::string& first = rows.front().front().text;
    const std::string word = first.substr(0, first.find(' ') + 1);  // npos + 1 is 0
    const auto has_word = [&](const Tokens& row) {
      const std::string& text = row.front().text;
      return row.front().kind == Token::Kind::text && text.starts_with(word) &&
             text.find(' ', word.size()) == std::string::npos &&
             (text.size() == word.size() + 1 || has_digit(text.substr(word.size())));
    };
    if (rows.size() < 2 || word.empty() || has_digit(word) ||
        !std::all_of(rows.begin(), rows.end(), has_word))
      continue;
    for (Tokens& row : rows) {
      Token code{Token::Kind::text, row.front().text.substr(word.size()), true};
      row.front().text.resize(word.size() - 1);
      row.insert(row.begin() + 1, std::move(code));
    }
  }
}

// `FEED DRIVE X MAX 6000 MIN 1`: where other numbers have a label that is the same in all rows, the last word
// of the name in front, the same in all rows, is the first one's.
void part_first_labels(BySkeleton& by_skeleton) {
  for (auto& [skeleton, together] : by_skeleton) {
    auto& rows = together.rows;
    if (rows.size() < 2 || !skeleton.starts_with("T N T N ")) continue;
    const std::string& first = rows.front().front().text;
    const std::size_t blank = first.rfind(' ');
    const std::string label = blank == std::string::npos ? std::string() : first.substr(blank);
    const auto has_labels = [&](const Tokens& row) {
      return row.front().text.size() > label.size() && row.front().text.ends_with(label) &&
             row[2].text == rows.front()[2].text;
    };
    if (label.empty() || has_digit(label) || !std::all_of(rows.begin(), rows.end(), has_labels)) continue;
    for (Tokens& row : rows) {
      row.front().text.resize(row.front().text.size() - label.size());
      row.insert(row.begin() + 1, Token{Token::Kind::text, label.substr(1), true});
    }
  }
}

// `NR. 100 VALUE 6000 UNIT MM`: where a word names the number, one names the text behind it, too.
void part_labels(BySkeleton& by_skeleton) {
  constexpr std::size_t fewest = 3;
  for (auto& [skeleton, together] : by_skeleton) {
    auto& rows = together.rows;
    for (std::size_t i = 2; rows.size() >= fewest && i < rows.front().size(); ++i) {
      const std::string& first = rows.front()[i].text;
      const std::string word = first.substr(0, first.find(' ') + 1);  // npos + 1 is 0
      const auto is_labelled = [&](const Tokens& row) {
        return row[i].kind == Token::Kind::text && row[i - 1].kind == Token::Kind::number &&
               row[i - 2].kind == Token::Kind::text && row[i - 2].text == rows.front()[i - 2].text &&
               row[i].text.size() > word.size() && row[i].text.starts_with(word);
      };
      if (word.empty() || !std::all_of(rows.begin(), rows.end(), is_labelled)) continue;
      for (Tokens& row : rows) {
        Token text{Token::Kind::text, row[i].text.substr(word.size()), true};
        row[i].text.resize(word.size() - 1);
        row.insert(row.begin() + static_cast<std::ptrdiff_t>(i) + 1, std::move(text));
      }
    }
  }
}

void move_rows(Together& from, Together& to) {
  for (Tokens& row : from.rows) to.rows.push_back(std::move(row));
  to.lengths.merge(from.lengths);
}

// Whether signs lead from a name to its value.
bool is_led(std::string_view skeleton) {
  return skeleton.find_first_of(".:_=-@|") != std::string_view::npos;
}

// `P 1 = 160mm`, `P 2 = 71ms`: units behind the last numbers, in all rows, of which there are but a few.
void part_units(BySkeleton& by_skeleton) {
  for (auto& [skeleton, together] : by_skeleton) {
    auto& rows = together.rows;
    std::set<std::string_view> units;
    const bool all = is_led(skeleton) && std::all_of(rows.begin(), rows.end(), [&](const Tokens& row) {
                       const std::string_view last = row.back().text;
                       const std::string_view unit = last.substr(unit_in(last));
                       units.insert(unit);
                       return row.back().kind == Token::Kind::text && !unit.empty() &&
                              canonical_number(last.substr(0, unit_in(last)));
                     });
    if (!all || units.size() * 2 > rows.size()) continue;
    for (Tokens& row : rows) {
      const std::size_t unit = unit_in(row.back().text);
      Token text{Token::Kind::text, row.back().text.substr(unit), false, true};
      row.back().text.resize(unit);
      row.back().kind = Token::Kind::number;
      row.push_back(std::move(text));
    }
  }
}

// By the skeletons that the rows have now.
void group_again(BySkeleton& by_skeleton) {
  BySkeleton now;
  for (auto& [skeleton, together] : by_skeleton) move_rows(together, now[skeleton_of(together.rows.front())]);
  by_skeleton = std::move(now);
}

// The same skeleton with a number in place of its last text, which a bar may close; else empty.
std::string with_number(const std::string& skeleton) {
  for (const std::string_view text : {"T ", "T | "}) {
    if (skeleton.size() <= 4 || !skeleton.ends_with(text)) continue;
    std::string number = skeleton;
    number[skeleton.size() - text.size()] = 'N';
    return number;
  }
  return {};
}

// `COOLANT .... FLOOD` among `FEED .... 5000`: rows that have a text where others end in a number. Where
// nothing but blanks is in front of it, most must have the number.
void join_words(BySkeleton& by_skeleton) {
  for (auto text = by_skeleton.begin(); text != by_skeleton.end();) {
    const std::string& skeleton = text->first;
    const auto number = by_skeleton.find(with_number(skeleton));
    if (number == by_skeleton.end() ||
        (!is_led(skeleton) && number->second.rows.size() < text->second.rows.size())) {
      ++text;
      continue;
    }
    move_rows(text->second, number->second);
    text = by_skeleton.erase(text);
  }
}

// `DOOR DELAY (S) : 1.5` among `SPINDLE MAX : 4500`: where not all have it, it is a part of the name.
void join_brackets(BySkeleton& by_skeleton) {
  constexpr std::string_view bracket = "T ( T ) ";
  for (auto with = by_skeleton.begin(); with != by_skeleton.end();) {
    const std::size_t at = with->first.find(bracket);
    std::string plain = with->first;
    if (at != std::string::npos) plain.erase(at + 2, bracket.size() - 2);
    const auto without = at == std::string::npos ? by_skeleton.end() : by_skeleton.find(plain);
    if (without == by_skeleton.end()) {
      ++with;
      continue;
    }
    const auto token = static_cast<std::size_t>(
        std::count(with->first.begin(), with->first.begin() + static_cast<std::ptrdiff_t>(at), ' '));
    for (Tokens& row : with->second.rows) {
      row[token].text += " (" + row[token + 2].text + ")";
      const auto from = row.begin() + static_cast<std::ptrdiff_t>(token) + 1;
      row.erase(from, from + 3);
    }
    move_rows(with->second, without->second);
    with = by_skeleton.erase(with);
  }
}

// `TIMEOUT .... 30 MIN` among `STOP BITS .... 2`: a unit behind some values.
void join_units(BySkeleton& by_skeleton) {
  for (auto plain = by_skeleton.begin(); plain != by_skeleton.end();) {
    const std::string& skeleton = plain->first;
    const auto unit =
        skeleton.ends_with("N ") && is_led(skeleton) ? by_skeleton.find(skeleton + "T ") : by_skeleton.end();
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

BySkeleton rows_alike(const Sample& sample, std::size_t& lines) {
  BySkeleton by_skeleton;
  lines = 0;
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
  join_brackets(by_skeleton);
  part_first_labels(by_skeleton);
  part_codes(by_skeleton);
  part_words(by_skeleton);
  part_zero_points(by_skeleton);
  part_labels(by_skeleton);
  part_units(by_skeleton);
  group_again(by_skeleton);
  join_words(by_skeleton);
  join_units(by_skeleton);
  return by_skeleton;
}

}  // namespace keepway::layout
