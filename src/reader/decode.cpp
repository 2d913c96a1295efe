#include "reader/decode.hpp"

#include "base/encoding.hpp"

namespace keepway::reader {

void decode(const Source& source, Output& output) {
  if (source.encoding.empty()) return;
  const Encoding encoding(source.encoding);
  const auto to_utf8 = [&](std::string& text) { text = encoding.to_utf8(text); };
  for (RawItem& item : output.items) {
    to_utf8(item.key);
    to_utf8(item.value);
  }
  for (Overruled& value : output.overruled) {
    to_utf8(value.key);
    to_utf8(value.value);
  }
  for (Unread& row : output.unread) to_utf8(row.text);
  for (RawProgram& program : output.programs) {
    to_utf8(program.text.edit());
    to_utf8(program.facts.name);
    for (std::string& call : program.facts.calls) to_utf8(call);
    for (std::string& call : program.facts.calls_without_count) to_utf8(call);
  }
}

}  // namespace keepway::reader
