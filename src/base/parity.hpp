// 7-bit text with even parity in bit 8 (ISO 1113 / ECMA-10), off and on.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace keepway {

std::string without_parity(std::string_view bytes);
// nullopt when a byte has more than 7 bits.
std::optional<std::string> with_parity(std::string_view text);

}  // namespace keepway
