// Two people's edits of one namebook, joined entry by entry.
#include <fmt/format.h>

#include <map>

#include "namebook/row.hpp"

namespace keepway {
namespace {

using ByAddress = std::map<std::string, Entry>;

// Of entries with one address the first counts.
ByAddress entries_of(std::string_view tsv, const std::string& file) {
  ByAddress out;
  const Namebook book = Namebook::parse(tsv, file);
  for (const Entry& entry : book.entries()) out.emplace(entry.address, entry);
  return out;
}

bool same(const ByAddress& a, const ByAddress& b, const std::string& address) {
  const auto x = a.find(address);
  const auto y = b.find(address);
  if (x == a.end() || y == b.end()) return x == a.end() && y == b.end();
  return book::cells_of(x->second) == book::cells_of(y->second);
}

}  // namespace

JoinedNames join_namebooks(std::string_view base, std::string_view first, std::string_view later,
                           const std::string& file) {
  const ByAddress was = entries_of(base, file);
  const ByAddress theirs = entries_of(first, file);
  const ByAddress ours = entries_of(later, file);
  JoinedNames out{std::string(first), {}};
  std::vector<Entry> set;
  for (const auto& [address, entry] : ours) {
    if (same(was, ours, address) || same(theirs, ours, address)) continue;
    set.push_back(entry);
    if (!same(was, theirs, address)) out.clashing.push_back(address);
  }
  for (const auto& [address, entry] : was) {
    if (ours.contains(address) || !same(was, theirs, address)) continue;
    if (auto without = remove_entry(out.text, file, address)) out.text = std::move(*without);
  }
  out.text = set_entries(out.text, file, set);
  return out;
}

}  // namespace keepway
