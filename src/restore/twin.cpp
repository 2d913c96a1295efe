#include "keepway/twin.hpp"

#include <algorithm>

#include "restore/equal_items.hpp"

namespace keepway {
namespace {

// What either namebook says of an item.
struct ItemTraits {
  bool own = false;
  bool living = false;
  bool length = false;
  bool number = true;  // no bits, no choice
  bool unit = false;   // of any kind
};

ItemTraits traits_of(const TwinSide& a, const TwinSide& b, Group group, std::string_view key) {
  ItemTraits out;
  for (const Namebook* book : {&a.namebook, &b.namebook}) {
    const std::optional<Entry> entry = book->find(group, key);
    if (!entry) continue;
    out.own = out.own || entry->own;
    out.living = out.living || entry->living;
    out.length = out.length || entry->unit == "length";
    out.unit = out.unit || !entry->unit.empty();
    out.number = out.number && entry->kind == Kind::number;
  }
  return out;
}

std::optional<Decimal> in_mm(const std::optional<std::string>& value, Units units) {
  if (!value) return std::nullopt;
  std::optional<Decimal> number = Decimal::parse(*value);
  if (number && units == Units::inch) number = *number * *Decimal::parse("25.4");
  return number;
}

bool same_length(const ValueChange& change, const TwinSide& a, const TwinSide& b) {
  const std::optional<Decimal> x = in_mm(change.before, a.units);
  const std::optional<Decimal> y = in_mm(change.after, b.units);
  return x && y && *x == *y;
}

TwinDelta delta_between(const std::optional<Decimal>& from, const std::optional<Decimal>& to, bool is_mm) {
  if (!from || !to) return {};
  const Decimal step = *to - *from;
  return {(step.is_negative() || step.is_zero() ? "" : "+") + step.text(), is_mm};
}

std::vector<TwinValue>& list_for(const ItemTraits& traits, Twins& out) {
  return traits.own ? out.own : traits.living ? out.living : out.values;
}

}  // namespace

Twins twin(const TwinSide& a, const TwinSide& b) {
  Twins out;
  Changes changes = compare(a.state, b.state);
  out.only_a = std::move(changes.gone);
  out.only_b = std::move(changes.come);
  out.equal = restore::count_equal(a.state, b.state);
  const bool convert = a.units != b.units;
  for (ValueChange& change : changes.values) {
    const ItemTraits traits = traits_of(a, b, change.group, change.key);
    if (convert && traits.length && same_length(change, a, b)) {
      ++out.equal;
      continue;
    }
    list_for(traits, out)
        .push_back({{change.group, change.key}, std::move(change.before), std::move(change.after)});
  }
  // Where units differ, lengths that read the same are not the same length.
  if (convert) {
    for (const Group group : all_groups) {
      const auto& of_a = a.state.table(group);
      const auto& of_b = b.state.table(group);
      if (!of_a || !of_b) continue;
      for (const Item& item : *of_a) {
        const Item* other = find_item(*of_b, item.key);
        if (other == nullptr || other->value != item.value) continue;
        const ItemTraits traits = traits_of(a, b, group, item.key);
        const ValueChange same{group, item.key, item.value, other->value};
        const bool number = Decimal::parse(item.value).has_value();
        if (!traits.length || !number || same_length(same, a, b)) continue;
        --out.equal;
        list_for(traits, out).push_back({{group, item.key}, item.value, other->value});
      }
    }
    for (auto* list : {&out.values, &out.own, &out.living}) {
      std::sort(list->begin(), list->end(), [](const TwinValue& x, const TwinValue& y) {
        if (x.address.group != y.address.group) return x.address.group < y.address.group;
        return natural_order(x.address.key, y.address.key) < 0;
      });
    }
  }
  for (ProgramChange& change : changes.programs) {
    const ItemTraits traits = traits_of(a, b, Group::programs, change.name);
    if (change.kind == ProgramChangeKind::renumbered) {
      ++out.equal;
    } else if (traits.own || traits.living) {
      auto& list = traits.own ? out.own : out.living;
      list.push_back({{Group::programs, change.name}, std::nullopt, std::nullopt});
      const auto text = [&](const State& state, const std::string& name) -> std::optional<std::string> {
        const Program* program = state.program(name);
        if (program == nullptr) return std::nullopt;
        return program->text;
      };
      list.back().a = text(a.state, change.before_name.empty() ? change.name : change.before_name);
      list.back().b = text(b.state, change.name);
    } else {
      out.programs.push_back(std::move(change));
    }
  }
  return out;
}

TwinDelta twin_delta(const TwinSide& a, const TwinSide& b, const TwinValue& value) {
  if (!value.a || !value.b || is_unread(value.address.key)) return {};
  const ItemTraits traits = traits_of(a, b, value.address.group, value.address.key);
  // Of a number without a unit nobody knows whether it counts in the machine's.
  if (!traits.number || (a.units != b.units && !traits.unit)) return {};
  if (a.units != b.units && traits.length)
    return delta_between(in_mm(value.a, a.units), in_mm(value.b, b.units), true);
  return delta_between(Decimal::parse(*value.a), Decimal::parse(*value.b), false);
}

}  // namespace keepway
