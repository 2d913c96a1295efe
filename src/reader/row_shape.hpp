// Rows in a shape that the layout gives, taken apart into cells: `TOOL {number}: LEN={length}`.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "keepway/layout.hpp"
#include "reader/comments.hpp"

namespace keepway::reader {

class ShapeSplitter {
 public:
  struct Cell {
    FieldKind kind = FieldKind::text;
    bool needed = true;
  };
  // `shape` of a source, which must outlive it; its texts are looked for in the source's character set.
  // `cells`: one for each of shape.before.
  ShapeSplitter(const Source& source, const RowShape& shape, std::vector<Cell> cells);

  // The cells of a line; false when the line has another shape. A text reaches as far as the rest of the
  // shape leaves it. A cell that is not needed is empty where its name is not there, as is a text at the end.
  bool split(std::string_view code, std::vector<std::string_view>& out);

 private:
  bool from(std::size_t cell, std::size_t at);
  [[nodiscard]] bool is_text(std::size_t cell) const;
  bool number(std::size_t cell, std::size_t at);
  bool text(std::size_t cell, std::size_t at);
  // Passes over `literal` at `at`. False where something else is there.
  [[nodiscard]] bool take(std::string_view literal, std::size_t& at) const;
  [[nodiscard]] bool pass_missing(std::size_t cell, std::size_t& at) const;

  RowShape shape_;
  std::vector<Cell> cells_;
  const NumberForm& numbers_;
  std::string_view code_;
  std::vector<std::string_view>* out_ = nullptr;
  std::size_t steps_left_ = 0;
  bool names_may_miss_ = false;
  std::string number_room_;
};

// The cells of a line that names a part, of which a second may miss.
std::vector<ShapeSplitter::Cell> part_cells(const Source& source);

// What of a line may name a part: all of it, where a text behind the part is an item or nothing but a remark
// is there; else what is no remark. As long as `comments` is not asked again.
std::string_view part_text(const Source& source, std::string_view line, Comments& comments);

}  // namespace keepway::reader
