#include "show/pages/sheet_values.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "show/pages/html_text.hpp"
#include "show/pages/sheet_grids.hpp"
#include "show/pages/sheet_room.hpp"
#include "show/text.hpp"

namespace keepway::show::pages {
namespace {

// How the tables are set: as sheet.css has it.
struct TableType {
  const char* name;  // of the class
  double points;
  double row;   // mm, with its line
  double note;  // a line below a table
};
constexpr double title_mm = 6.7;  // above a table
constexpr TableType large{"grids", 9.03, 4.7, 4.3};
constexpr TableType fine_type{"grids fine", 6.6, 3.4, 4.3};

// Puts one table after the other into the rooms.
class Filling {
 public:
  Filling(const TableType& type, const std::vector<OffsetsRoom>& rooms) : type_(type), rooms_(rooms) {
    out_.sides.resize(rooms.size());
    out_.used.resize(rooms.size());
  }

  void add(const Grid& grid) {
    const std::size_t blocks = blocks_beside(grid, type_.points);
    std::size_t shown = 0;
    bool is_begun = false;
    // A row at least, or the names of those that are zero.
    const double least = title_mm + (grid.rows.empty() ? 0 : 2 * type_.row) + note_mm(grid);
    for (; at_ < rooms_.size(); ++at_) {
      const double left = rooms_[at_].mm - out_.used[at_];
      if (left < least) continue;
      const double for_rows = std::max(0.0, left - title_mm - type_.row - note_mm(grid));
      const std::size_t high = static_cast<std::size_t>(for_rows / type_.row);
      const std::size_t here = std::min(grid.rows.size() - shown, high * blocks);
      put(grid, shown, here, blocks, is_begun);
      shown += here;
      is_begun = true;
      if (shown == grid.rows.size()) return;
    }
    out_.left_out += grid.zero_offsets;
    for (std::size_t i = shown; i < grid.rows.size(); ++i) out_.left_out += grid.rows[i].offsets;
  }

  OffsetsOnCard made(std::size_t beside) {
    out_.left_out += beside;
    return std::move(out_);
  }

 private:
  [[nodiscard]] double note_mm(const Grid& grid) const {
    return grid.zeros.empty() ? 0 : 1 + type_.note * lines_in(zeros_html(grid), large.points, card_width);
  }

  void put(const Grid& grid, std::size_t from, std::size_t count, std::size_t blocks, bool again) {
    const std::size_t height = (count + blocks - 1) / blocks;
    std::string& html = out_.sides[at_];
    html += fmt::format("<h3>{}offsets{}</h3>\n<div class=\"{}\">\n",
                        grid.name.empty() ? "" : html_text(shortened(grid.name, 40)) + " ",
                        again ? ", continued" : "", type_.name);
    for (std::size_t i = from; height > 0 && i < from + count; i += height)
      html += table_html(grid, i, std::min(i + height, from + count));
    html += "</div>\n";
    out_.used[at_] += title_mm + (height > 0 ? static_cast<double>(height + 1) * type_.row : 0);
    if (from + count < grid.rows.size()) return;
    if (const std::string zeros = zeros_html(grid); !zeros.empty()) {
      html += fmt::format("<p class=\"left-out\">{}</p>\n", zeros);
      out_.used[at_] += note_mm(grid);
    }
  }

  const TableType& type_;
  const std::vector<OffsetsRoom>& rooms_;
  OffsetsOnCard out_;
  std::size_t at_ = 0;
};

OffsetsOnCard filled(const Table& offsets, const Precision& precision, const std::vector<OffsetsRoom>& rooms,
                     const TableType& type) {
  std::size_t beside = 0;
  Filling filling(type, rooms);
  for (const Grid& grid : grids_of(offsets, precision, type.points, beside)) filling.add(grid);
  return filling.made(beside);
}

}  // namespace

OffsetsOnCard offsets_on_card(const Table& offsets, const Precision& precision, const std::string& machine,
                              const std::vector<OffsetsRoom>& rooms) {
  OffsetsOnCard card = filled(offsets, precision, rooms, large);
  if (card.left_out > 0) {
    std::vector<OffsetsRoom> less = rooms;  // by the line that says how many are left out
    for (OffsetsRoom& room : less) room.mm -= large.note + 1;
    OffsetsOnCard fine = filled(offsets, precision, less, fine_type);
    if (fine.left_out < card.left_out) {
      card = std::move(fine);
      card.is_fine = true;
    }
  }
  if (card.left_out == 0) return card;
  for (std::size_t i = card.sides.size(); i-- > 0;) {
    if (card.sides[i].empty()) continue;
    card.sides[i] +=
        fmt::format("<p class=\"left-out\">Not on this card: {}: <code>keepway show {} offsets</code></p>\n",
                    count_of(card.left_out, "offset", "offsets"), html_text(machine));
    card.used[i] += large.note + 1;
    break;
  }
  return card;
}

}  // namespace keepway::show::pages
