// The one way to a terminal.
#pragma once

#include <cstdio>
#include <string>
#include <string_view>

namespace keepway::cli {

// What a terminal would obey or hide rather than show is written \xNN, byte by byte: control bytes, bytes
// that are not UTF-8, and the characters that printable_utf8() refuses (direction marks, line separators,
// zero widths). Line ends, tabs and keepway's own colours pass.
std::string terminal_text(std::string_view text);
// The same for JSON, which has an escape of its own for such characters.
std::string terminal_json(std::string_view json);

// terminal_text() to a stream. False when not all of it could be written.
bool put(std::FILE* stream, std::string_view text);

}  // namespace keepway::cli
