#include "keepway/merge.hpp"

#include <compare>
#include <utility>

namespace keepway {
namespace {

// Items and programs are both a name and a text.
const std::string& name_of(const Item& item) {
  return item.key;
}
const std::string& name_of(const Program& program) {
  return program.name;
}
const std::string& text_of(const Item& item) {
  return item.value;
}
const std::string& text_of(const Program& program) {
  return program.text;
}

template <class Element>
std::optional<std::string> copy_of(const Element* element) {
  return element == nullptr ? std::nullopt : std::optional(text_of(*element));
}

template <class Element>
bool same(const Element* a, const Element* b) {
  return a == nullptr || b == nullptr ? a == b : text_of(*a) == text_of(*b);
}

class Merger {
 public:
  Merger(const std::vector<Preference>& preferences, std::vector<const State*> states)
      : preferences_(preferences), states_(std::move(states)) {}

  template <class Element>
  std::vector<Element> merge_lists(Group group, const std::vector<Element>& base,
                                   const std::vector<Element>& ours, const std::vector<Element>& theirs) {
    std::vector<Element> merged;
    auto b = base.begin();
    auto o = ours.begin();
    auto t = theirs.begin();
    while (b != base.end() || o != ours.end() || t != theirs.end()) {
      const std::string* least = nullptr;
      auto consider = [&](const auto& at, const auto& list) {
        if (at != list.end() && (least == nullptr || std::is_lt(natural_order(name_of(*at), *least)))) {
          least = &name_of(*at);
        }
      };
      consider(b, base);
      consider(o, ours);
      consider(t, theirs);
      const std::string name = *least;
      auto take = [&](auto& at, const auto& list) -> const Element* {
        return at != list.end() && name_of(*at) == name ? &*at++ : nullptr;
      };
      const Element* in_base = take(b, base);
      const Element* in_ours = take(o, ours);
      const Element* in_theirs = take(t, theirs);
      const Element* chosen = choose({group, name}, in_base, in_ours, in_theirs);
      if (chosen != nullptr) merged.push_back(*chosen);
    }
    return merged;
  }

  std::vector<MergedItem> items;
  std::vector<Clash> clashes;

 private:
  template <class Element>
  const Element* choose(Address address, const Element* base, const Element* ours, const Element* theirs) {
    const Element* chosen = base;
    MergeSide from = MergeSide::base;
    if (same(ours, theirs)) {
      if (!same(ours, base)) from = MergeSide::both;
      chosen = ours;
    } else if (same(ours, base)) {
      from = MergeSide::theirs;
      chosen = theirs;
    } else if (same(theirs, base)) {
      from = MergeSide::ours;
      chosen = ours;
    } else if (const Preference* preference = preference_for(address)) {
      from = preference->ours ? MergeSide::ours : MergeSide::theirs;
      chosen = preference->ours ? ours : theirs;
    } else {
      clashes.push_back({address, copy_of(base), copy_of(ours), copy_of(theirs)});
    }
    items.push_back({std::move(address), from, chosen != nullptr});
    return chosen;
  }

  [[nodiscard]] const Preference* preference_for(const Address& address) const {
    const Preference* best = nullptr;
    for (const Preference& preference : preferences_) {
      if (!covers_among(states_, preference.address, address)) continue;
      if (best == nullptr || preference.address.key.size() > best->address.key.size()) best = &preference;
    }
    return best;
  }

  const std::vector<Preference>& preferences_;
  std::vector<const State*> states_;
};

// Of two sides that each have or lack a thing: the one that differs from base, if they differ.
bool merge_presence(bool base, bool ours, bool theirs) {
  return ours == base ? theirs : ours;
}

}  // namespace

Merge merge(const State& base, const State& ours, const State& theirs,
            const std::vector<Preference>& preferences) {
  static const Table none;
  Merger merger(preferences, {&base, &ours, &theirs});
  Merge result;
  auto rows = [](const std::optional<Table>& table) -> const Table& { return table ? *table : none; };
  for (const Group group : all_groups) {
    const auto& b = base.table(group);
    const auto& o = ours.table(group);
    const auto& t = theirs.table(group);
    Table merged = merger.merge_lists(group, rows(b), rows(o), rows(t));
    if (!merged.empty() || merge_presence(b.has_value(), o.has_value(), t.has_value())) {
      result.state.table(group) = std::move(merged);
    }
  }
  result.state.programs = merger.merge_lists(Group::programs, base.programs, ours.programs, theirs.programs);
  result.items = std::move(merger.items);
  result.clashes = std::move(merger.clashes);
  return result;
}

}  // namespace keepway
