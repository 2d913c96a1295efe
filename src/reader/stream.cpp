#include "reader/stream.hpp"

#include <algorithm>
#include <utility>

#include "base/digit.hpp"
#include "base/encoding.hpp"
#include "layout/glob.hpp"
#include "reader/comments.hpp"
#include "reader/lines.hpp"
#include "reader/row_shape.hpp"
#include "reader/text.hpp"

namespace keepway::reader {
namespace {

constexpr std::size_t longest_heading = 1024;  // bytes of a line that a pattern is tried on

// Blanks skipped, letters of any case, words whole.
bool line_begins(std::string_view line, std::string_view begins) {
  std::size_t at = 0;
  char last = 0;
  for (const char c : begins) {
    if (is_gap(c)) continue;
    while (at < line.size() && is_gap(line[at])) ++at;
    if (at == line.size() || upper(line[at]) != upper(c)) return false;
    last = line[at++];
  }
  while (at < line.size() && is_gap(line[at])) ++at;
  if (at == line.size()) return true;
  return !(is_letter(last) && is_letter(line[at])) && !(is_digit(last) && is_digit(line[at]));
}

// Holds the source's `begins` against the first line of data: behind the header where it says there is one.
bool part_fits(const Source& source, std::string_view text) {
  if (source.begins.empty()) return true;
  std::vector<layout::LinePattern> skip;
  for (const std::string& pattern : source.skip) skip.emplace_back(as_received(source.encoding, pattern));
  const std::string begins = as_received(source.encoding, source.begins);
  Comments comments(source.comments, false);
  Lines lines(text);
  Line line;
  std::size_t seen = 0;
  bool may_be_header = source.header == Header::blank;
  bool data = false;  // a line of data is above
  while (lines.next(line)) {
    const std::string_view bare = trim(line.text);
    if (is_mark(bare)) continue;
    if (source.header == Header::lines && seen++ < source.header_lines) continue;
    if (bare.empty()) {
      if (!data) continue;
      may_be_header = data = false;  // what was above was the header
      continue;
    }
    const std::string_view code = trim(comments.strip(line.text).code);
    if (code.empty() || data) continue;
    const auto fits = [&](const layout::LinePattern& pattern) { return pattern.fits(bare); };
    if (bare.size() <= longest_heading && std::any_of(skip.begin(), skip.end(), fits)) continue;
    if (line_begins(code, begins)) return true;
    if (!may_be_header) return false;
    data = true;
  }
  return false;
}

// The source that what is above the first heading is for: one without `under`, as whose rows it begins.
std::uint32_t source_above(const Layout& layout, const Candidates& candidates, std::string_view text) {
  const auto fits = [&](std::uint32_t i) {
    const Source& source = layout.sources[i];
    return source.under.empty() && !source.begins.empty() && part_fits(source, text);
  };
  const auto found = std::find_if(candidates.sources.begin(), candidates.sources.end(), fits);
  return found == candidates.sources.end() ? FileFacts::no_source : *found;
}

// Cuts at the lines that the sources' `under` name, which belong to no part but where keeps_heading().
std::vector<Part> cut_under(const Layout& layout, const Candidates& candidates, std::string_view text) {
  std::vector<std::pair<std::uint32_t, layout::LinePattern>> headings;
  for (const std::uint32_t candidate : candidates.sources) {
    const Source& source = layout.sources[candidate];
    if (source.under.empty()) continue;
    headings.emplace_back(candidate, layout::LinePattern(as_received(source.encoding, source.under)));
  }
  std::vector<Part> parts;
  Part open{{}, 0, 1, FileFacts::no_source};
  bool above = true;  // no heading so far
  const auto close = [&](std::size_t end) {
    open.text = text.substr(static_cast<std::size_t>(open.base), end - static_cast<std::size_t>(open.base));
    const bool blank = open.text.find_first_not_of(" \t\r\n") == std::string_view::npos;
    if (std::exchange(above, false)) {
      if (blank) return;
      open.source = source_above(layout, candidates, open.text);
    }
    parts.push_back(open);
  };
  Lines lines(text);
  Line line;
  bool behind = false;  // the line above is a heading
  while (lines.next(line)) {
    if (std::exchange(behind, false)) {
      open.base = line.at;
      open.first_line = line.number;
    }
    if (line.text.size() > longest_heading) continue;
    const auto heading = std::find_if(headings.begin(), headings.end(),
                                      [&](const auto& each) { return each.second.fits(line.text); });
    if (heading == headings.end()) continue;
    // A heading that comes again, as on each page, parts nothing: it is for the source to skip.
    if (heading->first == open.source) continue;
    close(line.at);
    open = {{}, text.size(), line.number, heading->first};
    behind = !keeps_heading(layout.sources[heading->first], line.text);
    if (!behind) open.base = line.at;
  }
  close(text.size());
  return parts;
}

bool has_text(std::string_view text) {
  return text.find_first_not_of(" \t\r\n") != std::string_view::npos;
}

}  // namespace

Candidates find_candidates(const Layout& layout, std::string_view name, std::string_view serial) {
  Candidates right;
  Candidates wrong;
  wrong.wrong_serial = true;
  for (std::uint32_t i = 0; i < layout.sources.size(); ++i) {
    const NameMatch match = match_name(layout.sources[i], name, serial);
    if (match == NameMatch::yes) right.sources.push_back(i);
    if (match == NameMatch::wrong_serial) wrong.sources.push_back(i);
  }
  if (right.sources.empty() && !wrong.sources.empty()) return wrong;
  return right;
}

bool keeps_heading(const Source& source, std::string_view line) {
  const std::vector<std::string>& before = source.named_by.before;
  if (source.reader != ReaderKind::blocks || before.empty() ||
      std::none_of(before.front().begin(), before.front().end(), is_letter))
    return false;
  std::vector<std::string_view> cells;
  return ShapeSplitter(source, source.named_by, std::vector<ShapeSplitter::Cell>(1)).split(trim(line), cells);
}

std::vector<Part> cut_stream(const Layout& layout, const Candidates& candidates, std::string_view text) {
  std::vector<Part> parts;
  if (candidates.sources.empty()) return parts;
  const std::uint32_t first = candidates.sources.front();
  if (!layout.sources[first].under.empty()) {
    std::vector<Part> cut = cut_under(layout, candidates, text);
    if (cut.empty()) cut.push_back({text, 0, 1, first});  // an empty file is still a file of its group
    return cut;
  }
  if (layout.sources[first].begins.empty()) return {{text, 0, 1, first}};

  const auto add = [&](std::size_t begin, std::size_t end, std::uint64_t line, std::string_view inside) {
    if (!has_text(inside)) return;
    Part part{text.substr(begin, end - begin), begin, line, FileFacts::no_source};
    for (const std::uint32_t candidate : candidates.sources) {
      if (!part_fits(layout.sources[candidate], part.text)) continue;
      part.source = candidate;
      break;
    }
    parts.push_back(part);
  };
  Lines lines(text);
  Line line;
  std::size_t begin = 0;   // of the part, its opening mark included
  std::size_t inside = 0;  // of what lies behind the mark
  std::uint64_t begin_line = 1;
  bool ends_at_mark = false;  // the line above is a mark: what follows it begins here
  while (lines.next(line)) {
    if (ends_at_mark) inside = line.at;
    ends_at_mark = is_mark(line.text);
    if (!ends_at_mark) continue;
    add(begin, lines.end(), begin_line, text.substr(inside, line.at - inside));
    begin = line.at;
    begin_line = line.number;
    inside = lines.end();
  }
  add(begin, text.size(), begin_line, text.substr(inside));
  if (parts.empty()) parts.push_back({text, 0, 1, first});  // an empty file is still a file of its group
  return parts;
}

}  // namespace keepway::reader
