#include "namebook/csv_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "base/digit.hpp"
#include "keepway/error.hpp"
#include "keepway/text.hpp"

namespace keepway::book {
namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

bool is_many(char c) {
  return static_cast<unsigned char>(c) >= 0x80;
}

// Characters that no text has; ISO 8859-1 has no printed ones from 0x80 to 0x9F.
bool is_control_byte(char c) {
  const auto byte = static_cast<unsigned char>(c);
  return (byte < 0x20 && c != '\t' && c != '\r' && c != '\n') || (byte >= 0x7F && byte < 0xA0);
}

struct Look {
  std::optional<std::size_t> no_utf8;  // the first byte that is not
  bool has_utf8 = false;               // a character of several bytes
};

Look look_at(std::string_view text) {
  Look look;
  for (std::size_t at = 0; at < text.size();) {
    if (!is_many(text[at])) {
      ++at;
      continue;
    }
    const std::size_t length = printable_utf8(text.substr(at));
    look.has_utf8 = look.has_utf8 || length > 0;
    if (length == 0 && !look.no_utf8) look.no_utf8 = at;
    at += std::max<std::size_t>(length, 1);
  }
  return look;
}

[[noreturn]] void refuse(std::string_view text, std::size_t at, std::size_t mark, const std::string& file) {
  const auto line = 1 + std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n');
  throw Error(
      ErrorKind::input,
      fmt::format("the byte {:02X} is no text in UTF-8 or Latin-1", static_cast<unsigned char>(text[at])),
      "save the file from the spreadsheet as CSV in UTF-8",
      Place{file, static_cast<std::uint64_t>(line), at + mark});
}

std::string from_latin(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (!is_many(c)) {
      out += c;
      continue;
    }
    const auto byte = static_cast<unsigned char>(c);
    out += static_cast<char>(0xC0U | (byte >> 6U));
    out += static_cast<char>(0x80U | (byte & 0x3FU));
  }
  return out;
}

}  // namespace

std::uint64_t CsvText::place(std::uint64_t at) const {
  if (!latin) return at + mark;
  const auto end = text.begin() + static_cast<std::ptrdiff_t>(std::min<std::uint64_t>(at, text.size()));
  return static_cast<std::uint64_t>(std::count_if(
      text.begin(), end, [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80; }));
}

CsvText csv_text(std::string_view bytes, const std::string& file) {
  CsvText out;
  if (bytes.starts_with(byte_order_mark)) out.mark = byte_order_mark.size();
  bytes.remove_prefix(out.mark);
  const Look look = look_at(bytes);
  out.latin = look.no_utf8 && !look.has_utf8 && out.mark == 0;
  if (look.no_utf8 && !out.latin) refuse(bytes, *look.no_utf8, out.mark, file);
  for (std::size_t at = 0; at < bytes.size(); ++at) {
    if (is_control_byte(bytes[at]) && (out.latin || !is_many(bytes[at]))) refuse(bytes, at, out.mark, file);
  }
  out.text = out.latin ? from_latin(bytes) : std::string(bytes);
  const std::string_view first = std::string_view(out.text).substr(0, out.text.find('\n'));
  if (first.find(';') != std::string_view::npos && first.find(',') == std::string_view::npos)
    out.separator = ';';
  return out;
}

std::string with_decimal_point(std::string_view cell) {
  std::string out(cell);
  const std::size_t comma = out.find(',');
  if (comma == std::string::npos) return out;
  const bool number = std::all_of(out.begin(), out.end(), [](char c) {
    return is_digit(c) || c == ',' || c == '-' || c == '+' || c == ' ';
  });
  if (number && out.find(',', comma + 1) == std::string::npos) out[comma] = '.';
  return out;
}

}  // namespace keepway::book
