// How a sample writes numbers: with a decimal comma, with the sign behind.
#include <algorithm>

#include "base/digit.hpp"
#include "reader/lines.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

constexpr std::string_view partings = " \t;|=\"";

// A number as one of the forms has it, and where its parts are.
struct Found {
  std::size_t at = 0;
  std::size_t length = 0;
  bool comma = false;
  bool point = false;
  bool signed_front = false;
  bool signed_behind = false;
  bool lettered = false;  // a letter is in front
};

std::optional<Found> number_at(std::string_view text, std::size_t at, std::size_t end) {
  Found found{at, end - at, false, false, false, false, false};
  std::string_view token = text.substr(at, end - at);
  const auto is_sign = [](char c) { return c == '-' || c == '+'; };
  if (!token.empty() && is_sign(token.front())) {
    found.signed_front = true;
    token.remove_prefix(1);
  }
  if (!token.empty() && is_sign(token.back())) {
    found.signed_behind = true;
    token.remove_suffix(1);
  }
  // "1. page": an ordinal. Numbers in columns have more than one blank behind them; words, a letter in front.
  const bool plain = !found.signed_front && (at == 0 || !is_letter(text[at - 1]));
  const bool ordinal = plain && !token.empty() && token.back() == '.' && end + 1 < text.size() &&
                       text[end] == ' ' && is_alpha(text[end + 1]);
  std::size_t digits = 0;
  for (const char c : token) {
    if (is_digit(c)) {
      ++digits;
    } else if ((c == ',' || c == '.') && !found.comma && !found.point) {
      (c == ',' ? found.comma : found.point) = true;
    } else {
      return std::nullopt;
    }
  }
  const bool open = !token.empty() && (token.back() == ',' || token.front() == ',');  // which parts cells
  if (digits == 0 || open || ordinal || (found.signed_front && found.signed_behind)) return std::nullopt;
  return found;
}

std::vector<Found> numbers_of(std::string_view text) {
  std::vector<Found> found;
  for (std::size_t at = 0; at < text.size();) {
    at = text.find_first_not_of(partings, at);
    if (at == std::string_view::npos) break;
    const std::size_t end = std::min(text.find_first_of(partings, at), text.size());
    const bool lettered = is_letter(text[at]) && end > at + 1;  // X-300,5
    const std::string_view token = text.substr(at, end - at);
    const std::string_view before_unit = token.substr(0, unit_in(token));
    const bool comma = before_unit.find(',') != std::string_view::npos;  // "51,545mm"
    const std::size_t number_end = comma && !lettered ? at + before_unit.size() : end;
    if (auto number = number_at(text, at + (lettered ? 1 : 0), number_end);
        number && !(lettered && number->signed_behind)) {
      number->lettered = lettered;
      found.push_back(*number);
    }
    at = end;
  }
  // Words come together: alone, H32,0 is two cells.
  const auto is_word = [](const Found& each) { return each.lettered; };
  if (std::count_if(found.begin(), found.end(), is_word) < 2) std::erase_if(found, is_word);
  return found;
}

// "-1.2500E-03" with digits for its exponent, "-1.25005503": a number of the same length. How many there are.
// Without a point and a sign, 1E5 is more likely a code.
std::size_t fill_exponents(std::string& text) {
  std::vector<std::pair<std::size_t, bool>> letters;  // where, and whether a point is in front
  const auto at_or = [&](std::size_t at) { return at < text.size() ? text[at] : ' '; };
  const auto is_sign = [](char c) { return c == '+' || c == '-'; };
  for (std::size_t at = text.find_first_of("Ee"); at != std::string::npos;
       at = text.find_first_of("Ee", at + 1)) {
    constexpr std::size_t most_digits = 3;
    const bool is_signed = is_sign(at_or(at + 1));
    const std::size_t first = at + (is_signed ? 2 : 1);
    std::size_t end = first;
    while (end <= first + most_digits && is_digit(at_or(end))) ++end;
    std::size_t begin = at;
    bool point = false;
    while (begin > 0 && (is_digit(text[begin - 1]) || (text[begin - 1] == '.' && !point)))
      point = text[--begin] == '.' || point;
    const char before = begin > 0 ? text[begin - 1] : ' ';
    const bool whole = !is_letter(before) && before != '_' && before != '.' && !is_letter(at_or(end)) &&
                       at_or(end) != '.' && at_or(end) != '_';
    const bool digits = end > first && end <= first + most_digits && begin + (point ? 1U : 0U) < at;
    if (whole && digits && (point || is_signed)) letters.emplace_back(at, point || before == ',');
  }
  constexpr std::size_t fewest = 2;
  if (letters.size() < fewest) return 0;
  for (const auto& [at, point] : letters) {
    text[at] = point ? '5' : '.';
    if (is_sign(text[at + 1])) text[at + 1] = '5';
  }
  return letters.size();
}

}  // namespace

std::size_t unit_in(std::string_view token) {
  constexpr std::size_t longest_unit = 5;
  std::size_t unit = token.size();
  while (unit > 0 && token.size() - unit < longest_unit && is_letter(token[unit - 1])) --unit;
  return unit > 0 && is_digit(token[unit - 1]) ? unit : token.size();
}

PlainNumbers plain_numbers(std::string_view text, bool commas_elsewhere) {
  PlainNumbers plain{std::string(text), {}};
  plain.form.exponent = fill_exponents(plain.text) > 0;
  std::size_t commas = 0;
  std::size_t points = 0;
  std::size_t front = 0;
  std::size_t behind = 0;
  reader::Lines lines(plain.text);
  reader::Line line;
  std::vector<std::pair<std::size_t, Found>> all;
  while (lines.next(line)) {
    const std::vector<Found> found = numbers_of(line.text);
    // "47,1 door" may be two cells: only what is beside another number, ends the line or is assigned tells.
    const bool last = !found.empty() && found.back().at > 0 &&
                      found.back().at + found.back().length ==
                          reader::trim(line.text).size() + line.text.find_first_not_of(" \t");
    const bool tells = found.size() > 1 || last || line.text.find('=') != std::string_view::npos;
    const bool parted = line.text.find_first_of(";\t=") != std::string_view::npos;
    for (const Found& each : found) {
      all.emplace_back(line.at, each);
      if (!tells) continue;
      commas += each.comma ? (parted || found.size() > 1 ? 2U : 1U) : 0U;
      points += each.point ? 1U : 0U;
      front += each.signed_front ? 1U : 0U;
      behind += each.signed_behind ? 1U : 0U;
    }
  }
  plain.form.comma = points * 4 <= commas && (commas > 1 || (commas > 0 && commas_elsewhere));
  plain.form.sign_behind = behind > 0 && front == 0;
  for (const auto& [base, number] : all) {
    char* const at = plain.text.data() + base + number.at;
    if (plain.form.sign_behind && number.signed_behind)
      std::rotate(at, at + number.length - 1, at + number.length);
    if (plain.form.comma && number.comma) *std::find(at, at + number.length, ',') = '.';
  }
  return plain;
}

bool has_commas(const std::vector<OriginalView>& texts) {
  std::size_t with = 0;
  std::size_t without = 0;
  for (const OriginalView& sample : texts) {
    const bool comma = plain_numbers(sample.bytes, false).form.comma;
    ++(comma ? with : without);
  }
  return with > 0 && with * 3 >= without;
}

std::string numbers_lines(const NumberForm& form, ReaderKind reader) {
  std::string keys;
  if (reader == ReaderKind::blocks) return keys;
  if (form.comma) keys += key_line("decimal", toml_quoted("comma"));
  if (form.sign_behind && reader != ReaderKind::words) keys += key_line("sign", toml_quoted("behind"));
  if (form.exponent && reader != ReaderKind::words)
    keys += key_line("exponent", "true", "numbers such as 1.25E+01");
  return keys;
}

}  // namespace keepway::layout
