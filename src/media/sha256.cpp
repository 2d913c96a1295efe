#include <openssl/evp.h>

#include <array>

#include "keepway/media.hpp"

namespace keepway::media {

std::string sha256(std::string_view bytes) {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned int size = 0;
  if (EVP_Digest(bytes.data(), bytes.size(), digest.data(), &size, EVP_sha256(), nullptr) != 1) {
    throw Error(Exit::store, "SHA-256 cannot be computed", "check the OpenSSL library of this computer");
  }
  constexpr std::string_view digits = "0123456789abcdef";
  std::string out;
  for (std::size_t i = 0; i < size; ++i) {
    out += digits[digest[i] >> 4U];
    out += digits[digest[i] & 15U];
  }
  return out;
}

}  // namespace keepway::media
