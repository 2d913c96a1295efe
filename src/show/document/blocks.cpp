#include "show/document/blocks.hpp"

#include <utility>

namespace keepway::show {
namespace {

using Kind = Block::Kind;

std::string_view trimmed(std::string_view text) {
  while (text.starts_with(' ')) text.remove_prefix(1);
  while (text.ends_with(' ')) text.remove_suffix(1);
  return text;
}

// [text](where) becomes the text: on paper and on a terminal there is nothing to click.
std::string without_links(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t middle = text[at] == '[' ? text.find("](", at) : std::string_view::npos;
    const std::size_t end = middle == std::string_view::npos ? middle : text.find(')', middle);
    if (end == std::string_view::npos || text.substr(at, middle - at).find(']') != std::string_view::npos) {
      out += text[at++];
      continue;
    }
    out += text.substr(at + 1, middle - at - 1);
    at = end + 1;
  }
  return out;
}

class Cutter {
 public:
  void line(std::string_view line) {
    if (line.starts_with("```")) {
      fenced_ = !fenced_;
      if (fenced_) begin(Kind::code);
      after_fence_ = true;
      open_ = false;
    } else if (fenced_) {
      blocks_.back().text.append(line) += '\n';
    } else if (line.empty()) {
      open_ = false;
      ++blank_;
      return;
    } else if (line.starts_with("    ") && !open_) {
      indented(line.substr(4));
    } else {
      text(line);
    }
    blank_ = 0;
  }

  std::vector<Block> take() {
    for (Block& block : blocks_) {
      if (block.kind != Kind::code) block.text = without_links(block.text);
      block.rest = without_links(block.rest);
    }
    return std::move(blocks_);
  }

 private:
  [[nodiscard]] bool last_is(Kind kind) const { return !blocks_.empty() && blocks_.back().kind == kind; }

  void begin(Kind kind, std::string_view text = {}, int level = 0) {
    blocks_.push_back({kind, level, std::string(text)});
    open_ = true;
  }

  void indented(std::string_view line) {
    if (!last_is(Kind::code) || after_fence_) {
      begin(Kind::code);
      after_fence_ = false;
    } else {
      blocks_.back().text.append(blank_, '\n');
    }
    blocks_.back().text.append(line) += '\n';
    open_ = false;
  }

  void row(std::string_view line) {
    if (line.find_first_not_of("|-: ") == std::string_view::npos) return;
    const bool head = !open_ || !last_is(Kind::row);
    line.remove_prefix(1);
    const std::size_t middle = line.find('|');
    begin(Kind::row, trimmed(line.substr(0, middle)), head ? 1 : 0);
    line.remove_prefix(middle == std::string_view::npos ? line.size() : middle + 1);
    blocks_.back().rest = trimmed(line.substr(0, line.find('|')));
  }

  void text(std::string_view line) {
    const std::size_t hashes = line.find_first_not_of('#');
    if (hashes > 0 && hashes <= 3 && line[hashes] == ' ') {
      begin(Kind::heading, line.substr(hashes + 1), static_cast<int>(hashes));
      open_ = false;
    } else if (line.starts_with("- ")) {
      begin(Kind::item, line.substr(2));
    } else if (line.starts_with('|')) {
      row(line);
    } else {
      const bool quote = line.starts_with('>');
      line = trimmed(quote ? line.substr(1) : line);
      if (!open_) return begin(quote ? Kind::quote : Kind::paragraph, line);
      (blocks_.back().text += ' ').append(line);
    }
  }

  std::vector<Block> blocks_;
  bool fenced_ = false;
  bool open_ = false;         // whether a line of text goes on with the last block
  bool after_fence_ = false;  // whether the last code had fences
  std::size_t blank_ = 0;     // lines since the last that was not blank
};

}  // namespace

std::vector<Block> blocks_of(std::string_view markdown) {
  Cutter cutter;
  while (!markdown.empty()) {
    const std::size_t end = markdown.find('\n');
    cutter.line(markdown.substr(0, end));
    markdown.remove_prefix(end == std::string_view::npos ? markdown.size() : end + 1);
  }
  return cutter.take();
}

}  // namespace keepway::show
