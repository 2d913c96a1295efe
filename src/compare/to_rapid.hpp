// Blocks that cut before and do not now: they moved at feed, and move at rapid.
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "compare/block_text.hpp"
#include "compare/modal.hpp"

namespace keepway {

bool is_feed(const Word& motion);   // G1, G2, G3
bool is_rapid(const Word& motion);  // G0
bool has_axis(const std::vector<Word>& words);
// Whether a block has an axis to move along, and does not set, dwell or return with it.
bool is_move(const std::vector<Word>& words);

// One side of a stretch of blocks that differs, and what is in force where it begins.
struct MovingSide {
  const std::vector<std::vector<Word>>& blocks;
  const InForce& force;
};
// The places, on both sides, of the blocks that moved at feed and move at rapid now. Where both sides have as
// many blocks, each is compared with the one at its place; else with one that goes to the same place.
std::vector<std::pair<std::size_t, std::size_t>> to_rapid(const MovingSide& before, const MovingSide& after);

}  // namespace keepway
