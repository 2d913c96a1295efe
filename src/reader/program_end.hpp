// Ends of programs that a layout names, beside those that every control has.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace keepway::reader {

// Whether a block begins with one of the ends, a line number passed over. They are in capitals without
// blanks; the block may be written otherwise. "M0" is not the end of M08.
bool begins_with_end(std::string_view line, const std::vector<std::string>& ends);

// Behind "N10".
std::string_view without_line_number(std::string_view line);

}  // namespace keepway::reader
