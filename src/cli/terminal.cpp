#include "cli/terminal.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "keepway/text.hpp"

namespace keepway::cli {
namespace {

// Length of a colour, or of a line's clearing, at the front (ECMA-48: SGR and EL); 0 for any other sequence.
std::size_t own_sequence(std::string_view text) {
  if (!text.starts_with("\x1b[")) return 0;
  const std::size_t end = text.find_first_not_of("0123456789;", 2);
  return end != std::string_view::npos && (text[end] == 'm' || text[end] == 'K') ? end + 1 : 0;
}

bool is_plain(char c) {
  return (c >= 0x20 && c < 0x7f) || c == '\n' || c == '\t';
}

// Value of the well-formed character at the front, and its length; 0 for none.
std::pair<std::uint32_t, std::size_t> character(std::string_view text) {
  const auto lead = static_cast<unsigned char>(text.front());
  const std::size_t length = lead < 0x80   ? 1
                             : lead < 0xC2 ? 0
                             : lead < 0xE0 ? 2
                             : lead < 0xF0 ? 3
                             : lead < 0xF5 ? 4
                                           : 0;
  if (length == 0 || text.size() < length) return {0, 0};
  std::uint32_t value = length == 1 ? lead : lead & (0xFFU >> (length + 1));
  for (std::size_t i = 1; i < length; ++i) {
    const auto next = static_cast<unsigned char>(text[i]);
    if ((next & 0xC0U) != 0x80) return {0, 0};
    value = (value << 6U) | (next & 0x3FU);
  }
  return {value, length};
}

}  // namespace

std::string terminal_text(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  while (!text.empty()) {
    std::size_t length = 0;
    while (length < text.size() && is_plain(text[length])) ++length;
    if (length == 0) length = std::max(own_sequence(text), printable_utf8(text));
    if (length == 0 && text.starts_with("\r\n")) length = 2;  // the end of a line in CSV (RFC 4180, 2)
    if (length == 0) out += fmt::format("\\x{:02X}", static_cast<unsigned char>(text.front()));
    out += text.substr(0, length);
    text.remove_prefix(std::max<std::size_t>(length, 1));
  }
  return out;
}

std::string terminal_json(std::string_view json) {
  constexpr std::uint32_t first_pair = 0x10000;
  std::string out;
  out.reserve(json.size());
  while (!json.empty()) {
    std::size_t length = 0;
    while (length < json.size() && is_plain(json[length])) ++length;
    if (length == 0) length = printable_utf8(json);
    if (length > 0) {
      out += json.substr(0, length);
      json.remove_prefix(length);
      continue;
    }
    const auto [value, bytes] = character(json);
    if (bytes == 0) {
      out += "\\ufffd";
    } else if (value < first_pair) {
      out += fmt::format("\\u{:04x}", value);
    } else {  // RFC 8259, 7: a surrogate pair
      const std::uint32_t rest = value - first_pair;
      out += fmt::format("\\u{:04x}\\u{:04x}", 0xD800 + (rest >> 10U), 0xDC00 + (rest & 0x3FFU));
    }
    json.remove_prefix(std::max<std::size_t>(bytes, 1));
  }
  return out;
}

bool put(std::FILE* stream, std::string_view text) {
  const std::string safe = terminal_text(text);
  return std::fwrite(safe.data(), 1, safe.size(), stream) == safe.size();
}

}  // namespace keepway::cli
