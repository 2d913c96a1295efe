#include "verdict/old_names.hpp"

#include <algorithm>

#include "compare/block_text.hpp"

namespace keepway::verdict {
namespace {

constexpr std::size_t most_sharing = 64;  // programs that share a line, such as M30

}  // namespace

OldNames::OldNames(const State& was, const State& now) {
  for (const Program& program : was.programs) {
    if (now.program(program.name) != nullptr) continue;
    const auto blocks = blocks_of(program.text);
    for (const BlockText& block : blocks) {
      auto& those = with_line_[block.body()];
      if (those.size() < most_sharing) those.push_back(gone_.size());
    }
    gone_.push_back({&program, blocks.size()});
  }
}

const Program* OldNames::of(const Program& fresh) const {
  if (gone_.empty()) return nullptr;
  constexpr std::size_t fewest = 4;  // lines: fewer are the same by chance
  const auto blocks = blocks_of(fresh.text);
  std::unordered_map<std::string, std::size_t> times;  // that a line was met
  std::vector<std::size_t> shared(gone_.size());
  for (const BlockText& block : blocks) {
    const std::string line = block.body();
    const auto those = with_line_.find(line);
    if (those == with_line_.end()) continue;
    const std::size_t nth = ++times[line];
    for (auto gone = those->second.begin(); gone != those->second.end();) {
      const auto next = std::find_if(gone, those->second.end(), [&](std::size_t i) { return i != *gone; });
      if (static_cast<std::size_t>(next - gone) >= nth) ++shared[*gone];
      gone = next;
    }
  }
  const auto best = std::max_element(shared.begin(), shared.end());
  const Gone& gone = gone_[static_cast<std::size_t>(best - shared.begin())];
  const std::size_t longer = std::max(gone.lines, blocks.size());
  return *best >= fewest && *best * 3 >= longer * 2 ? gone.program : nullptr;
}

}  // namespace keepway::verdict
