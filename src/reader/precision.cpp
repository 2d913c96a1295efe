#include "keepway/precision.hpp"

#include <algorithm>

#include "base/digit.hpp"
#include "keepway/decimal.hpp"

namespace keepway {
namespace {

constexpr std::size_t most_places = 20;

// A number's text as received, without the bit that a file with parity has on top.
std::string plain(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = static_cast<char>(c & 0x7F);
  return out;
}

// Digits behind the point of a number; 0 without a point, and where it has an exponent.
std::size_t places_of(std::string_view text, char sign) {
  const std::size_t point = text.find(sign);
  if (point == std::string_view::npos || text.find_first_of("Ee") != std::string_view::npos) return 0;
  const std::string_view behind = text.substr(point + 1);
  const auto end = std::find_if_not(behind.begin(), behind.end(), is_digit);
  return static_cast<std::size_t>(end - behind.begin());
}

}  // namespace

Precision::Precision(const Reading& reading, const std::vector<OriginalView>& files, const Layout& layout,
                     Units units) {
  for (const Origin& origin : reading.origins) {
    if (origin.kind == FieldKind::text || origin.kind == FieldKind::whole || is_unread(origin.key)) continue;
    if (origin.group == Group::programs || origin.span.file >= files.size()) continue;
    const Source& source = layout.sources[origin.source];
    const std::string text = plain(files[origin.span.file].bytes.substr(origin.span.at, origin.span.length));
    const char sign = source.numbers.comma ? ',' : '.';
    const Decimal* increment = least_increment(source, units, from_of(origin, source));
    std::size_t places = places_of(text, sign);
    // Counted in increments, a number is shown by them.
    if (increment != nullptr && text.find(sign) == std::string::npos) places = increment->places();
    if (places == 0) continue;
    forms_[static_cast<std::size_t>(origin.group)].insert_or_assign(
        origin.key, Form{static_cast<std::uint8_t>(std::min(places, most_places)),
                         increment != nullptr || source.point == Point::free});
  }
}

std::string Precision::written(Group group, const std::string& key, const std::string& value) const {
  const auto& forms = forms_[static_cast<std::size_t>(group)];
  const auto found = forms.find(key);
  if (found == forms.end()) return value;
  const auto number = Decimal::parse(value);
  if (!number) return value;
  const std::size_t point = value.find('.');
  const bool bare = point == std::string::npos;
  if (bare && !found->second.may_add_point && !number->is_zero()) return value;
  const std::size_t there = bare ? 0 : value.size() - point - 1;
  if (there >= found->second.places) return value;
  return value + (bare ? "." : "") + std::string(found->second.places - there, '0');
}

}  // namespace keepway
