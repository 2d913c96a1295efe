#include "compare/word_changes.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "compare/modal.hpp"
#include "keepway/decimal.hpp"
#include "keepway/point.hpp"

namespace keepway {
namespace {

constexpr std::string_view letters_first = "TSFHD";
constexpr std::string_view letters_with_delta = "XYZUVWABCIJKRQ";

std::string letter_name(char letter) {
  switch (letter) {
    case 'F':
      return "feed";
    case 'S':
      return "spindle speed";
    case 'T':
      return "tool";
    case 'H':
      return "tool length index";
    case 'D':
      return "cutter radius index";
    default:
      return std::string(1, letter);
  }
}

std::string code_text(const Word& word) {
  return fmt::format("{}{}", word.letter, word.value);
}

bool is_call(const std::vector<Word>& words) {
  return std::any_of(words.begin(), words.end(), [](const Word& word) {
    return (word.letter == 'M' && word.value == "98") ||
           (word.letter == 'G' && (word.value == "65" || word.value == "66"));
  });
}

std::vector<Word> of_letter(const std::vector<Word>& words, char letter) {
  std::vector<Word> found;
  std::copy_if(words.begin(), words.end(), std::back_inserter(found),
               [&](const Word& word) { return word.letter == letter; });
  return found;
}

// " (+0.02)", or nothing when one of them is not a number.
std::string delta_text(std::string_view before, std::string_view after) {
  const auto a = Decimal::parse(before);
  const auto b = Decimal::parse(after);
  if (!a || !b) return "";
  const Decimal delta = *b - *a;
  return fmt::format(" ({}{})", delta.is_negative() ? "" : "+", delta.text());
}

// Two spellings of one number that differ in the normal form differ by their point.
bool same_number(std::string_view a, std::string_view b) {
  const auto x = Decimal::parse(a);
  const auto y = Decimal::parse(b);
  return x && y && *x == *y;
}

void tell_modes(const std::vector<Word>& before, const std::vector<Word>& after,
                std::vector<std::string>& out) {
  for (std::size_t i = 0; i < modal_groups; ++i) {
    const auto group = static_cast<Modal>(i);
    std::vector<Word> was;
    std::vector<Word> is;
    for (const Word& word : before) {
      if (modal_group(word) == group) was.push_back(word);
    }
    for (const Word& word : after) {
      if (modal_group(word) == group) is.push_back(word);
    }
    for (std::size_t n = 0; n < std::max(was.size(), is.size()); ++n) {
      if (n < was.size() && n < is.size()) {
        if (was[n].value != is[n].value) out.push_back(tell_codes(was[n], is[n]));
      } else {
        const Word& word = n < was.size() ? was[n] : is[n];
        const std::string_view name = code_name(word);
        out.push_back(fmt::format("{} {} {}{}", modal_name(group), code_text(word),
                                  n < was.size() ? "removed" : "added",
                                  name.empty() ? "" : fmt::format(" ({})", name)));
      }
    }
  }
}

// G and M words outside the modal groups.
void tell_other_codes(const std::vector<Word>& before, const std::vector<Word>& after,
                      std::vector<std::string>& out) {
  auto lacks = [](const std::vector<Word>& words, const Word& wanted) {
    return std::none_of(words.begin(), words.end(), [&](const Word& word) {
      return word.letter == wanted.letter && word.value == wanted.value;
    });
  };
  auto other = [](const Word& word) {
    return (word.letter == 'G' || word.letter == 'M') && modal_group(word) == Modal::none;
  };
  for (const Word& word : before) {
    if (other(word) && lacks(after, word)) out.push_back(code_text(word) + " removed");
  }
  for (const Word& word : after) {
    if (other(word) && lacks(before, word)) out.push_back(code_text(word) + " added");
  }
}

void tell_letter(char letter, const std::vector<Word>& before, const std::vector<Word>& after,
                 std::string_view name, std::vector<std::string>& out) {
  const std::vector<Word> was = of_letter(before, letter);
  const std::vector<Word> is = of_letter(after, letter);
  for (std::size_t n = 0; n < std::max(was.size(), is.size()); ++n) {
    if (n < was.size() && n < is.size()) {
      if (was[n].value == is[n].value) continue;
      if (same_number(was[n].value, is[n].value)) {
        out.push_back(point_note(std::string(1, letter), was[n].value, is[n].value, nullptr, Units::inch));
        continue;
      }
      const bool delta = letters_with_delta.find(letter) != std::string_view::npos;
      out.push_back(fmt::format("{} {} to {}{}", name, was[n].value, is[n].value,
                                delta ? delta_text(was[n].value, is[n].value) : ""));
    } else {
      const Word& word = n < was.size() ? was[n] : is[n];
      out.push_back(fmt::format("{} {} {}", name, word.value, n < was.size() ? "removed" : "added"));
    }
  }
}

void tell_settings(const std::vector<Word>& before, const std::vector<Word>& after,
                   std::vector<std::string>& out) {
  const std::vector<Word> was = of_letter(before, '#');
  const std::vector<Word> is = of_letter(after, '#');
  auto parameter = [](const Word& word) { return word.value.substr(0, word.value.find('=')); };
  auto value = [](const Word& word) {
    return word.value.substr(std::min(word.value.find('=') + 1, word.value.size()));
  };
  for (std::size_t n = 0; n < std::max(was.size(), is.size()); ++n) {
    if (n < was.size() && n < is.size() && parameter(was[n]) == parameter(is[n])) {
      if (was[n].value == is[n].value) continue;
      if (same_number(value(was[n]), value(is[n]))) {
        out.push_back(point_note(fmt::format("#{}", parameter(is[n])), value(was[n]), value(is[n]), nullptr,
                                 Units::inch));
        continue;
      }
      out.push_back(fmt::format("#{} {} to {}{}", parameter(is[n]), value(was[n]), value(is[n]),
                                delta_text(value(was[n]), value(is[n]))));
      continue;
    }
    if (n < was.size()) out.push_back(fmt::format("#{} removed", was[n].value));
    if (n < is.size()) out.push_back(fmt::format("#{} added", is[n].value));
  }
}

}  // namespace

std::string tell_codes(const Word& before, const Word& after) {
  const std::string_view was = code_name(before);
  const std::string_view is = code_name(after);
  const std::string names = was.empty() || is.empty() || was == is ? "" : fmt::format(" ({} to {})", was, is);
  const Modal group = modal_group(after);
  if (group == Modal::motion || group == Modal::distance) {
    return fmt::format("now {} where {} was{}", code_text(after), code_text(before), names);
  }
  return fmt::format("{} {} to {}{}", modal_name(group), code_text(before), code_text(after), names);
}

void tell_words(const std::vector<Word>& before, const std::vector<Word>& after,
                std::vector<std::string>& out) {
  tell_modes(before, after, out);
  tell_other_codes(before, after, out);
  for (const char letter : letters_first) tell_letter(letter, before, after, letter_name(letter), out);
  if (before.empty() || after.empty()) return;
  if (of_letter(before, '/').empty() != of_letter(after, '/').empty()) {
    out.emplace_back(of_letter(after, '/').empty() ? "block delete removed" : "block delete added");
  }
  const bool call = is_call(before) && is_call(after);
  for (const char letter : std::string_view("XYZUVWABCIJKR,QPLEO")) {
    if (letter == 'P' && call) {
      tell_letter(letter, before, after, "called program", out);
    } else {
      tell_letter(letter, before, after, letter == ',' ? "corner" : letter_name(letter), out);
    }
  }
  tell_settings(before, after, out);
}

}  // namespace keepway
