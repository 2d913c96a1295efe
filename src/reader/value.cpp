#include "reader/value.hpp"

#include <algorithm>

#include "reader/text.hpp"

namespace keepway::reader {

std::optional<std::string> canonical_spaced(std::string_view text) {
  if (std::none_of(text.begin(), text.end(), is_gap)) return canonical_number(text);
  std::string packed;
  std::remove_copy_if(text.begin(), text.end(), std::back_inserter(packed), is_gap);
  return canonical_number(packed);
}

std::string read_value(std::string_view text, FieldKind kind, const Decimal* increment) {
  if (kind == FieldKind::text) return std::string(text);
  std::optional<std::string> number = canonical_spaced(text);
  if (!number) return std::string(text);
  if (kind == FieldKind::number && increment != nullptr && text.find('.') == std::string_view::npos) {
    return (*Decimal::parse(*number) * *increment).text();
  }
  return *std::move(number);
}

const Decimal* increment_of(const Source& source, Units units) {
  if (!source.increment) return nullptr;
  const std::optional<Decimal>& value = units == Units::inch ? source.increment->inch : source.increment->mm;
  return value ? &*value : nullptr;
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
  std::optional<std::string> number = canonical_spaced(text);
  std::string value = number ? *std::move(number) : std::string(text);
  if (value.empty()) return false;
  if (piece.rename != nullptr) {
    if (const auto name = piece.rename->find(value); name != piece.rename->end()) value = name->second;
  }
  key += value;
  return true;
}

std::vector<std::string_view> KeyTemplate::parts() const {
  std::vector<std::string_view> out;
  for (const Piece& piece : pieces_) {
    if (piece.is_part) out.push_back(piece.text);
  }
  return out;
}

}  // namespace keepway::reader
