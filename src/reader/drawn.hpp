// Tables whose lines are drawn, with the characters that code pages 437 and 850 have for it, or Unicode
// (box drawing, U+2500 to U+257F).
#pragma once

#include <string>
#include <string_view>

namespace keepway::reader {

// A line that is drawn from end to end, in a code page: "ÄÄÄÄÅÄÄÄÄ", as Latin-1 would show it.
bool is_drawn_rule(std::string_view line);

// Whether a text has bytes that draw: in a code page where a rule is drawn, or where such signs part columns
// in half of the lines, each between blanks; so that letters of other character sets draw nothing.
bool is_drawn(std::string_view text);
// Makes them "|", "-", "=" and "+" of the same length.
void undraw(std::string& text);

}  // namespace keepway::reader
