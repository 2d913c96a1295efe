#include <cstdint>

#include "keepway/text.hpp"

namespace keepway {
namespace {

// C1 controls, zero-width and direction marks, line and paragraph separators, private and unassigned planes'
// marks: characters that do not stand for themselves on a terminal (Unicode categories Cc, Cf, Zl, Zp).
bool is_unsafe(std::uint32_t c) {
  return (c >= 0x80 && c < 0xA0) || c == 0xAD || c == 0x61C || (c >= 0x200B && c <= 0x200F) ||
         (c >= 0x2028 && c <= 0x202E) || (c >= 0x2060 && c <= 0x206F) || c == 0xFEFF ||
         (c >= 0xFFF0 && c <= 0xFFFB) || (c >= 0xE0000 && c <= 0xE0FFF);
}

}  // namespace

std::size_t printable_utf8(std::string_view bytes) {
  if (bytes.empty()) return 0;
  const auto lead = static_cast<unsigned char>(bytes[0]);
  std::size_t length = 0;
  std::uint32_t c = 0;
  std::uint32_t least = 0;
  if (lead >= 0xC2 && lead <= 0xDF) {
    length = 2;
    c = lead & 0x1FU;
    least = 0x80;
  } else if (lead >= 0xE0 && lead <= 0xEF) {
    length = 3;
    c = lead & 0x0FU;
    least = 0x800;
  } else if (lead >= 0xF0 && lead <= 0xF4) {
    length = 4;
    c = lead & 0x07U;
    least = 0x10000;
  } else {
    return 0;
  }
  if (bytes.size() < length) return 0;
  for (std::size_t i = 1; i < length; ++i) {
    const auto next = static_cast<unsigned char>(bytes[i]);
    if ((next & 0xC0U) != 0x80) return 0;
    c = (c << 6) | (next & 0x3FU);
  }
  if (c < least || c > 0x10FFFF || (c >= 0xD800 && c <= 0xDFFF) || is_unsafe(c)) return 0;
  return length;
}

}  // namespace keepway
