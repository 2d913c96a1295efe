// Lines that are no data: headings, rules, feet of pages, and the line that carries the machine's serial.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "reader/parts.hpp"

namespace keepway::reader {

// `text` with the lines that `skip`, `under` or `serial` name made blank, in `own`; `text` itself where there
// are none. Positions stay. Lines that carry another serial than `serial` are noted in `oddities`.
std::string_view blank_lines(const Input& input, const std::string& serial, std::string& own,
                             std::vector<Oddity>& oddities);

}  // namespace keepway::reader
