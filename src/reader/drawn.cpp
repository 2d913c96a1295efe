#include "reader/drawn.hpp"

#include <algorithm>

#include "base/encoding.hpp"
#include "reader/lines.hpp"
#include "reader/text.hpp"

namespace keepway::reader {
namespace {

// The same in code pages 437 and 850: from B3 to DA, less the letters that 850 has there.
constexpr std::string_view uprights = "\xB3\xBA";
constexpr std::string_view levels = "\xC4\xCD";
constexpr std::string_view joints =
    "\xB4\xB9\xBB\xBC\xBF\xC0\xC1\xC2\xC3\xC5\xC8\xC9\xCA\xCB\xCC\xCE\xD9\xDA"   // of both
    "\xB5\xB6\xB7\xB8\xBD\xBE\xC6\xC7\xCF\xD0\xD1\xD2\xD3\xD4\xD5\xD6\xD7\xD8";  // 437 alone

constexpr bool is_one_of(std::string_view set, char c) {
  return set.find(c) != std::string_view::npos;
}

// U+2500 to U+257F: E2 94 80 to E2 95 BF, which no text of a code page has together.
bool is_box_at(std::string_view text, std::size_t at) {
  const std::string_view two = text.substr(at, 2);
  return at + 2 < text.size() && (two == "\xE2\x94" || two == "\xE2\x95") &&
         (static_cast<unsigned char>(text[at + 2]) & 0xC0U) == 0x80;
}

bool is_upright_box(std::string_view box) {
  return box == "\xE2\x94\x82" || box == "\xE2\x94\x83" || box == "\xE2\x95\x91" || box == "\xE2\x94\x86" ||
         box == "\xE2\x94\x8A";
}

bool has_box(std::string_view text) {
  for (std::size_t at = text.find('\xE2'); at != std::string_view::npos; at = text.find('\xE2', at + 1)) {
    if (is_box_at(text, at)) return true;
  }
  return false;
}

void undraw_boxes(std::string& text) {
  constexpr std::size_t size = 3;  // bytes of each
  for (std::size_t at = text.find('\xE2'); at != std::string::npos; at = text.find('\xE2', at + 1)) {
    if (!is_box_at(text, at)) continue;
    const std::string_view box = std::string_view(text).substr(at, size);
    const bool level = box == "\xE2\x94\x80" || box == "\xE2\x94\x81" || box == "\xE2\x95\x90";
    text.replace(at, size, is_upright_box(box) ? "|  " : level ? "---" : "+--");
  }
}

}  // namespace

bool is_drawn_rule(std::string_view line) {
  constexpr std::size_t fewest = 3;
  std::size_t level = 0;
  std::size_t drawn = 0;
  for (const char c : line) {
    if (is_gap(c)) continue;
    const bool flat = is_one_of(levels, c);
    if (!flat && !is_one_of(joints, c) && !is_one_of(uprights, c)) return false;
    ++drawn;
    level += flat ? 1U : 0U;
  }
  return level >= fewest && level * 2 >= drawn;  // in WINDOWS-1251 a word in capitals is of such bytes, too
}

bool is_drawn(std::string_view text) {
  if (is_ascii(text)) return false;
  if (has_box(text)) return true;
  std::size_t written = 0;
  std::size_t parted = 0;
  bool apart = true;  // each upright is between blanks
  Lines lines(text);
  for (Line line; lines.next(line);) {
    const std::string_view code = trim(line.text);
    if (code.empty()) continue;
    if (is_drawn_rule(code)) return true;
    ++written;
    bool here = false;
    for (std::size_t at = code.find_first_of(uprights); at != std::string_view::npos;
         at = code.find_first_of(uprights, at + 1)) {
      here = true;
      apart = apart && (at == 0 || is_gap(code[at - 1])) && (at + 1 == code.size() || is_gap(code[at + 1]));
    }
    parted += here ? 1U : 0U;
  }
  return apart && parted > 1 && parted * 2 >= written;
}

void undraw(std::string& text) {
  if (has_box(text)) {
    undraw_boxes(text);
    return;
  }
  Lines lines(text);
  for (Line line; lines.next(line);) {
    const bool rule = is_drawn_rule(line.text);
    const auto first = text.begin() + static_cast<std::ptrdiff_t>(line.at);
    std::for_each(first, first + static_cast<std::ptrdiff_t>(line.text.size()), [&](char& c) {
      if (is_one_of(uprights, c)) c = rule ? '+' : '|';
      if (rule && is_one_of(levels, c)) c = c == levels.front() ? '-' : '=';
      if (rule && is_one_of(joints, c)) c = '+';
    });
  }
}

}  // namespace keepway::reader
