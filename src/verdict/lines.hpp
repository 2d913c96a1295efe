// Lines of a file as it came, for checks that look at bytes rather than at what was read.
#pragma once

#include <string_view>
#include <vector>

namespace keepway::verdict {

struct TextLine {
  std::string_view text;   // without its end
  std::string_view end;    // "\n", "\r\n", "\r", "\n\r", or nothing for a last line that has none
  std::size_t number = 0;  // from 1
};

std::vector<TextLine> lines_of(std::string_view bytes);
// Without blanks, control bytes and DEL at its ends, whatever bit 8 says.
std::string_view visible_part(std::string_view text);
// The first and the last line with anything visible on it; one with no text when there is none.
TextLine first_visible(const std::vector<TextLine>& lines);
TextLine last_visible(const std::vector<TextLine>& lines);

}  // namespace keepway::verdict
