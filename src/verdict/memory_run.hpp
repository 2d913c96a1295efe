// Lost memory that is a stretch of a table: other tables are in the same file, under keys of one form.
#pragma once

#include <cstddef>
#include <optional>
#include <string>

#include "keepway/namebook.hpp"
#include "keepway/state.hpp"

namespace keepway::verdict {

inline constexpr std::size_t few_values = 4;  // different ones: what memory lost had more than one or two

// How many numbers of a value are other than what memory holds that was never written, which is zero or the
// namebook's default: one or none, but for a value of several, such as the axes of a place.
std::size_t count_set(const Namebook& book, Group group, const Item& item);
inline bool is_set(const Namebook& book, Group group, const Item& item) {
  return count_set(book, group, item) > 0;
}

// Not set, and no word such as OFF either.
bool is_cleared(const Namebook& book, Group group, const Item& item);

struct LostRun {
  std::string rows;  // "parameters/41 to parameters/60": another stretch is another loss
  std::string what;
};
// The longest stretch of rows, one after another, that hold one and the same value now; nullopt where too few
// of them held another before. People clear a few rows at a time; variables are cleared by programs too.
std::optional<LostRun> lost_run(const Namebook& book, Group group, const Table& was, const Table& now);

}  // namespace keepway::verdict
