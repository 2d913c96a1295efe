#include "layout/ranges.hpp"

#include <charconv>

namespace keepway::layout {
namespace {

std::optional<long> parse_whole(std::string_view text) {
  long value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size() || value < 0 || text.front() == '-') {
    return std::nullopt;
  }
  return value;
}

}  // namespace

std::optional<Range> parse_range(std::string_view text) {
  const std::size_t dash = text.find('-');
  const std::optional<long> first = parse_whole(text.substr(0, dash));
  if (!first) return std::nullopt;
  if (dash == std::string_view::npos) return Range{*first, *first};
  const std::optional<long> last = parse_whole(text.substr(dash + 1));
  if (!last || *last < *first || *last - *first >= max_range) return std::nullopt;
  return Range{*first, *last};
}

std::optional<std::vector<std::string>> spread(std::string_view text) {
  std::vector<std::string> out;
  const std::size_t open = text.find('{');
  const std::size_t close = text.find('}');
  if (open == std::string_view::npos && close == std::string_view::npos) {
    out.emplace_back(text);
    return out;
  }
  if (open == std::string_view::npos || close == std::string_view::npos || close < open + 2 ||
      text.find_first_of("{}", close + 1) != std::string_view::npos || text.find('{', open + 1) < close) {
    return std::nullopt;
  }
  const std::string head(text.substr(0, open));
  const std::string_view tail = text.substr(close + 1);
  std::string_view inside = text.substr(open + 1, close - open - 1);
  if (const std::optional<Range> range = parse_range(inside); range && range->first < range->last) {
    for (long number = range->first; number <= range->last; ++number) {
      out.push_back(head + std::to_string(number));
      out.back() += tail;
    }
    return out;
  }
  for (std::size_t end = 0; end != std::string_view::npos;) {
    end = inside.find(',');
    std::string_view part = inside.substr(0, end);
    while (!part.empty() && part.front() == ' ') part.remove_prefix(1);
    while (!part.empty() && part.back() == ' ') part.remove_suffix(1);
    if (part.empty()) return std::nullopt;
    out.push_back(head);
    out.back().append(part).append(tail);
    if (end != std::string_view::npos) inside.remove_prefix(end + 1);
  }
  return out;
}

}  // namespace keepway::layout
