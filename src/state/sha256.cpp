// OpenSSL's sum without its providers: making those ready takes longer than summing up a day's backup. Its
// manual deprecates these calls in favour of the providers'; they compute the same.
#define OPENSSL_SUPPRESS_DEPRECATED
#include "keepway/sha256.hpp"

#include <openssl/sha.h>

namespace keepway {

Sha256 sha256(std::string_view bytes) {
  SHA256_CTX sum{};
  Sha256 digest{};
  SHA256_Init(&sum);
  SHA256_Update(&sum, bytes.data(), bytes.size());
  SHA256_Final(digest.data(), &sum);
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
