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
#include "survey/table.hpp"
#include "survey/tokens.hpp"

namespace keepway::layout {
namespace {

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
    const bool data =
        first.size() > 2 && first[0].kind == Token::Kind::number && upper(first[1].text) == "DATA";
    numbered_ = data && !holes_.empty() && holes_.front() == 0 && !is_hole(1);
    if (numbered_) holes_.erase(holes_.begin());
    guessed_ = aligned && !holes_.empty() && (!is_text(0) || is_code(0));
  }

  [[nodiscard]] std::optional<Candidate> made() {
    if (holes_.size() < 2 || holes_.size() > most_holes || is_plain_table() || are_settings())
      return std::nullopt;
    name_holes();
    const std::size_t keys = is_unique(1) ? 1 : 2;
    return holes_.size() <= keys ? std::nullopt : std::optional(made_with(keys));
  }

  // Of a record without a key.
  [[nodiscard]] std::optional<Candidate> record() {
    if (holes_.empty() || holes_.size() > most_holes) return std::nullopt;
    for (std::size_t i = 0; i < holes_.size(); ++i) {
      if (label(i).empty()) return std::nullopt;
    }
    name_holes();
    return made_with(0);
  }

 private:
  static constexpr std::size_t most_holes = 32;

  [[nodiscard]] Candidate made_with(std::size_t keys) {
    Candidate made;
    made.reader = ReaderKind::columns;
    std::string prefix;
    made.group = group(keys, prefix, made.guesses);
    IncrementGuess increment;
    std::vector<std::string> fields;
    for (std::size_t i = keys; i < holes_.size(); ++i) {
      const std::string name = holes_.size() == keys + 1 ? "" : names_[i];
      const std::string_view kind = is_text(i) || has_flags(i)         ? "text"
                                    : has_words(i) || has_some_bits(i) ? "any"
                                                                       : "";
      fields.push_back(kind.empty() ? fmt::format("{} = {}", names_[i], toml_quoted(name))
                                    : fmt::format("{} = {{ name = {}, kind = {} }}", names_[i],
                                                  toml_quoted(name), toml_quoted(kind)));
      if (kind == "text") continue;
      for (const Tokens& row : rows_) {
        if (row[holes_[i]].kind == Token::Kind::number) increment.see(row[holes_[i]].text);
      }
    }
    if (guessed_) made.guesses.push_back({"the columns' names: nothing in the rows gives them", "shape"});
    std::string address = keys == 0 ? "" : prefix;
    for (const std::size_t key : keys_in_order(keys)) address += "{" + names_[key] + "}/";
    if (keys > 0) address.pop_back();
    made.keys =
        skip_line(sample_, true) + comment_line(sample_.comments) +
        key_line("shape", toml_quoted(Encoding(sample_.encoding).to_utf8(shape())), "how a row is written") +
        increment.line(made.group, made.guesses) +
        key_line("address", toml_quoted(address), keys == 0 ? "" : "key: " + names_[0]) +
        key_line("fields", fmt::format("{{ {} }}", fmt::join(fields, ", ")));
    return made;
  }

  // `X G54 .... 120.5`: the zero point comes first.
  [[nodiscard]] std::vector<std::size_t> keys_in_order(std::size_t keys) const {
    if (keys == 2 && is_zero_point(1) && !is_zero_point(0)) return {1, 0};
    return keys == 2 ? std::vector<std::size_t>{0, 1} : std::vector<std::size_t>(keys, 0);
  }
  // G54: in all rows.
  [[nodiscard]] bool is_zero_point(std::size_t hole) const {
    return std::all_of(rows_.begin(), rows_.end(), [&](const Tokens& row) {
      return row[holes_[hole]].text.size() == 3 && upper(row[holes_[hole]].text).starts_with("G5");
    });
  }

  // What blanks part as well.
  [[nodiscard]] bool is_plain_table() const {
    std::size_t labels = 0;  // words that all rows have, as in `TOOL 1 LEN 120.5`
    for (std::size_t i = 0; i < rows_.front().size(); ++i)
      labels += !is_hole(i) && rows_.front()[i].kind == Token::Kind::text ? 1U : 0U;
    if (labels > 1 && (!is_hole(0) || !is_hole(1))) return false;
    return std::all_of(rows_.begin(), rows_.end(), [&](const Tokens& row) {
      return std::all_of(row.begin(), row.end(), [](const Token& token) {
        return token.kind != Token::Kind::sign && token.text.find(' ') == std::string::npos;
      });
    });
  }

  // `A=1 B=2` above `C=3 D=4`: settings side by side, each with a name of its own.
  [[nodiscard]] bool are_settings() const {
    const Tokens& row = rows_.front();
    std::size_t names = 0;
    for (std::size_t i = 0; i < holes_.size(); ++i) {
      const std::size_t behind = holes_[i] + 1;
      names += is_text(i) && behind < row.size() && row[behind].text == "=" ? 1U : 0U;
    }
    return names > 1;
  }

  // R12, KD4010.
  [[nodiscard]] bool is_code(std::size_t hole) const {
    return std::all_of(rows_.begin(), rows_.end(), [&](const Tokens& row) {
      const std::string& text = row[holes_[hole]].text;
      return has_digit(text) && text.find(' ') == std::string::npos;
    });
  }

  // A, B, C: the lines of a menu.
  [[nodiscard]] bool is_letter_each(std::size_t hole) const {
    return std::all_of(rows_.begin(), rows_.end(),
                       [&](const Tokens& row) { return row[holes_[hole]].text.size() == 1; });
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
  [[nodiscard]] std::vector<std::string> values(std::size_t hole) const {
    std::vector<std::string> all;
    for (const Tokens& row : rows_) all.push_back(row[holes_[hole]].text);
    return all;
  }
  [[nodiscard]] bool has_flags(std::size_t hole) const { return are_flags(values(hole)); }
  [[nodiscard]] bool has_some_bits(std::size_t hole) const { return has_others_among_numbers(values(hole)); }
  [[nodiscard]] bool is_hole(std::size_t token) const {
    return std::find(holes_.begin(), holes_.end(), token) != holes_.end();
  }

  // The text in front of a hole with nothing but a sign between.
  [[nodiscard]] std::string label(std::size_t hole) const {
    std::size_t at = holes_[hole];
    const Tokens& row = rows_.front();
    if (at > 0 && (row[at - 1].text == "=" || row[at - 1].text == ":")) --at;
    if (at == 0 || row[at - 1].kind != Token::Kind::text || is_hole(at - 1)) return {};
    if (numbered_ && at == 2) return {};
    constexpr std::size_t longest_unit = 3;
    const bool behind_number = at > 1 && is_hole(at - 2) && row[at - 2].kind == Token::Kind::number;
    const bool unit = at == holes_[hole] && behind_number && is_text(hole);  // `0.50 S  COOLANT`
    if (unit && row[at - 1].text.size() <= longest_unit) return {};
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
      const std::string& text = row[holes_[hole]].text;
      return text.size() <= longest_unit && text.find(' ') == std::string::npos;
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
      if (name.empty() && i == 0) name = is_code(0) || is_letter_each(0) ? "number" : "name";
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
      if (i == 0 && numbered_) text = "{line}";
      if (hole != holes_.end()) text = "{" + names_[static_cast<std::size_t>(hole - holes_.begin())] + "}";
      if (row[i].kind == Token::Kind::sign && text.size() > 1) text = text.substr(0, 2);
      const bool columns = i > 0 && is_hole(i) && is_hole(i - 1);
      const bool joined =
          columns && std::any_of(rows_.begin(), rows_.end(), [i](const Tokens& r) { return r[i].joined; });
      out += (row[i].apart || columns) && !joined ? " " + text : text;
    }
    return out;
  }

  // X, Y, Z and no more, as of zero points.
  [[nodiscard]] bool has_axes_alone(std::size_t keys) const {
    return std::all_of(
        names_.begin() + static_cast<std::ptrdiff_t>(keys), names_.end(), [](const std::string& name) {
          return name.size() == 1 && std::string_view("xyzabcuvw").find(name) != std::string::npos;
        });
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
    for (std::size_t i = 0; i < holes_.size(); ++i) {  // "PLATE 1 (G54): X=…"
      if (!is_text(i) || !is_zero_point(i)) continue;
      prefix = "work/";
      return Group::offsets;
    }
    // `T01,L178.365`, `W01,X-69.821,Y-8.952`: letters in front of numbers, as of words.
    const auto all_of_letter = [&](std::string_view letters) {
      return keys == 1 && all_keys([&](std::string_view key) {
               return key.size() > 1 && letters.find(upper(key[0])) != std::string_view::npos &&
                      all_digits(key.substr(1));
             });
    };
    const bool letters = std::all_of(names_.begin() + static_cast<std::ptrdiff_t>(keys), names_.end(),
                                     [](const std::string& name) { return name.size() == 1; });
    if (letters && holes_.size() > 2 && all_of_letter("TW")) {
      if (has_axes_alone(keys) || all_of_letter("T")) {
        prefix = all_of_letter("T") ? "tool/" : "work/";
        return Group::offsets;
      }
    }
    std::string said;
    for (const std::string& name : names_) said += name + " ";
    for (const std::string_view word : {"tool", "pocket", "length", "radius", "diam", "len ", "rad "}) {
      if (said.find(word) == std::string::npos) continue;
      prefix = "tool/";
      return Group::offsets;
    }
    if (group_in_name(names_[0]) == Group::offsets) {
      if (has_axes_alone(keys) && says_work(sample_)) {
        prefix = "work/";
        return Group::offsets;
      }
      prefix = "tool/";
      guesses.push_back({"that its rows are tools: only the word in front says so", "address"});
      return Group::offsets;
    }
    if (const auto named = group_in_name(names_[0]); named && *named != Group::programs) return *named;
    const Group usual = keys == 2 || all_keys(is_cell_name) ? Group::variables
                        : is_code(0)                        ? Group::parameters
                                                            : Group::settings;
    const Group found = group_of(sample_, usual, guesses);
    if (found == Group::offsets && has_axes_alone(keys) && says_work(sample_)) {
      prefix = "work/";
    } else if (found == Group::offsets && holes_.size() > keys + 1) {
      prefix = "tool/";
      guesses.push_back({"that its rows are tools: only a name or a heading says so", "address"});
    }
    return found;
  }

  const Sample& sample_;
  std::vector<Tokens> rows_;
  std::vector<std::size_t> holes_;  // indices of tokens that differ from row to row
  std::vector<std::string> names_;
  bool numbered_ = false;  // `100 DATA 5,12.5`: a line number is in front, which says nothing
  bool guessed_ = false;   // names of columns
};

}  // namespace

Candidates propose_record(const Sample& sample) {
  std::size_t lines = 0;
  BySkeleton by_skeleton = rows_alike(sample, lines);
  if (by_skeleton.size() != 1 || by_skeleton.begin()->second.rows.size() < 2) return {};
  const auto made = ShapeRows(sample, std::move(by_skeleton.begin()->second.rows), false).record();
  return made ? Candidates{*made} : Candidates{};
}

Candidates propose_shape(const Sample& sample) {
  std::size_t lines = 0;
  BySkeleton by_skeleton = rows_alike(sample, lines);
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
