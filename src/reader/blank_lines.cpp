#include "reader/blank_lines.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "base/encoding.hpp"
#include "keepway/text.hpp"
#include "layout/glob.hpp"
#include "reader/lines.hpp"
#include "reader/stream.hpp"
#include "reader/text.hpp"

namespace keepway::reader {
namespace {

constexpr std::size_t longest_line = 1024;  // that a pattern is tried on: the work is the product of the two

}  // namespace

std::string_view blank_lines(const Input& input, const std::string& serial, std::string& own,
                             std::vector<Oddity>& oddities) {
  const Source& source = input.source;
  if (source.skip.empty() && source.serial.empty() && source.under.empty()) return input.text;
  const auto own_text = [&](const std::string& text) { return as_received(source.encoding, text); };
  std::vector<layout::LinePattern> skip;
  std::optional<layout::LinePattern> heading;  // may come again, as on each page
  if (!source.under.empty()) heading.emplace(own_text(source.under));
  for (const std::string& pattern : source.skip) skip.emplace_back(own_text(pattern));
  const std::string carrier = own_text(source.serial);
  const layout::LinePattern ours(carrier, serial);
  const layout::LinePattern any(carrier, serial, true);
  own = input.text;
  Lines lines(input.text, input.first_line);
  Line line;
  bool noted = false;
  while (lines.next(line)) {
    if (line.text.size() > longest_line || trim(line.text).empty()) continue;
    const bool carries = !source.serial.empty() && any.fits(line.text);
    if (carries && !noted && !ours.fits(line.text)) {
      noted = true;
      oddities.push_back({OddityKind::other_serial,
                          Place{std::string(input.name), line.number, input.base + line.at},
                          fmt::format("the line '{}' does not carry this machine's serial, {}",
                                      escape(trim(line.text).substr(0, 80)), escape(serial)),
                          source.group});
    }
    const auto fits = [&](const layout::LinePattern& pattern) { return pattern.fits(line.text); };
    const bool is_heading = heading && heading->fits(line.text) && !keeps_heading(source, line.text);
    if (carries || is_heading || std::any_of(skip.begin(), skip.end(), fits))
      std::fill_n(own.begin() + static_cast<std::ptrdiff_t>(line.at), line.text.size(), ' ');
  }
  return own;
}

}  // namespace keepway::reader
