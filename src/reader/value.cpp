#include "reader/value.hpp"

#include <algorithm>

#include "base/digit.hpp"
#include "keepway/decimal.hpp"
#include "keepway/reader.hpp"

namespace keepway {

std::string from_of(const Origin& origin, const Source& source) {
  if (source.reader == ReaderKind::words) return {static_cast<char>(origin.from)};
  return source.reader == ReaderKind::columns ? source.columns[origin.from].name : std::string();
}

namespace reader {

std::string read_value(std::string_view text, FieldKind kind, const Decimal* increment, Point point) {
  if (kind == FieldKind::text) return std::string(text);
  std::string number;
  if (!append_canonical(text, number)) return std::string(text);
  if (kind == FieldKind::whole || (increment == nullptr && point != Point::counts)) return number;
  const bool has_point = text.find('.') != std::string_view::npos;
  if (increment != nullptr) return has_point ? number : (*Decimal::parse(number) * *increment).text();
  if (has_point && number != "0" && number.find('.') == std::string::npos) number += '.';
  return number;
}

namespace {

constexpr std::size_t most_exponent = 99;

// "-1.25E+01" as "-12.5", which always has a point; false, and nothing done, where it is no such number.
bool expand(std::string_view text, std::string& room) {
  const std::size_t letter = text.find_first_of("Ee");
  if (letter == std::string_view::npos || !Decimal::is_number(text.substr(0, letter))) return false;
  std::string_view digits = text.substr(letter + 1);
  const bool down = digits.starts_with('-');
  if (down || digits.starts_with('+')) digits.remove_prefix(1);
  std::size_t places = 0;
  if (digits.empty() || digits.size() > 3 || !all_digits(digits)) return false;
  for (const char c : digits) places = places * 10 + static_cast<std::size_t>(c - '0');
  if (places > most_exponent) return false;
  std::string made(text.substr(0, letter));
  const std::size_t point = std::min(made.find('.'), made.size());
  if (point < made.size()) made.erase(point, 1);
  const std::size_t first = made[0] == '+' || made[0] == '-' ? 1 : 0;
  if (down) {
    const std::size_t whole = point - first;
    if (whole < places) made.insert(first, places - whole, '0');
    made.insert(std::max(point, first + places) - places, 1, '.');
  } else {
    if (made.size() < point + places) made.append(point + places - made.size(), '0');
    made.insert(point + places, 1, '.');
  }
  room = std::move(made);
  return true;
}

}  // namespace

std::string_view plain_number(const NumberForm& form, std::string_view text, std::string& room) {
  if (!form.comma && !form.sign_behind) return form.exponent && expand(text, room) ? room : text;
  room = text;
  const bool behind = room.size() > 1 && (room.back() == '-' || room.back() == '+');
  if (form.sign_behind && behind && room.front() != '-' && room.front() != '+')
    std::rotate(room.begin(), std::prev(room.end()), room.end());
  if (form.comma) {
    for (char& c : room) c = c == ',' ? '.' : c == '.' ? ',' : c;
  }
  if (form.exponent) expand(std::string(room), room);
  return room;
}

bool begins_as_number(std::string_view text) {
  return !text.empty() && (is_digit(text[0]) || text[0] == '+' || text[0] == '-' || text[0] == '.');
}

bool is_bit_pattern(std::string_view text) {
  return (text.size() == 8 || text.size() == 16) && text.front() == '0' &&
         text.find_first_not_of("01") == std::string_view::npos;
}

FieldKind kind_of_value(FieldKind kind, std::string_view plain) {
  if (kind == FieldKind::number && !plain.empty() && !begins_as_number(plain)) return FieldKind::text;
  if (kind != FieldKind::any) return kind;
  if (is_bit_pattern(plain)) return FieldKind::text;
  return Decimal::is_number(plain) ? FieldKind::number : FieldKind::text;
}

KeyTemplate::KeyTemplate(const RowRule& rule) {
  const std::string_view address = rule.address;
  for (std::size_t at = 0; at < address.size();) {
    const std::size_t open = std::min(address.find('{', at), address.size());
    if (open > at) pieces_.push_back({std::string(address.substr(at, open - at)), false, nullptr});
    if (open == address.size()) break;
    const std::size_t close = std::min(address.find('}', open), address.size());
    Piece piece{std::string(address.substr(open + 1, close - open - 1)), true, nullptr};
    if (const auto rename = rule.rename.find(piece.text); rename != rule.rename.end()) {
      piece.rename = &rename->second;
    }
    pieces_.push_back(std::move(piece));
    at = close + 1;
  }
}

bool KeyTemplate::append(const Piece& piece, std::string_view text, std::string& key) {
  const std::size_t before = key.size();
  if (!append_canonical(text, key)) {
    key += text;
  } else if (const std::size_t zeros = text.size() - 1 - text.find_last_not_of('0');
             zeros > 0 && key.find('.', before) != std::string::npos) {
    key.append(zeros, '0');  // 1.10 is another row than 1.1
  }
  if (key.size() == before) return false;
  if (piece.rename != nullptr) {
    const auto name = piece.rename->find(key.substr(before));
    if (name != piece.rename->end()) key.replace(before, std::string::npos, name->second);
  }
  return true;
}

std::vector<std::string_view> KeyTemplate::parts() const {
  std::vector<std::string_view> out;
  for (const Piece& piece : pieces_) {
    if (piece.is_part) out.push_back(piece.text);
  }
  return out;
}

}  // namespace reader
}  // namespace keepway
