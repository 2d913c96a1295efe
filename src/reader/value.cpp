#include "reader/value.hpp"

#include <algorithm>

#include "reader/text.hpp"

namespace keepway::reader {

namespace {

bool append_spaced(std::string_view text, std::string& out) {
  if (std::none_of(text.begin(), text.end(), is_gap)) return append_canonical(text, out);
  std::string packed;
  std::remove_copy_if(text.begin(), text.end(), std::back_inserter(packed), is_gap);
  return append_canonical(packed, out);
}

}  // namespace

std::optional<std::string> canonical_spaced(std::string_view text) {
  std::string out;
  return append_spaced(text, out) ? std::optional(std::move(out)) : std::nullopt;
}

std::string read_value(std::string_view text, FieldKind kind, const Decimal* increment) {
  if (kind == FieldKind::text) return std::string(text);
  std::string number;
  if (!append_spaced(text, number)) return std::string(text);
  if (kind == FieldKind::number && increment != nullptr && text.find('.') == std::string_view::npos) {
    return (*Decimal::parse(number) * *increment).text();
  }
  return number;
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
  const std::size_t before = key.size();
  if (!append_spaced(text, key)) key += text;
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

}  // namespace keepway::reader
