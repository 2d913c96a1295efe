// Codes that stay in force and took another's place: units, distances, the work offset and the like, by
// which all that follows means something else.
#pragma once

#include <cstddef>
#include <vector>

#include "compare/block_text.hpp"

namespace keepway {

struct ModeWords {
  const Word* before = nullptr;  // in the first block that has it
  const Word* after = nullptr;
  std::size_t before_block = 0;  // places of those blocks
  std::size_t after_block = 0;
};
// Of each modal group that can hurt: the first code that was removed and the first that was added. Nothing
// where codes were only added, only removed, or moved. They point into the blocks.
std::vector<ModeWords> mode_changes(const std::vector<std::vector<Word>>& before,
                                    const std::vector<std::vector<Word>>& after);

}  // namespace keepway
