// Lines that name what the rows below them are of: `TOOL 1`, `--- AXIS X ---`, `T3 "FACE MILL"`.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace keepway::layout {

struct PartLine {
  std::string shape;      // "--- TOOL {part} ---"
  std::string address;    // "tool/{part}"
  std::string group;      // a word that may name it
  std::string name = {};  // of a line that has one: what is behind the part
};

// "NO", "NR": a word in front of a number.
bool is_numbered_by(std::string_view word);
// "X-AXIS:", "SPINDLE HEAD:": a name, and nothing behind its colon.
std::optional<PartLine> name_line(std::string_view code);
// Signs, a word, what it is of, signs: "TOOL NO. 12", "--- AXIS X ---", "[SCREEN]", "G54".
std::optional<PartLine> part_line(std::string_view code, const std::string& encoding);
// The same with a text behind it: "TOOL 1 FACE MILL", "TOOL 2 (DRILL)". `line` with its remark.
std::optional<PartLine> named_part_line(std::string_view line, const std::string& encoding);

}  // namespace keepway::layout
