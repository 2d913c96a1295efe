#include "survey/source_lines.hpp"

#include <algorithm>

namespace keepway::layout {
namespace {

// Calls `on` with each line of text[from, to).
template <typename On>
void for_each_line(std::string_view text, std::size_t from, std::size_t to, const On& on) {
  while (from < to) {
    const std::size_t end = std::min(text.find('\n', from), to - 1) + 1;
    on(KeyLine{from, end});
    from = end;
  }
}

}  // namespace

std::vector<SourceSpan> sources_of(std::string_view layout) {
  std::vector<SourceSpan> sources;
  for_each_line(layout, 0, layout.size(), [&](const KeyLine& line) {
    if (!layout.substr(line.begin).starts_with("[[source]]")) return;
    if (!sources.empty()) sources.back().end = line.begin;
    sources.push_back({line.begin, layout.size()});
  });
  return sources;
}

std::vector<KeyLine> lines_with_key(std::string_view layout, const SourceSpan& source, std::string_view key) {
  std::vector<KeyLine> found;
  for_each_line(layout, source.begin, source.end, [&](const KeyLine& line) {
    const std::string_view text = layout.substr(line.begin, line.end - line.begin);
    const std::size_t at = std::min(text.find_first_not_of(' '), text.size());
    if (!key.empty() && text.substr(at).starts_with(key) && text.substr(at + key.size()).starts_with(' '))
      found.push_back(line);
  });
  return found;
}

std::size_t line_of_key(std::string_view layout, const SourceSpan& source, std::string_view key) {
  const auto lines = lines_with_key(layout, source, key);
  if (lines.empty()) return 0;
  const std::string_view above = layout.substr(0, lines.front().begin);
  return static_cast<std::size_t>(std::count(above.begin(), above.end(), '\n')) + 1;
}

}  // namespace keepway::layout
