#include "verdict/lines.hpp"

#include <algorithm>

namespace keepway::verdict {
namespace {

bool is_visible(char c) {
  const auto low = static_cast<unsigned char>(static_cast<unsigned char>(c) & 0x7fU);
  return low > 0x20 && low != 0x7f;
}

bool is_end(char c) {
  return c == '\n' || c == '\r';
}

}  // namespace

std::vector<TextLine> lines_of(std::string_view bytes) {
  std::vector<TextLine> lines;
  lines.reserve(static_cast<std::size_t>(std::count(bytes.begin(), bytes.end(), '\n')) + 1);
  for (std::size_t at = 0; at < bytes.size();) {
    std::size_t stop = at;
    while (stop < bytes.size() && !is_end(bytes[stop])) ++stop;
    std::size_t next = stop;
    if (next < bytes.size()) ++next;
    if (next < bytes.size() && is_end(bytes[next]) && bytes[next] != bytes[stop]) ++next;
    lines.push_back({bytes.substr(at, stop - at), bytes.substr(stop, next - stop), lines.size() + 1});
    at = next;
  }
  return lines;
}

std::string_view visible_part(std::string_view text) {
  while (!text.empty() && !is_visible(text.front())) text.remove_prefix(1);
  while (!text.empty() && !is_visible(text.back())) text.remove_suffix(1);
  return text;
}

TextLine first_visible(const std::vector<TextLine>& lines) {
  for (const TextLine& line : lines) {
    if (!visible_part(line.text).empty()) return line;
  }
  return {};
}

TextLine last_visible(const std::vector<TextLine>& lines) {
  for (auto line = lines.rbegin(); line != lines.rend(); ++line) {
    if (!visible_part(line->text).empty()) return *line;
  }
  return {};
}

}  // namespace keepway::verdict
