#include "compare/meaning.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "compare/mode_changes.hpp"
#include "compare/to_rapid.hpp"
#include "compare/word_changes.hpp"

namespace keepway {
namespace {

constexpr std::size_t pair_look_ahead = 16;

std::string letters_of(const std::vector<Word>& words) {
  std::string letters;
  for (const Word& word : words) letters += word.letter;
  return letters;
}

bool sets(const std::vector<Word>& words, Modal group) {
  return std::any_of(words.begin(), words.end(),
                     [&](const Word& word) { return modal_group(word) == group; });
}

bool same_code(const Word& a, const Word& b) {
  return a.letter == b.letter && a.value == b.value;
}

using Side = std::vector<std::vector<Word>>;

// Tells blocks in pairs: one to one when both sides have as many, else those with the same letters.
void tell_pairs(const Side& before, const Side& after, std::vector<std::string>& out) {
  std::size_t b = 0;
  for (const std::vector<Word>& was : before) {
    std::size_t match = b;
    if (before.size() != after.size()) {
      const std::size_t end = std::min(after.size(), b + pair_look_ahead);
      const std::string letters = letters_of(was);
      while (match < end && letters_of(after[match]) != letters) ++match;
      if (match == end) {
        tell_words(was, {}, out);
        continue;
      }
    }
    for (; b < match; ++b) tell_words({}, after[b], out);
    tell_words(was, after[b++], out);
  }
  for (; b < after.size(); ++b) tell_words({}, after[b], out);
}

}  // namespace

void MeaningReader::pass(std::size_t a, std::size_t b) {
  words_of(before_[a], words_);
  before_force_.take(words_);
  words_of(after_[b], words_);
  after_force_.take(words_);
}

void MeaningReader::skip(std::size_t a, std::size_t a_end, std::size_t b, std::size_t b_end) {
  for (; a < a_end; ++a) before_force_.take(words_of(before_[a]));
  for (; b < b_end; ++b) after_force_.take(words_of(after_[b]));
}

void MeaningReader::explain(std::size_t a, std::size_t a_end, std::size_t b, std::size_t b_end,
                            BlockChange& stretch) {
  std::vector<std::string>& out = stretch.meaning;
  const InForce before_start = before_force_;
  const InForce after_start = after_force_;
  if (a_end - a <= max_explained && b_end - b <= max_explained) {
    Side was;
    Side is;
    for (std::size_t i = a; i < a_end; ++i) was.push_back(words_of(before_[i]));
    for (std::size_t i = b; i < b_end; ++i) is.push_back(words_of(after_[i]));
    tell_pairs(was, is, out);
    for (const auto& [from, to] : to_rapid({was, before_start}, {is, after_start}))
      stretch.to_rapid.emplace_back(before_[a + from].line, after_[b + to].line);
    for (const ModeWords& mode : mode_changes(was, is)) {
      stretch.modes.push_back({std::string(before_[a + mode.before_block].line),
                               std::string(after_[b + mode.after_block].line),
                               tell_codes(*mode.before, *mode.after)});
    }
  }
  skip(a, a_end, b, b_end);
  if (out.size() > max_statements) {
    const std::size_t more = out.size() - max_statements;
    out.resize(max_statements);
    out.push_back(fmt::format("and {} more", more));
  }
  // What a change leaves in force bears on blocks that did not change: the change easiest to overlook.
  for (std::size_t i = 0; i < modal_groups; ++i) {
    const auto group = static_cast<Modal>(i);
    const Word& was = before_force_.code(group);
    const Word& is = after_force_.code(group);
    const bool as_before = same_code(was, before_start.code(group)) && same_code(is, after_start.code(group));
    if (same_code(was, is) || as_before) continue;
    for (std::size_t next = b_end; next < std::min(after_.size(), b_end + max_look_ahead); ++next) {
      const std::vector<Word> words = words_of(after_[next]);
      if (sets(words, group)) break;
      if (!has_axis(words)) continue;
      if (group == Modal::motion && is_feed(was) && is_rapid(is) && is_move(words)) {
        const std::string line(after_[next].line);
        stretch.to_rapid.emplace_back(line, line);
      }
      if (is.letter != 0 && was.letter != 0) {
        out.push_back("in the blocks that follow, too: " + tell_codes(was, is));
      } else {
        const Word& word = is.letter != 0 ? is : was;
        out.push_back(fmt::format("in the blocks that follow, too: {} {}{} {} in force", modal_name(group),
                                  word.letter, word.value, is.letter != 0 ? "now" : "no longer"));
      }
      break;
    }
  }
}

}  // namespace keepway
