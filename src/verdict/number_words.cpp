#include "verdict/number_words.hpp"

#include <algorithm>
#include <array>

#include "base/digit.hpp"

namespace keepway::verdict {
namespace {

constexpr char number_mark = '\1';

bool starts_number(std::string_view text, std::size_t at) {
  return is_digit(text[at]) || text[at] == '.' || text[at] == '-' || text[at] == '+';
}

}  // namespace

NumbersByLetter::NumbersByLetter(const NumberWords& words) {
  for (const NumberWord& word : words.words) numbers_[word.letter].push_back(word.number);
}

std::string_view NumbersByLetter::at(const NumberWord& word) const {
  const auto found = numbers_.find(word.letter);
  return found == numbers_.end() || word.nth >= found->second.size() ? std::string_view()
                                                                     : found->second[word.nth];
}

NumberWords number_words(std::string_view text) {
  NumberWords out;
  std::array<std::size_t, 256> times{};  // that a letter had a number
  char letter = 0;
  for (std::size_t at = 0; at < text.size();) {
    if (text[at] == '(') {
      const std::size_t close = std::min(text.find(')', at), text.size());
      out.form += text.substr(at, close - at);
      at = close;
    } else if (starts_number(text, at)) {
      std::size_t end = at + 1;
      while (end < text.size() && (is_digit(text[end]) || text[end] == '.')) ++end;
      out.words.push_back({letter, times[static_cast<unsigned char>(letter)]++, text.substr(at, end - at)});
      out.form += number_mark;
      at = end;
    } else {
      if (text[at] != ' ') letter = upper(text[at]);
      out.form += text[at++];
    }
  }
  return out;
}

bool holds_measures(const NumberWords& words) {
  constexpr std::string_view two_in_a_row = "\1\1";  // 2026-03-01
  return !words.words.empty() && words.form.find_first_of(":/\\") == std::string::npos &&
         words.form.find(two_in_a_row) == std::string::npos;
}

}  // namespace keepway::verdict
