#include <algorithm>

#include "base/digit.hpp"
#include "keepway/state.hpp"

namespace keepway {
namespace {

// Length of the run of digits at the front.
std::size_t digit_run(std::string_view text) {
  std::size_t n = 0;
  while (n < text.size() && is_digit(text[n])) ++n;
  return n;
}

std::string_view without_zeros(std::string_view digits) {
  while (digits.size() > 1 && digits.front() == '0') digits.remove_prefix(1);
  return digits;
}

}  // namespace

std::string_view group_name(Group group) {
  switch (group) {
    case Group::parameters:
      return "parameters";
    case Group::settings:
      return "settings";
    case Group::offsets:
      return "offsets";
    case Group::variables:
      return "variables";
    case Group::programs:
      return "programs";
  }
  return "";
}

std::optional<Group> parse_group(std::string_view name) {
  for (const Group group : all_groups) {
    if (group_name(group) == name) return group;
  }
  return std::nullopt;
}

std::string_view units_name(Units units) {
  return units == Units::inch ? "inch" : "mm";
}

std::optional<Units> parse_units(std::string_view name) {
  if (name == "inch") return Units::inch;
  if (name == "mm") return Units::mm;
  return std::nullopt;
}

Address Address::parse(std::string_view text) {
  const std::size_t slash = text.find('/');
  const auto group = parse_group(text.substr(0, slash));
  if (!group) {
    throw Error(
        ErrorKind::usage, "'" + escape(text) + "' is not an address",
        "begin with parameters/, settings/, offsets/, variables/ or programs/, as in offsets/work/G54/X");
  }
  Address address{*group, slash == std::string_view::npos ? "" : std::string(text.substr(slash + 1))};
  if (*group == Group::programs && address.key.size() > 1 &&
      (address.key[0] == 'O' || address.key[0] == 'o') &&
      digit_run(std::string_view(address.key).substr(1)) == address.key.size() - 1) {
    address.key = program_name(std::string_view(address.key).substr(1));
  }
  return address;
}

std::string Address::text() const {
  std::string out(group_name(group));
  if (!key.empty()) (out += '/') += key;
  return out;
}

std::strong_ordering natural_order(std::string_view a, std::string_view b) {
  const std::string_view whole_a = a;
  const std::string_view whole_b = b;
  // What both begin with decides nothing, but for digits that the first difference may be among.
  std::size_t same = 0;
  while (same < a.size() && same < b.size() && a[same] == b[same]) ++same;
  // Where both go on with as many digits, the two numbers are of one length, whatever is in front.
  const std::size_t run = digit_run(a.substr(same));
  if (run > 0 && run == digit_run(b.substr(same))) return a[same] <=> b[same];
  while (same > 0 && is_digit(a[same - 1])) --same;
  a.remove_prefix(same);
  b.remove_prefix(same);
  while (!a.empty() && !b.empty()) {
    const std::size_t run_a = digit_run(a);
    const std::size_t run_b = digit_run(b);
    if (run_a > 0 && run_b > 0) {
      const std::string_view x = without_zeros(a.substr(0, run_a));
      const std::string_view y = without_zeros(b.substr(0, run_b));
      if (x.size() != y.size()) return x.size() <=> y.size();
      if (const int order = x.compare(y); order != 0) return order <=> 0;
      a.remove_prefix(run_a);
      b.remove_prefix(run_b);
      continue;
    }
    if (a.front() != b.front()) {
      if (a.front() == '/') return std::strong_ordering::less;
      if (b.front() == '/') return std::strong_ordering::greater;
      return static_cast<unsigned char>(a.front()) <=> static_cast<unsigned char>(b.front());
    }
    a.remove_prefix(1);
    b.remove_prefix(1);
  }
  if (a.size() != b.size()) return a.empty() ? std::strong_ordering::less : std::strong_ordering::greater;
  // Equal as numbers but written with other zeros ("02", "2"): order by text, so that order is total.
  return whole_a.compare(whole_b) <=> 0;
}

bool append_natural_key(std::string_view text, std::string& out) {
  constexpr std::size_t most_digits = 200;
  while (!text.empty()) {
    const std::size_t run = digit_run(text);
    if (run > 0) {
      const std::string_view number = without_zeros(text.substr(0, run));
      if (number.size() > most_digits) return false;
      ((out += '0') += static_cast<char>(number.size())) += number;
      text.remove_prefix(run);
      continue;
    }
    if (static_cast<unsigned char>(text.front()) < 2) return false;
    out += text.front() == '/' ? '\1' : text.front();
    text.remove_prefix(1);
  }
  return true;
}

bool is_unread(std::string_view key) {
  return key.starts_with(unread_prefix);
}

const Item* find_item(const Table& table, std::string_view key) {
  const auto it = std::lower_bound(table.begin(), table.end(), key, [](const Item& item, std::string_view k) {
    return natural_order(item.key, k) < 0;
  });
  return it != table.end() && it->key == key ? &*it : nullptr;
}

const Item* ItemCursor::find(std::string_view key) {
  for (std::size_t i = at_; i < std::min(at_ + 2, table_.size()); ++i) {
    if (table_[i].key != key) continue;
    at_ = i;
    return &table_[i];
  }
  const Item* item = find_item(table_, key);
  if (item != nullptr) at_ = static_cast<std::size_t>(item - table_.data());
  return item;
}

const Program* State::program(std::string_view name) const {
  const auto it = std::lower_bound(
      programs.begin(), programs.end(), name,
      [](const Program& program, std::string_view n) { return natural_order(program.name, n) < 0; });
  return it != programs.end() && it->name == name ? &*it : nullptr;
}

void sort_table(Table& table) {
  const auto before = [](const Item& a, const Item& b) { return natural_order(a.key, b.key) < 0; };
  if (!std::is_sorted(table.begin(), table.end(), before)) {
    std::stable_sort(table.begin(), table.end(), before);
  }
  // Of rows with one key the last counts.
  std::size_t kept = 0;
  for (std::size_t i = 0; i < table.size(); ++i) {
    if (i + 1 < table.size() && table[i].key == table[i + 1].key) continue;
    if (kept != i) table[kept] = std::move(table[i]);
    ++kept;
  }
  table.erase(table.begin() + static_cast<std::ptrdiff_t>(kept), table.end());
}

std::string program_name(std::string_view digits) {
  std::string name(1, 'O');
  return name += without_zeros(digits);
}

}  // namespace keepway
