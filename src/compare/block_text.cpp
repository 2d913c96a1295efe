#include "compare/block_text.hpp"

#include <algorithm>

#include "base/digit.hpp"

namespace keepway {
namespace {

bool is_capital(char c) {
  return c >= 'A' && c <= 'Z';
}

std::string_view first_token(std::string_view text) {
  return text.substr(0, text.find(' '));
}

void drop_token(std::string_view& text) {
  const std::size_t blank = text.find(' ');
  text = blank == std::string_view::npos ? std::string_view() : text.substr(blank + 1);
}

bool is_number_word(std::string_view token) {
  return token.size() > 1 && token[0] == 'N' && std::all_of(token.begin() + 1, token.end(), is_digit);
}

bool may_stand_before_number(std::string_view token) {
  return !token.empty() && (token[0] == '/' || token[0] == 'O') &&
         std::all_of(token.begin() + 1, token.end(), is_digit);
}

// Where the comments begin. An opener that is never closed makes the line one that was not understood.
std::size_t comment_start(std::string_view line) {
  const auto first = std::find_if(line.begin(), line.end(), [](char c) { return c == '(' || c == ';'; });
  const auto at = static_cast<std::size_t>(first - line.begin());
  if (at == line.size()) return at;
  if (line[at] == '(' && line.find(')', at) == std::string_view::npos) return line.size();
  return at;
}

}  // namespace

std::string BlockText::body() const {
  std::string out = motion();
  if (!out.empty() && !comment.empty()) out += ' ';
  return out += comment;
}

std::string_view BlockText::plain_body() const {
  if (!skip.empty() || (!code.empty() && !comment.empty())) return {};
  return code.empty() ? comment : code;
}

std::string BlockText::motion() const {
  std::string out(skip);
  if (!out.empty() && !code.empty()) out += ' ';
  return out += code;
}

BlockText take_apart(std::string_view line) {
  BlockText block;
  block.line = line;
  const std::size_t comments = comment_start(line);
  block.comment = line.substr(comments);
  std::string_view rest = line.substr(0, comments);
  while (!rest.empty() && rest.back() == ' ') rest.remove_suffix(1);
  block.code = rest;
  if (may_stand_before_number(first_token(rest))) {
    std::string_view behind = rest;
    drop_token(behind);
    if (!is_number_word(first_token(behind))) return block;
    block.skip = first_token(rest);
    rest = behind;
  } else if (!is_number_word(first_token(rest))) {
    return block;
  }
  drop_token(rest);
  block.code = rest;
  return block;
}

std::vector<BlockText> blocks_of(std::string_view program) {
  std::vector<BlockText> blocks;
  blocks.reserve(static_cast<std::size_t>(std::count(program.begin(), program.end(), '\n')) + 1);
  std::size_t number = 0;
  while (!program.empty()) {
    const std::size_t end = std::min(program.find('\n'), program.size());
    BlockText block = take_apart(program.substr(0, end));
    block.number = ++number;
    if (!block.only_number()) blocks.push_back(block);
    program.remove_prefix(std::min(end + 1, program.size()));
  }
  return blocks;
}

std::vector<Word> words_of(const BlockText& block) {
  std::vector<Word> words;
  words_of(block, words);
  return words;
}

void words_of(const BlockText& block, std::vector<Word>& words) {
  words.clear();
  for (std::string_view rest : {block.skip, block.code}) {
    for (; !rest.empty(); drop_token(rest)) {
      const std::string_view token = first_token(rest);
      if (token.empty()) return words.clear();
      const char letter = token[0];
      const bool text = is_capital(letter) && token.size() > 1 && is_capital(token[1]) &&
                        token.find('[') == std::string_view::npos;
      const bool known = is_capital(letter) || letter == ',' || letter == '#' || letter == '/';
      if (text || !known) return words.clear();
      words.push_back({letter, token.substr(1)});
    }
  }
}

}  // namespace keepway
