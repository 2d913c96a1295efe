// Text of another character set as a column's name, and as a person reads it in a layout.
#include <algorithm>

#include "base/encoding.hpp"
#include "keepway/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {

std::string plain_name(std::string_view text, const std::string& encoding) {
  constexpr std::size_t looked_at = 200;
  constexpr std::size_t longest = 24;
  std::string out;
  for (const char c : in_ascii(Encoding(encoding).to_utf8(text.substr(0, looked_at)))) {
    const char low = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    const bool plain = (low >= 'a' && low <= 'z') || (low >= '0' && low <= '9');
    if (plain) out += low;
    if (!plain && !out.empty() && out.back() != '-') out += '-';
  }
  while (!out.empty() && out.back() == '-') out.pop_back();
  return out.substr(0, longest);
}

std::string readable(const std::string& text, const std::string& encoding) {
  std::string out = Encoding(encoding).to_utf8(text);
  if (Encoding("UTF-8").from_utf8(out)) return out;
  std::replace_if(
      out.begin(), out.end(), [](char c) { return static_cast<unsigned char>(c) >= 0x80; }, '?');
  return out;
}

}  // namespace keepway::layout
