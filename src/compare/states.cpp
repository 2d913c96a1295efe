// State against state: tables by key, programs by name and then by text.
#include <algorithm>
#include <compare>
#include <optional>
#include <set>
#include <unordered_map>

#include "compare/block_text.hpp"
#include "compare/references.hpp"
#include "keepway/compare.hpp"

namespace keepway {
namespace {

// A program's text without its number (the O word that begins its first block) and without N words.
std::string text_without_numbers(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  bool first = true;
  for (const BlockText& block : blocks_of(text)) {
    std::string body = block.body();
    if (first && body.size() > 1 && body[0] == 'O') {
      std::size_t end = 1;
      while (end < body.size() && body[end] >= '0' && body[end] <= '9') ++end;
      if (end > 1 && (end == body.size() || body[end] == ' ')) body.erase(0, end);
    }
    first = false;
    (out += body) += '\n';
  }
  return out;
}

// Pairs programs that went with programs that came with the same text, in natural order.
void pair_renamed(const std::vector<const Program*>& gone, const std::vector<const Program*>& come,
                  std::vector<ProgramChange>& out) {
  std::unordered_map<std::string, std::vector<const Program*>> by_text;  // last first
  if (!come.empty()) {
    for (const Program* program : gone) by_text[text_without_numbers(program->text)].push_back(program);
    for (auto& [text, programs] : by_text) std::reverse(programs.begin(), programs.end());
  }
  std::vector<const Program*> renamed;
  for (const Program* program : come) {
    ProgramChange change{ProgramChangeKind::added, program->name, "", {}, 0};
    if (!by_text.empty()) {
      const auto found = by_text.find(text_without_numbers(program->text));
      if (found != by_text.end() && !found->second.empty()) {
        change.kind = ProgramChangeKind::renamed;
        change.before_name = found->second.back()->name;
        renamed.push_back(found->second.back());
        found->second.pop_back();
      }
    }
    out.push_back(std::move(change));
  }
  std::sort(renamed.begin(), renamed.end());
  for (const Program* program : gone) {
    if (std::binary_search(renamed.begin(), renamed.end(), program)) continue;
    out.push_back({ProgramChangeKind::removed, program->name, "", {}, 0});
  }
}

ForeignReferences foreign_references(const std::vector<Program>& programs) {
  ForeignReferences out;
  for (const Program& program : programs) add_foreign_references(program.text, out);
  return out;
}

std::set<std::size_t> named_from_outside(const Program& program, const ForeignReferences& references) {
  std::set<std::string> numbers;
  for (const std::string& key : {std::string(), program.name}) {
    if (const auto found = references.find(key); found != references.end())
      numbers.insert(found->second.begin(), found->second.end());
  }
  return blocks_named(program.text, numbers);
}

// A renumbering that other programs' calls and returns do not follow is a change.
void follow_foreign_references(const std::vector<Program>& before, const std::vector<Program>& after,
                               std::vector<ProgramChange>& changes) {
  std::optional<ForeignReferences> was;
  std::optional<ForeignReferences> is;
  const auto find = [](const std::vector<Program>& programs, const std::string& name) {
    return std::lower_bound(
        programs.begin(), programs.end(), name,
        [](const Program& a, const std::string& b) { return natural_order(a.name, b) < 0; });
  };
  for (ProgramChange& change : changes) {
    if (change.kind != ProgramChangeKind::renumbered) continue;
    if (!was) was = foreign_references(before);
    if (!is) is = foreign_references(after);
    const auto named_before = named_from_outside(*find(before, change.name), *was);
    const auto named_after = named_from_outside(*find(after, change.name), *is);
    if (named_before == named_after) continue;
    change.kind = ProgramChangeKind::changed;
    BlockChange block;
    const std::set<std::size_t>& some = named_after.empty() ? named_before : named_after;
    block.before_line = block.after_line = *some.begin() + 1;
    block.meaning.emplace_back(
        "another program goes by a block number here (M99 P or M98 with N), and it is another block's now");
    change.blocks.push_back(std::move(block));
  }
}

std::vector<ProgramChange> compare_all_programs(const std::vector<Program>& before,
                                                const std::vector<Program>& after) {
  std::vector<ProgramChange> changes;
  std::vector<const Program*> gone;
  std::vector<const Program*> come;
  auto a = before.begin();
  auto b = after.begin();
  while (a != before.end() || b != after.end()) {
    const auto order = a == before.end()  ? std::strong_ordering::greater
                       : b == after.end() ? std::strong_ordering::less
                                          : natural_order(a->name, b->name);
    if (std::is_lt(order)) {
      gone.push_back(&*a++);
    } else if (std::is_gt(order)) {
      come.push_back(&*b++);
    } else {
      // Most are one text, which is seen without looking through it.
      auto change = a->text == b->text ? std::nullopt : compare_programs(a->text, b->text);
      if (change) {
        change->name = b->name;
        changes.push_back(std::move(*change));
      }
      ++a;
      ++b;
    }
  }
  follow_foreign_references(before, after, changes);
  pair_renamed(gone, come, changes);
  std::stable_sort(changes.begin(), changes.end(), [](const ProgramChange& x, const ProgramChange& y) {
    return std::is_lt(natural_order(x.name, y.name));
  });
  return changes;
}

}  // namespace

std::vector<ValueChange> compare_tables(Group group, const Table& before, const Table& after) {
  std::vector<ValueChange> changes;
  constexpr std::size_t many = 1024;
  changes.reserve(std::min(std::max(before.size(), after.size()), many));
  auto a = before.begin();
  auto b = after.begin();
  while (a != before.end() || b != after.end()) {
    const auto order = a == before.end()  ? std::strong_ordering::greater
                       : b == after.end() ? std::strong_ordering::less
                       : a->key == b->key ? std::strong_ordering::equal
                                          : natural_order(a->key, b->key);
    if (std::is_lt(order)) {
      changes.push_back({group, a->key, a->value, std::nullopt});
      ++a;
    } else if (std::is_gt(order)) {
      changes.push_back({group, b->key, std::nullopt, b->value});
      ++b;
    } else {
      if (a->value != b->value) changes.push_back({group, b->key, a->value, b->value});
      ++a;
      ++b;
    }
  }
  return changes;
}

Changes compare(const State& before, const State& after) {
  static const Table none;
  Changes changes;
  for (const Group group : all_groups) {
    const auto& was = before.table(group);
    const auto& is = after.table(group);
    if (was && !is) changes.gone.push_back(group);
    if (!was && is) changes.come.push_back(group);
    auto values = compare_tables(group, was ? *was : none, is ? *is : none);
    changes.values.reserve(changes.values.size() + values.size());
    std::move(values.begin(), values.end(), std::back_inserter(changes.values));
  }
  changes.programs = compare_all_programs(before.programs, after.programs);
  return changes;
}

}  // namespace keepway
