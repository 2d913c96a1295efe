// SHA-256 (FIPS 180-4) of bytes: says whether two files are the same.
#pragma once

#include <array>
#include <string>
#include <string_view>

namespace keepway {

using Sha256 = std::array<unsigned char, 32>;

Sha256 sha256(std::string_view bytes);
std::string hex(const Sha256& digest);  // lower case
std::string sha256_hex(std::string_view bytes);

}  // namespace keepway
