#include "compare/mode_changes.hpp"

#include <algorithm>

#include "compare/modal.hpp"

namespace keepway {
namespace {

// Whether another code of this group changes what the following blocks do. Motion is to_rapid()'s.
bool can_hurt(Modal group) {
  return stays_in_force(group) && group != Modal::motion && group != Modal::path && group != Modal::coolant &&
         group != Modal::overrides;
}

struct Placed {
  const Word* word;
  std::size_t block;
};

// The first word of a group that `others` have nowhere.
Placed only_in(const std::vector<std::vector<Word>>& blocks, const std::vector<std::vector<Word>>& others,
               Modal group) {
  const auto has = [](const std::vector<Word>& words, const Word& wanted) {
    return std::any_of(words.begin(), words.end(), [&](const Word& word) {
      return word.letter == wanted.letter && word.value == wanted.value;
    });
  };
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    for (const Word& word : blocks[i]) {
      if (modal_group(word) != group) continue;
      if (std::none_of(others.begin(), others.end(), [&](const auto& words) { return has(words, word); }))
        return {&word, i};
    }
  }
  return {nullptr, 0};
}

}  // namespace

std::vector<ModeWords> mode_changes(const std::vector<std::vector<Word>>& before,
                                    const std::vector<std::vector<Word>>& after) {
  std::vector<ModeWords> out;
  for (std::size_t i = 0; i < modal_groups; ++i) {
    const auto group = static_cast<Modal>(i);
    if (!can_hurt(group)) continue;
    const Placed removed = only_in(before, after, group);
    if (removed.word == nullptr) continue;
    const Placed added = only_in(after, before, group);
    if (added.word != nullptr) out.push_back({removed.word, added.word, removed.block, added.block});
  }
  return out;
}

}  // namespace keepway
