// Helpers for the readers' tests: read files by a layout given as text.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "keepway/reader.hpp"

namespace keepway::test {

using Files = std::vector<std::pair<std::string, std::string>>;

inline Reading read(const Layout& layout, const Files& files, const ReadContext& context = {}) {
  std::vector<OriginalView> views;
  views.reserve(files.size());
  for (const auto& [name, bytes] : files) views.push_back({name, bytes});
  return read_backup(layout, context, views);
}

inline Reading read(const std::string& toml, const Files& files, const ReadContext& context = {}) {
  return read(parse_layout(toml, "test.toml"), files, context);
}

inline const Layout& rs274ngc() {
  static const Layout layout = parse_layout(*builtin_layout("rs274ngc"), "rs274ngc.toml");
  return layout;
}

// Value of an item, or "(none)".
inline std::string value(const Reading& reading, const std::string& address) {
  const Address at = Address::parse(address);
  if (!reading.state.table(at.group)) return "(no table)";
  const Item* item = find_item(*reading.state.table(at.group), at.key);
  return item == nullptr ? "(none)" : item->value;
}

inline std::size_t count(const Reading& reading, OddityKind kind) {
  std::size_t n = 0;
  for (const Oddity& oddity : reading.oddities) n += oddity.kind == kind ? 1 : 0;
  return n;
}

inline const Oddity* first(const Reading& reading, OddityKind kind) {
  for (const Oddity& oddity : reading.oddities) {
    if (oddity.kind == kind) return &oddity;
  }
  return nullptr;
}

inline std::vector<std::string> unread(const Reading& reading, Group group) {
  std::vector<std::string> out;
  if (!reading.state.table(group)) return out;
  for (const Item& item : *reading.state.table(group)) {
    if (is_unread(item.key)) out.push_back(item.value);
  }
  return out;
}

// The bytes an item was read from.
inline std::string spelled(const Reading& reading, const Files& files, const std::string& address) {
  const Address at = Address::parse(address);
  const Origin* origin = reading.origin(at.group, at.key);
  if (origin == nullptr) return "(none)";
  return files[origin->span.file].second.substr(origin->span.at, origin->span.length);
}

}  // namespace keepway::test
