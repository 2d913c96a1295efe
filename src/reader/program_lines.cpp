#include "reader/program_lines.hpp"

#include "reader/block.hpp"
#include "reader/lines.hpp"

namespace keepway::reader {

void each_program_line(const ProgramFacts& program, const Source& source, Units units, std::string_view text,
                       const VisitLine& visit) {
  BlockReader blocks(source);
  std::string scratch;
  std::string meaning;
  const std::string_view span = text.substr(program.span.at, program.span.length);
  for (Lines each(span); each.next();) {
    scratch.assign(each.line()) += '\n';  // which a line is read up to
    meaning.clear();
    blocks.read(std::string_view(scratch).substr(0, scratch.size() - 1), units, meaning);
    visit(each.line(), meaning);
  }
}

std::vector<std::string_view> received_lines(const ProgramFacts& program, const Source& source, Units units,
                                             std::string_view text) {
  std::vector<std::string_view> out;
  each_program_line(program, source, units, text, [&](std::string_view line, const std::string& meaning) {
    if (!meaning.empty()) out.push_back(line);
  });
  return out;
}

}  // namespace keepway::reader
