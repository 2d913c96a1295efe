#include "keepway/sha256.hpp"

#include <openssl/evp.h>

#include <new>

namespace keepway {

Sha256 sha256(std::string_view bytes) {
  Sha256 digest{};
  if (EVP_Digest(bytes.data(), bytes.size(), digest.data(), nullptr, EVP_sha256(), nullptr) != 1)
    throw std::bad_alloc();  // the only failure that a digest in memory has
  return digest;
}

std::string hex(const Sha256& digest) {
  constexpr std::string_view digits = "0123456789abcdef";
  std::string out;
  out.reserve(digest.size() * 2);
  for (const unsigned byte : digest) {
    out += digits[byte >> 4U];
    out += digits[byte & 15U];
  }
  return out;
}

std::string sha256_hex(std::string_view bytes) {
  return hex(sha256(bytes));
}

}  // namespace keepway
