// What must hold of a reading of any bytes: it does not throw, its tables are in normal form and read back
// to themselves, and every item has an origin whose span lies in the file.
#pragma once

#include <cstdint>
#include <string_view>

#include "keepway/reader.hpp"
#include "require.hpp"

namespace keepway::fuzz {

inline void check_reading(const Layout& layout, std::string_view bytes) {
  const Reading reading = read_backup(layout, {}, {{"file", bytes}});
  std::size_t items = 0;
  for (const Group group : all_groups) {
    const auto& table = reading.state.table(group);
    if (!table) continue;
    items += table->size();
    require(read_table(write_table(*table), "table") == *table);
  }
  require(items + reading.state.programs.size() == reading.origins.size());
  for (const Origin& origin : reading.origins) {
    require(reading.origin(origin.group, origin.key) == &origin);
    require(origin.span.at <= bytes.size() && origin.span.length <= bytes.size() - origin.span.at);
  }
}

}  // namespace keepway::fuzz
