// Program against program: which blocks differ, leaving N words aside.
#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <limits>
#include <map>
#include <span>
#include <string>
#include <unordered_map>

#include "compare/align.hpp"
#include "compare/block_text.hpp"
#include "compare/meaning.hpp"
#include "compare/references.hpp"
#include "keepway/compare.hpp"

namespace keepway {
namespace {

class Numbering {
 public:
  // The programs' text must outlive this.
  std::vector<std::uint32_t> number(const std::vector<BlockText>& all, std::size_t begin, std::size_t end,
                                    const References& references) {
    std::vector<std::uint32_t> ids;
    ids.reserve(end - begin);
    for (std::size_t i = begin; i < end; ++i) {
      const BlockText& block = all[i];
      std::string_view body = block.plain_body();
      if (references.any_in(i)) {
        body = made_.emplace_back(references.open_body(i));
      } else if (body.empty()) {
        body = made_.emplace_back(block.body());
      }
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
Alignment kept_in(const Blocks& before, const Blocks& after, const References& was_references,
                  const References& is_references) {
  const auto same = [](const BlockText& a, const BlockText& b) { return a.line == b.line; };
  const auto front = std::mismatch(before.begin(), before.end(), after.begin(), after.end(), same);
  const auto begin = static_cast<std::size_t>(front.first - before.begin());
  const std::span<const BlockText> was(front.first, before.end());
  const std::span<const BlockText> is(front.second, after.end());
  const auto back = std::mismatch(was.rbegin(), was.rend(), is.rbegin(), is.rend(), same);
  const auto tail = static_cast<std::size_t>(back.first - was.rbegin());
  Numbering numbering;
  const std::vector<std::uint32_t> was_ids =
      numbering.number(before, begin, before.size() - tail, was_references);
  const std::vector<std::uint32_t> is_ids =
      numbering.number(after, begin, after.size() - tail, is_references);
  Alignment middle = align(was_ids, is_ids);
  const auto whole = [&](std::vector<bool>& side, std::size_t size) {
    side.insert(side.begin(), begin, true);
    side.resize(size, true);
  };
  whole(middle.before, before.size());
  whole(middle.after, after.size());
  return middle;
}

constexpr std::size_t nowhere = std::numeric_limits<std::size_t>::max();

// By block of one side, the block of the other that it stays as. One behind the last stays as the same.
std::vector<std::size_t> partners(const std::vector<bool>& side, const std::vector<bool>& other) {
  std::vector<std::size_t> out(side.size() + 1, nowhere);
  std::size_t b = 0;
  for (std::size_t a = 0; a < side.size(); ++a) {
    if (!side[a]) continue;
    while (!other[b]) ++b;
    out[a] = b++;
  }
  out[side.size()] = other.size();
  return out;
}

// What a block that stays, letter for letter, means otherwise, by its place on the side after.
using Moved = std::map<std::size_t, std::string>;

// Takes out of the blocks that stay those that name a block by a number that is another block's now, or
// none's.
class Mover {
 public:
  Mover(Alignment& kept, const References& was, const References& is)
      : kept_(kept),
        was_(was),
        is_(is),
        partner_(partners(kept.before, kept.after)),
        back_(partners(kept.after, kept.before)) {}

  Moved run() {
    auto other = is_.all().begin();
    const auto end = is_.all().end();
    const auto pass_to = [&](std::size_t b) {  // numbers that named nothing before
      for (; other != end && other->block < b; ++other) {
        if (back_[other->block] != nowhere)
          take_out(back_[other->block], fmt::format("there is a block N{} now", other->digits));
      }
    };
    for (const Reference& one : was_.all()) {
      const std::size_t b = partner_[one.block];
      if (b == nowhere) continue;
      pass_to(b);
      if (other == end || other->block != b) {
        take_out(one.block, fmt::format("there is no block N{} any more", one.digits));
      } else if (const Reference& now = *other++; is_moved(one, now)) {
        take_out(one.block, fmt::format("N{} is another block now", now.digits));
      }
    }
    pass_to(nowhere);
    if (!was_.computed() && !is_.computed()) return std::move(moved_);
    for (std::size_t a = 0; a + 1 < partner_.size(); ++a) {
      if (partner_[a] == nowhere || was_.label(a) == is_.label(partner_[a])) continue;
      take_out(a, "a jump to a number that is worked out may lead here");
    }
    return std::move(moved_);
  }

 private:
  // Where the block named was changed itself, the number alone tells.
  [[nodiscard]] bool is_moved(const Reference& one, const Reference& now) const {
    if (partner_[one.target] == now.target) return false;
    const bool changed = partner_[one.target] == nowhere && back_[now.target] == nowhere;
    return !changed || one.digits != now.digits;
  }

  void take_out(std::size_t a, std::string why) {
    kept_.before[a] = kept_.after[partner_[a]] = false;
    moved_.emplace(partner_[a], std::move(why));
  }

  Alignment& kept_;
  const References& was_;
  const References& is_;
  const std::vector<std::size_t> partner_;
  const std::vector<std::size_t> back_;
  Moved moved_;
};

Moved take_out_moved(Alignment& kept, const References& was, const References& is) {
  const bool none = was.all().empty() && is.all().empty() && !was.computed() && !is.computed();
  return none ? Moved() : Mover(kept, was, is).run();
}

// Behind the last block that does not stay.
std::size_t end_of_changes(const std::vector<bool>& kept) {
  return static_cast<std::size_t>(std::find(kept.rbegin(), kept.rend(), false).base() - kept.begin());
}

// Blocks that stay, letter for letter but for their N words and what follows those.
std::size_t count_renumbered(const Blocks& before, const Blocks& after, const Alignment& kept) {
  std::size_t count = 0;
  std::size_t b = 0;
  for (std::size_t a = 0; a < before.size(); ++a) {
    if (!kept.before[a]) continue;
    while (!kept.after[b]) ++b;
    count += before[a].line != after[b++].line ? 1 : 0;
  }
  return count;
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
  const References was_references(before_text, before);
  const References is_references(after_text, after);
  Alignment kept = kept_in(before, after, was_references, is_references);
  const Moved moved = take_out_moved(kept, was_references, is_references);
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
    const auto first_moved = moved.lower_bound(b.begin);
    const bool any_moved = first_moved != moved.end() && first_moved->first < b.end;
    if (!any_moved && same_motion(before, a, after, b)) {
      ++change.comment_blocks;
      meaning.skip(a.begin, a.end, b.begin, b.end);
    } else {
      meaning.explain(a.begin, a.end, b.begin, b.end, stretch);
      for (auto each = first_moved; each != moved.end() && each->first < b.end; ++each) {
        stretch.meaning.push_back(each->second);
      }
    }
    change.blocks.push_back(std::move(stretch));
  }
  change.renumbered = count_renumbered(before, after, kept);
  change.kind = change.blocks.empty()                           ? ProgramChangeKind::renumbered
                : change.comment_blocks == change.blocks.size() ? ProgramChangeKind::comments
                                                                : ProgramChangeKind::changed;
  return change;
}

}  // namespace keepway
