// Which elements of two sequences stay: the longest common subsequence, found in linear space
// (E. W. Myers, "An O(ND) Difference Algorithm and Its Variations", Algorithmica 1, 1986).
#pragma once

#include <cstdint>
#include <vector>

namespace keepway {

struct Alignment {
  // true: stays. The n-th that stays of one side is the n-th that stays of the other.
  std::vector<bool> before;
  std::vector<bool> after;
};

// Exact up to a bound on work that grows linearly with the length; beyond it, stretches still open count
// as replaced whole. So two programs with nothing in common cost no more than their length.
Alignment align(const std::vector<std::uint32_t>& before, const std::vector<std::uint32_t>& after);

}  // namespace keepway
