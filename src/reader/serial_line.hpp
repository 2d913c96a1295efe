// Lines in which a file says of which machine it is.
#pragma once

#include <string>
#include <string_view>

namespace keepway::reader {

// "SERIAL NO. 4471", "S/N: AB-4471", "MASCH.-NR 4471": the word behind, which has a digit; empty where there
// is none.
std::string serial_in_line(std::string_view line);

// Letter case and zeros in front do not count: a heading may print 0417 for 417.
bool is_same_serial(std::string_view a, std::string_view b);

// Whether what a line names as a serial is that of a machine: "AB-4471" of 4471.
bool is_of_serial(std::string_view found, std::string_view serial);

// Whether a word is by itself in a text: 417 is not in 1417. Letter case does not count.
bool has_word(std::string_view text, std::string_view word);

}  // namespace keepway::reader
