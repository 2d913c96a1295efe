#include "reader/program_number.hpp"

#include <algorithm>
#include <array>
#include <cstring>

#include "base/digit.hpp"
#include "reader/block_value.hpp"
#include "reader/text.hpp"

namespace keepway::reader {
namespace {

// Behind `form` at `in`, blanks passed over; null where it is not there.
const char* behind_form(const char* in, std::string_view form) {
  for (const char c : form) {
    in = skip_blanks(in);
    if ((is_letter(*in) ? upper(*in) : *in) != c) return nullptr;
    ++in;
  }
  return in;
}

// Any spelling that the normal form writes as digits alone counts: `O+12`, `O.0`.
std::string whole_number(const char* in) {
  in = skip_blanks(in);
  const char* const first = *in == '+' || *in == '-' ? skip_blanks(in + 1) : in;
  if (!is_digit(*first) && *first != '.') return {};
  std::array<char, max_number_digits + 8> digits{};
  const Cursor c = read_value({in, digits.data()}, false, Point::free);
  if (c.failed()) return {};
  const std::string_view number(digits.data(), static_cast<std::size_t>(c.out - digits.data()));
  if (!all_digits(number) || number.size() > 32) return {};
  return std::string(number);
}

std::string_view without_ending(std::string_view path) {
  const std::size_t dot = path.rfind('.');
  const std::size_t slash = path.rfind('/');
  const std::size_t stem = slash == std::string_view::npos ? 0 : slash + 1;
  return dot == std::string_view::npos || dot <= stem ? path : path.substr(0, dot);
}

bool starts_with_form(std::string_view text, std::string_view form) {
  return text.size() >= form.size() && std::equal(form.begin(), form.end(), text.begin(), [](char a, char b) {
           return a == (is_letter(b) ? upper(b) : b);
         });
}

}  // namespace

std::string program_number(std::string_view line, const std::vector<std::string>& forms) {
  const char* in = line.data();
  const char* const end = in + line.size();
  for (;;) {
    in = skip_blanks(in);
    if (in >= end || *in != '(') break;
    const auto* close = static_cast<const char*>(std::memchr(in, ')', static_cast<std::size_t>(end - in)));
    if (close == nullptr) return {};
    in = close + 1;
  }
  if (in >= end) return {};
  for (const std::string& form : forms) {
    const char* behind = behind_form(in, form);
    if (behind == nullptr) continue;
    if (std::string number = whole_number(behind); !number.empty()) return number;
  }
  return {};
}

std::string_view number_in_name(std::string_view path, const std::vector<std::string>& forms) {
  constexpr std::size_t most_digits = 32;
  std::string_view stem = without_ending(path);
  stem = stem.substr(stem.rfind('/') + 1);
  for (const std::string& form : forms) {
    if (starts_with_form(stem, form)) {
      stem.remove_prefix(form.size());
      break;
    }
  }
  return all_digits(stem) && stem.size() <= most_digits ? stem : std::string_view();
}

std::string name_of_file(std::string_view path) {
  const std::string_view name = without_ending(path);
  const bool numbered = name.size() > 1 && upper(name[0]) == 'O' && all_digits(name.substr(1));
  return numbered ? program_name(name.substr(1)) : std::string(name);
}

}  // namespace keepway::reader
