#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <numeric>

#include "compare/align.hpp"

namespace keepway {
namespace {

using Sequence = std::vector<std::uint32_t>;

Sequence kept_of(const Sequence& sequence, const std::vector<bool>& kept) {
  Sequence out;
  for (std::size_t i = 0; i < sequence.size(); ++i) {
    if (kept[i]) out.push_back(sequence[i]);
  }
  return out;
}

// Length of the longest common subsequence, by the textbook's table.
std::size_t longest_common(const Sequence& a, const Sequence& b) {
  std::vector<std::size_t> row(b.size() + 1);
  for (const auto x : a) {
    std::size_t diagonal = 0;
    for (std::size_t j = 0; j < b.size(); ++j) {
      const std::size_t above = row[j + 1];
      row[j + 1] = x == b[j] ? diagonal + 1 : std::max(row[j], above);
      diagonal = above;
    }
  }
  return row.back();
}

rc::Gen<Sequence> sequences() {
  return rc::gen::scale(2, rc::gen::container<Sequence>(rc::gen::inRange<std::uint32_t>(0, 6)));
}

RC_GTEST_PROP(Align, KeepsALongestCommonSubsequence, ()) {
  const Sequence a = *sequences();
  const Sequence b = *sequences();
  const Alignment kept = align(a, b);
  const Sequence common = kept_of(a, kept.before);
  RC_ASSERT(common == kept_of(b, kept.after));
  RC_ASSERT(common.size() == longest_common(a, b));
}

TEST(Align, KeepsWhatItCanWithinItsBoundOfWork) {
  // A reversed sequence has nothing but one element in common: the worst case for the search.
  Sequence a(60'000);
  std::iota(a.begin(), a.end(), 0U);
  Sequence b(a.rbegin(), a.rend());
  // Ends in common are kept however hard the middle is.
  for (std::uint32_t i = 0; i < 10; ++i) {
    a.insert(a.begin(), 70'000 + i);
    b.insert(b.begin(), 70'000 + i);
  }
  const Alignment kept = align(a, b);
  EXPECT_EQ(kept_of(a, kept.before), kept_of(b, kept.after));
  EXPECT_GE(kept_of(a, kept.before).size(), 10U);
}

}  // namespace
}  // namespace keepway
