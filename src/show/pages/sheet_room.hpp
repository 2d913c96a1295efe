// How much room the card's two sides have beside what is always on them: heights in mm as a browser prints
// them. Which font that has is not known here, so widths are those of a broad one, and what is said to fit
// does.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/sheet.hpp"

namespace keepway::show::pages {

inline constexpr double card_width = 186;  // mm, on either paper; see sheet.css
// What fits of lists beside the rest; more are counted.
inline constexpr std::size_t most_card_files = 14;
inline constexpr std::size_t most_card_name = 40;
inline constexpr std::size_t most_card_title = 60;

inline constexpr const char* battery_caution =
    "Change it with the control on, or the memory is lost with it; take a backup first.";

// The width of a text of that size.
double text_mm(std::string_view text, double points);
// Lines that it takes in a width.
double lines_in(std::string_view text, double points, double mm);

// Steps that would fill more than one side has room for at full size: that side is set smaller.
bool is_dense(const std::vector<OwnerStep>& steps);

// What is left below the last that is always there: on the first side for places to sign, on either for
// offsets.
double mm_left_on_backup_side(const SheetFacts& facts);
double mm_left_on_restore_side(const SheetFacts& facts);
// Of a heading with a line below it, and of a row to sign, with its table's heading.
double heading_mm(bool dense);
double line_mm(bool dense);
inline constexpr double signed_row_mm = 7.55;

}  // namespace keepway::show::pages
