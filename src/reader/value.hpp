// A value's text made canonical, and keys built from parts of a row.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/layout.hpp"

namespace keepway::reader {

// A value as an item holds it: a number in its canonical spelling, anything else as written. A `number`
// without a decimal point counts in `increment` when there is one. Where there is none and the point counts,
// a whole number that has a point keeps it: `7.`.
std::string read_value(std::string_view text, FieldKind kind, const Decimal* increment, Point point);

// A number as it would be written with a point and its sign in front: the text itself, or `room`. Text that
// is no number comes back as what is none either.
std::string_view plain_number(const NumberForm& form, std::string_view text, std::string& room);

// Whether a text begins as a number does. Where it is none all the same it is more likely a broken number
// than a word: `1O5`, `1.25 X3`.
bool begins_as_number(std::string_view text);

// "00010110": a byte's bits or two bytes', which are no number, since zeros in front of them count.
bool is_bit_pattern(std::string_view text);

// What a value of a field is, by `plain` (see plain_number()): of `any` the one or the other; and a word is a
// text where `assign` or `sections` has one in place of a number, or of several, `1.5, 2.25`.
FieldKind kind_of_value(FieldKind kind, std::string_view plain);

// Keys that begin with `unread` are kept for rows that nobody understood.
inline bool may_be_key(std::string_view key) {
  return key != "unread" && !is_unread(key);
}

// "work/{P}" taken apart once, then filled in row by row.
class KeyTemplate {
 public:
  explicit KeyTemplate(const RowRule& rule);

  // Calls `part(name)` for the text between braces, which gives nullopt when the row has none. False then,
  // and when the key would be empty or look like an unread row's. `key` is overwritten.
  template <class Part>
  bool fill(const Part& part, std::string& key) const {
    key.clear();
    for (const Piece& piece : pieces_) {
      if (!piece.is_part) {
        key += piece.text;
        continue;
      }
      const std::optional<std::string_view> text = part(piece.text);
      if (!text || !append(piece, *text, key)) return false;
    }
    return pieces_.empty() || (!key.empty() && may_be_key(key));
  }
  [[nodiscard]] std::vector<std::string_view> parts() const;

 private:
  struct Piece {
    std::string text;
    bool is_part = false;
    const std::map<std::string, std::string>* rename = nullptr;
  };
  static bool append(const Piece& piece, std::string_view text, std::string& key);
  std::vector<Piece> pieces_;
};

}  // namespace keepway::reader
