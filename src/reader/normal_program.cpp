// One program's text in the normal form.
#include "reader/block.hpp"
#include "reader/lines.hpp"
#include "reader/parts.hpp"
#include "reader/text.hpp"

namespace keepway {

std::string normal_program(std::string_view text, const Source& source, Units units) {
  reader::BlockReader blocks(source);
  reader::Lines lines(text);
  std::string out;
  out.reserve(text.size());
  std::string last;
  for (reader::Line each; lines.next(each);) {
    std::string_view line = each.text;
    if (!each.ended) {
      last.assign(line) += '\n';
      line = std::string_view(last).substr(0, line.size());
    }
    const bool heading = source.mark == Mark::heading;  // which is part of the text
    while (!line.empty() && (reader::is_blank(line[0]) || (line[0] == '%' && !heading)))
      line.remove_prefix(1);
    blocks.read(line, units, out);
  }
  return out;
}

}  // namespace keepway
