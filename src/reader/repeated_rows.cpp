// Rows of one key in one file: the last counts, and whether it says what the first said.
#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <span>
#include <unordered_map>

#include "keepway/text.hpp"
#include "reader/rows.hpp"

namespace keepway::reader {

void Rows::replace_whole_rows() {
  replace_ = !input_.source.number_repeats;
}

// Few files repeat a key. Most count theirs upwards; that no other does is seen from their hashes alone.
bool Rows::may_repeat() const {
  const auto goes_up = [](const Begun& a, const Begun& b) {
    return a.key.size() == b.key.size() ? a.key < b.key : a.key.size() < b.key.size();
  };
  const auto not_up = [&](const Begun& a, const Begun& b) { return !goes_up(a, b); };
  if (std::adjacent_find(begun_.begin(), begun_.end(), not_up) == begun_.end()) return false;
  std::vector<std::size_t> hashes;
  hashes.reserve(begun_.size());
  for (const Begun& row : begun_) hashes.push_back(std::hash<std::string>()(row.key));
  std::sort(hashes.begin(), hashes.end());
  return std::adjacent_find(hashes.begin(), hashes.end()) != hashes.end();
}

std::span<const RawItem> Rows::items_of(std::size_t row) const {
  const std::size_t from = begun_[row].first_item;
  const std::size_t to = row + 1 < begun_.size() ? begun_[row + 1].first_item : output_.items.size();
  return std::span(output_.items).subspan(from, to - from);
}

void Rows::note_repeated(std::size_t first, std::size_t again) {
  const Begun& row = begun_[again];
  const auto same = [](const RawItem& a, const RawItem& b) { return a.key == b.key && a.value == b.value; };
  const auto was = items_of(first);
  const auto is = items_of(again);
  const bool clash =
      !input_.source.last_counts && !std::equal(was.begin(), was.end(), is.begin(), is.end(), same);
  const OddityKind kind = clash ? OddityKind::clashing_rows : OddityKind::repeated_row;
  if (++noted_[static_cast<std::size_t>(kind)] > max_named_oddities) return;
  output_.oddities.push_back({kind, Place{std::string(input_.name), row.line, row.at},
                              fmt::format("{} is given again{}; line {} gave it first", escape(row.key),
                                          clash ? " with another value" : "", begun_[first].line),
                              input_.source.group});
}

void Rows::drop_repeated() {
  if (!may_repeat()) return;
  std::unordered_map<std::string_view, std::size_t> last;  // key -> row that counts
  last.reserve(begun_.size());
  std::vector<bool> gone(begun_.size(), false);
  bool any = false;
  for (std::size_t i = 0; i < begun_.size(); ++i) {
    const auto [at, fresh] = last.emplace(begun_[i].key, i);
    if (fresh) continue;
    gone[at->second] = any = true;
    note_repeated(at->second, i);
    at->second = i;
  }
  if (!any) return;
  const auto overrule = [&](const Begun& row, RawItem&& item) {
    const Begun& by = begun_[last.at(row.key)];
    output_.overruled.push_back({item.group,
                                 std::move(item.key),
                                 std::move(item.value),
                                 item.span,
                                 {input_.file, by.at, 0, by.line}});
  };
  std::size_t keep = begun_.front().first_item;
  for (std::size_t i = 0; i < begun_.size(); ++i) {
    const std::size_t end = i + 1 < begun_.size() ? begun_[i + 1].first_item : output_.items.size();
    for (std::size_t item = begun_[i].first_item; item < end; ++item) {
      if (gone[i]) {
        overrule(begun_[i], std::move(output_.items[item]));
        continue;
      }
      if (keep != item) output_.items[keep] = std::move(output_.items[item]);
      ++keep;
    }
  }
  output_.items.resize(keep);
}

}  // namespace keepway::reader
