#include "restore/spell.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "keepway/decimal.hpp"

namespace keepway::restore {
namespace {

struct Number {
  char sign = 0;
  std::string whole;
  bool point = false;
  std::string fraction;

  [[nodiscard]] bool zero_filled() const { return whole.size() > 1 && whole.front() == '0'; }
  [[nodiscard]] std::string text() const {
    std::string out;
    if (sign != 0) out += sign;
    out += whole;
    if (point) (out += '.') += fraction;
    return out;
  }
};

// A number's parts as spelled; nullopt when it is none.
std::optional<Number> take_apart(std::string_view text) {
  if (!canonical_number(text)) return std::nullopt;
  Number out;
  std::string_view left = text;
  if (left.front() == '+' || left.front() == '-') {
    out.sign = left.front();
    left.remove_prefix(1);
  }
  const std::size_t point = std::min(left.find('.'), left.size());
  out.whole = left.substr(0, point);
  out.point = point < left.size();
  if (out.point) out.fraction = left.substr(point + 1);
  return out;
}

Spelling refuse(std::string why) {
  return {std::nullopt, std::move(why), 0, 0};
}

// Whole and fraction of the new number, point or none.
Spelling choose_digits(const Number& old, const Decimal& value, bool pointed, const Manner& manner,
                       Number& out) {
  Decimal magnitude = value.abs();
  const std::size_t places = magnitude.places();
  out.point = old.point;
  const bool padded = manner.behind + manner.room > 0;  // ruled by its left edge: digits may follow
  const bool apart = manner.point_counts && manner.kind == FieldKind::number && manner.increment == nullptr;
  if (apart && !value.is_zero()) {
    if (pointed && !old.point && manner.fixed && !padded) {
      return refuse(fmt::format("{} needs a point and the column has none", value.text()));
    }
    out.point = pointed;
  }
  if (old.point && manner.fixed && !padded && places > old.fraction.size()) {
    return refuse(fmt::format("{} needs {} digits behind the point and the column shows {}", value.text(),
                              places, old.fraction.size()));
  }
  if (!old.point && manner.kind == FieldKind::number && manner.increment != nullptr) {
    const auto steps = magnitude.divided_by(*manner.increment, 0);
    if (steps.exact) {
      magnitude = steps.value;
    } else if (manner.fixed) {
      return refuse(fmt::format("{} is no multiple of the least increment {}, and the column has no point",
                                value.text(), manner.increment->text()));
    } else {
      out.point = true;  // without one it would count in increments
    }
  } else if (!old.point && !magnitude.is_whole()) {
    if (manner.kind == FieldKind::whole) return refuse(value.text() + " is not a whole number");
    if (manner.fixed) return refuse(fmt::format("{} needs a point and the column has none", value.text()));
    out.point = true;
  }
  const std::string digits = magnitude.text();
  const std::size_t point = std::min(digits.find('.'), digits.size());
  out.whole = digits.substr(0, point);
  if (point < digits.size()) out.fraction = digits.substr(point + 1);
  if (old.point && out.point && out.fraction.size() < old.fraction.size()) {
    out.fraction.resize(old.fraction.size(), '0');
  }
  return {std::string(), {}, 0, 0};
}

Spelling spell_number(const Number& old, std::size_t length, const Decimal& value, bool pointed,
                      const Manner& manner) {
  Number out;
  if (Spelling failed = choose_digits(old, value, pointed, manner, out); !failed.text) return failed;
  if (value.is_negative()) {
    out.sign = '-';
  } else if (old.sign == '+' || (old.sign == '-' && manner.plus)) {
    out.sign = '+';
  }
  if (old.whole.empty() && out.whole == "0" && !out.fraction.empty()) out.whole.clear();
  if (old.zero_filled()) {
    std::size_t width = old.whole.size();
    if (manner.fixed) {  // a sign that comes or goes is made up for by zeros
      const std::size_t rest = out.text().size() - out.whole.size();
      width = length > rest ? length - rest : 0;
    }
    if (out.whole.size() < width) out.whole.insert(0, width - out.whole.size(), '0');
  }
  return {out.text(), {}, 0, 0};
}

std::string as_new_text(const std::string& value, const Manner& manner) {
  const bool counted = manner.kind == FieldKind::number && manner.increment != nullptr;
  const bool bare = value.find('.') == std::string::npos && canonical_number(value).has_value();
  return counted && bare ? value + '.' : value;
}

}  // namespace

Spelling spell(std::string_view old, const std::string& value, const Manner& manner) {
  const std::optional<Number> was = manner.kind == FieldKind::text ? std::nullopt : take_apart(old);
  const std::optional<Decimal> number = was ? Decimal::parse(value) : std::nullopt;
  Spelling spelling =
      number ? spell_number(*was, old.size(), *number, value.find('.') != std::string::npos, manner)
             : Spelling{as_new_text(value, manner), {}, 0, 0};
  if (!spelling.text || !manner.fixed) return spelling;
  std::string& text = *spelling.text;
  if (text.size() > old.size()) {
    std::size_t more = text.size() - old.size();
    const std::size_t space = manner.front + manner.behind + manner.room;
    if (more > space) {
      return refuse(fmt::format("written '{}' it is {} long, and the column of fixed width has room for {}",
                                escape(text), text.size(), old.size() + space));
    }
    const auto take = [&](std::size_t there) {
      const std::size_t taken = std::min(more, there);
      more -= taken;
      return taken;
    };
    // The side with more blanks is not the one that the column is ruled by.
    const bool from_front = manner.front > manner.behind + manner.room;
    if (from_front) spelling.front = take(manner.front);
    spelling.behind = take(manner.behind);
    take(manner.room);
    if (!from_front) spelling.front = take(manner.front);
    return spelling;
  }
  text.insert(manner.right ? 0 : text.size(), old.size() - text.size(), ' ');
  return spelling;
}

}  // namespace keepway::restore
