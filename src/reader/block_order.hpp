// The order of a block's words in the normal form: by rank, then by number, then as received.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "reader/block.hpp"

namespace keepway::reader {

// Ranks of words in the normal form.
inline constexpr std::uint64_t rank_skip = 1;
inline constexpr std::uint64_t rank_first_o = 2;
inline constexpr std::string_view letter_order = "NGXYZUVWABCIJKR,PQLEHDFSTM";
inline constexpr std::uint64_t rank_setting = 40;
inline constexpr std::uint64_t rank_late_o = 41;
inline constexpr std::uint64_t rank_late_n = 42;
inline constexpr std::uint64_t rank_comment = 43;

inline constexpr std::array<std::uint8_t, 256> letter_ranks = [] {
  std::array<std::uint8_t, 256> ranks{};
  for (std::size_t i = 0; i < letter_order.size(); ++i) {
    ranks[static_cast<unsigned char>(letter_order[i])] = static_cast<std::uint8_t>(rank_first_o + 1 + i);
  }
  return ranks;
}();
inline constexpr std::uint64_t rank_of(char letter) {
  return letter_ranks[static_cast<unsigned char>(letter)];
}

// A token's key: rank, then number, then the order received.
inline constexpr unsigned rank_shift = 56;
inline constexpr unsigned number_shift = 16;
inline constexpr std::uint64_t no_number = 0xffffffff;
inline constexpr std::uint64_t index_mask = 0xffff;
static_assert(max_block_bytes / 2 + 1 <= index_mask, "each token takes two bytes of the line at least");

}  // namespace keepway::reader
