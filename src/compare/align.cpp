#include "compare/align.hpp"

#include <algorithm>
#include <limits>
#include <optional>

namespace keepway {
namespace {

using Index = std::int64_t;
constexpr Index unreachable = std::numeric_limits<Index>::min() / 2;

// Steps allowed: about ten milliseconds, and for long programs several hundred a block.
constexpr Index free_work = 1'000'000;
constexpr Index work_per_element = 256;

struct Box {  // a[a0, a1) against b[b0, b1)
  Index a0, a1, b0, b1;
};

class Aligner {
 public:
  Aligner(const std::vector<std::uint32_t>& before, const std::vector<std::uint32_t>& after)
      : work_(free_work + work_per_element * static_cast<Index>(before.size() + after.size())) {
    result_.before.resize(before.size());
    result_.after.resize(after.size());
    // What one side alone has can never stay; leaving it out first changes no result and makes
    // rewritten programs cheap.
    std::uint32_t top = 0;
    for (const auto id : before) top = std::max(top, id);
    for (const auto id : after) top = std::max(top, id);
    std::vector<std::uint8_t> sides(std::size_t{top} + 1);
    for (const auto id : before) sides[id] |= 1;
    for (const auto id : after) sides[id] |= 2;
    keep_common(before, sides, a_, a_place_);
    keep_common(after, sides, b_, b_place_);
    const std::size_t diagonals = a_.size() + b_.size() + 8;
    forward_.resize(diagonals);
    backward_.resize(diagonals);
    middle_ = static_cast<Index>(diagonals / 2);
  }

  Alignment run() {
    std::vector<Box> open = {{0, static_cast<Index>(a_.size()), 0, static_cast<Index>(b_.size())}};
    while (!open.empty()) {
      Box box = open.back();
      open.pop_back();
      while (box.a0 < box.a1 && box.b0 < box.b1 && a(box.a0) == b(box.b0)) stay(box.a0++, box.b0++);
      while (box.a0 < box.a1 && box.b0 < box.b1 && a(box.a1 - 1) == b(box.b1 - 1)) stay(--box.a1, --box.b1);
      if (box.a0 == box.a1 || box.b0 == box.b1) continue;
      const auto split = find_middle(box);
      if (!split) continue;
      const auto [x, y] = *split;
      open.push_back({box.a0, box.a0 + x, box.b0, box.b0 + y});
      open.push_back({box.a0 + x, box.a1, box.b0 + y, box.b1});
    }
    return std::move(result_);
  }

 private:
  static void keep_common(const std::vector<std::uint32_t>& from, const std::vector<std::uint8_t>& sides,
                          std::vector<std::uint32_t>& ids, std::vector<std::size_t>& places) {
    for (std::size_t i = 0; i < from.size(); ++i) {
      if (sides[from[i]] != 3) continue;
      ids.push_back(from[i]);
      places.push_back(i);
    }
  }

  [[nodiscard]] std::uint32_t a(Index i) const { return a_[static_cast<std::size_t>(i)]; }
  [[nodiscard]] std::uint32_t b(Index i) const { return b_[static_cast<std::size_t>(i)]; }
  void stay(Index i, Index j) {
    result_.before[a_place_[static_cast<std::size_t>(i)]] = true;
    result_.after[b_place_[static_cast<std::size_t>(j)]] = true;
  }
  Index& forward(Index k) { return forward_[static_cast<std::size_t>(middle_ + k)]; }
  Index& backward(Index k) { return backward_[static_cast<std::size_t>(middle_ + k)]; }

  // Farthest x on diagonal k after d steps, given those after d - 1; matches not yet followed.
  template <class Reached>
  static Index step(Reached&& reached, Index d, Index k, Index n, Index m) {
    Index x = 0;
    if (d > 0) {
      const Index down = k < d ? reached(k + 1) : unreachable;
      const Index right = k > -d ? reached(k - 1) + 1 : unreachable;
      x = std::max(down, right);
    }
    return x < 0 || x > n || x - k > m ? unreachable : x;
  }

  struct Point {
    Index x, y;
  };
  // A point in the middle of a shortest path through the box; nullopt when the work is used up.
  std::optional<Point> find_middle(const Box& box) {
    const Index n = box.a1 - box.a0;
    const Index m = box.b1 - box.b0;
    const Index delta = n - m;
    const bool odd = delta % 2 != 0;
    for (Index d = 0; d <= (n + m + 1) / 2; ++d) {
      for (Index k = -d; k <= d; k += 2) {
        --work_;
        Index x = step([this](Index i) { return forward(i); }, d, k, n, m);
        const Index from = x;
        while (x >= 0 && x < n && x - k < m && a(box.a0 + x) == b(box.b0 + x - k)) ++x;
        forward(k) = x;
        work_ -= x - from;
        const Index opposite = delta - k;
        if (x >= 0 && odd && opposite > -d && opposite < d && backward(opposite) >= 0 &&
            x + backward(opposite) >= n) {
          return Point{x, x - k};
        }
      }
      for (Index k = -d; k <= d; k += 2) {
        --work_;
        Index x = step([this](Index i) { return backward(i); }, d, k, n, m);
        const Index from = x;
        while (x >= 0 && x < n && x - k < m && a(box.a1 - 1 - x) == b(box.b1 - 1 - (x - k))) ++x;
        backward(k) = x;
        work_ -= x - from;
        const Index opposite = delta - k;
        if (x >= 0 && !odd && opposite >= -d && opposite <= d && forward(opposite) >= 0 &&
            x + forward(opposite) >= n) {
          return Point{n - x, m - (x - k)};
        }
      }
      if (work_ < 0) return std::nullopt;
    }
    return std::nullopt;
  }

  std::vector<std::uint32_t> a_, b_;            // elements that both sides have
  std::vector<std::size_t> a_place_, b_place_;  // and where they are in the whole
  std::vector<Index> forward_, backward_;       // farthest x by diagonal
  Index middle_ = 0;
  Index work_;
  Alignment result_;
};

}  // namespace

Alignment align(const std::vector<std::uint32_t>& before, const std::vector<std::uint32_t>& after) {
  return Aligner(before, after).run();
}

}  // namespace keepway
