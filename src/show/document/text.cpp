// A document on a terminal.
#include "show/text.hpp"

#include <algorithm>

#include "keepway/document.hpp"
#include "show/document/blocks.hpp"

namespace keepway::show {
namespace {

using Kind = Block::Kind;
constexpr std::size_t columns = 90;
constexpr std::size_t widest_name = 30;  // of a table; the text of a longer one begins on a line of its own

// What is between a pair of marks becomes bold; without colour the text is left as it is.
std::string marked(const Style& style, std::string_view text, std::string_view mark) {
  std::string out;
  while (style.color) {
    const std::size_t begin = text.find(mark);
    const std::size_t end = begin == std::string_view::npos ? begin : text.find(mark, begin + mark.size());
    if (end == std::string_view::npos) break;
    out += text.substr(0, begin);
    out += paint(style, Tone::strong, text.substr(begin + mark.size(), end - begin - mark.size()));
    text.remove_prefix(end + mark.size());
  }
  return out.append(text);
}

std::string flowing(const Style& style, std::string_view text, std::size_t indent) {
  return marked(style, marked(style, wrap(text, columns, indent), "`"), "**");
}

std::string code(std::string_view text) {
  std::string out;
  bool first = true;
  for (const char c : text) {
    if (first && c != '\n') out += "    ";
    out += c;
    first = c == '\n';
  }
  return out;
}

// A row's first cell: its place says that it is a name, so it needs no backticks.
std::string name_of(const Block& block) {
  std::string name = block.text;
  std::erase(name, '`');
  return name;
}

std::string row(const Style& style, const Block& block, std::size_t names) {
  const std::string name = name_of(block);
  std::string out = "  " + paint(style, block.level == 1 ? Tone::faint : Tone::strong, name);
  if (width(name) > names) {
    (out += '\n').append(names + 4, ' ');
  } else {
    out.append(names - width(name) + 2, ' ');
  }
  if (block.level == 1) return out + paint(style, Tone::faint, block.rest) + '\n';
  return out + flowing(style, block.rest, names + 4) + '\n';
}

// Columns of the first cells of the table that begins at `at`, the over-wide aside.
std::size_t names_width(const std::vector<Block>& blocks, std::size_t at) {
  std::size_t widest = width(name_of(blocks[at]));
  for (++at; at < blocks.size() && blocks[at].kind == Kind::row && blocks[at].level == 0; ++at) {
    const std::size_t columns_of_name = width(name_of(blocks[at]));
    if (columns_of_name <= widest_name) widest = std::max(widest, columns_of_name);
  }
  return widest;
}

}  // namespace

std::string document_text(std::string_view markdown, const Style& style) {
  const std::vector<Block> blocks = blocks_of(markdown);
  std::string out;
  std::size_t names = 0;  // columns of the first cells of the table at hand
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    const Block& block = blocks[i];
    const bool goes_on = i > 0 && blocks[i - 1].kind == block.kind;
    const bool close = (block.kind == Kind::row && block.level == 0) || (block.kind == Kind::item && goes_on);
    if (i > 0 && !close) out += '\n';
    switch (block.kind) {
      case Kind::heading:
        out += paint(style, Tone::strong, block.text) + '\n';
        break;
      case Kind::paragraph:
        out += flowing(style, block.text, 0) + '\n';
        break;
      case Kind::quote:
        out += "  ! " + flowing(style, block.text, 4) + '\n';
        break;
      case Kind::item:
        out += "  - " + flowing(style, block.text, 4) + '\n';
        break;
      case Kind::code:
        out += code(block.text);
        break;
      case Kind::row:
        if (block.level == 1) names = names_width(blocks, i);
        out += row(style, block, names);
        break;
    }
  }
  return out;
}

}  // namespace keepway::show
