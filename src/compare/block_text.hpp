// A block of a program's normal form (src/reader/block.hpp), taken apart again.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace keepway {

struct BlockText {
  std::string_view line;     // whole, without LF
  std::string_view skip;     // what comes before the N word, or empty: "/", "O12"
  std::string_view code;     // words behind the N word, without comments
  std::string_view comment;  // to the line's end
  std::size_t number = 0;    // its place in the program, from 1

  // All but the N word: what has to be equal for two blocks to be the same.
  [[nodiscard]] std::string body() const;
  // The same as it is in the line; empty where it is not there in one piece.
  [[nodiscard]] std::string_view plain_body() const;
  // That without comments.
  [[nodiscard]] std::string motion() const;
  [[nodiscard]] bool only_number() const { return skip.empty() && code.empty() && comment.empty(); }
};

BlockText take_apart(std::string_view line);

// Blocks of a program in order. Blocks that hold an N word and nothing else are passed over: a
// renumbering may bring or take them.
std::vector<BlockText> blocks_of(std::string_view program);

struct Word {
  char letter = 0;         // ',' for `,R2`, '#' for a setting, '/' for a block delete
  std::string_view value;  // "R2" for `,R2`, "100=1" for a setting
};
// Words of a block in normal form; none for a flow statement, or a line that was not understood.
std::vector<Word> words_of(const BlockText& block);
void words_of(const BlockText& block, std::vector<Word>& words);  // in place of what was there

}  // namespace keepway
