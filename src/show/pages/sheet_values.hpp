// The offsets of the last good backup on the card, for one who has to enter them by hand: a row a work offset
// or a tool, a column an axis or a measure.
#pragma once

#include <string>
#include <vector>

#include "keepway/shop.hpp"

namespace keepway::show::pages {

// Below the rest of one side. A table that does not fit goes on on the next, under its heading again.
struct OffsetsRoom {
  double mm = 0;
};
struct OffsetsOnCard {
  std::vector<std::string> sides;  // of each room; "" where nothing is put
  std::vector<double> used;        // mm
  std::size_t left_out = 0;        // offsets
  bool is_fine = false;            // set smaller
};

// Work offsets first, then tools, then what else there is. Rows of nothing but zeros are named, not shown.
// Set smaller where not all fits; what does not fit even then is counted, on the last side.
OffsetsOnCard offsets_on_card(const Table& offsets, const Precision& precision, const std::string& machine,
                              const std::vector<OffsetsRoom>& rooms);

}  // namespace keepway::show::pages
