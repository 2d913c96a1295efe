#include "restore/equal_items.hpp"

namespace keepway::restore {
namespace {

std::string_view key_of(const Item& item) {
  return item.key;
}
std::string_view key_of(const Program& program) {
  return program.name;
}

// Both in natural order.
template <class List>
std::size_t count_in(const List& a, const List& b) {
  std::size_t count = 0;
  auto x = a.begin();
  auto y = b.begin();
  while (x != a.end() && y != b.end()) {
    const auto order = natural_order(key_of(*x), key_of(*y));
    if (order == 0 && *x == *y) ++count;
    if (order <= 0) ++x;
    if (order >= 0) ++y;
  }
  return count;
}

}  // namespace

std::size_t count_equal(const State& a, const State& b) {
  std::size_t count = count_in(a.programs, b.programs);
  for (const Group group : all_groups) {
    if (a.table(group) && b.table(group)) count += count_in(*a.table(group), *b.table(group));
  }
  return count;
}

}  // namespace keepway::restore
