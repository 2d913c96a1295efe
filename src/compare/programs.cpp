// Program against program: which blocks differ, leaving N words aside.
#include <algorithm>
#include <deque>
#include <span>
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
  std::vector<std::uint32_t> number(std::span<const BlockText> blocks) {
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

// Which blocks stay. Those at both ends that are the same letter for letter need not be looked at closer.
Alignment kept_in(const Blocks& before, const Blocks& after) {
  const auto same = [](const BlockText& a, const BlockText& b) { return a.line == b.line; };
  const auto front = std::mismatch(before.begin(), before.end(), after.begin(), after.end(), same);
  const std::span<const BlockText> was(front.first, before.end());
  const std::span<const BlockText> is(front.second, after.end());
  const auto back = std::mismatch(was.rbegin(), was.rend(), is.rbegin(), is.rend(), same);
  const auto changed = [&](std::span<const BlockText> side, std::size_t tail) {
    return side.first(side.size() - tail);
  };
  const auto tail = static_cast<std::size_t>(back.first - was.rbegin());
  Numbering numbering;
  const std::vector<std::uint32_t> was_ids = numbering.number(changed(was, tail));
  const std::vector<std::uint32_t> is_ids = numbering.number(changed(is, tail));
  Alignment middle = align(was_ids, is_ids);
  const auto whole = [&](std::vector<bool>& side, std::size_t size) {
    side.insert(side.begin(), static_cast<std::size_t>(front.first - before.begin()), true);
    side.resize(size, true);
  };
  whole(middle.before, before.size());
  whole(middle.after, after.size());
  return middle;
}

// Behind the last block that does not stay.
std::size_t end_of_changes(const std::vector<bool>& kept) {
  return static_cast<std::size_t>(std::find(kept.rbegin(), kept.rend(), false).base() - kept.begin());
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
  const Alignment kept = kept_in(before, after);
  const std::size_t before_end = end_of_changes(kept.before);
  const std::size_t after_end = end_of_changes(kept.after);

  ProgramChange change;
  MeaningReader meaning(before, after);
  Stretch a;
  Stretch b;
  while (a.end < before_end || b.end < after_end) {
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
