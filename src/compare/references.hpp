// Blocks that a program names by their N numbers: where it jumps (`GOTO 20`), goes back to (`M99 P30`) or
// takes a contour from (`P20 Q30`); common practice, no source. A renumbering that such a number follows
// changes nothing; a number that came to another block changes what the machine does.
#pragma once

#include <cstddef>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "compare/block_text.hpp"

namespace keepway {

// One number that names a block of its own program.
struct Reference {
  std::size_t block = 0;   // which names it
  std::size_t target = 0;  // the block named; one behind the last for a number alone at the end
  std::string_view digits;
};

class References {
 public:
  // The text and its blocks must outlive this.
  References(std::string_view program, const std::vector<BlockText>& blocks);

  // In the order of the blocks.
  [[nodiscard]] const std::vector<Reference>& all() const { return all_; }
  [[nodiscard]] bool any_in(std::size_t block) const;
  // BlockText::body() with what names a block left open.
  [[nodiscard]] std::string open_body(std::size_t block) const;
  // A jump to a number that is worked out as the program runs: any block may be meant.
  [[nodiscard]] bool computed() const { return computed_; }
  // The N number of a block, or empty.
  [[nodiscard]] std::string_view label(std::size_t block) const;

 private:
  void find_labels(std::string_view program);
  void look(std::size_t block, std::string_view code);
  void refer(std::size_t block, std::string_view digits);
  [[nodiscard]] std::vector<Reference>::const_iterator first_in(std::size_t block) const;

  const std::vector<BlockText>& blocks_;
  std::map<std::string_view, std::size_t> target_of_;  // N number -> block; the first counts
  std::vector<Reference> all_;
  bool computed_ = false;
};

// Numbers by which a program names blocks of others: of the one that called it (`M99 P30`, key empty), or of
// one that it calls (`M98 P1234 N30`, key "O1234").
using ForeignReferences = std::map<std::string, std::set<std::string>, std::less<>>;
void add_foreign_references(std::string_view program, ForeignReferences& out);

// The blocks, by their place, that those numbers name in a program.
std::set<std::size_t> blocks_named(std::string_view program, const std::set<std::string>& numbers);

}  // namespace keepway
