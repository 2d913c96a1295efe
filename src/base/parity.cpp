#include "base/parity.hpp"

#include <algorithm>
#include <bit>

namespace keepway {
namespace {

constexpr unsigned char parity_bit = 0x80;

}  // namespace

std::string without_parity(std::string_view bytes) {
  std::string out(bytes);
  for (char& c : out) c = static_cast<char>(static_cast<unsigned char>(c) & ~parity_bit);
  return out;
}

std::optional<std::string> with_parity(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte >= parity_bit) return std::nullopt;
    if (std::popcount(byte) % 2 != 0) c = static_cast<char>(byte | parity_bit);
  }
  return out;
}

}  // namespace keepway
