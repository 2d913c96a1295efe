// Without OpenSSL's providers, for the reason given in state/sha256.cpp.
#define OPENSSL_SUPPRESS_DEPRECATED
#include "store/sha1.hpp"

#include <array>

namespace keepway::store {

Sha1::Sha1() {
  SHA1_Init(&sum_);
}

void Sha1::put(std::string_view bytes) {
  SHA1_Update(&sum_, bytes.data(), bytes.size());
}

std::string Sha1::finish() {
  std::array<unsigned char, size> digest{};
  SHA1_Final(digest.data(), &sum_);
  return {reinterpret_cast<const char*>(digest.data()), digest.size()};
}

}  // namespace keepway::store
