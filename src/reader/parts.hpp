// What the readers share: one cleaned file in, raw items and programs out. read_backup() joins them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "keepway/reader.hpp"

namespace keepway::reader {

// One file's text (or one part of a stream) for one reader. `text` has the original's length and
// positions: parity bits are cleared and leader bytes are blanks, so that a span in it is a span in
// the original. `base` is where `text` begins in the original, `first_line` the number of its first line.
struct Input {
  std::uint32_t file = 0;
  std::string_view name;
  std::string_view text;
  std::uint64_t base = 0;
  std::uint64_t first_line = 1;
  const Source& source;
  std::uint32_t source_index = 0;
  Units units = Units::inch;
};

struct RawItem {
  Group group = Group::parameters;
  std::string key;
  std::string value;
  Span span;
  FieldKind kind = FieldKind::number;
  std::uint8_t from = 0;  // as Origin's
};

struct RawProgram {
  SharedText text;  // normal form
  ProgramFacts facts;
  bool at_end = false;  // its last block so far is an end that the layout names
};

struct Unread {
  Group group = Group::parameters;
  std::string text;  // the row without its line end
  Span span;
};

struct Output {
  std::vector<RawItem> items;
  std::vector<RawProgram> programs;
  std::vector<Unread> unread;
  std::vector<Overruled> overruled;  // within this file
  std::vector<Oddity> oddities;
};

void read_blocks(const Input& input, Output& output);
void read_words(const Input& input, Output& output);
void read_assign(const Input& input, Output& output);
void read_columns(const Input& input, Output& output);
void read_sections(const Input& input, Output& output);

}  // namespace keepway::reader
