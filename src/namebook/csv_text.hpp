// The bytes of a spreadsheet's file as text, whatever country's habits it was saved with.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace keepway::book {

struct CsvText {
  std::string text;      // UTF-8, without a byte order mark
  char separator = ',';  // ';' where its first line has that and no comma; numbers then have a decimal comma
  std::size_t mark = 0;  // bytes of the byte order mark
  bool latin = false;    // it was ISO 8859-1: each character of `text` was one byte
  // Where a byte of `text` was in the file.
  [[nodiscard]] std::uint64_t place(std::uint64_t at) const;
};

// UTF-8; what is not, and has no character of several bytes, is ISO 8859-1. Error{input} with line and byte
// for what is neither, and for control bytes.
CsvText csv_text(std::string_view bytes, const std::string& file);

// 0,5 as 0.5; anything else as it is.
std::string with_decimal_point(std::string_view cell);

}  // namespace keepway::book
