// Backup bytes made safe for one line of clean UTF-8: rows of the normal form and terminals.
#include <algorithm>
#include <array>

#include "base/digit.hpp"
#include "keepway/text.hpp"

namespace keepway {
namespace {

int hex_value(char c) {
  const std::size_t at = hex_digits.find(c);
  return at == std::string_view::npos ? -1 : static_cast<int>(at);
}

void append_hex(char c, std::string& out) {
  const auto byte = static_cast<unsigned char>(c);
  ((out += "\\x") += hex_digits[byte >> 4]) += hex_digits[byte & 15];
}

bool is_plain(char c) {
  return c >= 0x20 && c < 0x7f && c != '\\';
}

}  // namespace

std::string printable(std::string_view bytes) {
  std::string out;
  while (!bytes.empty()) {
    const std::size_t length = bytes[0] == '\\' || is_plain(bytes[0]) ? 1 : printable_utf8(bytes);
    if (length == 0) append_hex(bytes[0], out);
    out += bytes.substr(0, length);
    bytes.remove_prefix(std::max<std::size_t>(length, 1));
  }
  return out;
}

std::string escape(std::string_view bytes) {
  std::string out;
  append_escaped(bytes, out);
  return out;
}

void append_escaped(std::string_view bytes, std::string& out) {
  const auto plain_from = [&](std::size_t at) {
    while (at < bytes.size() && is_plain(bytes[at])) ++at;
    return at;
  };
  for (std::size_t i = 0; i < bytes.size();) {
    const char c = bytes[i];
    if (is_plain(c)) {
      const std::size_t end = plain_from(i);
      out += bytes.substr(i, end - i);
      i = end;
    } else if (c == '\\') {
      out += "\\\\";
      ++i;
    } else if (c == '\t') {
      out += "\\t";
      ++i;
    } else if (c == '\n') {
      out += "\\n";
      ++i;
    } else if (c == '\r') {
      out += "\\r";
      ++i;
    } else if (const std::size_t length = printable_utf8(bytes.substr(i)); length > 0) {
      out += bytes.substr(i, length);
      i += length;
    } else {
      append_hex(c, out);
      ++i;
    }
  }
}

std::optional<std::string> unescape(std::string_view text) {
  std::string out(text, 0, text.find('\\'));
  for (std::size_t i = out.size(); i < text.size(); ++i) {
    if (text[i] != '\\') {
      out += text[i];
      continue;
    }
    if (++i == text.size()) return std::nullopt;
    switch (text[i]) {
      case '\\':
        out += '\\';
        break;
      case 't':
        out += '\t';
        break;
      case 'n':
        out += '\n';
        break;
      case 'r':
        out += '\r';
        break;
      case 'x': {
        if (i + 2 >= text.size()) return std::nullopt;
        const int high = hex_value(text[i + 1]);
        const int low = hex_value(text[i + 2]);
        if (high < 0 || low < 0) return std::nullopt;
        out += static_cast<char>(high * 16 + low);
        i += 2;
        break;
      }
      default:
        return std::nullopt;
    }
  }
  return out;
}

}  // namespace keepway
