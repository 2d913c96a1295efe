// The offsets of the last good backup on the card, for one who has to enter them by hand: a row a work offset
// or a tool, a column an axis or a measure.
#pragma once

#include <string>

#include "keepway/state.hpp"

namespace keepway::show::pages {

// Work offsets first, then tools, then what else there is, in at most about `lines` lines of the card. Rows
// of nothing but zeros are named, not shown; rows that do not fit are counted. "" where nothing fits.
std::string offsets_html(const Table& offsets, const std::string& machine, std::size_t lines);

}  // namespace keepway::show::pages
