#include "keepway/meaning.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "keepway/point.hpp"

namespace keepway {
namespace {

// ISO 1 / international inch of 1959: one inch is 25.4 mm, exactly.
const Decimal& mm_per_inch() {
  static const Decimal value = *Decimal::parse("25.4");
  return value;
}

constexpr std::size_t max_bits = 64;

std::string unit_text(const Entry& entry, Units units) {
  if (entry.unit == "length") return units == Units::inch ? "in" : "mm";
  return entry.unit;
}

std::string meaning_of(const Entry& entry, const std::string& value) {
  for (const Meaning& meaning : entry.meanings) {
    if (meaning.value == value) return meaning.name;
  }
  return {};
}

std::string with_plus(const Decimal& value) {
  return (value.is_negative() || value.is_zero() ? "" : "+") + value.text();
}

// Bits of a bit-coded value, lowest first; nullopt when it is no such value.
std::optional<std::vector<bool>> bits_of(const Entry& entry, const std::string& value) {
  std::vector<bool> bits;
  if (value.empty() || value.size() > max_bits) return std::nullopt;
  if (entry.kind == Kind::binary) {
    for (auto it = value.rbegin(); it != value.rend(); ++it) {
      if (*it != '0' && *it != '1') return std::nullopt;
      bits.push_back(*it == '1');
    }
    return bits;
  }
  unsigned long long number = 0;
  for (const char c : value) {
    if (c < '0' || c > '9' || number > (~0ULL - 9) / 10) return std::nullopt;
    number = number * 10 + static_cast<unsigned>(c - '0');
  }
  for (; number != 0; number >>= 1) bits.push_back((number & 1) != 0);
  return bits;
}

std::vector<BitChange> changed_bits(const Entry& entry, const std::string& before, const std::string& after) {
  std::vector<BitChange> changes;
  auto from = bits_of(entry, before);
  auto to = bits_of(entry, after);
  if (!from || !to) return changes;
  const std::size_t size = std::max(from->size(), to->size());
  from->resize(size);
  to->resize(size);
  for (std::size_t bit = 0; bit < size; ++bit) {
    if ((*from)[bit] == (*to)[bit]) continue;
    const std::string number = std::to_string(bit);
    changes.push_back({number, meaning_of(entry, number), (*from)[bit], (*to)[bit]});
  }
  return changes;
}

void add_warnings(ValueMeaning& meaning, const Entry& entry, const std::optional<Decimal>& before,
                  const std::optional<Decimal>& after) {
  const auto shown = [&](const Decimal& value) {
    return meaning.unit.empty() ? value.text() : fmt::format("{} {}", value.text(), escape(meaning.unit));
  };
  if (before && after && entry.step && (*after - *before).abs() > *entry.step) {
    meaning.warnings.push_back(
        fmt::format("larger than {}, the most that one change of it should be", shown(*entry.step)));
  }
  if (after && entry.min && *after < *entry.min) {
    meaning.warnings.push_back(fmt::format("below its limit of {}", shown(*entry.min)));
  }
  if (after && entry.max && *after > *entry.max) {
    meaning.warnings.push_back(fmt::format("above its limit of {}", shown(*entry.max)));
  }
  if (entry.power_cycle) meaning.warnings.emplace_back("takes effect after the power was off");
  if (!entry.caution.empty()) meaning.warnings.push_back(escape(entry.caution));
}

}  // namespace

std::string other_length(const Decimal& value, Units units) {
  if (units == Units::inch) return (value * mm_per_inch()).text();
  constexpr std::size_t places = 7;
  const auto quotient = value.divided_by(mm_per_inch(), places);
  return (quotient.exact ? "" : "~") + quotient.value.text();
}

std::string explain_value(const std::optional<Entry>& entry, Units units, const std::string& value) {
  std::string shown = escape(value);
  if (!entry) return shown;
  const std::string plain = canonical_number(value).value_or(value);  // `1.` is 1
  switch (entry->kind) {
    case Kind::yesno:
      return plain == "0" ? "no (0)" : plain == "1" ? "yes (1)" : shown;
    case Kind::choice: {
      const std::string meaning = meaning_of(*entry, plain);
      return meaning.empty() ? shown : fmt::format("{} ({})", shown, escape(meaning));
    }
    case Kind::bits:
    case Kind::binary: {
      const auto bits = bits_of(*entry, value);
      if (!bits) return shown;
      std::vector<std::string> on;
      for (std::size_t bit = 0; bit < bits->size(); ++bit) {
        if (!(*bits)[bit]) continue;
        const std::string name = meaning_of(*entry, std::to_string(bit));
        on.push_back(name.empty() ? fmt::format("bit {}", bit) : escape(name));
      }
      return on.empty() ? shown : fmt::format("{} (on: {})", shown, fmt::join(on, ", "));
    }
    case Kind::number:
    case Kind::text:
      break;
  }
  const std::string unit = unit_text(*entry, units);
  return unit.empty() || !Decimal::parse(value) ? shown : fmt::format("{} {}", shown, escape(unit));
}

ValueMeaning explain_change(const Namebook& book, Units units, Group group, const std::string& key,
                            const std::optional<std::string>& before,
                            const std::optional<std::string>& after) {
  ValueMeaning meaning;
  meaning.address = Address{group, key}.text();
  const auto entry = book.find(group, key);
  const auto shown = [&](const std::optional<std::string>& value) {
    if (!value) return std::string();
    // Which bits are on is shown of those that changed alone: see `bits`.
    const bool bits = entry && (entry->kind == Kind::bits || entry->kind == Kind::binary);
    return bits ? escape(*value) : explain_value(entry, units, *value);
  };
  meaning.before = shown(before);
  meaning.after = shown(after);
  const auto from = before ? Decimal::parse(*before) : std::nullopt;
  const auto to = after ? Decimal::parse(*after) : std::nullopt;
  const bool numeric = !entry || entry->kind == Kind::number;
  if (from && to && numeric && !is_unread(key) && *from != *to) meaning.delta = with_plus(*to - *from);
  // Only where the least increment is not known do values of one number differ, by their point.
  if (from && to && *from == *to) meaning.warnings.push_back(point_note("", *before, *after, nullptr, units));
  if (!meaning.warnings.empty() && meaning.warnings.back().empty()) meaning.warnings.pop_back();
  if (!entry) return meaning;

  meaning.name = entry->name;
  meaning.living = entry->living;
  if (numeric) meaning.unit = unit_text(*entry, units);
  const bool length = entry->unit == "length" || entry->unit == "in" || entry->unit == "mm";
  if (!meaning.delta.empty() && length) {
    const Units own = meaning.unit == "in" ? Units::inch : Units::mm;
    std::string other = other_length(*to - *from, own);
    if (*to > *from) other.insert(other.front() == '~' ? 1 : 0, "+");
    meaning.other_delta = std::move(other);
    meaning.other_unit = own == Units::inch ? "mm" : "in";
  }
  if (before && after && (entry->kind == Kind::bits || entry->kind == Kind::binary)) {
    meaning.bits = changed_bits(*entry, *before, *after);
  }
  add_warnings(meaning, *entry, from, to);
  return meaning;
}

}  // namespace keepway
