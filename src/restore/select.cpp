#include <algorithm>
#include <charconv>
#include <set>

#include "keepway/restore.hpp"
#include "restore/protection.hpp"

namespace keepway {
namespace {

// The groups that each file's items belong to, by file index.
std::vector<std::set<Group>> groups_by_file(const Reading& reading) {
  std::vector<std::set<Group>> groups(reading.files.size());
  for (const Origin& origin : reading.origins) groups[origin.span.file].insert(origin.group);
  for (const ProgramFacts& program : reading.programs) groups[program.span.file].insert(Group::programs);
  return groups;
}

}  // namespace

namespace restore {

bool is_protected(const Layout& layout, const ProgramFacts& program) {
  long number = -1;
  if (program.name.size() < 2 || program.name[0] != 'O') return false;
  std::from_chars(program.name.data() + 1, program.name.data() + program.name.size(), number);
  const auto& ranges = layout.sources[program.source].protected_programs;
  return std::any_of(ranges.begin(), ranges.end(),
                     [&](const Range& range) { return number >= range.first && number <= range.last; });
}

}  // namespace restore

media::Set select_groups(const media::Set& set, const Reading& reading, const std::vector<Group>& groups) {
  if (groups.empty()) return set;
  const auto held = groups_by_file(reading);
  media::Set chosen;
  chosen.source = set.source;
  for (std::size_t i = 0; i < set.files.size(); ++i) {
    const bool wanted =
        std::any_of(groups.begin(), groups.end(), [&](Group g) { return held[i].contains(g); });
    if (wanted) chosen.files.push_back(set.files[i]);
  }
  return chosen;
}

std::vector<LoadStep> load_order(const media::Set& set, const Reading& reading, const Layout& layout) {
  const auto held = groups_by_file(reading);
  struct Ranked {
    LoadStep step;
    std::size_t order;
    std::size_t danger;
  };
  std::vector<Ranked> ranked;
  for (std::size_t i = 0; i < set.files.size(); ++i) {
    const FileFacts& facts = reading.files[i];
    Ranked each{{set.files[i].name, {held[i].begin(), held[i].end()}, facts.items, false},
                SIZE_MAX,
                all_groups.size()};
    if (facts.source != FileFacts::no_source) {
      each.order = layout.sources[facts.source].order;
      each.danger = static_cast<std::size_t>(layout.sources[facts.source].group);
    }
    ranked.push_back(std::move(each));
  }
  for (const ProgramFacts& program : reading.programs) {
    if (restore::is_protected(layout, program)) ranked[program.span.file].step.protected_programs = true;
  }
  std::stable_sort(ranked.begin(), ranked.end(), [](const Ranked& a, const Ranked& b) {
    return std::pair(a.order, a.danger) < std::pair(b.order, b.danger);
  });
  std::vector<LoadStep> steps;
  steps.reserve(ranked.size());
  for (Ranked& each : ranked) steps.push_back(std::move(each.step));
  return steps;
}

}  // namespace keepway
