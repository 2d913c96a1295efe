// Which items people mean by an address, a part of a name, or one that they mistyped.
#include <algorithm>
#include <utility>

#include "keepway/machine.hpp"
#include "keepway/text.hpp"
#include "shop/items_of.hpp"

namespace keepway {
namespace {

std::string_view trim(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
}

// In small letters, none but ASCII's: a person may type "länge" for "laenge", and the reverse.
std::string plain(std::string_view text) {
  return lower(in_ascii(std::string(text)));
}

// A key up to its slash number `slashes`, from 0.
std::string_view front_parts(std::string_view key, std::ptrdiff_t slashes) {
  std::size_t end = key.find('/');
  for (; slashes > 0 && end != std::string_view::npos; --slashes) end = key.find('/', end + 1);
  return key.substr(0, end);
}

// How many bytes were typed wrongly, left out, added, or in each other's place (Damerau and Levenshtein's
// distance, of optimal alignments), up to what one mistypes: two, and one in a short text. nullopt for more.
// Looks at no key that is over 100 bytes.
std::optional<std::size_t> typing_errors(std::string_view typed, std::string_view key) {
  constexpr std::size_t longest = 100;
  const std::size_t most = typed.size() > 4 ? 2 : 1;
  const std::size_t apart = typed.size() > key.size() ? typed.size() - key.size() : key.size() - typed.size();
  if (apart > most || typed.size() > longest || key.size() > longest) return std::nullopt;
  std::vector<std::size_t> before(key.size() + 1);
  std::vector<std::size_t> above(key.size() + 1);
  std::vector<std::size_t> row(key.size() + 1);
  for (std::size_t j = 0; j < row.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= typed.size(); ++i) {
    std::swap(before, above);
    std::swap(above, row);
    row[0] = i;
    for (std::size_t j = 1; j <= key.size(); ++j) {
      const std::size_t kept = above[j - 1] + (typed[i - 1] == key[j - 1] ? 0 : 1);
      row[j] = std::min({kept, row[j - 1] + 1, above[j] + 1});
      const bool swapped = i > 1 && j > 1 && typed[i - 1] == key[j - 2] && typed[i - 2] == key[j - 1];
      if (swapped) row[j] = std::min(row[j], before[j - 2] + 1);
    }
  }
  return row.back() <= most ? std::optional(row.back()) : std::nullopt;
}

}  // namespace

// The item at an address if ever there was one, else the items below it, of the newest backup that has any.
std::vector<Address> Machine::meant_by(const Address& address) const {
  const store::Index& all = index();
  if (all.size() == 0) return {};
  if (!address.key.empty() && !when(address).empty()) return {address};
  std::vector<Address> found;
  const auto look = [&](const std::string& key) {
    if (covers(address, {address.group, key})) found.push_back({address.group, key});
  };
  for (const auto& [key, seen] : items_of(*this, all.commit(shown_place()), address.group, false)) look(key);
  // What the newest backup does not have and one before it had is gone since some backup between them.
  for (std::size_t place = 0; place < all.size() && found.empty(); ++place) {
    for (const store::Change& change : all.changes(place)) {
      if (change.value) continue;
      if (const auto gone = item_of(change.name); gone && gone->group == address.group) look(gone->key);
    }
  }
  std::sort(found.begin(), found.end(),
            [](const Address& a, const Address& b) { return natural_order(a.key, b.key) < 0; });
  return found;
}

std::vector<Address> Machine::near(const Address& address) const {
  constexpr std::size_t most = 3;
  std::vector<std::pair<std::size_t, Address>> found;
  const auto tip = shown();
  if (!tip) return {};
  const std::string typed = plain(address.key);
  const auto parts = std::count(typed.begin(), typed.end(), '/');
  std::string_view last;
  const SeenItems own = items_of(*this, tip->commit, address.group, false);
  for (const auto& [key, seen] : own) {
    const std::string_view row = front_parts(key, parts);  // an item, or the row that it belongs to
    if (row == std::exchange(last, row)) continue;
    if (const auto steps = typing_errors(typed, plain(row))) {
      found.emplace_back(*steps, Address{address.group, std::string(row)});
    }
  }
  for (const Group group : all_groups) {  // the right key in the wrong group
    if (group == address.group) continue;
    const SeenItems items = items_of(*this, tip->commit, group, false);
    if (items.contains(address.key)) found.emplace_back(0, Address{group, address.key});
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<Address> nearest;
  for (std::size_t i = 0; i < std::min(most, found.size()); ++i)
    nearest.push_back(std::move(found[i].second));
  return nearest;
}

std::vector<Address> Machine::search(const std::string& what) const {
  try {
    const Address address = Address::parse(what);
    if (!address.key.empty()) return meant_by(address);
  } catch (const Error&) {
    // not an address: a part of a name, then
  }
  const std::string wanted = plain(trim(what));
  std::vector<Address> part;
  std::vector<Address> whole;
  const auto tip = shown();
  if (!tip || wanted.empty()) return part;
  for (const Group group : all_groups) {
    for (const auto& [key, seen] : items_of(*this, tip->commit, group, false)) {
      const Address address{group, key};
      const std::string name = plain(namebook_.name(group, key));
      if (name == wanted || plain(key) == wanted) {
        whole.push_back(address);
      } else if (name.find(wanted) != std::string::npos ||
                 plain(address.text()).find(wanted) != std::string::npos) {
        part.push_back(address);
      }
    }
  }
  if (whole.size() == 1) return whole;
  whole.insert(whole.end(), part.begin(), part.end());
  return whole;
}

}  // namespace keepway
