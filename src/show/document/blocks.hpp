// Markdown cut into blocks, in reading order.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace keepway::show {

struct Block {
  enum class Kind { heading, paragraph, quote, item, code, row };
  Kind kind;
  int level = 0;          // of a heading; of a row: 1 for the table's heading
  std::string text;       // of one line, except code; the first cell of a row
  std::string rest = {};  // the second cell of a row
};

std::vector<Block> blocks_of(std::string_view markdown);

}  // namespace keepway::show
