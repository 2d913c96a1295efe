// One block against another, word by word.
#pragma once

#include <string>
#include <vector>

#include "compare/block_text.hpp"

namespace keepway {

// Statements such as "feed 20 to 25", those on modes and tools before those on single numbers.
// An empty side means that the block was added or removed: then only its codes, feed, speed and tool are
// reported.
void tell_words(const std::vector<Word>& before, const std::vector<Word>& after,
                std::vector<std::string>& out);

// "now G1 where G0 was (rapid to feed)" and the like for two codes of one modal group.
std::string tell_codes(const Word& before, const Word& after);

}  // namespace keepway
