// A line of a program, or a value of several words, taken apart: its numbers, and what is left without them.
#pragma once

#include <cstddef>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace keepway::verdict {

struct NumberWord {
  char letter = 0;      // what is in front of the number, in upper case, blanks aside; 0 for nothing
  std::size_t nth = 0;  // of the words of its letter
  std::string_view number;
};

struct NumberWords {
  std::string form;  // the text without its numbers, each of them as \1
  std::vector<NumberWord> words;
};

// Numbers of comments in round brackets are none: they move nothing. `text` must outlive what is given.
NumberWords number_words(std::string_view text);

// What another line has in the place of a word.
class NumbersByLetter {
 public:
  NumbersByLetter() = default;
  explicit NumbersByLetter(const NumberWords& words);

  // Of the same letter, as many such words behind; empty where there is none.
  [[nodiscard]] std::string_view at(const NumberWord& word) const;

 private:
  std::map<char, std::vector<std::string_view>> numbers_;
};

// Whether a text that is no number holds measures: a list of numbers, or numbers with their units. A date, a
// time and a path are none.
bool holds_measures(const NumberWords& words);

}  // namespace keepway::verdict
