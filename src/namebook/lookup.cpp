#include "namebook/lookup.hpp"

#include <algorithm>

#include "namebook/row.hpp"

namespace keepway::book {
namespace {

// The key without those of its parts that a shape's `*` stand for.
void leave_out(std::string_view key, const std::vector<bool>& stars, std::string& fixed) {
  fixed.clear();
  for (const bool star : stars) {
    const std::size_t end = std::min(key.find('/'), key.size());
    if (!star) fixed += key.substr(0, end);
    fixed += '/';
    key.remove_prefix(std::min(end + 1, key.size()));
  }
}

}  // namespace

void Lookup::add(std::string_view address, std::size_t place) {
  const std::size_t slash = address.find('/');
  const auto group = parse_group(address.substr(0, slash));
  if (!group || slash == std::string_view::npos) return;
  const std::string_view key = address.substr(slash + 1);
  Rows& rows = rows_[static_cast<std::size_t>(*group)];
  std::vector<bool> stars;
  for (const std::string_view part : split(key, '/')) stars.push_back(part == "*");
  if (std::find(stars.begin(), stars.end(), true) == stars.end()) {
    rows.exact.emplace(key, place);
    return;
  }
  auto shape = std::find_if(rows.shapes.begin(), rows.shapes.end(),
                            [&](const Shape& one) { return one.stars == stars; });
  if (shape == rows.shapes.end()) shape = rows.shapes.insert(shape, Shape{stars, {}});
  std::string fixed;
  leave_out(key, stars, fixed);
  shape->places.emplace(std::move(fixed), place);
}

std::optional<std::size_t> Lookup::find(Group group, std::string_view key) const {
  const Rows& rows = rows_[static_cast<std::size_t>(group)];
  if (const auto exact = rows.exact.find(key); exact != rows.exact.end()) return exact->second;
  return find_pattern(group, key);
}

std::optional<std::size_t> Lookup::find_pattern(Group group, std::string_view key) const {
  const Rows& rows = rows_.at(static_cast<std::size_t>(group));
  std::optional<std::size_t> first;
  const auto parts = static_cast<std::size_t>(std::count(key.begin(), key.end(), '/')) + 1;
  std::string fixed;
  for (const Shape& shape : rows.shapes) {
    if (shape.stars.size() != parts) continue;
    leave_out(key, shape.stars, fixed);
    const auto found = shape.places.find(fixed);
    if (found != shape.places.end()) first = std::min(first.value_or(found->second), found->second);
  }
  return first;
}

}  // namespace keepway::book
