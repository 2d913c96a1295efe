#include "keepway/point.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace keepway {

std::string point_note(std::string_view name, std::string_view before, std::string_view after,
                       const Decimal* increment, Units units) {
  const auto was = Decimal::parse(before);
  const auto is = Decimal::parse(after);
  if (!was || !is || was->is_zero() || is->is_zero()) return {};
  const bool had = before.find('.') != std::string_view::npos;
  const bool has = after.find('.') != std::string_view::npos;
  if (had == has) return {};
  const std::string letter = name.empty() ? std::string() : std::string(name) + " ";
  const std::string head = fmt::format("{0}{1} -> {0}{2}: {3}", letter, before, after,
                                       had ? "the decimal point is gone" : "a decimal point came");
  const Decimal& counted = had ? *is : *was;
  if (increment == nullptr) {
    return head + (had ? "; without one it is counted in the control's least increment"
                       : "; without one it was counted in the control's least increment");
  }
  return fmt::format("{}; counted in {} {} this {} {}", head, increment->text(),
                     units == Units::inch ? "in" : "mm", had ? "is" : "was", (counted * *increment).text());
}

}  // namespace keepway
