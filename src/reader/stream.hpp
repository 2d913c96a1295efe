// Which sources read which parts of a file.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "keepway/reader.hpp"

namespace keepway::reader {

// A stretch of a cleaned file. Lines of `%` that part it from its neighbours belong to both.
struct Part {
  std::string_view text;
  std::uint64_t base = 0;
  std::uint64_t first_line = 1;
  std::uint32_t source = FileFacts::no_source;
};

// The sources whose patterns take a file's name, in the layout's order; those with the right serial if
// there are any, else (`wrong_serial`) those that miss only that.
struct Candidates {
  std::vector<std::uint32_t> sources;
  bool wrong_serial = false;
};
Candidates find_candidates(const Layout& layout, std::string_view name, std::string_view serial);

// Whether a line that a source's part is under is a part of its text, since it names a program: named_by says
// so, with a word and not by signs alone.
bool keeps_heading(const Source& source, std::string_view line);
// Cuts a file as Source::begins says. Parts that no candidate takes have no_source.
std::vector<Part> cut_stream(const Layout& layout, const Candidates& candidates, std::string_view text);

}  // namespace keepway::reader
