// Where the keys of a proposed layout's sources are, for people to change.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace keepway::layout {

// Where the source with that index begins and ends in the text: from its [[source]] to before the next one's.
struct SourceSpan {
  std::size_t begin = 0;
  std::size_t end = 0;
};
std::vector<SourceSpan> sources_of(std::string_view layout);

// One line `key = value # why` of the text; its end is behind its line end.
struct KeyLine {
  std::size_t begin = 0;
  std::size_t end = 0;
};
std::vector<KeyLine> lines_with_key(std::string_view layout, const SourceSpan& source, std::string_view key);

// The number of a source's first line with the key, from 1; 0 where there is none.
std::size_t line_of_key(std::string_view layout, const SourceSpan& source, std::string_view key);

}  // namespace keepway::layout
