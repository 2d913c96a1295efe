#include "keepway/confirm.hpp"

#include <algorithm>

#include "restore/equal_items.hpp"

namespace keepway {

Confirmation confirm(const State& meant, const State& found, const Namebook& namebook) {
  Confirmation out;
  Changes changes = compare(meant, found);
  out.unjudged = std::move(changes.come);
  out.differences.gone = std::move(changes.gone);
  const auto judged = [&](Group group) {
    return std::find(out.unjudged.begin(), out.unjudged.end(), group) == out.unjudged.end();
  };
  for (ValueChange& change : changes.values) {
    if (!judged(change.group)) continue;
    const std::optional<Entry> entry = namebook.find(change.group, change.key);
    auto& list = entry && entry->living ? out.left_aside : out.differences.values;
    list.push_back(std::move(change));
  }
  for (ProgramChange& change : changes.programs) {
    if (change.kind == ProgramChangeKind::renumbered) {
      out.renumbered.push_back(std::move(change.name));
    } else if (judged(Group::programs)) {
      out.differences.programs.push_back(std::move(change));
    }
  }
  out.matching = restore::count_equal(meant, found) + out.renumbered.size();
  out.full_match = out.differences.empty() && out.differences.gone.empty();
  return out;
}

}  // namespace keepway
