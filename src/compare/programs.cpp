// Program against program: which blocks differ, leaving N words aside.
#include <deque>
#include <string>
#include <unordered_map>

#include "compare/align.hpp"
#include "compare/block_text.hpp"
#include "compare/meaning.hpp"
#include "keepway/compare.hpp"

namespace keepway {
namespace {

class Numbering {
 public:
  // The programs' text must outlive this.
  std::vector<std::uint32_t> number(const std::vector<BlockText>& blocks) {
    std::vector<std::uint32_t> ids;
    ids.reserve(blocks.size());
    for (const BlockText& block : blocks) {
      std::string_view body = block.plain_body();
      if (body.empty()) body = made_.emplace_back(block.body());
      ids.push_back(ids_.try_emplace(body, static_cast<std::uint32_t>(ids_.size())).first->second);
    }
    return ids;
  }

 private:
  std::unordered_map<std::string_view, std::uint32_t> ids_;
  std::deque<std::string> made_;
};

using Blocks = std::vector<BlockText>;

struct Stretch {
  std::size_t begin = 0;
  std::size_t end = 0;
};

bool same_motion(const Blocks& before, Stretch a, const Blocks& after, Stretch b) {
  for (;;) {
    while (a.begin < a.end && before[a.begin].motion().empty()) ++a.begin;
    while (b.begin < b.end && after[b.begin].motion().empty()) ++b.begin;
    if (a.begin == a.end || b.begin == b.end) return a.begin == a.end && b.begin == b.end;
    if (before[a.begin++].motion() != after[b.begin++].motion()) return false;
  }
}

std::size_t place_of(const Blocks& blocks, std::size_t at) {
  if (at < blocks.size()) return blocks[at].number;
  return blocks.empty() ? 1 : blocks.back().number + 1;
}

}  // namespace

std::optional<ProgramChange> compare_programs(std::string_view before_text, std::string_view after_text) {
  if (before_text == after_text) return std::nullopt;
  const Blocks before = blocks_of(before_text);
  const Blocks after = blocks_of(after_text);
  Numbering numbering;
  const std::vector<std::uint32_t> before_ids = numbering.number(before);
  const std::vector<std::uint32_t> after_ids = numbering.number(after);
  const Alignment kept = align(before_ids, after_ids);

  ProgramChange change;
  MeaningReader meaning(before, after);
  Stretch a;
  Stretch b;
  while (a.end < before.size() || b.end < after.size()) {
    a.begin = a.end;
    b.begin = b.end;
    while (a.end < before.size() && !kept.before[a.end]) ++a.end;
    while (b.end < after.size() && !kept.after[b.end]) ++b.end;
    if (a.begin == a.end && b.begin == b.end) {
      meaning.pass(a.end++, b.end++);
      continue;
    }
    BlockChange stretch;
    stretch.before_line = place_of(before, a.begin);
    stretch.after_line = place_of(after, b.begin);
    for (std::size_t i = a.begin; i < a.end; ++i) stretch.before.emplace_back(before[i].line);
    for (std::size_t i = b.begin; i < b.end; ++i) stretch.after.emplace_back(after[i].line);
    if (same_motion(before, a, after, b)) {
      ++change.comment_blocks;
      meaning.skip(a.begin, a.end, b.begin, b.end);
    } else {
      stretch.meaning = meaning.explain(a.begin, a.end, b.begin, b.end);
    }
    change.blocks.push_back(std::move(stretch));
  }
  change.kind = change.blocks.empty()                           ? ProgramChangeKind::renumbered
                : change.comment_blocks == change.blocks.size() ? ProgramChangeKind::comments
                                                                : ProgramChangeKind::changed;
  return change;
}

}  // namespace keepway
