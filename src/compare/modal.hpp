// Modal groups of G and M words (NISTIR 6556, 3.4, table 4), with words for people.
#pragma once

#include <array>
#include <string_view>
#include <vector>

#include "compare/block_text.hpp"

namespace keepway {

enum class Modal {
  motion,
  distance,
  units,
  system,
  length,
  compensation,
  plane,
  feed_mode,
  return_level,
  path,
  spindle,
  coolant,
  overrides,
  stopping,
  tool_change,
  none,
};
inline constexpr std::size_t modal_groups = static_cast<std::size_t>(Modal::none);

Modal modal_group(const Word& word);
std::string_view modal_name(Modal group);

// "rapid" for G0; empty when the code has no short name here.
std::string_view code_name(const Word& word);

// Whether a code stays in force for the blocks that follow.
bool stays_in_force(Modal group);

// The codes in force at a place in a program; a Word without letter where none is known.
class InForce {
 public:
  void take(const std::vector<Word>& words);
  [[nodiscard]] const Word& code(Modal group) const { return codes_[static_cast<std::size_t>(group)]; }

 private:
  std::array<Word, modal_groups> codes_;
};

}  // namespace keepway
