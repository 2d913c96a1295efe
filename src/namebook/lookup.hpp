// Finds the row of a namebook for an item without going through the book: an item of thousands is looked up
// at each intake. Addresses are hashed; patterns are hashed by their shape, which is where their `*` are: a
// book has hundreds of patterns and a handful of shapes.
#pragma once

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "keepway/state.hpp"

namespace keepway::book {

class Lookup {
 public:
  // Rows are added in the order of the book, by their place in it. Of rows with one address the first counts.
  void add(std::string_view address, std::size_t place);
  // Place of the row whose address this is, else of the first pattern that covers it.
  [[nodiscard]] std::optional<std::size_t> find(Group group, std::string_view key) const;
  // The first pattern that covers it alone.
  [[nodiscard]] std::optional<std::size_t> find_pattern(Group group, std::string_view key) const;

 private:
  struct Hash {
    using is_transparent = void;
    std::size_t operator()(std::string_view text) const { return std::hash<std::string_view>{}(text); }
  };
  using Places = std::unordered_map<std::string, std::size_t, Hash, std::equal_to<>>;
  struct Shape {
    std::vector<bool> stars;  // for each part of a key whether it is a `*`
    Places places;            // by the key with nothing in place of the `*`
  };
  struct Rows {
    Places exact;
    std::vector<Shape> shapes;
  };
  std::array<Rows, all_groups.size()> rows_;
};

}  // namespace keepway::book
