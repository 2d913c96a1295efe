// A program's lines as received, beside what each says to the machine.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/reader.hpp"

namespace keepway::reader {

// Calls `visit(line, meaning)` for each line of a program; `line` without its end, `meaning` its normal form,
// empty where it has none. `text` is that of the whole file.
using VisitLine = std::function<void(std::string_view line, const std::string& meaning)>;
void each_program_line(const ProgramFacts& program, const Source& source, Units units, std::string_view text,
                       const VisitLine& visit);

// The lines that are in the normal form, one for each of its lines. Where the file carries parity they do not
// read as what they say.
std::vector<std::string_view> received_lines(const ProgramFacts& program, const Source& source, Units units,
                                             std::string_view text);

}  // namespace keepway::reader
