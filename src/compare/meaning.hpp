// What a stretch of changed blocks means to the machine, in short statements.
#pragma once

#include <string>
#include <vector>

#include "compare/block_text.hpp"
#include "compare/modal.hpp"
#include "keepway/compare.hpp"

namespace keepway {

// Walks two programs side by side, from their beginning, and knows which codes are in force on each
// side. Every block of both must be passed, skipped or explained once, in order. Bounded: at most
// `max_statements` a stretch, and stretches over `max_explained` blocks are not read word by word.
class MeaningReader {
 public:
  static constexpr std::size_t max_statements = 20;
  static constexpr std::size_t max_explained = 200;
  static constexpr std::size_t max_look_ahead = 50;

  // Both must outlive this.
  MeaningReader(const std::vector<BlockText>& before, const std::vector<BlockText>& after)
      : before_(before), after_(after) {}

  void pass(std::size_t a, std::size_t b);  // a block that both sides have
  void skip(std::size_t a, std::size_t a_end, std::size_t b, std::size_t b_end);
  // Of what differs: `meaning`, `to_rapid` and `modes` of the stretch.
  void explain(std::size_t a, std::size_t a_end, std::size_t b, std::size_t b_end, BlockChange& stretch);

 private:
  const std::vector<BlockText>& before_;
  const std::vector<BlockText>& after_;
  InForce before_force_;
  InForce after_force_;
  std::vector<Word> words_;  // of the block at hand
};

}  // namespace keepway
